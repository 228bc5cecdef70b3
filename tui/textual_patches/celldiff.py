"""Only changed cells go to the terminal: a shadow of the screen stands between textual's compositor and the driver.

Textual sends every refreshed region whole. `Differ.wrap` replaces such an update by one that compares it, cell by
cell as it is seen, with what the terminal already shows; blanks up to the right edge are erased. Private parts used:
`App._display`'s renderables (`ChopsUpdate`, `LayoutUpdate`) of `textual._compositor`; `supported` says whether this
textual has them. Off with ``QUARTERTURN_DIFF=0``. The shadow is forgotten on resize, on resume and by the redraw key.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

from rich.cells import get_character_cell_size
from rich.color import ColorSystem
from rich.style import Style

GAP = 4
"""Unchanged cells between two changed runs that cost less to send again than to jump over."""
NOTHING = Style()
WORTH = 4
"""Blanks up to the right edge from which erasing costs less than sending them."""
_RESET = "\x1b[0m"
_STYLE = re.compile(r"(\x1b\[[0-9;]*m)")
_JUMP = re.compile(r"\x1b\[[0-9]+;[0-9]+H")
_CHARACTER = (1 << 21) - 1
"""Bits of a cell's number that are its character's; the rest is its style's."""
_BLANK = ord(" ")
"""A blank in style 0, which is none."""
_UNKNOWN, _ACROSS = -1, -2
"""What is not known of a cell; the right half of a wide character. Lower numbers: characters with joining marks."""


def supported() -> bool:
    """Whether this version of textual has the parts that are used here."""
    try:
        from textual._compositor import ChopsUpdate, CompositorUpdate, LayoutUpdate
    except ImportError:
        return False
    known = _version()
    return (
        known[0] == "8"
        and int(known[1]) >= 2
        and all(hasattr(c, "render_segments") for c in (ChopsUpdate, CompositorUpdate, LayoutUpdate))
    )


def _version() -> list[str]:
    """Return textual's version in parts: from the name of the folder that says what is installed, as the module's own
    attribute loads all of `importlib.metadata` and `email` for it, in four megabytes and thirty milliseconds."""
    import textual

    beside = Path(textual.__file__).parents[1].glob("textual-*.dist-info")
    named = next((folder.name.removeprefix("textual-").removesuffix(".dist-info") for folder in beside), "")
    return (named or textual.__version__).split(".")


