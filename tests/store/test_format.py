"""The codec: what is written reads back equal, the unknown is kept and reported, hostile bytes are refused."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from typing import Any

import pytest
import tomli_w
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from model.errors import ProjectFormatError, StoreError
from model.record import Entry, Mark, Project, Reading
from model.store import decode, encode
from model.store.document import WrittenNumber, to_document
from model.store.format import MAX_BYTES
from tests.examples import many
from tests.store.drawing import TEXT, projects

SLOW = settings(deadline=None, max_examples=many(15), suppress_health_check=list(HealthCheck))

PAGE = b'''format = 1
name = "Cocoa tin"
about = "invented"

[mark.1]
reason = "First build"

[mark.1.build]
piston_bore = "3/8 in +-0.1 mm measured"

[entry.k7f3m2]
day = 2026-11-25
mark = 1
text = """
Turned free at last.
"""
ticks = [
  "turns free",
]
changed = "New gland"
next_idea = "Lighter displacer"

[entry.k7f3m2.reading.a]
kind = "speed"
turns = "100"
time = "31.2 s +-0.3"
'''

PROJECT = Project(
    name="Cocoa tin",
    about="invented",
    marks={1: Mark(number=1, reason="First build", build={"piston_bore": "3/8 in +-0.1 mm measured"})},
    entries={
        "k7f3m2": Entry(
            key="k7f3m2",
            day="2026-11-25",
            mark=1,
            text="Turned free at last.\n",
            ticks=("turns free",),
            changed="New gland",
            next_idea="Lighter displacer",
            readings={"a": Reading(key="a", kind="speed", texts={"turns": "100", "time": "31.2 s +-0.3"})},
        )
    },
)


def test_the_page_of_the_specification_is_read_and_written_to_the_byte() -> None:
    found = decode(PAGE, path="cocoa.toml")
    assert found.project == PROJECT
    assert (found.problems, found.has_comments, found.read_only, found.notice) == ((), False, False, "")
    assert encode(PROJECT) == PAGE


@SLOW
@given(projects())
def test_what_is_written_reads_back_equal_and_is_written_alike_again(project: Project) -> None:
    data = encode(project)
    found = decode(data, path="p.toml")
    assert found.project == project
    assert list(found.project.entries) == list(project.entries)
    assert [list(e.readings) for e in found.project.entries.values()] == [
        list(e.readings) for e in project.entries.values()
    ]
    assert encode(found.project) == data
    assert not found.has_comments and not found.read_only


@SLOW
@given(TEXT)
def test_any_text_survives_in_each_place_that_takes_text(text: str) -> None:
    project = Project(
        name=text,
        about=text,
        marks={1: Mark(number=1, reason=text, build={"a": text})},
        entries={
            "k": Entry(
                key="k", day=text, text=text, changed=text, next_idea=text, ticks=(text,),
                readings={"r": Reading(key="r", kind=text, texts={"note": text})},
            )
        },
    )  # fmt: skip
    assert decode(encode(project), path="p").project == project


def test_control_characters_stand_in_the_file_as_escapes_only() -> None:
    raw = "".join(map(chr, range(32))) + "\x7f"
    data = encode(Project(name="x", entries={"k": Entry(key="k", text=raw, changed=raw)}))
    assert not [byte for byte in data if (byte < 32 and byte not in b"\t\n") or byte == 127]
    assert decode(data, path="p").project.entries["k"].text == raw


def test_text_of_several_lines_stands_on_several_lines() -> None:
    data = encode(Project(name="x", entries={"k": Entry(key="k", text="one\ntwo\n")}))
    assert b'text = """\none\ntwo\n"""\n' in data


def test_carriage_return_and_line_feed_survive_beside_plain_line_ends() -> None:
    """The writer's form of several lines turns CR LF into LF; such a file is written with escapes."""
    project = Project(name="x", entries={"k": Entry(key="k", text="a\r\nb\n", changed="c\nd")})
    assert decode(encode(project), path="p").project == project


def test_an_entry_whose_day_is_no_date_keeps_its_words() -> None:
    for day in ("", "in May", "2026-13-45", "20261125", "2026-W48-3", "2026-11-25 "):
        project = Project(name="x", entries={"k": Entry(key="k", day=day)})
        assert decode(encode(project), path="p").project.entries["k"].day == day


