"""Probabilities and odds in words, so that every screen and command says them alike. Pure; no numpy."""

from __future__ import annotations

from collections.abc import Sequence

from model.explain.diagnosis.bench_tests import small

NOT_COUNTED = "A symptom alone does not move the odds, as several causes share it; what its test shows does."
"""Beside every symptom: it is no finding."""
SHOWN = 0.02
"""Causes below this are told together."""
UNLIKELY = "Each under 2 in 100"
"""Before those."""


def odds(factor: float) -> str:
    """Return how strongly an observation speaks, without its direction: ``3 to 1``.

    Examples
    --------
    >>> odds(1.7), odds(0.14), odds(0.0001)
    ('1.7 to 1', '7 to 1', 'hundreds to 1')
    """
    times = factor if factor > 1 else 1 / max(factor, 1e-9)
    if times > 300:
        return "hundreds to 1"
    return f"{times:.1f} to 1" if times < 3 else f"{float(f'{times:.1g}' if times > 10 else f'{times:.0f}'):.0f} to 1"


def moved_lines(moved: Sequence[tuple[str, float]]) -> list[str]:
    """Return the observations that moved a cause, those for it and those against it, strongest first, with their odds.

    Examples
    --------
    >>> moved_lines([("Bounce", 0.02), ("U-tube half-time", 4.0)])
    ['for it U-tube half-time (4 to 1)', 'against it bounce (50 to 1)']
    """
    pro = sorted((item for item in moved if item[1] > 1), key=lambda item: -item[1])
    con = sorted((item for item in moved if item[1] <= 1), key=lambda item: item[1])
    return [
        f"{word} " + ", ".join(f"{small(label)} ({odds(factor)})" for label, factor in findings)
        for word, findings in (("for it", pro), ("against it", con))
        if findings
    ]


def bar(probability: float, width: int) -> str:
    """Return a bar of so many cells, ASCII.

    Examples
    --------
    >>> bar(0.43, 10), bar(0.01, 10), bar(7.0, 4)
    ('####......', '..........', '####')
    """
    filled = max(0, min(width, round(width * probability)))
    return "#" * filled + "." * (width - filled)
