"""Where each key of a project file stands: its line, so that an editor can jump to what is wrong.

Looked at only when something is to be told of a file; reading a project does not need it. Called by the commands.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping

from model.errors import StoreError
from model.store.atomic import inside, read_whole
from model.store.document import dotted
from model.store.faults import translate_os_errors
from model.store.files import Stored
from model.store.format import revision_of
from model.store.prescan import MAX_BYTES, tokens

_Key = tuple[str, ...]


def key_lines(stored: Stored) -> dict[str, int]:
    """Return the line of each key of a file by its dotted name, headers included, from 1.

    Empty when the file is no longer the one that was read.
    """
    try:
        with translate_os_errors(stored.path, "read"):
            data = read_whole(inside(stored.path), limit=MAX_BYTES)
    except StoreError:
        return {}
    if revision_of(data) != stored.revision:
        return {}
    return lines_in(data.decode("utf-8-sig").replace("\r\n", "\n"))


def line_of(where: str, lines: Mapping[str, int]) -> int | None:
    """Return the line of a key, else of the table that it belongs to; None where nothing of it stands in the file.

    >>> line_of("mark.1.build.rod", {"mark.1.build": 4})
    4
    """
    while where and where not in lines:
        where = where.rpartition(".")[0]
    return lines.get(where)


def lines_in(text: str) -> dict[str, int]:
    """Return the line of each header and key of TOML text that was read before, by its dotted name.

    Keys within a list are not looked at: no problem is told of them.

    >>> lines_in('name = "x"\\n[mark.1.build]\\n"phase" = "90"\\n')
    {'name': 1, 'mark.1.build': 2, 'mark.1.build.phase': 3}
    """
    line_of: dict[str, int] = {}
    tables: list[_Key | None] = [()]
    """The header's table, then inline ones and, as None, lists."""
    key: _Key = ()
    parts: list[str] = []
    line, at = 1, 0
    in_key, in_header = True, False
    for piece in tokens(text):
        kind, written, table = piece.lastgroup, piece.group(), tables[-1]
        line, at = line + text.count("\n", at, piece.start()), piece.start()
        if kind in ("word", "text") and in_key:
            parts.append(_plain(written))
        elif written == "[" and in_key and len(tables) == 1:
            in_header = True
        elif written == "]" and in_header:
            key = tuple(parts)
            tables, in_key, in_header = [key], False, False
            _note(line_of, key, line)
        elif written == "=" and table is not None:
            key = (*table, *parts)
            in_key = False
            _note(line_of, key, line)
        elif kind == "open":
            tables.append(key if written == "{" and table is not None else None)
            parts, in_key = [], tables[-1] is not None
        elif kind == "close" and len(tables) > 1:
            tables.pop()
            in_key = False
        elif written == "," or (kind == "end" and len(tables) == 1):
            parts, in_key, in_header = [], table is not None, False
    return line_of


def _note(line_of: dict[str, int], key: _Key, line: int) -> None:
    """Keep the first line of a key under each of the two ways in which problems write it."""
    line_of.setdefault(dotted(key), line)
    line_of.setdefault(".".join(key), line)


def _plain(written: str) -> str:
    """Return a part of a key without its quotes and escapes."""
    return next(iter(tomllib.loads(f"{written} = 0"))) if written[0] in "\"'" else written