def test_unknown_keys_survive_at_every_level_in_order_and_are_reported() -> None:
    page = b"""format = 1
name = "x"
zebra = 1
apple = { deep = [1, { more = "y" }] }
[mark.1]
colour = "red"
[mark.1.build]
piston_bore = "10 mm"
[entry.k]
weather = "cold"
moon = 0.50
[entry.k.reading.a]
kind = "speed"
[later]
rows = [{ a = 1 }, { a = 2 }]
"""
    found = decode(page, path="p")
    again = decode(encode(found.project), path="p")
    assert again.project == found.project
    assert list(found.project.unknown) == ["zebra", "apple", "later"]
    assert list(again.project.entries["k"].unknown) == ["weather", "moon"]
    assert again.project.marks[1].unknown == {"colour": "red"}
    assert again.project.unknown["apple"] == {"deep": [1, {"more": "y"}]}
    assert b"moon = 0.50\n" in encode(found.project)
    assert [p.where for p in found.problems] == [
        "zebra", "apple", "later", "mark.1.colour", "entry.k.weather", "entry.k.moon"
    ]  # fmt: skip


def test_a_misspelt_key_is_kept_and_the_near_one_is_named() -> None:
    found = decode(b'format = 1\nname = "x"\n[entry.k]\nchangd = "gland"\n', path="p")
    assert found.project.entries["k"].unknown == {"changd": "gland"}
    assert "changed" in found.problems[0].remedy


WRONG: list[tuple[str, str, Any]] = [
    ("name = [1]\n[mark.1]", "name", [1]),
    ("name = 'x'\nabout = true", "about", True),
    ("name = 'x'\nmark = 3", "mark", 3),
    ("name = 'x'\nmark.two.reason = 'r'", "mark.two", {"reason": "r"}),
    ("name = 'x'\nmark.01.reason = 'r'", "mark.01", {"reason": "r"}),
    ("name = 'x'\nmark.1 = 'r'", "mark.1", "r"),
    ("name = 'x'\nmark.1.build = 'r'", "mark.1.build", "r"),
    ("name = 'x'\nmark.1.build.bore = [1, 2]", "mark.1.build.bore", [1, 2]),
    ("name = 'x'\nentry = 'r'", "entry", "r"),
    ("name = 'x'\nentry.k = 'r'", "entry.k", "r"),
    ("name = 'x'\nentry.k.day = 3", "entry.k.day", 3),
    ("name = 'x'\nentry.k.day = 2026-11-25T10:00:00", "entry.k.day", datetime(2026, 11, 25, 10)),
    ("name = 'x'\nentry.k.mark = '2'", "entry.k.mark", "2"),
    ("name = 'x'\nentry.k.mark = true", "entry.k.mark", True),
    ("name = 'x'\nentry.k.mark = 1.5", "entry.k.mark", 1.5),
    ("name = 'x'\nentry.k.text = { a = 1 }", "entry.k.text", {"a": 1}),
    ("name = 'x'\nentry.k.ticks = 'one'", "entry.k.ticks", "one"),
    ("name = 'x'\nentry.k.ticks = ['one', 2]", "entry.k.ticks", ["one", 2]),
    ("name = 'x'\nentry.k.reading = 4", "entry.k.reading", 4),
    ("name = 'x'\nentry.k.reading.a = 4", "entry.k.reading.a", 4),
    ("name = 'x'\nentry.k.reading.a.kind = true", "entry.k.reading.a.kind", True),
    ("name = 'x'\nentry.k.reading.a = { kind = 'speed', turns = false }", "entry.k.reading.a.turns", False),
]


@pytest.mark.parametrize(("lines", "where", "value"), WRONG)
def test_a_known_key_of_the_wrong_kind_is_kept_and_reported(lines: str, where: str, value: Any) -> None:
    found = decode(f"format = 1\n{lines}\n".encode(), path="p")
    assert where in [p.where for p in found.problems]
    assert _at(to_document(found.project), where) == value
    again = decode(encode(found.project), path="p")
    assert again.project == found.project
    assert [p.where for p in again.problems if p.where == where] == [where]


def _at(table: Any, where: str) -> Any:
    for key in where.split("."):
        table = table[key]
    return table


def test_a_value_put_aside_stays_beside_the_proper_one_that_replaces_it() -> None:
    found = decode(b'format = 1\nname = "x"\n[entry.k]\ntext = [1, 2]\n', path="p").project
    mended = found.with_entry(replace(found.entries["k"], text="proper"))
    again = decode(encode(mended), path="p").project
    assert again.entries["k"].text == "proper"
    assert again.entries["k"].unknown == {"text_was": [1, 2]}


def test_numbers_and_dates_without_quotes_are_taken_as_written() -> None:
    page = b"""format = 1
name = 7
[mark.1.build]
a = 12
b = 12.50
c = 1e-2
d = 2026-11-25
e = -0.0
f = 1e400
g = 1_000
h = nan
"""
    found = decode(page, path="p")
    assert found.problems == ()
    assert found.project.name == "7"
    assert found.project.marks[1].build == {
        "a": "12", "b": "12.50", "c": "1e-2", "d": "2026-11-25", "e": "-0.0", "f": "1e400", "g": "1000", "h": "nan"
    }  # fmt: skip
    assert decode(encode(found.project), path="p").project == found.project


def test_numbers_that_nobody_knows_are_written_back_as_they_were_written() -> None:
    page = b'format = 1\nname = "x"\na = 12.50\nb = 1e400\nc = nan\nd = -inf\n'
    assert encode(decode(page, path="p").project) == page


def test_marks_stand_in_the_order_of_their_numbers() -> None:
    page = b'format = 1\nname = "x"\n[mark.10]\n[mark.9]\n[mark.1]\n'
    assert list(decode(page, path="p").project.marks) == [1, 9, 10]


def test_bom_and_cr_lf_are_accepted() -> None:
    found = decode(b"\xef\xbb\xbf" + PAGE.replace(b"\n", b"\r\n"), path="p")
    assert found.project == PROJECT


@pytest.mark.parametrize(
    ("page", "expected"),
    [
        (b'format = 1\nname = "x" # mine\n', True),
        (b'# mine\nformat = 1\nname = "x"\n', True),
        (b'format = 1\nname = "x # no comment"\n', False),
        (b"format = 1\nname = 'x # no comment'\n", False),
        (b'format = 1\nname = "\\" # no comment"\n', False),
        (b'format = 1\nname = """\n# no comment\n"# nor this"""\n', False),
        (b'format = 1\nname = """x"""# a comment\n', True),
        (b'format = 1\nname = """x""""# a comment\n', True),
        (b'format = 1\nname = """x"""""# a comment\n', True),
        (b"format = 1\nname = '''\n' # no comment\n'''\n", False),
        (b"format = 1\nname = '''x'''' # a comment\n", True),
        (b'format = 1\nname = "x"\nlist = [ # in a list\n1]\n', True),
        (b'format = 1\nname = "x"\n"# key" = 1\n', False),
    ],
)
def test_comments_are_told_from_signs_inside_texts(page: bytes, expected: bool) -> None:
    assert decode(page, path="p").has_comments is expected


@pytest.mark.parametrize(
    ("page", "words"),
    [
        (b'name = "x"\n', "does not say its format"),
        (b'format = "1"\nname = "x"\n', "does not say its format"),
        (b'format = true\nname = "x"\n', "does not say its format"),
        (b'format = 2\nname = "x"\nnew = 1\n', "format 2"),
        (b'format = 0\nname = "x"\n', "no format 0"),
    ],
)
def test_a_missing_or_newer_format_opens_for_reading_only(page: bytes, words: str) -> None:
    found = decode(page, path="cup.toml")
    assert found.read_only
    assert words in found.notice and "cup.toml" in found.notice
    assert found.project.name == "x"


