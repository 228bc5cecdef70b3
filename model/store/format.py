r'''The format of a project file: its bytes to a `Project` and back. Pure; opens no file.

The format
==========

A project is one TOML 1.0 file in UTF-8. A byte order mark and CR LF line ends are read and not written. Every value
is the text that the builder typed, right or wrong, in the grammar of the form, so that inches stay inches and a
half-known value keeps its spread. Tables are keyed, not listed, so that adding on two machines seldom clashes.

::

    format = 1                          # number of the format; this version writes 1
    name = "Cocoa tin"                  # what the builder calls it
    about = "A line on what it is"      # may be left out

    [mark.1]                            # 1, 2, 3 ...
    reason = "First build"              # why this mark was begun; may be left out
    [mark.1.build]                      # field = "text as typed"; a missing key is an empty field
    piston_bore = "3/8 in +-0.1 mm measured"
    [mark.2.promise]                    # what was promised of the change with which it began; may be left out
    change = "longer throw, 4 mm to 5 mm"
    since = "1"                         # number of the mark that it was promised against
    power = "4.1 (2 to 6.3) mW"         # gain of best shaft power: middle and 90 % ends; speed (running free) in rpm
    runs = "80 in 100"                  # chance to run

    [entry.k7f3m2]                      # a random key; entries stand in the order in which they were added
    day = 2026-11-25                    # a date, or a text when it is not one
    mark = 1                            # number of the mark at hand
    text = """
    Turned free at last.
    """
    ticks = ["turns free"]              # observations
    changed = "New gland"
    next_idea = "Lighter displacer"
    [entry.k7f3m2.reading.a]            # a key that is unique in its entry
    kind = "speed"                      # kind of reading, then field = "text as typed"
    turns = "100"
    time = "31.2 s +-0.3"

Rules
-----

- A field that is empty is not written; ``name`` always is. Nothing is ordered by a clock.
- A number or a date without quotes, where text is expected, is taken as the text that was written.
- A key that this version does not know, and a known key whose value is of the wrong kind (``text = true``), are kept
  where they stand, reported as a `Problem`, and written back. When such a key has been given a proper value since,
  the old value is kept beside it under a name that ends in ``_was``.
- A ``format`` that is missing or newer opens for reading only. An older one is brought to the present format when it is
  read (`migrate`) and written in it; the original is kept beside the file before the first rewrite.
- Keys that are known come first, in the order above, then the others. Comments are not written: `Decoded.has_comments`
  says that there are some, and the original is kept beside the file before the first rewrite.
- Text of several lines is written with real line ends. Where a text of the project holds CR LF, which such a text
  cannot carry, all texts of the file are written on one line with escapes instead. Control characters are escapes.
- Limits, checked before parsing: `prescan.MAX_BYTES`, `MAX_PIECES`, `MAX_DEPTH`, `MAX_PARTS`, `MAX_WORD`.
'''

from __future__ import annotations

import hashlib
import re
import tomllib
from dataclasses import dataclass
from typing import Any

import tomli_w

from model.errors import Problem, ProjectFormatError, StoreError
from model.record import Project
from model.store.document import FORMAT, Document, WrittenNumber, from_document, to_document
from model.store.faults import display_path, printable
from model.store.migrate import migrated
from model.store.prescan import MAX_BYTES, MAX_DEPTH, MAX_PARTS, scan

_AT = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
_EXPECTED = 'A project file begins with format = 1 and name = "...".'
_MEND = "Mend the line in a text editor; nothing in the file was changed."


@dataclass(frozen=True, slots=True, kw_only=True)
class Decoded:
    """What stood in a project file."""

    project: Project
    """The project, as far as this version can read it."""
    problems: tuple[Problem, ...]
    """What had to be put aside; all of it is kept in `project`."""
    has_comments: bool
    """Whether the file holds comments, which a rewrite would drop."""
    revision: str
    """Token of the exact bytes."""
    older: bool = False
    """Whether the file is written in an older format; the original is kept before the first rewrite."""
    read_only: bool = False
    """Whether the file must not be written by this version."""
    notice: str = ""
    """Why it must not; empty when it may."""


def revision_of(data: bytes) -> str:
    """Return the token that stands for exactly these bytes."""
    return hashlib.sha256(data).hexdigest()


def decode(data: bytes, *, path: str, limit: int = MAX_BYTES) -> Decoded:
    """Read the bytes of a project file.

    Parameters
    ----------
    data : bytes
        The whole file.
    path : str
        Its path, for messages only.
    limit : int
        Largest number of bytes that is taken.

    Raises
    ------
    ProjectFormatError
        The bytes are not a project of ours, or not readable as TOML; names file and, when it is known, line.
    """
    text = _as_text(data, path, limit)
    scanned = scan(text)
    if scanned.refusal:
        raise _refused(path, f"The file is not opened: {scanned.refusal}.", line=scanned.line)
    document = _parsed(text, path)
    if _is_deep(document):
        raise _refused(path, f"The file is not opened: its tables stand more than {MAX_PARTS} deep.")
    if not _is_ours(document):
        raise _refused(path, "This is no project of this notebook: no name, no mark, no entry.", hint=_EXPECTED)
    document, older = migrated(document)
    notice = _notice(document, path)
    project, problems = from_document(document)
    return Decoded(
        project=project,
        problems=problems,
        has_comments=scanned.has_comments,
        older=older,
        revision=revision_of(data),
        read_only=bool(notice),
        notice=notice,
    )


