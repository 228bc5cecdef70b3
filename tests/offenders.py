"""One rule over many cases: all that break it are told, not the first alone."""

from __future__ import annotations

from collections.abc import Callable, Iterable


def none_breaks(rule: Callable[..., None], cases: Iterable[object]) -> None:
    """Hold each case to a rule (a function that asserts); raise one error with all cases that break it, and how."""
    faults, held = [], 0
    for case in cases:
        held += 1
        try:
            rule(*case) if isinstance(case, tuple) else rule(case)
        except (AssertionError, ArithmeticError, LookupError, ValueError, Warning) as error:
            faults.append(f"{case}: {type(error).__name__}: {error}")
    assert held, "no case at all"
    assert not faults, "\n".join(["", *faults])
