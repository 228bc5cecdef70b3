"""What the commands share: arguments, reading a project, choosing a mark, printing. Stdlib and store only."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from model.errors import Problem
from model.fields import ParsedBuild, parse_build
from model.record import LONGEST_NUMBER, Mark, Project
from model.store import Stored, read_project
from tui.exits import CommandError, Exit
from tui.text.sanitise import sanitise

JSON_FORMAT = 1
"""Number of the format of all ``--json``: it grows when a key goes or changes its meaning, not when one is added."""


def file_argument(parser: argparse.ArgumentParser) -> None:
    """Declare FILE."""
    parser.add_argument("file", metavar="FILE", type=Path, help="a project file of the notebook, NAME.toml")


def marked_file_argument(parser: argparse.ArgumentParser) -> None:
    """Declare FILE[:MARK]."""
    parser.add_argument(
        "file",
        metavar="FILE[:MARK]",
        type=Path,
        help="a project file of the notebook; a number behind a colon names a mark, without it the latest counts",
    )


def json_argument(parser: argparse.ArgumentParser, what: str) -> None:
    """Declare --json."""
    parser.add_argument("--json", action="store_true", help=f"print {what} as JSON")


def open_file(path: Path) -> Stored:
    """Read a project file; a folder is refused with the files that it holds."""
    if stands(path, Path.is_dir):
        names = sorted(p.name for p in path.glob("*.toml"))[:3]
        example = f", such as {path / names[0]}" if names else ""
        raise CommandError(f"{path} is a folder.", code=Exit.CANNOT_READ, hint=f"Name one project file in it{example}.")
    return read_project(path)


def stands(path: Path, looks: Callable[[Path], bool] = Path.exists) -> bool:
    """Whether there is such a file; none has a name that the system refuses."""
    try:
        return looks(path)
    except OSError:
        return False


def file_and_mark(named: Path) -> tuple[Path, Project, int]:
    """Return file, project and mark of ``FILE`` or ``FILE:MARK``; a file of that very name comes first."""
    name, colon, digits = str(named).rpartition(":")
    if not colon or stands(named) or not (digits.isascii() and digits.isdecimal() and len(digits) <= LONGEST_NUMBER):
        project = open_file(named).project
        return named, project, project.latest.number
    project = open_file(Path(name)).project
    return Path(name), project, mark_of(project, int(digits), Path(name)).number


def mark_of(project: Project, number: int | None, path: Path) -> Mark:
    """Return the mark asked for, or the latest."""
    if number is None:
        return project.latest
    if number not in project.marks:
        known = ", ".join(str(n) for n in project.marks) or "none"
        raise CommandError(f"{path} has no mark {number}.", code=Exit.USAGE, hint=f"Its marks: {known}.")
    return project.marks[number]


def build_of(mark: Mark) -> ParsedBuild:
    """Read the texts of a mark."""
    return parse_build(mark.build, f"mark.{mark.number}.build")


def show(text: str) -> None:
    """Print text of several lines, cleaned of what could steer a terminal."""
    sys.stdout.write(sanitise(text, lines=True).rstrip() + "\n")


def show_json(value: Mapping[str, object]) -> None:
    """Print one JSON object in ASCII, its format first; a number that is not finite is a fault, never printed."""
    sys.stdout.write(json.dumps({"format": JSON_FORMAT, **value}, indent=2, allow_nan=False) + "\n")


def problem_json(problem: Problem) -> dict[str, str]:
    """Return a problem as plain keys."""
    return {
        "where": sanitise(problem.where),
        "value": sanitise(problem.value),
        "message": sanitise(problem.message),
        "remedy": sanitise(problem.remedy),
    }
