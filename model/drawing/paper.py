"""Papers, and how a part that is larger is spread over several sheets. Lengths of the paper, in millimetres."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

MARGIN = 10.0
"""Room at the edges that a home printer may not reach, [mm]; common practice, no source."""
OVERLAP = 10.0
"""By which sheets lie over one another, [mm]; common practice, no source."""
MOST = 60
"""Most sheets of one part; a larger part is one sheet of its own size, for a print shop."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of paper, upright, [mm]."""

    key: str
    label: str
    wide: float
    high: float
    source: str


PAPERS = {
    paper.key: paper
    for paper in (
        Paper("a4", "A4", 210.0, 297.0, "ISO 216"),
        Paper("letter", "Letter", 215.9, 279.4, "ANSI/ASME Y14.1, size A"),
    )
}


class Tile(NamedTuple):
    """What of a part one sheet shows: a box from the part's upper left corner."""

    column: int
    row: int
    left: float
    top: float
    wide: float
    high: float


@dataclass(frozen=True, slots=True)
class Tiling:
    """How a part lies on its sheets."""

    columns: int
    rows: int
    tiles: tuple[Tile, ...]
    """Row by row, from the upper left."""


def tiling(wide: float, high: float, room_wide: float, room_high: float) -> Tiling:
    """Return the sheets that together show a part of a size, each of at most the room that a sheet has.

    Neighbours share `OVERLAP`. A part that would take more than `MOST` is left on one sheet.
    """
    columns, rows = _count(wide, room_wide), _count(high, room_high)
    if columns * rows > MOST:
        return Tiling(1, 1, (Tile(0, 0, 0.0, 0.0, wide, high),))
    across, down = _step(wide, columns), _step(high, rows)
    tiles = (
        Tile(column, row, column * (across - OVERLAP), row * (down - OVERLAP), across, down)
        for row in range(rows)
        for column in range(columns)
    )
    return Tiling(columns, rows, tuple(tiles))


def _count(length: float, room: float) -> int:
    return 1 if length <= room else math.ceil((length - OVERLAP) / (room - OVERLAP) - 1e-9)


def _step(length: float, count: int) -> float:
    """Return the length that each of so many sheets shows, so that all show alike much."""
    return (length + (count - 1) * OVERLAP) / count
