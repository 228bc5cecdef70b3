"""Commands without a screen: read files, predict, print. None of them loads textual.

To add one: a row of `COMMANDS`, its module with `arguments` and `run`, and a line of the README (a test asks for it).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Command:
    """One command: its word, the line that ``--help`` shows, and the module that runs it."""

    word: str
    help: str
    module: str
    example: str
    """What follows the word in the example of its ``--help``; the file is one of the demo's."""


COMMANDS = (
    Command("list", "the prototypes line by line, as FOLDER --text does", "tui.commands.listed", "projects"),
    Command(
        "predict", "what an engine will do, and how sure that is", "tui.commands.predict", "projects/mug.toml --mark 1"
    ),
    Command(
        "gap", "how far each reading is from its prediction", "tui.commands.gap", "projects/cocoa-tin.toml --mark 3"
    ),
    Command(
        "next",
        "why it does not run, and the next test to do",
        "tui.commands.next",
        'projects/two-syringes.toml --symptom "stops at the top"',
    ),
    Command(
        "explain",
        "why it gives what it gives, and what to change next",
        "tui.commands.explain",
        'projects/mug.toml --aim "150 rpm" --if "piston_throw=4 mm"',
    ),
    Command(
        "sweep",
        "an engine at seven to nine values of one field",
        "tui.commands.sweep",
        'projects/mug.toml piston_throw "3 mm" "4 mm" "5 mm"',
    ),
    Command(
        "draw",
        "the engine to scale, parts to cut and curves, as SVG",
        "tui.commands.draw",
        "projects/mug.toml --template displacer --to displacer.svg",
    ),
    Command("check", "every problem of every file of a notebook", "tui.commands.check", "projects"),
    Command(
        "report", "a plain sheet of one project, for sharing", "tui.commands.report", "projects/mug.toml > mug.txt"
    ),
    Command(
        "compare",
        "two or three projects or marks side by side",
        "tui.commands.compare",
        "projects/cocoa-tin.toml:2 projects/cocoa-tin.toml:3 projects/mug.toml",
    ),
    Command(
        "note", "add a line to a project's diary", "tui.commands.note", "projects/mug.toml ran for ten minutes on tea"
    ),
    Command("set", "write one field of a build", "tui.commands.set", "projects/mug.toml piston_throw 4 mm --change"),
    Command(
        "reading",
        "write down one reading",
        "tui.commands.reading",
        'projects/mug.toml speed turns=50 "time=20 s" "hot_metal=82 C"',
    ),
    Command("search", "where words stand in diaries, readings and marks", "tui.commands.search", "projects hiss gland"),
    Command(
        "copy", "a verified copy of a notebook, and what differs", "tui.commands.copy", "projects /media/stick/projects"
    ),
    Command(
        "merge",
        "bring two versions of a file together (for git)",
        "tui.commands.merge",
        "base.toml ours.toml theirs.toml",
    ),
)
"""Every command. A module has ``arguments(parser)`` and ``run(options) -> int``."""
