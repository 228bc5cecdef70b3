"""The notebook: a folder of project files. Lists them, names new ones, knows where the demo and the builder's own are.

Called by persistence on screen and by the commands.
"""

from __future__ import annotations

import os
import re
import tempfile
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from model.errors import ProjectNotFound, StoreError
from model.project_names import names_in
from model.store.conflicts import copies_among
from model.store.faults import display_path, translate_os_errors
from model.store.files import Stored, read_project

SUFFIX = ".toml"
_LONGEST_SLUG = 48
_DEVICES = re.compile(r"con|prn|aux|nul|com[0-9]|lpt[0-9]")
_APPLICATION = "quarterturn"


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One project file of a notebook: what stood in it, or why it cannot be read; neither while it is not read yet."""

    path: Path
    """The file."""
    stored: Stored | None = None
    """What stood in it."""
    error: StoreError | None = None
    """Why it cannot be read."""
    copy_of: Path | None = None
    """The file that it is a conflict copy of, made by a file sync; None for a project of its own."""
    name: str = ""
    """The project's name at a glance, from `list_notebook`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Notebook:
    """A folder of project files, as found."""

    folder: Path
    """The folder as it was named."""
    items: tuple[Item, ...]
    """Its project files by file name; empty when there is none."""

    @property
    def stored(self) -> tuple[Stored, ...]:
        """The projects that could be read."""
        return tuple(item.stored for item in self.items if item.stored is not None)


def open_notebook(folder: Path) -> Notebook:
    """Read all project files of a folder; one that cannot be read does not stop the others.

    Raises
    ------
    ProjectNotFound
        There is no such folder.
    StoreError
        It is no folder, or the system refuses.
    """
    names = _names(folder)
    copies = copies_among(names)
    return Notebook(folder=folder, items=tuple(_item(folder / name, copies.get(name, "")) for name in names))


def list_notebook(folder: Path) -> Notebook:
    """Return the project files of a folder with their names at a glance, none of them read.

    Raises
    ------
    ProjectNotFound, StoreError
        As `open_notebook`.
    """
    _names(folder)
    with translate_os_errors(folder, "opened"):
        names = names_in(folder)
    copies = copies_among(path.name for path, _ in names)
    return Notebook(
        folder=folder,
        items=tuple(
            Item(path=path, name=name, copy_of=path.with_name(copies[path.name]) if path.name in copies else None)
            for path, name in names
        ),
    )


def _names(folder: Path) -> list[str]:
    with translate_os_errors(folder, "opened"):
        if not folder.exists():
            raise ProjectNotFound(
                f"The notebook {display_path(folder)} is not there.", hint="Name a folder that is, or make it first."
            )
        if not folder.is_dir():
            raise StoreError(
                f"The notebook {display_path(folder)} is a file, not a folder.",
                hint="Name the folder that the file is in.",
            )
        return sorted(p.name for p in folder.iterdir() if p.name.endswith(SUFFIX) and not p.name.startswith("."))


def _item(path: Path, original: str) -> Item:
    copy_of = path.with_name(original) if original else None
    try:
        return Item(path=path, stored=read_project(path), copy_of=copy_of)
    except StoreError as error:
        return Item(path=path, error=error, copy_of=copy_of)


def new_path(folder: Path, name: str, taken: Collection[str] = ()) -> Path:
    """Return a file for a new project: plain ASCII from its name, clashing with nothing in the folder.

    `taken` are names of files that are to be in the folder and are not there yet.

    >>> new_path(Path("no-such-folder"), "../Cocoa tin, Größe 2").name
    'cocoa-tin-grosse-2.toml'
    """
    letters = unicodedata.normalize("NFKD", name.replace("ß", "ss")).encode("ascii", "ignore").decode("ascii")
    slug = re.sub(r"[^a-z0-9]+", "-", letters.lower()).strip("-")[:_LONGEST_SLUG].rstrip("-")
    if not slug or _DEVICES.fullmatch(slug):
        slug = f"project-{slug}".rstrip("-")
    with translate_os_errors(folder, "read"):
        there = [entry.name for entry in folder.iterdir()] if folder.is_dir() else []
    used = {each.casefold() for each in (*there, *taken)}
    candidate = f"{slug}{SUFFIX}"
    number = 1
    while candidate in used:
        number += 1
        candidate = f"{slug}-{number}{SUFFIX}"
    return folder / candidate


def demo_folder() -> Path:
    """Return the folder of the demo projects: inside the installed package, else of the checkout.

    Raises
    ------
    ProjectNotFound
        Neither is there.
    """
    here = Path(__file__).resolve()
    installed = here.parent / "demo"
    checkout = here.parents[2]
    if installed.is_dir():
        return installed
    if (checkout / "pyproject.toml").is_file() and (checkout / "projects").is_dir():
        return checkout / "projects"
    raise ProjectNotFound(f"The demo projects are not at {display_path(installed)}.", hint="Install the program again.")


def demo_copy(folder: Path) -> Path:
    """Return a notebook of the builder's own with the demo projects in it, copied when it is not there yet.

    Parameters
    ----------
    folder
        Where it stands or is to stand; whatever is in it stays as it is.

    Raises
    ------
    ProjectNotFound
        The demo is not there.
    StoreError
        The copy cannot be made.
    """
    with translate_os_errors(folder, "made"):
        if not folder.exists():
            folder.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            whole = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
            for path in sorted(demo_folder().glob(f"*{SUFFIX}")):
                (whole / path.name).write_bytes(path.read_bytes())
            whole.rename(folder)
    return folder


def default_folder() -> Path:
    """Return the builder's own notebook in the XDG data folder; it may not be there yet.

    Raises
    ------
    StoreError
        The system does not say where the user's home is.

    Notes
    -----
    XDG Base Directory Specification 0.8: ``$XDG_DATA_HOME``, ignored unless absolute, else ``$HOME/.local/share``.
    """
    named = os.environ.get("XDG_DATA_HOME", "")
    if named and Path(named).is_absolute():
        return Path(named) / _APPLICATION
    try:
        home = Path.home()
    except RuntimeError as error:
        raise StoreError("The system does not say where your home folder is.", hint="Name a folder.") from error
    return home / ".local" / "share" / _APPLICATION


def make_folder(folder: Path) -> Path:
    """Make a notebook's folder, with those above it, for its user alone, when it is not there yet; return it."""
    with translate_os_errors(folder, "made"):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder
