"""The real model with few engines drawn: where its work has to be done and the width of no interval is looked at."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from unittest import mock


def few() -> Iterator[tuple[dict[str, Any], str, Any]]:
    """Yield each table of the model that says how many are drawn (defaults, constants), the name in it, and few."""
    from model.changes import engines
    from model.explain.cache import Cache
    from model.explain.diagnosis import allowances, before_running, ensemble
    from model.explain.gap import gaps
    from model.explain.lasting import lasting
    from model.explain.outlook import outlook
    from model.knowledge import first_look, learn, left_out, not_running, redraw

    for function, name, number in (
        (outlook, "samples", 8),
        (gaps, "samples", 8),
        (lasting, "samples", 4),
        (allowances.allowances, "samples", 4),
        (before_running.before_running, "samples", 8),
        (ensemble.sample_ensemble, "turns", 8),
        (ensemble.sample_ensemble, "shafts", 2),
        (not_running._shown_before, "turns", 6),
        (not_running._shown_before, "shafts", 3),
    ):
        yield function.__kwdefaults__, name, number
    # what few engines were learnt to be is remembered apart
    yield vars(learn), "_KEPT", Cache(4)
    yield vars(learn), "_ENGINES", Cache(4)
    yield vars(learn), "_OVER_SPEEDS", Cache(4)
    yield vars(learn), "_LATEST", Cache(4)
    yield vars(left_out), "_KEPT", Cache(4)
    yield vars(learn), "AIRS", 24
    yield vars(engines), "_KEPT", Cache(4)
    yield vars(engines), "FEW", 8
    yield vars(first_look), "FEWEST", 1
    yield vars(first_look), "FEWEST_AIRS", 1
    yield vars(left_out), "FEWEST", 1
    yield vars(left_out), "FEWEST_AIRS", 1
    # none goes far: that is looked at where what is learnt is
    for name, number in (
        ("AIRS", 24),
        ("FEWEST_AIRS", 0),
        ("SHAFTS", 2),
        ("STEPS", 1),
        ("LAST_STEPS", 1),
    ):
        yield vars(redraw), name, number


def nothing_learned() -> Iterator[tuple[str, Any]]:
    """Yield what has to stand in place of which function for the commands to learn nothing."""
    from model.checkpoint import silent
    from tui.runs.model_api import no_learn

    yield "model.knowledge.learn.learn", lambda project, mark, **rest: no_learn(project, mark=mark, progress=silent)
    yield "model.knowledge.expect.expected", lambda project, mark: ()


def draw_few() -> None:
    """Let the model of this process draw few and learn nothing, for good: for a process of its own."""
    for defaults, name, number in few():
        defaults[name] = number
    for place, instead in nothing_learned():
        mock.patch(place, instead).start()
