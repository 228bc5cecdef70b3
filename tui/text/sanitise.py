"""Texts of users, file names and argv made safe to print: no control sequence passes. Pure; stdlib only."""

from __future__ import annotations

import unicodedata

_DROPPED = frozenset({"Cc", "Cf", "Co", "Cn"})


def sanitise(text: object, *, lines: bool = False) -> str:
    """Return a text without control and formatting characters; one line unless `lines`.

    White space of any kind becomes a space; half characters (surrogates) become ``?``.

    Examples
    --------
    >>> sanitise("Mk\\x1b[31m 2\\r\\nand\\u202e more")
    'Mk[31m 2 and more'
    """
    source = str(text)
    if source.isascii() and source.isprintable():
        return source
    if lines:
        source = source.replace("\r\n", "\n").replace("\r", "\n")
        return "\n".join(sanitise(line) for line in source.split("\n"))
    characters = []
    for char in source.replace("\r\n", "\n"):
        category = unicodedata.category(char)
        if char in "\t\n\r\v\f\x85" or category in ("Zs", "Zl", "Zp"):
            characters.append(" ")
        elif category == "Cs":
            characters.append("?")
        elif category not in _DROPPED:
            characters.append(char)
    return "".join(characters)


_CONTROL: dict[int, str | None] = dict.fromkeys(
    [
        *range(32),
        *range(127, 160),
        0x061C,
        0x200E,
        0x200F,
        0x2028,
        0x2029,
        *range(0x202A, 0x202F),
        *range(0x2066, 0x206A),
    ]
)


def one_line(text: str) -> str:
    """Return a text of one line without control and direction characters; its lines are joined by a space.

    Examples
    --------
    >>> one_line("  17.5 mm\\r\\n\\u202emeasured\\x9b\\n")
    '17.5 mm measured'
    """
    lines = (without_control(line.replace("\t", " ")).strip() for line in text.splitlines())
    return " ".join(line for line in lines if line)


def without_control(text: str) -> str:
    """Return a text with every control and direction character dropped."""
    if text.isascii() and text.isprintable():
        return text
    return text.translate(_CONTROL)
