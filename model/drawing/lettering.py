"""Texts on a sheet: made harmless, and broken or shortened to a width. Stdlib only.

No font is measured: widths are at the upper end of what the usual sans-serif faces take, so that a text stays in its
box whichever of them the reader's machine has.
"""

from __future__ import annotations

import unicodedata

ELLIPSIS = "…"
_NARROW, _WIDE = frozenset("iljftI.,:;'|!()[]` "), frozenset("mwMW@%&—…")
_MARKS = 2
"""Most accents that are stacked on one letter."""


def clean(text: str) -> str:
    """Return a text of one line without control, direction and half characters.

    Examples
    --------
    >>> clean("Mk\\x1b[31m 2\\nand\\u202e more\\ud800")
    'Mk[31m 2 and more'
    """
    kept: list[str] = []
    stacked = 0
    for char in text:
        stacked = stacked + 1 if unicodedata.combining(char) else 0
        if char.isprintable() and stacked <= _MARKS:
            kept.append(char)
        elif char.isspace():
            kept.append(" ")
    return "".join(kept)


def width(text: str, size: float) -> float:
    """Return the most that a text takes along the line, in the unit of `size`, the height of the type."""
    return size * sum(map(_em, text))


def _em(char: str) -> float:
    if unicodedata.combining(char):
        return 0.0
    if unicodedata.east_asian_width(char) in "WF":
        return 1.3 if unicodedata.category(char) == "So" else 1.05
    if char in _NARROW:
        return 0.4
    if char in _WIDE or ord(char) > 0x24F:
        return 1.0
    return 0.78 if char.isupper() else 0.64


def shorten(text: str, room: float, size: float) -> str:
    """Return as much of a text as has room, with an ellipsis where something is left out."""
    text = clean(text)
    if width(text, size) <= room:
        return text
    kept = ""
    left = room - width(ELLIPSIS, size)
    for char in text:
        left -= width(char, size)
        if left < 0:
            break
        kept += char
    return kept.rstrip() + ELLIPSIS


def broken(text: str, room: float, size: float, *, most: int = 99) -> list[str]:
    """Return a text as at most so many lines; a word that is longer than a line is shortened, as the last line is."""
    lines: list[str] = []
    line = ""
    words = clean(text).split()
    for number, word in enumerate(words):
        longer = f"{line} {word}".strip()
        if width(longer, size) <= room:
            line = longer
            continue
        if len(lines) == most - 1:
            line = shorten(" ".join([line, *words[number:]]).strip(), room, size)
            break
        if line:
            lines.append(line)
        line = shorten(word, room, size)
    return [*lines, line] if line else lines


def length_text(value: float, *, inches: bool = False) -> str:
    """Return a length, [m], in millimetres to a hundredth, or in inches to a thousandth.

    Examples
    --------
    >>> length_text(0.0667), length_text(0.066675, inches=True), length_text(0.003)
    ('66.7 mm', '2.625 in', '3 mm')
    """
    number, unit = (f"{value / 0.0254:.3f}", "in") if inches else (f"{value * 1e3:.2f}", "mm")
    return f"{number.rstrip('0').rstrip('.')} {unit}"
