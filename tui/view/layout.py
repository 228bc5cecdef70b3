"""What stands where on the screen of a prototype: one rule from its size to boxes of cells. Pure.

From above: head, body, help, keys. The body is the pane at the left, beside it the model panel where there are columns
for both, and on a large screen a picture: below the panel, or as a third column. The same thing stands in the same
place at every size where it stands at all. No box is wider than its text can be read in; what is left over stays empty
at the right, so that no number stands half a screen from its label.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

LEAST_WIDTH, LEAST_HEIGHT = 60, 20
"""The smallest screen that anything is shown on."""
READABLE = 100
"""Most columns of a line that is read: of help, of a list, of a page."""
TWO = 76
"""Columns from which the panel stands beside the pane; below, it is two lines under it."""
PANEL = (32, 44)
"""Fewest and most columns of the panel: a label, a number, an interval."""
PANE = (47, 72)
"""Fewest and most columns of a form or a list beside the panel: a label of 25, and a text; a row of readings."""
FORM = 60
"""Columns of the same that leave the rest to the picture below the panel."""
PICTURE = (38, 10)
"""Fewest columns and lines of a picture."""
TALL = 36
"""Lines from which there is a picture below the panel."""
PICTURED = 112
"""Columns from which there is a picture at all."""
THREE = 150
"""Columns from which the picture is a third column."""
LOW = 30
"""Lines below which head and help are short."""


class Room(Enum):
    """What a pane asks for."""

    BESIDE = "the panel beside it"
    WHOLE = "the whole width, where the screen is not that wide that more stands beside"
    DENSE = "the same, and every line of a low screen"
    ALL = "everything, as it is a picture itself"


class Box(NamedTuple):
    """Part of the screen, in cells."""

    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where the parts stand; a part that is not there is None."""

    head: Box
    pane: Box
    panel: Box | None
    picture: Box | None
    help: Box
    keys: Box
    below: bool = False
    """Whether the picture stands below the panel."""

    @property
    def parts(self) -> tuple[Box, ...]:
        """Every box that is there."""
        boxes = (self.head, self.pane, self.panel, self.picture, self.help, self.keys)
        return tuple(box for box in boxes if box is not None)


def layout_of(width: int, height: int, room: Room = Room.BESIDE) -> Layout:
    """Return what stands where.

    Examples
    --------
    >>> small, large = layout_of(80, 24), layout_of(200, 60)
    >>> small.pane.width, small.panel.width, small.picture
    (47, 32, None)
    >>> large.pane.width, large.panel.width, large.picture.width
    (66, 44, 84)
    """
    low = height < LOW
    top = 2 if low and room in (Room.DENSE, Room.ALL) else 3
    foot = (5 if room is Room.BESIDE else 4) if low else 7
    foot += 2 if width < TWO and room is Room.BESIDE else 0
    body = max(0, height - top - foot - 1)
    pane, panel, picture = _body(width, top, body, room, tall=height >= TALL)
    return Layout(
        head=Box(0, 0, width, top),
        pane=pane,
        panel=panel,
        picture=picture,
        help=Box(0, top + body, width, foot),
        keys=Box(0, height - 1, width, 1),
        below=bool(panel and picture and panel.x == picture.x),
    )


def _body(width: int, top: int, body: int, room: Room, *, tall: bool) -> tuple[Box, Box | None, Box | None]:
    """Return pane, panel and picture."""
    gap = 1 if width < 100 else 2 if width < THREE else 3
    if room is Room.ALL or width < TWO:
        return Box(0, top, width, body), None, None
    if width >= THREE:
        text = READABLE if room is not Room.BESIDE else PANE[1]
        panel_wide = max(PANEL[0], min(PANEL[1], width // 4))
        left = min(text, width - panel_wide - gap if room is not Room.BESIDE else width // 3)
        rest = width - left - panel_wide - 2 * gap
        panel = Box(left + gap, top, panel_wide, body)
        drawn = Box(left + gap + panel_wide + gap, top, rest, body)
        return Box(0, top, left, body), panel, drawn if rest >= PICTURE[0] and body >= PICTURE[1] else None
    if room is not Room.BESIDE:
        return Box(0, top, width, body), None, None
    side = PANEL[0] if width < 100 else max(PANEL[0], width - gap - FORM)
    left = width - side - gap
    high = max(PICTURE[1], body // 2 - 1)
    if tall and width >= PICTURED:
        panel = Box(left + gap, top, min(PANEL[1], side), body - high - 1)
        return Box(0, top, left, body), panel, Box(left + gap, top + body - high, side, high)
    return Box(0, top, left, body), Box(left + gap, top, min(PANEL[1], side), body), None
