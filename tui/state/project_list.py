"""The list of prototypes: begin, copy, rename, note, delete; each change is saved and asked of the runner's list queue.

What is not in sight is neither read nor predicted, so that a large notebook costs what is looked at. Works beside the
`ProjectController`, which has the open prototype; knows no screen.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from model.errors import ModelError, StoreError
from model.fields import Build
from model.record import Entry, Project, new_key
from model.store import Item, Notebook
from tui.runs.model_calls import ModelRequest
from tui.runs.runner import Runner
from tui.state.prototype import Prototype, SaveState, parsed_build
from tui.state.session import Session, record_step
from tui.storage.bin import Binned
from tui.storage.persistence import NEW, Persistence, demo_projects
from tui.storage.reader import Reader

NOTE = "note"
"""Where a note that is being written stands among the held texts of a file."""
NAME, START = "name", "start"
"""Where the name and the start of a prototype that is being begun stand among its held texts."""


class ProjectList:
    """The prototypes of the notebook."""

    def __init__(
        self,
        session: Session,
        persistence: Persistence,
        runner: Runner,
        today: Callable[[], str],
        reader: Reader | None = None,
    ) -> None:
        self.session = session
        self.persistence = persistence
        self.runner = runner
        self.today = today
        self.reader = reader
        self._copies: dict[Path, list[Path]] = {}
        """Conflict copies of a file, left out of the list."""
        self._asked: dict[Path, Build] = {}
        """Builds of which a prediction was asked."""
        self.deleted: list[Path] = []
        """Where in the bin the prototypes are that were deleted in this run and are not back."""

    def take_notebook(self, notebook: Notebook) -> None:
        """Take the projects that were found, in the order of their names."""
        gone = {item.path for item in notebook.items if item.error is not None}
        there = {item.path for item in notebook.items}
        for item in sorted(notebook.items, key=_name_of):
            if item.copy_of is None or item.copy_of not in there - gone or item.path in gone:
                self.session.add(prototype_of(item))
            else:
                self._copies.setdefault(item.copy_of, []).append(item.path)
        for path in self._copies:
            self._tell_copies(path)

    def take_read(self, item: Item) -> None:
        """Take a project that was read since; one that is known already stays as it is."""
        known = self.session.prototypes.get(item.path)
        if known is None or not known.unread:
            return
        self.session.add(prototype_of(item))
        if item.error is None:
            self._tell_copies(item.path)
            return
        for path in self._copies.pop(item.path, []):
            self.session.add(Prototype(path=path, project=Project(name=path.stem), unread=True))

    def _tell_copies(self, path: Path) -> None:
        prototype = self.session.prototypes.get(path)
        for copy in self._copies.get(path, []):
            if prototype is not None:
                prototype.message = f"A file sync left {copy.name}. Opening this prototype joins both."

    def read_now(self, path: Path) -> Prototype:
        """Return a prototype, read at once where it is not read yet."""
        if self.session.prototypes[path].unread:
            try:
                self.take_read(Item(path=path, stored=self.persistence.read(path)))
            except StoreError as error:
                self.take_read(Item(path=path, error=error))
        return self.session.prototypes[path]

    def attend(self, seen: Sequence[Prototype]) -> None:
        """Read and ask what is in sight and not known yet; give up what was wanted before."""
        paths = [prototype.path for prototype in seen]
        if self.reader is not None:
            self.reader.want([prototype.path for prototype in seen if prototype.unread])
        if not any(prototype.unread for prototype in seen):
            self.runner.start()  # not before: the model takes the time in which what is in sight is read
        for path in self.runner.keep_listed(paths):
            self._asked.pop(path, None)
        for prototype in seen:
            if not prototype.usable:
                continue
            build = parsed_build(prototype.project.latest).build
            known = None if prototype.outlook.pending else prototype.outlook.build  # left before its interval came
            if build not in (known, self._asked.get(prototype.path)):
                self.ask(prototype)

    def ask_again(self) -> None:
        """Forget what was asked: the answers for a prototype that was open meanwhile were not taken."""
        self._asked.clear()

    def ask(self, prototype: Prototype, *, gap_samples: int = 0) -> None:
        """Ask a prediction of a prototype's latest mark, its gaps with intervals where samples are given."""
        mark = prototype.project.latest
        self._asked[prototype.path] = parsed_build(mark).build
        self.runner.ask_listed(
            ModelRequest(
                path=prototype.path,
                build=parsed_build(mark).build,
                project=prototype.project,
                mark=mark.number,
                gap_samples=gap_samples,
            )
        )

    def add(self, project: Project) -> Prototype:
        """Begin a new prototype; its file is written in the background."""
        path = self.persistence.start_new(self.session.folder, project)
        prototype = Prototype(path=path, project=project, save_state=SaveState.SAVING)
        self.session.add(prototype)
        self.ask(prototype)
        return prototype

    def copy(self, path: Path, name: str) -> Prototype:
        """Begin a new prototype whose Mk 1 is the latest build of another; the diary stays with the old one."""
        old = self.session.prototypes[path].project
        mark = replace(old.latest, number=1, reason=f"Copied from {old.name}, Mk {old.latest.number}")
        return self.add(Project(name=name, about=old.about, marks={1: mark}))

    def rename(self, path: Path, name: str) -> None:
        """Give a prototype another name; its file keeps its own."""
        self.change(path, replace(self.session.prototypes[path].project, name=name))

    def add_demo(self) -> Prototype | None:
        """Begin a copy of each demo project, under names of files that are free; return the first. `StoreError`."""
        made = [self.add(project) for project in demo_projects()]
        return made[0] if made else None

    async def delete(self, path: Path) -> str:
        """Take a prototype from the list, its file to the bin; return why that could not be done, else nothing."""
        prototype = self.session.prototypes.pop(path)
        try:
            self.deleted.append(await asyncio.to_thread(self.persistence.bin.delete, path))
        except ModelError as error:
            _put_back(self.session, prototype)
            return str(error)
        return ""

    async def binned(self) -> tuple[Binned, ...]:
        """Return what is in the bin. Raises `StoreError`."""
        return await asyncio.to_thread(self.persistence.bin.shown, self.session.folder)

    async def restore_binned(self, binned: Path) -> Prototype:
        """Move a file from the bin to the list; one that has its name by now stays. Raises `StoreError`."""
        path = await asyncio.to_thread(self.persistence.bin.restore, binned)
        self.deleted = [each for each in self.deleted if each != binned]
        try:
            item = Item(path=path, stored=await asyncio.to_thread(self.persistence.read, path))
        except StoreError as error:
            item = Item(path=path, error=error)
        prototype = prototype_of(item)
        _put_back(self.session, prototype)
        return prototype

    def add_note(self, path: Path, text: str, mark: int | None = None, day: str = "") -> None:
        """Add a diary entry of one text, of the given day (else today) and mark (else the latest)."""
        project = self.session.prototypes[path].project
        number = mark or project.latest.number
        entry = Entry(key=new_key(project.entries), day=day or self.today(), mark=number, text=text)
        self.change(path, project.with_entry(entry))

    @property
    def new(self) -> Path:
        """Stands for the file of a prototype that is being begun and has none."""
        return self.session.folder / NEW

    def begun(self, path: Path, what: str = NOTE) -> str:
        """Return a line that was begun for a prototype and not used, in this run or in one before."""
        return self.persistence.draft_store.held(path, what)

    def hold(self, path: Path, text: str, what: str = NOTE) -> None:
        """Hold a line that is being written; an empty one is let go."""
        self.persistence.draft_store.hold(path, what, text)

    def change(self, path: Path, project: Project) -> None:
        """Change a prototype in one step that undo takes back, and save it."""
        prototype = self.session.prototypes[path]
        if prototype.notice:
            prototype.save_state, prototype.message = SaveState.READ_ONLY, prototype.notice
            return
        record_step(prototype, prototype.snapshot)
        prototype.project = project
        prototype.save_state = SaveState.SAVING
        self.persistence.save(path, project)


def _put_back(session: Session, prototype: Prototype) -> None:
    """Put a prototype on the list where its name stands among the others."""
    items = list(session)
    name = prototype.project.name.casefold()
    at = next((i for i, other in enumerate(items) if other.project.name.casefold() > name), len(items))
    session.prototypes = {each.path: each for each in (*items[:at], prototype, *items[at:])}


def _name_of(item: Item) -> tuple[str, str]:
    name = item.stored.project.name if item.stored else item.name or item.path.stem
    return (name.casefold(), item.path.name)


def prototype_of(item: Item) -> Prototype:
    """Return a project file as a prototype of the screen."""
    if item.stored is None and item.error is None:
        return Prototype(path=item.path, project=Project(name=item.name or item.path.stem), unread=True)
    if item.stored is None:
        return Prototype(
            path=item.path,
            project=Project(name=item.path.stem),
            trouble=str(item.error),
            save_state=SaveState.READ_ONLY,
        )
    stored = item.stored
    return Prototype(
        path=item.path,
        project=stored.project,
        problems=stored.problems,
        notice=stored.decoded.notice,
        save_state=SaveState.READ_ONLY if stored.read_only else SaveState.SAVED,
    )
