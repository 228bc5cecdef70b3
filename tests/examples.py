"""How many examples are drawn: few in the README's test line, `QUARTERTURN_EXAMPLES` times as many where it is set."""

from __future__ import annotations

import os

TIMES = int(os.environ.get("QUARTERTURN_EXAMPLES", "1"))


def many(few: int) -> int:
    """Return how many examples to draw."""
    return few * TIMES