HOSTILE: list[tuple[str, bytes, str, int | None]] = [
    ("nothing", b"", "empty", None),
    ("blanks", b" \r\n\n", "empty", None),
    ("zeros", b"\0" * 400, "zero byte", 1),
    ("a zero byte", b'format = 1\nname = "a\0b"\n', "zero byte", 2),
    ("no UTF-8", b'format = 1\nname = "\xff"\n', "0xff", 2),
    ("half a character", b'format = 1\nname = "\xed\xa0\x80"\n', "0xed", 2),
    ("UTF-16", 'format = 1\nname = "x"\n'.encode("utf-16"), "UTF-16", None),
    ("a lone CR", b'format = 1\nname = "x"\rabout = "y"\n', "carriage return", 2),
    ("a raw escape", b'format = 1\nname = "\x1b[2J"\n', "Illegal character", 2),
    ("no TOML", b"format = 1\nname = Cocoa tin\n", "TOML", 2),
    ("a twin key", b'format = 1\nname = "x"\nname = "y"\n', "TOML", 3),
    ("open quotes", b'format = 1\nname = """x\n', "TOML", 3),
    ("a torn end", PAGE[:-20], "TOML", PAGE.count(b"\n")),
    ("an impossible date", b'format = 1\nname = "x"\n[entry.k]\nday = 2026-02-31\n', "date", 4),
    ("a year that is none", b'format = 1\nname = "x"\n[entry.k]\nday = 0000-01-01\n', "date", 4),
    ("a stranger", b'[package]\nversion = "1"\n', "no project", None),
    ("a table of data", b"format = 1\n[[gas]]\nid = 'air'\n", "no project", None),
    ("too many bytes", b"#" * (MAX_BYTES + 1), "bytes", None),
    ("deep lists", b'format = 1\nname = "x"\nbad = ' + b"[" * 100_000, "deep", 3),
    ("deep tables", b'format = 1\nname = "x"\nbad = ' + b"{a=" * 100_000, "deep", 3),
    ("a long dotted key", b'format = 1\nname = "x"\n' + b"a." * 100_000 + b"a = 1\n", "dotted", 3),
    ("a dotted key with blanks", b'format = 1\nname = "x"\n' + b"a . " * 1000 + b"a = 1\n", "dotted", 3),
    ("a dotted header", b'format = 1\nname = "x"\n[' + b'"a".' * 1000 + b"a]\n", "dotted", 3),
    ("a long integer", b'format = 1\nname = "x"\nbad = ' + b"9" * 5000 + b"\n", "longer", 3),
    ("a long hex integer", b'format = 1\nname = "x"\nbad = 0x' + b"f" * 9000 + b"\n", "longer", 3),
    ("a long integer with lines", b'format = 1\nname = "x"\nbad = ' + b"9_" * 5000 + b"9\n", "longer", 3),
    ("many keys", b'format = 1\nname = "x"\n' + b"".join(b"a%d=1\n" % i for i in range(150_000)), "words", None),
    ("many items", b'format = 1\nname = "x"\nbad = [' + b"1," * 600_000 + b"]", "words", None),
]


@pytest.mark.parametrize(("data", "words", "line"), [h[1:] for h in HOSTILE], ids=[h[0] for h in HOSTILE])
def test_a_hostile_file_is_refused_with_a_sentence(data: bytes, words: str, line: int | None) -> None:
    with pytest.raises(ProjectFormatError) as caught:
        decode(data, path="bad\x1b]0;name.toml")
    assert words in str(caught.value)
    if line is not None:
        assert caught.value.line == line
    assert str(caught.value).isprintable()
    assert caught.value.hint


