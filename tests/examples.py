"""How many examples are drawn: few in the README's test line, more where `QUARTERTURN_EXAMPLES` says how many times."""

from __future__ import annotations

import os
from typing import TypeVar

T = TypeVar("T")

TIMES = int(os.environ.get("QUARTERTURN_EXAMPLES", "1"))


def many(few: int) -> int:
    """Return how many examples to draw."""
    return few * TIMES


def few_or(few: T, more: T) -> T:
    """Return `more`, for which the bounds of a test were looked at, where more is asked for, else `few`."""
    return more if TIMES > 1 else few
