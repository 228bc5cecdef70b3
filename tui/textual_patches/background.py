"""What the terminal writes on: the question, and what it answers among the keys."""

from __future__ import annotations

import re

from textual.message import Message

ASK_BACKGROUND = "\x1b]11;?\x1b\\"
"""Asks for it. Source: xterm, ctlseqs, "Operating System Commands"; a terminal that does not know it stays silent."""
BEGIN = "]11;"
"""How an answer begins behind its Escape; no hand types that at once."""
LONGEST = 40
"""Characters of the longest answer, and some."""
_ANSWER = re.compile(r"\]11;rgba?:([0-9a-fA-F]{1,4})/([0-9a-fA-F]{1,4})/([0-9a-fA-F]{1,4})")
_ENDS = ("\x07", "\x1b\\")


class BackgroundTold(Message):
    """The terminal said which colour it writes on."""

    def __init__(self, rgb: tuple[int, int, int]) -> None:
        super().__init__()
        self.rgb = rgb


def told(text: str) -> BackgroundTold | bool | None:
    """Return what a text behind an Escape tells; True while more has to come, None where it is no answer.

    Examples
    --------
    >>> told("]11;rgb:fdfd/f6f6/e3e3\\x07").rgb, told("]11;rg"), told("]a")
    ((253, 246, 227), True, None)
    """
    if not text.endswith(_ENDS):
        return True if len(text) <= LONGEST and text[:4] == BEGIN[: len(text)] else None
    answer = _ANSWER.match(text)
    if answer is None:
        return None
    red, green, blue = (round(int(part, 16) / (16 ** len(part) - 1) * 255) for part in answer.groups())
    return BackgroundTold((red, green, blue))
