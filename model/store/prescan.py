"""A look over the text of a file before the parser sees it: what would make it slow or deep, and where comments are.

The parser of the standard library recurses on brackets, is slow on long dotted keys and raises errors of its own on
long numbers, so a hostile file is refused here, in time proportional to its length. Pure; called by ``format``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

MAX_BYTES = 2_000_000
"""Largest file that is read or written: about eight thousand diary entries with a reading each."""
MAX_PIECES = 300_000
"""Largest number of words, texts and signs in a file, line ends not counted."""
MAX_DEPTH = 16
"""Largest number of brackets open at once, and of tables and lists inside one another."""
MAX_PARTS = 9
"""Largest number of parts in a dotted key, and of tables inside one another."""
MAX_WORD = 256
"""Largest length of a number or of a key without quotes, in characters."""

_PIECE = re.compile(
    r"""
    (?P<comment>\#[^\n]*+)
  | (?P<text>
        \"\"\"(?:[^"\\]++|\\.|"(?!""))*+"{3,5}
      | '''(?:[^']++|'(?!''))*+'{3,5}
      | "(?:[^"\\\n]++|\\[^\n])*+"
      | '[^'\n]*+'
    )
  | (?P<broken>["'])
  | (?P<word>[0-9A-Za-z_+-]++)
  | (?P<open>[\[{])
  | (?P<close>[\]}])
  | (?P<dot>\.)
  | (?P<sign>[=,])
  | (?P<end>\n++)
    """,
    re.VERBOSE | re.DOTALL,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TextScan:
    """What a look over the text found."""

    has_comments: bool
    """Whether there is a comment: the writer would drop it."""
    refusal: str = ""
    """Why the parser must not see the text; empty when it may."""
    line: int | None = None
    """Line of the refusal, from 1."""


def tokens(text: str) -> Iterator[re.Match[str]]:
    """Yield comments, texts, words and signs of TOML text; `lastgroup` says which."""
    return _PIECE.finditer(text)


def scan(text: str) -> TextScan:
    """Look over TOML text, with line ends as LF.

    The scan stops at a text whose quotes do not close: the parser stops there too and says it better.
    """
    comments = False
    depth = dots = pieces = 0
    for piece in tokens(text):
        kind = piece.lastgroup
        refusal = ""
        pieces += kind != "end"
        if pieces > MAX_PIECES:
            refusal = f"it has more than {MAX_PIECES} words and signs"
        elif kind == "comment":
            comments = True
        elif kind == "broken":
            break
        elif kind == "word" and piece.end() - piece.start() > MAX_WORD:
            refusal = f"a number or key is longer than {MAX_WORD} characters"
        elif kind == "dot":
            dots += 1
            if dots >= MAX_PARTS:
                refusal = f"a dotted key has more than {MAX_PARTS} parts"
        elif kind == "open":
            dots = 0
            depth += 1
            if depth > MAX_DEPTH:
                refusal = f"brackets stand more than {MAX_DEPTH} deep"
        elif kind == "close":
            dots = 0
            depth = max(0, depth - 1)
        elif kind in ("sign", "end"):
            dots = 0
        if refusal:
            return TextScan(has_comments=comments, refusal=refusal, line=text.count("\n", 0, piece.start()) + 1)
    return TextScan(has_comments=comments)
