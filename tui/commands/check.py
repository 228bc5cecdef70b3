"""``quarterturn check FOLDER``: every problem of every file of a notebook."""

from __future__ import annotations

import argparse
from pathlib import Path

from model.checks.problems import problems_of
from model.errors import Problem, ProjectFormatError, StoreError
from model.store import Item, key_lines, line_of, open_notebook
from tui.commands.common import json_argument, problem_json, show, show_json
from tui.exits import Exit
from tui.text.sanitise import sanitise


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("folder", metavar="FOLDER", type=Path, help="the folder of the notebook, or one project file")
    json_argument(parser, "one object with every problem")


def run(options: argparse.Namespace) -> int:
    """Read every file and print what is wrong; exit 1 if anything is."""
    items = _items(options.folder)
    all_problems = [(item, problem, line) for item in items for problem, line in _problems(item)]
    if options.json:
        problems = [
            {"file": sanitise(item.path), "line": line, **problem_json(problem)} for item, problem, line in all_problems
        ]
        show_json({"files": len(items), "problems": problems})
    else:
        for item, problem, line in all_problems:
            at = f"{item.path}:{line}" if line is not None else f"{item.path}"
            show(sanitise(f"{at}: {problem}" if problem.where else f"{at}: {problem.message} {problem.remedy}"))
        show(_closing(options.folder, len(items), len(all_problems)))
    return Exit.PROBLEMS if all_problems else Exit.OK


def _items(path: Path) -> tuple[Item, ...]:
    """Return the files to look at: those of a folder, or the one file that was named."""
    if path.is_dir() or not path.exists():
        return open_notebook(path).items
    wanted = [item for item in open_notebook(path.parent).items if item.path.name == path.name]
    if wanted:
        return tuple(wanted)
    raise StoreError(f"{path} is not a project file.", hint="Name a folder, or a file whose name ends in .toml.")


def _problems(item: Item) -> list[tuple[Problem, int | None]]:
    """Return what is wrong with one file, with the line that it stands in."""
    if item.stored is None:
        error = item.error
        line = error.line if isinstance(error, ProjectFormatError) else None
        key = error.key if isinstance(error, ProjectFormatError) else ""
        message = error.message if error is not None else "It cannot be read."
        return [(Problem(where=key, value="", message=message, remedy=error.hint if error is not None else ""), line)]
    stored = item.stored
    notice = [Problem(where="format", value="", message=stored.decoded.notice)] if stored.read_only else []
    problems = (*notice, *stored.problems, *problems_of(stored.project))
    lines = key_lines(stored) if problems else {}
    return [(problem, line_of(problem.where, lines)) for problem in problems]


def _closing(folder: Path, files: int, problems: int) -> str:
    if files == 0:
        return f"{folder} holds no project file (NAME.toml)."
    count = "nothing is wrong" if problems == 0 else "1 problem" if problems == 1 else f"{problems} problems"
    return f"{files} file{'' if files == 1 else 's'}: {count}."
