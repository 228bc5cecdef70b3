"""The list of prototypes: begin, copy, rename, note; each change is saved and asked of the runner's list lane.

Works beside the `Desk`, which has the open prototype; knows no screen.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from model.record import Entry, Project, new_key
from model.store import Item, Notebook
from tui.keeper import Keeper
from tui.runner import Question, Runner
from tui.session import Kept, Prototype, Session, parsed_build

NOTE = "note"
"""Where a note that is being written stands among the held texts of a file."""


class Shelf:
    """The prototypes of the notebook."""

    def __init__(self, session: Session, keeper: Keeper, runner: Runner, today: Callable[[], str]) -> None:
        self.session = session
        self.keeper = keeper
        self.runner = runner
        self.today = today

    def take_notebook(self, notebook: Notebook) -> None:
        """Take the projects that were read, in the order of their names."""
        readable = {item.path for item in notebook.items if item.stored is not None}
        for item in sorted(notebook.items, key=_name_of):
            if item.copy_of is None or item.copy_of not in readable or item.stored is None:
                self.session.add(prototype_of(item))
        for item in notebook.items:
            original = self.session.prototypes.get(item.copy_of) if item.copy_of else None
            if original is not None and item.path not in self.session.prototypes:
                original.message = f"A file sync left {item.path.name}. Opening this prototype joins both."

    def ask_all(self) -> None:
        """Ask predictions of all prototypes that have none of their latest build."""
        for prototype in self.session:
            if prototype.usable and prototype.outlook.build != parsed_build(prototype.project.latest).build:
                self.ask(prototype)

    def ask(self, prototype: Prototype, *, gap_samples: int = 0) -> None:
        """Ask a prediction of a prototype's latest mark, its gaps with intervals where samples are given."""
        mark = prototype.project.latest
        self.runner.ask_listed(
            Question(
                path=prototype.path,
                build=parsed_build(mark).build,
                project=prototype.project,
                mark=mark.number,
                gap_samples=gap_samples,
            )
        )

    def add(self, project: Project) -> Prototype:
        """Begin a new prototype; its file is written in the background."""
        path = self.keeper.start_new(self.session.folder, project)
        prototype = Prototype(path=path, project=project, kept=Kept.SAVING)
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

    def add_note(self, path: Path, text: str, mark: int | None = None, day: str = "") -> None:
        """Add a diary entry of one text, of the given day (else today) and mark (else the latest)."""
        project = self.session.prototypes[path].project
        number = mark or project.latest.number
        entry = Entry(key=new_key(project.entries), day=day or self.today(), mark=number, text=text)
        self.change(path, project.with_entry(entry))

    def begun_note(self, path: Path) -> str:
        """Return a note that was begun for a prototype and not used, in this run or in one before."""
        return self.keeper.drafter.held(path, NOTE)

    def hold_note(self, path: Path, text: str) -> None:
        """Hold a note that is being written; an empty one is let go."""
        self.keeper.drafter.hold(path, NOTE, text)

    def change(self, path: Path, project: Project) -> None:
        """Change a prototype in one step that undo takes back, and save it."""
        prototype = self.session.prototypes[path]
        if prototype.notice:
            prototype.kept, prototype.message = Kept.READ_ONLY, prototype.notice
            return
        prototype.undo.append(prototype.project)
        prototype.redo.clear()
        prototype.project = project
        prototype.kept = Kept.SAVING
        self.keeper.save(path, project)


def _name_of(item: Item) -> tuple[str, str]:
    return (item.stored.project.name.casefold() if item.stored else item.path.stem.casefold(), item.path.name)


def prototype_of(item: Item) -> Prototype:
    """Return a project file as a prototype of the screen."""
    if item.stored is None:
        return Prototype(
            path=item.path, project=Project(name=item.path.stem), trouble=str(item.error), kept=Kept.READ_ONLY
        )
    stored = item.stored
    return Prototype(
        path=item.path,
        project=stored.project,
        problems=stored.problems,
        notice=stored.decoded.notice,
        kept=Kept.READ_ONLY if stored.read_only else Kept.SAVED,
    )
