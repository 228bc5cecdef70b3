"""The program ended at random moments, often: what was typed is there. ``python -m tests.kill 1000`` does more."""

from __future__ import annotations

import random
from pathlib import Path

from tests.kill import Series


def test_forty_kills_at_random_moments_lose_nothing(tmp_path: Path) -> None:
    series = Series(folder=tmp_path / "notebook", dice=random.Random(4), longest=0.7)
    series.begin()
    for _ in range(40):
        series.once("KILL")
    assert series.wrong == []
    assert series.counts["with something saved"] and series.counts["recovered"]