@pytest.mark.parametrize("error", [ValueError("odd"), RecursionError("deep"), OverflowError("large")])
def test_whatever_else_stops_the_parser_is_told_as_a_sentence(
    monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def stop(*_: object, **__: object) -> None:
        raise error

    monkeypatch.setattr("tomllib.loads", stop)
    with pytest.raises(ProjectFormatError, match=str(error)):
        decode(PAGE, path="p")


@pytest.mark.parametrize("lists", [0, 1, 4, 7, 8, 12])
@pytest.mark.parametrize("parts", [1, 4, 8, 9])
@pytest.mark.parametrize("header", [1, 3, 8, 9])
def test_what_opens_can_be_written(header: int, parts: int, lists: int) -> None:
    """Tables in brackets and in dotted keys come out as longer headers, which must not pass the limit on reading."""
    keys = ["a", "b", "c", "d", "e", "f", "g", "h", "i"]
    for value in ("[" * lists + "1" + "]" * lists, "[{ z = " * lists + "1" + "}]" * lists):
        page = f'format = 1\nname = "x"\n[[{".".join(keys[:header])}]]\n{".".join(keys[:parts])} = {value}\n'
        try:
            found = decode(page.encode(), path="p")
        except ProjectFormatError as error:
            assert "deep" in str(error) or "parts" in str(error)
            assert header + parts + 2 * lists > 9
        else:
            assert decode(encode(found.project), path="p").project == found.project


def test_a_long_text_is_no_long_number() -> None:
    """Limits on numbers and keys do not reach into texts."""
    text = "9" * 5000 + "[" * 500 + "a." * 500
    project = Project(name=text, entries={"k": Entry(key="k", text=f"{text}\n{text}")})
    assert decode(encode(project), path="p").project == project


@settings(deadline=None, max_examples=300)
@given(st.integers(0, 2**32), st.integers(1, 12))
def test_a_damaged_file_is_read_or_refused_but_never_breaks_the_reader(seed: int, hits: int) -> None:
    chance = random.Random(seed)
    data = bytearray(PAGE)
    for _ in range(hits):
        at = chance.randrange(len(data))
        match chance.randrange(3):
            case 0:
                data[at] = chance.randrange(256)
            case 1:
                del data[at : at + chance.randrange(40)]
            case _:
                data[at:at] = chance.choice([b'"""', b"[", b"{", b"\n", b"#", b"=", b".", b"\\", b"9" * 300, b"'"])
        if not data:
            break
    try:
        found = decode(bytes(data), path="p")
    except ProjectFormatError:
        return
    assert decode(encode(found.project), path="p").project == found.project


@pytest.mark.parametrize(
    "spoilt",
    [
        lambda document: {**document, "entry": dict(reversed(document["entry"].items()))},
        lambda document: {**document, "name": "Cup"},
        lambda document: {key: value for key, value in document.items() if key != "about"},
    ],
    ids=["another order", "another name", "a field less"],
)
def test_a_writer_that_goes_wrong_is_found_before_anything_is_written(
    monkeypatch: pytest.MonkeyPatch, spoilt: Callable[[dict[str, Any]], dict[str, Any]]
) -> None:
    real = tomli_w.dumps
    monkeypatch.setattr(tomli_w, "dumps", lambda document, **how: real(spoilt(document), **how))
    with pytest.raises(StoreError, match="reads back otherwise"):
        encode(PROJECT.with_entry(Entry(key="b")))


def test_half_a_character_is_refused_with_the_words_before_it() -> None:
    project = Project(name="x", entries={"k": Entry(key="k", text="the gland\udcff")})
    with pytest.raises(StoreError, match="half a character") as caught:
        encode(project)
    assert "the gland" in str(caught.value)


UNWRITABLE: dict[str, Any] = {
    "none": None,
    "an object": object(),
    "a long integer": 10**5000,
    "a key that is no text": {1: "x"},
    "bytes": b"bytes",
    "a long key": {"b" * 300: 1},
    "a deep list": [[[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]]],
    "too much": "x" * MAX_BYTES,
}


@pytest.mark.parametrize("value", UNWRITABLE.values(), ids=UNWRITABLE.keys())
def test_what_the_file_cannot_carry_is_refused_and_not_left_out(value: Any) -> None:
    with pytest.raises(StoreError, match="not saved"):
        encode(Project(name="x", unknown={"odd": value}))


def test_a_written_number_equals_itself_and_its_value() -> None:
    assert WrittenNumber("nan") == WrittenNumber("nan")
    assert WrittenNumber("nan") == float("nan")
    assert WrittenNumber("1.0") != WrittenNumber("1.00")
    assert WrittenNumber("1.50") == 1.5
    assert WrittenNumber("1.50") != 1.25
    assert {WrittenNumber("1.5"): 1}[1.5] == 1


def test_a_date_is_no_text_of_a_reading_but_its_words_are() -> None:
    page = b'format = 1\nname = "x"\n[entry.k.reading.a]\nkind = "speed"\nday = 2026-11-25\n'
    assert decode(page, path="p").project.entries["k"].readings["a"].texts == {"day": date(2026, 11, 25).isoformat()}
