"""The program ended at random moments, often: what was typed is there. ``python -m tests.kill 1000``
and ``tests.kill_scratch 200`` do more."""

from __future__ import annotations

import random
from pathlib import Path

from tests.kill import Series
from tests.kill_scratch import ScratchSeries


def test_forty_kills_at_random_moments_lose_nothing(tmp_path: Path) -> None:
    series = Series(folder=tmp_path / "notebook", dice=random.Random(4), longest=0.7)
    series.begin()
    for number in range(60):
        series.once("KILL")
        if number >= 40:  # a computer that is slow to save finds nothing saved so early
            series.longest *= 1.5
        if number >= 39 and series.counts["with something saved"] and series.counts["recovered"]:
            break
    assert series.wrong == []
    assert series.counts["with something saved"] and series.counts["recovered"]


def test_kills_amid_scratch_copies_lose_none_and_enter_none(tmp_path: Path) -> None:
    series = ScratchSeries(folder=tmp_path / "notebook", dice=random.Random(4))
    series.begin()
    for _ in range(12):
        series.once("KILL")
    assert series.wrong == []
    assert series.counts["copies found"]
