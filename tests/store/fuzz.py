"""Hostile files and texts, for as long as it is given: ``python -m tests.store.fuzz 100000``.

Each case is the bytes of a project file, mutated. Decoding must give a project or one of our errors in printable words,
within a second; a project that was read must be written and read back equal, or be refused. Every so often the commands
and the screens get the same file. Finds are kept as tests in ``test_hostile_files.py``.
"""

from __future__ import annotations

import contextlib
import io
import os
import random
import re
import sys
import tempfile
import time
import tomllib
from collections import Counter
from dataclasses import dataclass, field
from datetime import date, datetime
from datetime import time as dtime
from pathlib import Path
from typing import Any

import tomli_w

from model.checks.problems import problems_of
from model.errors import ProjectFormatError, StoreError
from model.record import Project
from model.store import decode, encode, merge, new_path
from tui.__main__ import main as command_line
from tui.exits import Exit

ROOT = Path(__file__).resolve().parents[2]
CONTROL = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
"""What may never be printed; a line feed may."""
LONGEST = 1.0
"""Longest time of a case, in seconds of this process's own work."""
TOKENS = tuple(
    text.encode("utf-8", "surrogatepass")
    for text in (
        "\x1b]52;c;aGVsbG8=\x07", "\x1b[2J", "\x9b31m", "\u202e", "\u2066", "\u2028", "\0", "\ufeff", "\r", "\r\n",
        "[red]x[/red]", "[@click=app.quit]", "[/nope]", "日本", "e\u0301", "🙂", "\u200d", "\ud800", '"""', "'''",
        '"', "'",
        "\\", "\\u001b", "\\U0010FFFF", "\\ud800", "#", "= =", "[", "]", "[[", "]]", "{", "}", ",", ".", "\n", "\t",
        "[" * 40, "{a=" * 30, "a." * 20, "9" * 5000, "0x" + "f" * 400, "1e400", "-nan", "+inf", "1_0", "0o8", "true",
        "2026-13-45", "0000-00-00", "9999-12-31T23:59:60Z", "2026-11-25T10:00:00+99:99", "format = 2\n",
        "format = 1\n", "name = 3\n", "[mark.1]\n", "[mark.99999999]\n", "[mark.-1]\n", "[entry.k.reading.a]\n",
        "[entry.'']\n", '"\\u0000" = 1\n', "mark = []\n", "ticks = [1]\n", "[format]\n", "name.x = 1\n", "x" * 3000,
        "../../etc/passwd", "=", "\x7f", "\x85",
    )
)  # fmt: skip
BYTES = (b"\xff", b"\xfe\xff", b"\xc0\x80", b"\xed\xa0\x80", b"\xf4\x90\x80\x80", b"\x80", b"\xe9", b"\xf0\x9f")


def sources() -> list[bytes]:
    """Return the files that are mutated: the demo, and small ones that hold everything."""
    demo = [path.read_bytes() for path in sorted((ROOT / "projects").glob("*.toml"))]
    small = b"""format = 1
name = "Tin"
about = "x"
odd = [1, { a = 2026-11-25 }]
[mark.1]
reason = "First"
[mark.1.build]
piston_bore = "3/8 in"
layout = "rocking"
[entry.k7f3m2]
day = 2026-11-25
mark = 1
text = \"\"\"
Turned.
\"\"\"
ticks = ["binds"]
changed = 'gland'
[entry.k7f3m2.reading.a]
kind = "speed"
turns = 100
time = 31.20
"""
    return [small, small, small, small, *demo]


