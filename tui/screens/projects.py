"""The list of prototypes: the first screen.

Two lines each: name, layout, mark and stage; predicted and best measured power and the last entry. Opens, adds,
copies, renames and notes through `shelf`; the app pushes the open prototype's screen.
"""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message

from model.prediction import Verdict
from model.record import Mark, Project
from model.stage import stage_of
from tui.figures import figure_text, value_text
from tui.lines import Line, LinesView, cut, fitted, wrapped
from tui.panes.panel import best_measured
from tui.quiet import Hints, KeyLine, QuietScreen, too_small
from tui.screens.head import layout_label
from tui.screens.small import Choosing, Option, Writing
from tui.session import Kept, Prototype
from tui.shelf import Shelf

MOST = 3
"""Most prototypes ticked for side by side."""
EACH = 3
"""Lines of one prototype, the empty one included."""
HINTS: Hints = (
    ("Enter", "open"), ("a", "add"), ("c", "copy"), ("r", "rename"), ("n", "note"),
    ("Space s", "side by side"), ("?", "keys"), ("q", "quit"),
)  # fmt: skip


class ProjectsScreen(QuietScreen[None]):
    """The notebook's first screen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,k", "move(-1)", show=False),
        Binding("down,j", "move(1)", show=False),
        Binding("pageup", "move(-5)", show=False),
        Binding("pagedown", "move(5)", show=False),
        Binding("home", "move(-99999)", show=False),
        Binding("end", "move(99999)", show=False),
        Binding("enter,right,l", "open", show=False),
        Binding("a", "add", show=False),
        Binding("c", "copy", show=False),
        Binding("r", "rename", show=False),
        Binding("n", "app.note", show=False),
        Binding("space", "tick", show=False),
        Binding("s", "compare", show=False),
        Binding("question_mark,f1", "app.help(False)", show=False),
        Binding("q", "app.quit", show=False),
    ]

    def __init__(self, shelf: Shelf, *, colour: bool) -> None:
        super().__init__()
        self.shelf = shelf
        self.at = 0
        self.first = 0
        self.reading = True
        """Whether the folder is still being read."""
        self.head = LinesView(id="head", colour=colour)
        self.view = LinesView(id="list", colour=colour)
        self.below = LinesView(id="below", colour=colour)
        self.keys = KeyLine(colour=colour)
        self.ticked: list[Path] = []
        """Prototypes to show side by side, in the order ticked."""
        self._kept: dict[str, str] = {}

    def compose(self) -> ComposeResult:
        """Head, list, what there is to say of the chosen one, keys."""
        self.head.styles.height = 2
        self.below.styles.height = 4
        yield self.head
        yield self.view
        yield self.below
        yield self.keys

    def on_mount(self) -> None:
        """Take the keys."""
        self.view.can_focus = True
        self.view.focus()

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the new size."""
        self.call_after_refresh(self.draw)

    def on_screen_resume(self) -> None:
        """Draw what changed meanwhile."""
        self.call_after_refresh(self.draw)

    @property
    def items(self) -> list[Prototype]:
        """The prototypes in the order shown."""
        return list(self.shelf.session)

    @property
    def chosen(self) -> Prototype | None:
        """The one under the cursor."""
        items = self.items
        return items[min(self.at, len(items) - 1)] if items else None

    def draw(self) -> None:
        """Draw everything that changed."""
        width, height = self.size
        small = too_small(width, height)
        if small:
            self.head.show_lines(wrapped(small, max(8, width)))
            self.view.show_lines([])
            self.below.show_lines([])
            return
        items = self.items
        self.at = max(0, min(self.at, len(items) - 1))
        count = f"{len(items)} prototype{'' if len(items) == 1 else 's'}"
        folder = cut(str(self.shelf.session.folder), width - 32)
        self.head.show_lines([(("Quarterturn", "name"), (f"   {count} in {folder}", "dim"))])
        lines: list[Line] = []
        room = max(1, (self.view.size.height + 1) // EACH)
        self.first = max(min(self.first, self.at), self.at - room + 1)
        for index, prototype in enumerate(items[self.first : self.first + room], self.first):
            lines += [*item_lines(prototype, width, here=index == self.at, ticked=prototype.path in self.ticked), ()]
        self.view.show_lines(lines if items else self._nothing(width))
        self.below.show_lines(told_of(self.chosen, width) if self.chosen else [])
        self.keys.show_hints(HINTS)

    def _nothing(self, width: int) -> list[Line]:
        if self.reading:
            return [(("Reading the notebook ...", "dim"),)]
        return [
            (("Nothing here yet.", "strong"),),
            (),
            *wrapped("Press a to add a prototype: a name and one of three simple starts are enough.", width),
        ]

    def action_move(self, step: int) -> None:
        """Choose another prototype."""
        self.at = max(0, min(len(self.items) - 1, self.at + step))
        self.draw()

    def action_open(self) -> None:
        """Open the chosen one."""
        chosen = self.chosen
        if chosen is None:
            return
        if chosen.usable:
            self.app.post_message(OpenProject(chosen.path))

    def action_tick(self) -> None:
        """Tick the chosen one for side by side, or take its tick away."""
        chosen = self.chosen
        if chosen is not None and chosen.usable:
            without = [path for path in self.ticked if path != chosen.path]
            self.ticked = without if len(without) < len(self.ticked) else [*self.ticked, chosen.path][-MOST:]
            self.draw()

    def action_compare(self) -> None:
        """Show the ticked prototypes side by side; where two or three are all there are, no tick is needed."""
        usable = [p.path for p in self.items if p.usable]
        chosen = [path for path in self.ticked if path in usable] or (usable if len(usable) <= MOST else [])
        if len(chosen) < 2:
            self.below.show_lines(wrapped("Tick two or three prototypes with Space, then press s.", self.size.width))
        else:
            self.app.post_message(Compare(tuple(chosen)))

    @work
    async def action_add(self) -> None:
        """Add a prototype: a start, then a name."""
        from model.fields.starts import STARTS

        options = tuple(Option(key=s.key, label=s.label, help=s.help) for s in STARTS)
        text = "Take the one that is nearest; every number can be changed, and about eight are enough."
        key = await self.app.push_screen_wait(
            Choosing("A new prototype: what is it like?", text, options, colour=self.view.colour)
        )
        start = next((s for s in STARTS if s.key == key), None)
        if start is None:
            return
        name = await self._ask_line("What do you call it?", "A name of your own; it can be changed later.", "new", "")
        if name:
            self._show(self.shelf.add(Project(name=name, marks={1: Mark(number=1, build=start.texts)})))

    @work
    async def action_copy(self) -> None:
        """Copy the chosen one as a new prototype."""
        chosen = self.chosen
        if chosen is None or not chosen.usable:
            return
        number = chosen.project.latest.number
        text = f"Mk {number} of {chosen.project.name} becomes Mk 1 of the new one. Its diary stays where it is."
        name = await self._ask_line("What do you call the copy?", text, "copy", f"{chosen.project.name} 2")
        if name:
            self._show(self.shelf.copy(chosen.path, name))

    @work
    async def action_rename(self) -> None:
        """Give the chosen one another name."""
        chosen = self.chosen
        if chosen is None or not chosen.usable:
            return
        name = await self._ask_line("Rename", "Its file keeps its name.", "rename", chosen.project.name)
        if name and name != chosen.project.name:
            self.shelf.rename(chosen.path, name)
            self.draw()

    async def _ask_line(self, title: str, text: str, key: str, value: str) -> str:
        """Ask for a line; one that was begun and left is offered again."""
        asked = Writing(title, text, self._kept.get(key, value), colour=self.view.colour)
        said, use = await self.app.push_screen_wait(asked)
        if use:
            self._kept.pop(key, None)
            return said.strip()
        self._kept[key] = said
        return ""

    def _show(self, prototype: Prototype) -> None:
        self.at = self.items.index(prototype)
        self.draw()


class OpenProject(Message):
    """A prototype is to be opened."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.path = path


class Compare(Message):
    """Prototypes are to be shown side by side."""

    def __init__(self, paths: tuple[Path, ...]) -> None:
        super().__init__()
        self.paths = paths


def item_lines(prototype: Prototype, width: int, *, here: bool, ticked: bool = False) -> list[Line]:
    """Return the two lines of a prototype in the list."""
    project = prototype.project
    marker = ((">" if here else " ") + ("x" if ticked else " "), "here")
    sign = ("!" if prototype.trouble or prototype.all_problems or prototype.kept is Kept.FAILED else " ", "flag")
    wide = max(16, width - 58)
    name = (f" {fitted(project.name, wide - 1)} ", "here" if here else "strong")
    if not prototype.usable:
        return [(marker, sign, name, ("cannot be read", "flag")), ((cut(f"   {prototype.trouble}", width), "dim"),)]
    mark = project.latest
    stage = stage_of(project)
    first: Line = (
        marker,
        sign,
        name,
        (fitted(layout_label(mark), 18) + fitted(f"Mk {mark.number}", 6), ""),
        (cut(stage.latest.label if stage.latest else "no stage yet", width - wide - 28), ""),
    )
    last = list(project.entries.values())[-1].day if project.entries else ""
    power = _power_text(prototype)
    measured = best_measured(prototype.outlook.gaps)
    told = f"measured {value_text(measured.measured)}" if measured else ""
    room = max(1, width - 3 - 16 - 17)
    second: Line = (
        (f"   {fitted(power, room)} ", "dim"),
        (fitted(told, 16) + " ", ""),
        (fitted(last, 12), "dim"),
    )
    return [first, second]


def _power_text(prototype: Prototype) -> str:
    outlook = prototype.outlook
    if outlook.failure:
        return "no prediction: see why when it is open"
    prediction = outlook.prediction
    if prediction is None:
        return "..."
    if prediction.verdict is Verdict.NO_PREDICTION:
        return "no prediction"
    power = prediction.figures.get("shaft_power")
    if prediction.verdict is Verdict.DOES_NOT_RUN or power is None or power.value is None:
        return f"predicted: {prediction.verdict.value}"
    return f"predicted {figure_text(power)}"


def told_of(prototype: Prototype, width: int) -> list[Line]:
    """Return what there is to say of the chosen prototype: trouble first."""
    if prototype.trouble:
        return wrapped(f"! {prototype.trouble}", width, role="flag", rest="  ")[:4]
    lines: list[Line] = []
    if prototype.message:
        lines += wrapped(f"! {prototype.message}", width, role="flag", rest="  ")
    if prototype.notice:
        lines += wrapped(f"! {prototype.notice}", width, role="flag", rest="  ")
    problems = prototype.all_problems
    if problems:
        more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
        lines += wrapped(f"! {problems[0]}{more}", width, role="flag", rest="  ")
    if prototype.project.about:
        lines += wrapped(prototype.project.about, width, role="dim")
    stage = stage_of(prototype.project)
    if stage.best and stage.latest and stage.best is not stage.latest:
        lines.append(((f"Best so far: {stage.best.label}.", "dim"),))
    return lines[:4]
