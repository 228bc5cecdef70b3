"""The inks: what each means and how it looks, in one table that every line, curve and drawing is coloured from. Pure.

No background of a terminal is assumed. Most text is in the terminal's own ink. A letter in a colour has a contrast of
4.5 at least (WCAG 2.2, success criterion 1.4.3), and no colour has that on black, white and both backgrounds of
Solarized: black asks for a luminance over 0.175, Solarized's dark one for 0.265, its light one for less than 0.167. So
letters are coloured only where the terminal has said what it writes on; until then they have attributes, or bring their
own paper. Strokes of curves and drawings need 3 (criterion 1.4.11), and there are colours that have it on all four.

With 16 colours, which every terminal sets as it likes, and with ``NO_COLOR`` attributes and words say it all.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from functools import cache

from rich.style import Style

Rgb = tuple[int, int, int]
LETTERS, STROKES = 4.5, 3.0
"""Least contrast of what is read and of what is drawn; WCAG 2.2, 1.4.3 and 1.4.11."""


class Ground(Enum):
    """What is known of what the terminal writes on."""

    COLOURLESS = "plain"
    """Whatever it is: there are no colours, or 16 that nobody knows."""
    UNKNOWN = "unknown"
    DARK = "dark"
    LIGHT = "light"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """How one meaning looks on each ground: attributes, and colours of xterm's 256 by number."""

    meaning: str
    plain: str = ""
    unknown: str = ""
    dark: str = ""
    light: str = ""
    strokes: bool = False
    """Whether curves and drawings are drawn with it, and no words written."""


INKS: dict[str, Ink] = {
    "": Ink(meaning="most text"),
    "name": Ink(meaning="whose screen it is", plain="bold", unknown="bold", dark="bold color(179)",
                light="bold color(94)"),
    "head": Ink(meaning="heading", plain="underline", unknown="underline", dark="color(179)", light="color(94)"),
    "on": Ink(meaning="the one that is shown, of several", plain="bold reverse", unknown="bold color(231) on color(94)",
              dark="bold color(16) on color(179)", light="bold color(231) on color(94)"),
    "here": Ink(meaning="the row under the cursor", plain="bold", unknown="bold", dark="bold", light="bold"),
    "strong": Ink(meaning="value that is looked for", plain="bold", unknown="bold", dark="bold", light="bold"),
    "key": Ink(meaning="key to press", plain="bold", unknown="bold", dark="bold", light="bold"),
    "guess": Ink(meaning="taken, not known", dark="color(73)", light="color(24)"),
    "warn": Ink(meaning="caution, doubt", plain="bold", unknown="bold", dark="bold", light="bold"),
    "flag": Ink(meaning="wrong or not kept", plain="bold", unknown="bold", dark="bold color(210)",
                light="bold color(124)"),
    "aside": Ink(meaning="may be missed", dark="color(248)", light="color(241)"),
    "hot": Ink(meaning="hot end", plain="bold", unknown="color(166)", dark="color(209)", light="color(124)",
               strokes=True),
    "cold": Ink(meaning="cold end", unknown="color(31)", dark="color(74)", light="color(25)", strokes=True),
    "measured": Ink(meaning="measured point", plain="bold", unknown="bold color(133)", dark="bold color(176)",
                    light="bold color(127)", strokes=True),
    "band": Ink(meaning="interval round a curve", unknown="color(244)", dark="color(248)", light="color(241)",
                strokes=True),
}  # fmt: skip
"""By the name that a span gives: "aside" is what a reader who has no time may miss, and nothing else is."""
PLAINEST = Style()


@cache
def style_of(ink: str, ground: Ground) -> Style:
    """Return how an ink looks; an unknown one looks plain."""
    declared = INKS.get(ink)
    return Style.parse(str(getattr(declared, ground.value)) or "none") if declared else PLAINEST


def luminance(colour: Rgb) -> float:
    """Return the relative luminance of a colour of sRGB, 0 to 1. WCAG 2.2, definition of relative luminance."""
    red, green, blue = (c / 255 / 12.92 if c / 255 <= 0.04045 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Rgb, other: Rgb) -> float:
    """Return the contrast of two colours, 1 to 21. WCAG 2.2, definition of contrast ratio.

    Examples
    --------
    >>> round(contrast((0, 0, 0), (255, 255, 255)), 1), round(contrast((0x76, 0x76, 0x76), (255, 255, 255)), 2)
    (21.0, 4.54)
    """
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def ground_on(paper: Rgb) -> Ground:
    """Return the ground that a background is: dark or light where every ink of it can be read on it, else unknown.

    Examples
    --------
    >>> ground_on((0, 0x2B, 0x36)).value, ground_on((0xFD, 0xF6, 0xE3)).value, ground_on((120, 120, 120)).value
    ('dark', 'light', 'unknown')
    """
    for ground in (Ground.DARK, Ground.LIGHT):
        if all(contrast(colour, paper) >= LETTERS for colour in _letters(ground)):
            return ground
    return Ground.UNKNOWN


@cache
def _letters(ground: Ground) -> tuple[Rgb, ...]:
    """Return the colours of letters that stand on the terminal's own paper."""
    styles = [style_of(name, ground) for name in INKS]
    return tuple(rgb_of(s.color.number) for s in styles if s.color and s.color.number is not None and not s.bgcolor)


def rgb_of(number: int) -> Rgb:
    """Return a colour of xterm's palette from 16 on: a cube of six levels, then greys. Source: xterm, 256colres.pl.

    Examples
    --------
    >>> rgb_of(16), rgb_of(94), rgb_of(231), rgb_of(244)
    ((0, 0, 0), (135, 95, 0), (255, 255, 255), (128, 128, 128))
    """
    if number >= 232:
        return (8 + 10 * (number - 232),) * 3
    levels = (0, 95, 135, 175, 215, 255)
    return levels[(number - 16) // 36], levels[(number - 16) // 6 % 6], levels[(number - 16) % 6]