def mutated(data: bytes, dice: random.Random) -> bytes:
    """Change a file in one to six places."""
    for _ in range(dice.randint(1, 6)):
        at = dice.randrange(len(data) + 1) if data else 0
        match dice.randrange(8):
            case 0:
                data = data[:at] + bytes([dice.randrange(256)]) + data[at + 1 :]
            case 1:
                data = data[:at] + dice.choice(BYTES) + data[at:]
            case 2 | 3:
                data = data[:at] + dice.choice(TOKENS) + data[at:]
            case 4:
                data = data[:at] + data[at + dice.randint(1, 60) :]
            case 5:
                end = at + dice.randint(1, 200)
                data = data[:end] + data[at:end] * dice.randint(1, 3) + data[end:]
            case 6:
                lines = data.split(b"\n")
                dice.shuffle(lines)
                data = b"\n".join(lines)
            case _:
                place = dice.choice([m.start() for m in re.finditer(rb'"', data)] or [0]) + 1
                data = data[:place] + dice.choice(TOKENS) + data[place:]
    return data


def _hostile(dice: random.Random) -> Any:
    """Return a value that a file can hold and a project does not expect."""
    text = "".join(dice.choice(TOKENS).decode("utf-8", "replace") for _ in range(dice.randint(0, 4)))
    return dice.choice(
        (text, text, text, text, text, True, -1, 10**40, float("nan"), float("inf"), 12.5, [], [text, 1], {},
         {text: text}, {"a": {"b": {"c": [{"d": text}]}}}, date(1, 1, 1),
         datetime(9999, 12, 31, 23, 59), dtime(0, 0), "\n" * 2000)
    )  # fmt: skip


def rewritten(data: bytes, dice: random.Random) -> bytes:
    """Put hostile values and keys into the tables of a file, so that it can be read as TOML."""
    document = tomllib.loads(data.decode("utf-8"))
    for _ in range(dice.randint(1, 5)):
        table = document
        while dice.random() < 0.8 and (inner := [v for v in table.values() if isinstance(v, dict)]):
            table = dice.choice(inner)
        key = dice.choice([*table, "odd"])
        if dice.random() < 0.2:
            text = dice.choice(TOKENS).decode("utf-8", "replace")
            table[text] = table.pop(key, text)
        else:
            table[key] = _hostile(dice)
    written = tomli_w.dumps(document, multiline_strings=dice.random() < 0.5).encode("utf-8")
    return mutated(written, dice) if dice.random() < 0.1 else written


