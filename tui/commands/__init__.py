"""Commands without a screen: read files, predict, print. None of them loads textual."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Command:
    """One command: its word, the line that ``--help`` shows, and the module that runs it."""

    word: str
    help: str
    module: str


COMMANDS = (
    Command("predict", "what an engine will do, and how sure that is", "tui.commands.predict"),
    Command("gap", "how far each reading is from its prediction", "tui.commands.gap"),
    Command("next", "why it does not run, and the next test to do", "tui.commands.next"),
    Command("check", "every problem of every file of a notebook", "tui.commands.check"),
    Command("report", "a plain sheet of one project, for sharing", "tui.commands.report"),
    Command("compare", "two or three projects side by side", "tui.commands.compare"),
    Command("note", "add a line to a project's diary", "tui.commands.note"),
    Command("copy", "a verified copy of a notebook, and what differs", "tui.commands.copy"),
    Command("merge", "bring two versions of a file together (for git)", "tui.commands.merge"),
)
"""Every command. A module has ``arguments(parser)`` and ``run(options) -> int``."""
