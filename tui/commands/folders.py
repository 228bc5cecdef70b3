"""Which folder is meant: the one named, or the builder's own notebook; and what a wrong word may have meant."""

from __future__ import annotations

import contextlib
import sys
from pathlib import Path

from model.errors import ModelError
from tui.commands import COMMANDS
from tui.exits import CommandError, Exit
from tui.text.sanitise import sanitise


def near_command(word: str) -> str:
    """Return the command that is nearest to a word; empty where none is near."""
    from difflib import get_close_matches

    return next(iter(get_close_matches(word, [command.word for command in COMMANDS], n=1)), "")


def notebook_folder(folder: Path) -> Path:
    """Return the folder when it is one."""
    if folder.is_dir():
        return folder
    if folder.exists():
        raise CommandError(
            f"{folder} is a file.",
            code=Exit.CANNOT_READ,
            hint=f"Open its folder: quarterturn {folder.parent}",
        )
    near = near_command(str(folder))
    meant = f"Did you mean the command {near}? " if near else ""
    raise CommandError(
        f"There is no folder {folder}.",
        code=Exit.CANNOT_READ,
        hint=f"{meant}For a new notebook make the folder first: mkdir -p {folder}",
    )


def own_notebook() -> Path:
    """Return the builder's own notebook, made at first use."""
    from model.store import default_folder, make_folder

    return make_folder(default_folder())


def demo_notebook() -> Path:
    """Return the builder's copy of the demo, beside the own notebook, made at first use."""
    from model.store import default_folder, demo_copy

    return demo_copy(default_folder().with_name("quarterturn-demo"))


def tell_empty(folder: Path) -> None:
    """Where a notebook is empty, say on standard error how the demo comes into it; the screens offer that by a key."""
    from model.store import demo_folder, list_notebook

    if not list_notebook(folder).items:
        with contextlib.suppress(ModelError):
            hint = f"Your notebook {folder} is empty. To copy the examples: cp {demo_folder()}/*.toml {folder}/"
            sys.stderr.write(f"{sanitise(hint)}\n")