@dataclass
class Findings:
    """What was tried and what was found."""

    counts: Counter[str] = field(default_factory=Counter)
    wrong: list[tuple[str, bytes]] = field(default_factory=list)
    slowest: float = 0.0

    def decode(self, data: bytes) -> Project | None:
        """Decode one case and look at what comes out."""
        self.counts["cases"] += 1
        begun = time.process_time()
        try:
            found = decode(data, path="\x1b[31m\u202e.toml")
        except ProjectFormatError as error:
            self.counts["refused"] += 1
            if not str(error).isprintable() or not error.hint:
                self.wrong.append((f"a message that steers or helps nobody: {error!r}", data))
            self._time(begun, data)
            return None
        except Exception as error:
            self.wrong.append((f"decode raised {error!r}", data))
            return None
        self.counts["read"] += 1
        told = [*map(str, found.problems), found.notice, *map(str, problems_of(found.project))]
        if any(CONTROL.search(p.where) for p in found.problems) or CONTROL.search(found.notice):
            self.wrong.append((f"a problem that steers: {told!r}", data))
        try:
            again = encode(found.project)
            if decode(again, path="p").project != found.project:
                self.wrong.append(("it reads back otherwise", data))
            if encode(merge(found.project, found.project, found.project).project) != again:
                self.wrong.append(("a merge with itself changes it", data))
        except StoreError as error:
            self.counts["read but refused to write"] += 1
            if not str(error).isprintable():
                self.wrong.append((f"a message that steers: {error!r}", data))
        except Exception as error:
            self.wrong.append((f"encode raised {error!r}", data))
        self._time(begun, data)
        return found.project

    def _time(self, begun: float, data: bytes) -> None:
        took = time.process_time() - begun
        self.slowest = max(self.slowest, took)
        if took > LONGEST:
            self.wrong.append((f"it took {took:.1f} s", data))

    def commands(self, data: bytes, folder: Path, dice: random.Random, *, model: bool) -> None:
        """Give a file to the commands; `model`: to those that predict too."""
        names = ["a.toml", "\x1b[2J.toml", "x\u202e[red].toml", "n" * 240 + ".toml", "-h.toml", "größe \udcff.toml"]
        path = folder / "book" / dice.choice(names)
        path.parent.mkdir()
        path.write_bytes(data)
        outside = sorted(p.name for p in folder.iterdir())
        lines = [["check", str(path.parent)], ["check", "--json", str(path)], ["note", str(path), "\x1b[2Jn\u202e"]]
        lines += [["copy", str(path.parent), str(path.parent / "in")], ["merge", str(path), str(path), str(path)]]
        if model:
            lines += [["report", str(path)], ["predict", str(path)], ["gap", str(path)]]
        for argv in lines:
            self.counts["commands"] += 1
            out, err = io.StringIO(), io.StringIO()
            begun = time.process_time()
            with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
                code = command_line(argv)
            said = out.getvalue() + err.getvalue()
            if CONTROL.search(said) or "Traceback" in said or code == Exit.INTERNAL:
                self.wrong.append((f"{argv[0]} exit {code}: {said[-500:]!r}", data))
            if not model:
                self._time(begun, data)
        if sorted(p.name for p in folder.iterdir()) != outside:
            self.wrong.append(("something was written outside the notebook", data))

    def name(self, text: str, folder: Path) -> None:
        """Take a text as the name of a new project."""
        path = new_path(folder, text)
        if path.parent != folder or not path.name.isascii() or not path.name.isprintable():
            self.wrong.append((f"a file name that leads away: {path!r}", text.encode("utf-8", "replace")))

    def screens(self, data: bytes, folder: Path) -> None:
        """Open the notebook with this file and walk through its screens."""
        from tests.tui.stage import Play, play

        book = folder / "screens"
        book.mkdir()
        (book / "a.toml").write_bytes(data)
        seen: list[str] = []

        async def scene(acts: Play) -> None:
            for keys in ((), ("enter",), ("right",), ("right",), ("right",), ("right",), ("w",), ("escape",), ("m",),
                         ("escape",), ("escape",), ("n",), ("escape",), ("r",), ("escape",)):  # fmt: skip
                await acts.press(*keys)
                seen.append(acts.screen())

        self.counts["walks through the screens"] += 1
        try:
            play(book, scene)
        except BaseException as error:
            self.wrong.append((f"the screens raised {error!r}", data))
        if any(CONTROL.search(screen) for screen in seen):
            self.wrong.append(("a control character was drawn", data))


def run(number: int, seed: int, *, commands: int = 100, model: int = 5000, screens: int = 2000) -> Findings:
    """Try so many cases; every so many of them go to the commands, those that predict, and the screens as well."""
    dice = random.Random(seed)
    observations = Findings()
    pages = sources()
    with tempfile.TemporaryDirectory() as place:
        before = {name: os.environ.get(name) for name in ("XDG_STATE_HOME", "XDG_DATA_HOME")}
        os.environ |= {"XDG_STATE_HOME": f"{place}/state", "XDG_DATA_HOME": f"{place}/data"}
        try:
            for case in range(1, number + 1):
                data = dice.choice((mutated, rewritten))(dice.choice(pages), dice)
                project = observations.decode(data)
                for every, act in ((commands, "commands"), (model, "model"), (screens, "screens")):
                    if case % every == 0:
                        folder = Path(place) / f"{act}{case}"
                        folder.mkdir()
                        if act == "screens":
                            observations.screens(data, folder)
                        else:
                            observations.commands(data, folder, dice, model=act == "model")
                if project is not None:
                    observations.name(project.name, Path(place))
        finally:
            for name, value in before.items():
                if value is None:
                    os.environ.pop(name)
                else:
                    os.environ[name] = value
    return observations


def main() -> int:
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    observations = run(number, seed=int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    for what, data in observations.wrong[:20]:
        print(what, data[:3000])
    print(f"{dict(observations.counts)}; slowest {observations.slowest:.2f} s; {len(observations.wrong)} wrong")
    return int(bool(observations.wrong))


if __name__ == "__main__":
    sys.exit(main())