def encode(project: Project, *, limit: int = MAX_BYTES) -> bytes:
    """Return the bytes of a project's file, at most `limit` of them.

    Raises
    ------
    StoreError
        What would be written does not read back as the same project.
    """
    document = to_document(project)
    try:
        for multiline in (True, False):
            data = tomli_w.dumps(document, multiline_strings=multiline, indent=2).encode("utf-8")
            again = to_document(decode(data, path="text to be written", limit=limit).project)
            if again == document and _orders(again) == _orders(document):
                return data
    except UnicodeEncodeError as error:
        where = printable(error.object[max(0, error.start - 40) : error.start + 1])
        raise StoreError(
            f"The project {printable(project.name)!r} is not saved: a text holds half a character, after {where!r}.",
            hint="Delete that character and type it again.",
        ) from error
    except ProjectFormatError as error:
        raise StoreError(
            f"The project {printable(project.name)!r} is not saved: {error.message}",
            hint="Make the text shorter, or begin a new project.",
        ) from error
    except (ValueError, TypeError, AttributeError, RecursionError) as error:
        raise StoreError(
            f"The project {printable(project.name)!r} is not saved: it holds what the file cannot carry"
            f" ({printable(str(error))})."
        ) from error
    raise StoreError(f"The project {printable(project.name)!r} is not saved: what was written reads back otherwise.")


def _orders(document: Document) -> list[Any]:
    """Return the order of entries and of their readings, which equality of tables does not see."""
    entries = document.get("entry")
    if not isinstance(entries, dict):
        return []
    tables = [(key, table) for key, table in entries.items() if isinstance(table, dict)]
    readings = [t.get("reading") for _, t in tables]
    return [
        [key for key, _ in tables],
        [[k for k, v in r.items() if isinstance(v, dict)] if isinstance(r, dict) else [] for r in readings],
    ]


def _refused(path: str, message: str, *, line: int | None = None, hint: str = _MEND) -> ProjectFormatError:
    return ProjectFormatError(message, path=display_path(path), line=line, hint=hint)


def _as_text(data: bytes, path: str, limit: int) -> str:
    """Return the text of a file with LF line ends, or say why it is none."""
    if len(data) > limit:
        raise _refused(path, f"The file has {len(data)} bytes; a project file has at most {limit}.", hint=_EXPECTED)
    if not data.strip():
        raise _refused(path, "The file is empty.", hint=f"{_EXPECTED} Look for an older copy of it.")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _refused(path, "The file is written in UTF-16.", hint="Save it as UTF-8 in your text editor.")
    if (zero := data.find(b"\0")) >= 0:
        raise _refused(path, "The file holds a zero byte.", line=data.count(b"\n", 0, zero) + 1)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _refused(path, f"Byte {data[error.start]:#04x} is no UTF-8 text.", line=line) from error
    text = text.replace("\r\n", "\n")
    if (lone := text.find("\r")) >= 0:
        raise _refused(
            path,
            "A carriage return stands without a line feed.",
            line=text.count("\n", 0, lone) + 1,
            hint="Save the file with line ends LF or CR LF.",
        )
    return text


def _parsed(text: str, path: str) -> Document:
    try:
        return tomllib.loads(text, parse_float=WrittenNumber)
    except tomllib.TOMLDecodeError as error:
        words = str(error)
        at = _AT.search(words)
        reason = printable(words[: at.start()] if at else words)
        line = None if at is None else int(at[1]) if at[1] else text.count("\n") + 1
        raise _refused(path, f"The file cannot be read as TOML: {reason}.", line=line) from error
    except (ValueError, RecursionError, ArithmeticError) as error:
        raise _refused(path, f"The file cannot be read as TOML: {printable(str(error))}.") from error


def _is_deep(value: Any, tables: int = 0, lists: int = 0) -> bool:
    """Whether tables and lists stand deeper than a header can be written: what opens must be writable."""
    if tables > MAX_PARTS or tables + lists > MAX_DEPTH:
        return True
    if isinstance(value, dict):
        return any(_is_deep(item, tables + 1, lists) for item in value.values() if isinstance(item, dict | list))
    return any(_is_deep(item, tables, lists + 1) for item in value if isinstance(item, dict | list))


def _is_ours(document: Document) -> bool:
    """Whether a document looks like a project; one of our own stays one whatever became of its name."""
    looks = any(isinstance(document.get(k), t) for k, t in (("name", str), ("mark", dict), ("entry", dict)))
    return looks or ("format" in document and "name" in document)


def _notice(document: Document, path: str) -> str:
    """Say why the file may only be read; empty when it may be written."""
    number = document.get("format")
    if isinstance(number, bool) or not isinstance(number, int):
        return (
            f"{display_path(path)} is open for reading only: it does not say its format as a number. Add the line"
            f" format = {FORMAT} at its top to write it."
        )
    if number > FORMAT:
        return (
            f"{display_path(path)} is open for reading only: it is written in format {number}, and this version writes"
            f" format {FORMAT}. Install a newer version to write it."
        )
    if number < FORMAT:
        return (
            f"{display_path(path)} is open for reading only: there is no format {number}. This version writes {FORMAT}."
        )
    return ""