class Differ:
    """The shadow of one terminal: a number for each cell, which stands for what is seen there."""

    def __init__(self) -> None:
        from textual._compositor import ChopsUpdate, CompositorUpdate, LayoutUpdate

        self.shadow: dict[int, list[int]] = {}
        """The cells of each row; one that is not there is unknown."""
        self.width = 0
        """Columns of the terminal; 0 while unknown."""
        self._styles: list[Style] = [NOTHING]
        self._numbers: dict[Style, int] = {NOTHING: 0}
        self._joined: list[tuple[str, int]] = []
        """Characters with joining marks, and their styles' numbers."""
        self._joined_numbers: dict[tuple[str, int], int] = {}
        self.chops: Any = ChopsUpdate
        self.layout: Any = LayoutUpdate
        differ = self

        class CellUpdate(CompositorUpdate):
            """An update that sends what differs from the shadow."""

            def __init__(self, inner: Any) -> None:
                self.inner = inner

            def __rich_console__(self, console: Any, options: Any) -> Any:
                return self.inner.__rich_console__(console, options)

            def render_segments(self, console: Any) -> str:
                return differ.render(self.inner, console)

        self._update = CellUpdate

    def forget(self) -> None:
        """Forget what the terminal shows: the next update is sent whole."""
        self.shadow.clear()

    def wrap(self, renderable: Any) -> Any:
        """Return the update to send instead (anything unknown is passed through and makes the shadow unsure)."""
        for kind, parts in ((self.chops, ("spans", "chops", "chop_ends")), (self.layout, ("strips", "region"))):
            if isinstance(renderable, kind) and all(hasattr(renderable, part) for part in parts):
                return self._update(renderable)
        self.forget()
        return renderable

    def render(self, inner: Any, console: Any) -> str:
        """Return the escape sequences for the cells that differ, and remember them as shown."""
        if not hasattr(console, "_color_system"):
            self.forget()
            return str(inner.render_segments(console))
        system = console._color_system
        self.width = console.width
        pieces: list[str] = []
        for y, x, segments in self._runs(inner):
            self._line(pieces, y, x, segments, system)
        return _carried("".join(pieces))

    def _runs(self, inner: Any) -> Iterator[tuple[int, int, Iterable[Any]]]:
        """Yield row, column and segments of every run of an update."""
        if isinstance(inner, self.layout):
            for y, line in enumerate(inner.strips, inner.region.y):
                yield y, inner.region.x, (segment for strip in line for segment in strip)
            return
        for y, x1, x2 in inner.spans:
            for end, (x, strip) in zip(inner.chop_ends[y], inner.chops[y].items(), strict=False):
                if strip is None or x > x2 or end <= x1:
                    continue
                whole = x2 > x >= x1 and end <= x2
                yield y, x, (strip if whole else strip.crop(0, min(end, x2) - x))

    def _cells(self, segments: Iterable[Any]) -> list[int]:
        """Return the numbers of the cells of a run."""
        cells: list[int] = []
        for text, style, control in segments:
            if control:
                continue
            ink, paper = (self._number(seen) for seen in _seen(style or NOTHING))
            blank, base = paper << 21 | _BLANK, ink << 21
            if text.isspace() and text.isascii():
                cells += [blank] * len(text)
            elif text.isascii():
                cells += [blank if char == " " else base | ord(char) for char in text]
            else:
                for char, width in _glyphs(text):
                    if width == 0:  # a mark before any character: it joins the cell before, where there is one
                        self._mark(cells, char)
                        continue
                    one = blank if char == " " else base | ord(char) if len(char) == 1 else self._join(char, ink)
                    cells += [one, _ACROSS] if width == 2 else [one]
        return cells

    def _mark(self, cells: list[int], mark: str) -> None:
        at = -2 if cells[-1:] == [_ACROSS] else -1
        if len(cells) >= -at:
            char, ink = self._look(cells[at])
            cells[at] = self._join(char + mark, ink)

    def _number(self, style: Style) -> int:
        number = self._numbers.setdefault(style, len(self._styles))
        if number == len(self._styles):
            self._styles.append(style)
        return number

    def _join(self, char: str, ink: int) -> int:
        key = char, ink
        if key not in self._joined_numbers:
            self._joined_numbers[key] = _ACROSS - 1 - len(self._joined)
            self._joined.append(key)
        return self._joined_numbers[key]

    def _look(self, cell: int) -> tuple[str, int]:
        """Return a cell's character and its style's number."""
        return (chr(cell & _CHARACTER), cell >> 21) if cell >= 0 else self._joined[_ACROSS - 1 - cell]

    def _line(self, pieces: list[str], y: int, x: int, segments: Iterable[Any], system: ColorSystem | None) -> None:
        """Add one line's changed runs to `pieces`."""
        new = self._cells(segments)
        row = self.shadow.setdefault(y, [])
        if len(row) < x + len(new):
            row += [_UNKNOWN] * (max(self.width, x + len(new)) - len(row))
        old = row[x : x + len(new)]
        if old == new:
            return
        changed = [n for n, (a, b) in enumerate(zip(old, new, strict=True)) if a != b]
        begin = last = changed[0]
        for n in [*changed[1:], len(new) + GAP + 2]:
            if n - last - 1 > GAP:
                begin -= new[begin] == _ACROSS and begin > 0
                row[x + begin : x + last + 1] = new[begin : last + 1]
                self._emit(pieces, y, x + begin, new[begin : last + 1], system)
                begin = n
            last = n

    def _emit(self, pieces: list[str], y: int, x: int, run: list[int], system: ColorSystem | None) -> None:
        """Write a run: one jump, then text in pieces of equal style; blanks up to the right edge are erased."""
        pieces.append(f"\x1b[{y + 1};{x + 1}H")
        after, blanks = x + len(run), 0
        while blanks < len(run) and run[-1 - blanks] == _BLANK:
            blanks += 1
        rest = self.shadow[y][after : self.width]
        erased = blanks >= WORTH and self.width >= after and rest.count(_BLANK) == len(rest)
        run = run[: len(run) - blanks] if erased else run
        text, style = "", self._look(run[0])[1] if run else 0
        for cell in run:
            if cell == _ACROSS:
                continue
            char, own = self._look(cell)
            if own != style and not (cell == _BLANK and _seen(self._styles[style])[1] == NOTHING):
                pieces.append(self._styles[style].render(text, color_system=system))
                text, style = "", own
            text += char
        pieces.append(self._styles[style].render(text, color_system=system))
        if erased:
            pieces.append("\x1b[K")


def _carried(sent: str) -> str:
    """Leave a style on over a jump to a run of the same style.

    Examples
    --------
    >>> _carried("\\x1b[1mone\\x1b[0m\\x1b[2;1H\\x1b[1mtwo\\x1b[0m")
    '\\x1b[1mone\\x1b[2;1Htwo\\x1b[0m'
    """
    parts = _STYLE.split(sent)  # text, style, text, style ... text
    pieces, style, n = [parts[0]], "", 1
    while n < len(parts):
        again = parts[n] == _RESET and style and parts[n + 2 : n + 3] == [style] and _JUMP.fullmatch(parts[n + 1])
        if again:
            pieces += [parts[n + 1], parts[n + 3]]
            n += 4
        else:
            style = parts[n]
            pieces += parts[n : n + 2]
            n += 2
    return "".join(pieces)


@lru_cache(maxsize=256)
def _seen(style: Style) -> tuple[Style, Style]:
    """Return what is seen of a style on a character, and on a blank, where the ink is not seen."""
    ink = Style(
        color=None if style.color is None or style.color.is_default else style.color,
        bgcolor=None if style.bgcolor is None or style.bgcolor.is_default else style.bgcolor,
        bold=style.bold or None,
        dim=style.dim or None,
        italic=style.italic or None,
        underline=style.underline or None,
        underline2=style.underline2 or None,
        reverse=style.reverse or None,
        strike=style.strike or None,
        overline=style.overline or None,
    )
    marked = ink.bgcolor or ink.reverse or ink.underline or ink.underline2 or ink.strike or ink.overline
    return ink, (ink if marked else NOTHING)


def _glyphs(text: str) -> Iterator[tuple[str, int]]:
    """Yield each character with the cells it takes; joining marks stay with the character before."""
    if text.isascii():
        for char in text:
            yield char, 1
        return
    glyph, width = "", 0
    for char in text:
        size = get_character_cell_size(char)
        if size == 0:
            glyph += char
            continue
        if glyph:
            yield glyph, width
        glyph, width = char, size
    if glyph:
        yield glyph, width
