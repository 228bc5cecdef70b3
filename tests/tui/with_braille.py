"""Reads dots back from braille cells, by the code chart of Unicode 15 (Braille Patterns, U+2800 on)."""

from __future__ import annotations

from tui.view.lines import Line

PLACES = {0: (0, 0), 1: (0, 1), 2: (0, 2), 3: (1, 0), 4: (1, 1), 5: (1, 2), 6: (0, 3), 7: (1, 3)}
"""Bit of the code -> column and row in the cell: dots 1 to 3 down the left, 4 to 6 down the right, 7 and 8 below."""


def dots_of(lines: list[Line], *, role: str) -> tuple[list[int], list[int]]:
    """Return columns and rows of all dots in cells of a role; every cell is one column wide."""
    columns, rows = [], []
    for y, line in enumerate(lines):
        x = 0
        for text, own in line:
            for char in text:
                code = ord(char) - 0x2800
                if own == role and 0 <= code < 0x100:
                    for bit, (dx, dy) in PLACES.items():
                        if code >> bit & 1:
                            columns.append(2 * x + dx)
                            rows.append(4 * y + dy)
                x += 1
    return columns, rows
