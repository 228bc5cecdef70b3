"""A line to write; below it what fits, as it is typed.

Here for words in diaries, readings and marks; for symptoms in `tui.dialogs.symptoms`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import ClassVar, Generic, TypeVar

from textual.binding import BindingType
from textual.widgets import Input

from model.record import Project
from model.record.search import Hit, search, words_of
from tui.dialogs.ask_entry import Asker
from tui.dialogs.base import LineDialog
from tui.state.controller import ProjectController
from tui.state.project_list import ProjectList
from tui.text.search import excerpt, hit_heading, search_labels
from tui.view.keys import MATCHES, Hints
from tui.view.layout import READABLE
from tui.view.lines import Line, cut, wrapped
from tui.widgets.screen import bindings

M = TypeVar("M")
LONGEST = 200
"""Characters of what is typed that are looked for."""
Searched = Sequence[tuple[Path, Project]]


class SearchDialog(LineDialog, Generic[M]):
    """A line to write; below it what fits, the one under the cursor in full. Subclasses say what is found."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(MATCHES)
    use = "take"
    """What Enter does, in a word."""

    def __init__(self, title: str, text: str, *, colour: bool) -> None:
        super().__init__(title, text, "", colour=colour)
        self.view.styles.height = 4
        self.matches: tuple[M, ...] = ()
        self.at = 0

    def find(self, text: str) -> tuple[M, ...]:
        """Return what fits, best first; nothing here."""
        return ()

    def row(self, match: M, width: int) -> str:
        """Return a match in one line of at most so many cells; nothing here."""
        return ""

    def in_full(self, match: M, width: int) -> list[Line]:
        """Return what is said of the match under the cursor; nothing here."""
        return []

    def nothing(self, text: str) -> str:
        """Return what to say where nothing fits."""
        return ""

    @property
    def chosen(self) -> M | None:
        """The match under the cursor."""
        return self.matches[min(self.at, len(self.matches) - 1)] if self.matches else None

    def draw(self) -> None:
        """Show the question, and what was found: the rows round the cursor, the one under it in full."""
        super().draw()
        width = min(READABLE, max(20, self.view.size.width))
        chosen = self.chosen
        if chosen is None:
            self.rest.show_lines([(), *wrapped(self.nothing(self.input.value.strip()), width)])
        else:
            full = self.in_full(chosen, width)
            room = max(3, self.rest.size.height - min(len(full), self.rest.size.height // 2) - 2)
            first = max(0, min(self.at - room // 2, len(self.matches) - room))
            rows = [
                self._row_line(match, width, here=first + index == self.at)
                for index, match in enumerate(self.matches[first : first + room])
            ]
            self.rest.show_lines([(), *rows, (), *full])
        use: Hints = (("Enter", self.use), ("Up Down", "another")) if self.matches else ()
        self.keys.show_hints((*use, ("Esc", "back")))

    def _row_line(self, match: M, width: int, *, here: bool) -> Line:
        text = cut(self.row(match, width - 2), width - 2)
        return ((">" if here else " ", "here"), (" " + text, "here" if here else ""))

    def on_input_changed(self, event: Input.Changed) -> None:
        """Search what is typed."""
        event.stop()
        self.matches, self.at = self.find(event.value[:LONGEST]), 0
        self.draw()

    def action_move(self, step: int) -> None:
        """Choose another match."""
        self.at = max(0, min(len(self.matches) - 1, self.at + step))
        self.draw()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Return that the match under the cursor is to be used."""
        event.stop()
        event.prevent_default()
        self.dismiss(("", self.chosen is not None))

    def action_close(self) -> None:
        """Go back without one."""
        self.dismiss(("", False))


class NotebookSearch(SearchDialog[tuple[Path, str, Hit]]):
    """Words in diaries, readings and marks; what is not read yet is looked through as it comes."""

    use = "go there"

    def __init__(
        self, title: str, searched: Callable[[], tuple[Searched, int]], *, colour: bool, named: bool = True
    ) -> None:
        super().__init__(title, "Words or beginnings of words, all of which stand in one place.", colour=colour)
        self.searched = searched
        """Returns the projects to look through, and how many are not read yet."""
        self.named, self.unread = named, 0

    def find(self, text: str) -> tuple[tuple[Path, str, Hit], ...]:
        """Return the places, project by project, the latest first."""
        words, labels = words_of(text), search_labels()
        projects, self.unread = self.searched()
        return tuple((path, p.name, hit) for path, p in projects for hit in search(p, words, labels))

    def row(self, match: tuple[Path, str, Hit], width: int) -> str:
        """Return where it stands, and the part that holds the words."""
        _, name, hit = match
        where = " ".join(part for part in (cut(name, 16) if self.named else "", hit_heading(hit)) if part)
        where += ": " if where else ""
        return f"{where}{excerpt(hit.text, words_of(self.input.value), max(24, width - len(where)))}"

    def in_full(self, match: tuple[Path, str, Hit], width: int) -> list[Line]:
        """Return all that stands there, and how many places there are."""
        places = "1 place" if len(self.matches) == 1 else f"{len(self.matches)} places"
        return [*wrapped(f"{places}{self._still()}", width), *wrapped(match[2].text, width)]

    def nothing(self, text: str) -> str:
        """Say that nothing fits, once something was typed."""
        return f"Nothing is written of that{self._still()}." if text else ""

    def _still(self) -> str:
        return f"; {self.unread} prototypes are still being read" if self.unread else ""

    def take_worker_result(self) -> None:
        """Look through what was read meanwhile; the cursor stays on its place."""
        if not self.unread:
            return
        chosen = self.chosen
        self.matches = self.find(self.input.value[:LONGEST])
        self.at = self.matches.index(chosen) if chosen in self.matches else 0
        self.draw()


async def search_list(app: Asker, project_list: ProjectList, *, colour: bool) -> tuple[Path, str] | None:
    """Search all prototypes; return file and place of the one that is chosen, None where Escape goes back."""

    def searched() -> tuple[Searched, int]:
        every = list(project_list.session)
        return [(p.path, p.project) for p in every if not p.unread], sum(p.unread for p in every)

    if project_list.reader is not None:
        project_list.reader.want([prototype.path for prototype in project_list.session if prototype.unread])
    dialog = NotebookSearch("Search all prototypes", searched, colour=colour)
    _, use = await app.push_screen_wait(dialog)
    return (dialog.chosen[0], dialog.chosen[2].place) if use and dialog.chosen is not None else None


async def ask_search(app: Asker, controller: ProjectController, colour: bool) -> str:
    """Search the open prototype; return the chosen place, empty where Escape goes back."""
    prototype = controller.session.prototype
    title = f"Search {prototype.project.name}"
    own = lambda: ([(prototype.path, prototype.project)], 0)  # noqa: E731
    dialog = NotebookSearch(title, own, colour=colour, named=False)
    _, use = await app.push_screen_wait(dialog)
    return dialog.chosen[2].place if use and dialog.chosen is not None else ""
