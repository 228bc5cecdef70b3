"""Only changed cells are sent: after any frames the terminal shows what it would show if the last were sent whole."""

from __future__ import annotations

from types import SimpleNamespace

import pyte
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.color import ColorSystem
from rich.segment import Segment
from rich.style import Style
from textual._compositor import LayoutUpdate
from textual.geometry import Region
from textual.strip import Strip

from tui.textual_patches.celldiff import Differ

WIDTH, HEIGHT = 12, 2
CONSOLE = SimpleNamespace(_color_system=ColorSystem.EIGHT_BIT, width=WIDTH)
STYLES = (Style(), Style(bold=True), Style(reverse=True), Style(color="color(31)"), Style(underline=True))
ACUTE = "\N{COMBINING ACUTE ACCENT}"

Frame = tuple[tuple[Segment, ...], ...]


def frame(*rows: str) -> Frame:
    """Return a frame of plain rows."""
    return tuple((Segment(row, STYLES[0]),) for row in rows)


def update(drawn: Frame) -> LayoutUpdate:
    strips = [[Strip(list(row)).adjust_cell_length(WIDTH, STYLES[0])] for row in drawn]
    return LayoutUpdate(strips, Region(0, 0, WIDTH, len(drawn)))


def shown(frames: list[Frame], *, whole: bool) -> list[list[tuple[object, ...]]]:
    """Return the cells that a terminal shows after frames sent as differences, or (`whole`) after the last alone."""
    screen = pyte.Screen(WIDTH, HEIGHT)
    stream = pyte.Stream(screen)
    differ = Differ()
    for drawn in frames[-1:] if whole else frames:
        stream.feed(differ.render(update(drawn), CONSOLE))
    rows = screen.buffer
    return [
        [
            (c.data, c.bg, c.reverse, c.underscore, *((c.fg, c.bold) if c.data.strip() else ()))
            for c in (rows[y][x] for x in range(WIDTH))
        ]
        for y in range(HEIGHT)
    ]


texts = st.text(alphabet=["a", "b", " ", "世", "é", "~"], min_size=1, max_size=5)
"""Without marks: the emulator puts one behind a wide character into the empty half of it."""
pieces = st.tuples(texts, st.sampled_from(STYLES)).map(lambda piece: Segment(*piece))
rows = st.lists(pieces, min_size=1, max_size=4).map(tuple)
frames_of = st.lists(st.tuples(rows, rows), min_size=2, max_size=4)


@given(frames_of)
def test_differences_add_up_to_the_last_frame(frames: list[Frame]) -> None:
    assert shown(frames, whole=False) == shown(frames, whole=True)


def test_a_mark_before_any_character_moves_nothing() -> None:
    frames = [frame(f"{ACUTE}hello world", ""), frame(f"{ACUTE}hello wOrld", "")]
    assert "".join(str(cell[0]) for cell in shown(frames, whole=False)[0]) == "hello wOrld "


def test_a_mark_that_begins_a_span_joins_the_character_before_it() -> None:
    drawn = ((Segment("e", STYLES[1]), Segment(f"{ACUTE}x", STYLES[0])), (Segment(" ", STYLES[0]),))
    first, second, *_ = (str(cell[0]) for cell in shown([drawn], whole=False)[0])
    assert (first, second) == ("é", "x")


@pytest.mark.parametrize("changed", ["世ab", "a世b", "ab世", "世世", "abcd"])
def test_wide_characters_come_and_go(changed: str) -> None:
    frames = [frame("a世世b", ""), frame(changed, ""), frame("a世世b", "")]
    assert shown(frames[:2], whole=False) == shown(frames[:2], whole=True)
    assert shown(frames, whole=False) == shown(frames, whole=True)
