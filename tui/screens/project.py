"""One prototype: five leaves, the model panel beside them, and what goes round them.

Only this screen knows two of its parts at once. Panes change the session through the desk and say so; the screen then
draws title, leaves, panel, advice, message and keys. Leaves are mounted when they are first turned to.
"""

from __future__ import annotations

from typing import ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Horizontal
from textual.message import Message

from model.cautions import cautions_for
from model.fields import PANES
from tui.desk import REBUILT, Desk
from tui.lines import Line, LinesView, beside, cut, wrapped
from tui.panes.build import BuildPane
from tui.panes.pane import Pane
from tui.panes.panel import panel_lines, short_lines
from tui.quiet import Hints, KeyLine, QuietScreen, too_small
from tui.screens.projects import layout_label
from tui.screens.small import Choosing, Option, Reading, Writing
from tui.screens.why import why_lines
from tui.session import Kept

LEAVES = (*PANES, ("results", "Results"), ("diary", "Diary"))
"""Key and title of every leaf, in order."""
WIDE = 76
"""Columns from which the panel stands beside the leaf; below, it is two lines under it."""
OWN: Hints = (("Left Right", "leaf"), ("w", "why"), ("m", "marks"), ("n", "note"), ("?", "keys"), ("Esc", "list"))


class ProjectScreen(QuietScreen[None]):
    """The open prototype."""

    DEFAULT_CSS = """
    ProjectScreen > #body { height: 1fr; }
    ProjectScreen #leaf { height: 1fr; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("right,right_square_bracket", "turn(1)", show=False),
        Binding("left,left_square_bracket", "turn(-1)", show=False),
        Binding("escape,q", "close", show=False),
        Binding("w", "why", show=False),
        Binding("m", "marks", show=False),
        Binding("n", "note", show=False),
        Binding("ctrl+z", "step(True)", show=False),
        Binding("ctrl+y", "step(False)", show=False),
        Binding("ctrl+s", "save", show=False),
        Binding("question_mark,f1", "app.help(True)", show=False),
    ]

    def __init__(self, desk: Desk, *, colour: bool, plain: bool) -> None:
        super().__init__()
        self.desk = desk
        self.colour, self.plain = colour, plain
        self.leaf = 0
        self.build = BuildPane(desk, colour=colour, plain=plain)
        self.panes: dict[str, Pane] = {}
        self.head = LinesView(id="head", colour=colour)
        self.panel = LinesView(id="panel", colour=colour)
        self.advice = LinesView(id="advice", colour=colour)
        self.message = LinesView(id="message", colour=colour)
        self.keys = KeyLine(colour=colour)
        self._note = ""

    def compose(self) -> ComposeResult:
        """Head, leaf and panel, advice, message, keys."""
        self.head.styles.height = 3
        self.message.styles.height = 1
        yield self.head
        with Horizontal(id="body"):
            with Container(id="leaf"):
                yield self.build
            yield self.panel
        yield self.advice
        yield self.message
        yield self.keys

    def on_mount(self) -> None:
        """Take the keys."""
        self.build.take_focus()

    # -- drawing ------------------------------------------------------------------------------------------------

    def on_resize(self, event: events.Resize) -> None:
        """Give the parts their room, then draw."""
        width, height = self.size
        wide = width >= WIDE
        self.panel.styles.display = "block" if wide else "none"
        self.panel.styles.width = 32 if width < 100 else min(60, width - 58)
        self.query_one("#leaf").styles.margin = (0, 1, 0, 0) if wide else (0, 0, 0, 0)
        self.advice.styles.height = (4 if height < 30 else 6) + (0 if wide else 2)
        self.call_after_refresh(self.draw)

    def on_screen_resume(self) -> None:
        """Draw what changed meanwhile."""
        self.call_after_refresh(self.draw)

    @property
    def pane(self) -> Pane:
        """The leaf that is shown."""
        return self.panes.get(LEAVES[self.leaf][0], self.build)

    def draw(self) -> None:
        """Draw everything that changed."""
        session = self.desk.session
        if session.current is None or not self.is_attached:
            return
        width, height = self.size
        small = too_small(width, height)
        if small:
            self.head.show_lines(wrapped(small, max(8, width)))
            return
        self.pane.refresh_pane()
        self.draw_around()

    def draw_around(self) -> None:
        """Draw what stands round the leaf."""
        session = self.desk.session
        if session.current is None or too_small(*self.size):
            return
        width = self.size.width
        self.head.show_lines([self._title(width), self._leaves(), ()])
        below: list[Line] = []
        if width >= WIDE:
            size = self.panel.size
            self.panel.show_lines(
                panel_lines(session, width=size.width, height=size.height, plain=self.plain) if size.width else []
            )
        else:
            below = short_lines(session, width=width)
        room = self.advice.size.height - len(below)
        advice = self.pane.advice(width, room)
        self.advice.show_lines([*below, *advice])
        self.message.show_lines([self._message(width)])
        self.keys.show_hints(self.pane.hints() + (() if self.pane.editing else OWN))

    def _title(self, width: int) -> Line:
        session = self.desk.session
        at = session.at
        latest = at.project.latest.number
        mark = f"Mk {session.number}" + (f" of {latest}" if session.number != latest else "")
        kept = (at.kept.value, "flag" if at.kept in (Kept.FAILED, Kept.READ_ONLY) else "dim")
        left: Line = (
            (cut(at.project.name, max(12, width - 44)), "name"),
            (f"   {mark}", "strong"),
            (f"   {layout_label(session.mark)}", ""),
        )
        return beside(left, (kept,), width)

    def _leaves(self) -> Line:
        flagged = self._flagged_leaves()
        line: list[tuple[str, str]] = []
        for index, (key, title) in enumerate(LEAVES):
            sign = "!" if key in flagged else ""
            here = index == self.leaf
            line.append((f"[{title}{sign}]" if here else f" {title}{sign} ", "on" if here else ""))
            line.append((" ", ""))
        return tuple(line)

    def _flagged_leaves(self) -> set[str]:
        from model.fields import Build, fields_of

        fields = fields_of(Build)
        return {fields[name].pane for name in self.desk.session.parsed.problems}

    def _message(self, width: int) -> Line:
        at = self.desk.session.at
        return ((cut(at.message or at.notice, width), "flag"),)

    # -- panes --------------------------------------------------------------------------------------------------

    def on_pane_changed(self, event: Pane.Changed) -> None:
        """Draw round the pane."""
        self.draw_around()

    def on_pane_left(self, event: Pane.Left) -> None:
        """Ask what has to be asked, close the visit, draw."""
        if self.desk.must_ask:
            self._ask_why_changed()
        else:
            self.desk.leave_field()
            self.draw()

    @work
    async def _ask_why_changed(self) -> None:
        number = self.desk.session.number
        following = self.desk.session.at.project.latest.number + 1
        options = (
            Option(
                key="c",
                label=f"A correction: Mk {number} was measured wrongly",
                help="The engine is as it was; its readings are compared with the corrected figure.",
            ),
            Option(
                key="n",
                label=f"A change: the engine is now Mk {following}",
                help=f"Mk {number} keeps its old figure and its readings; Mk {following} begins with the new one.",
            ),
        )
        text = "Asked once while this prototype is open. Readings stay on the mark they were taken on."
        said = await self.app.push_screen_wait(
            Choosing(f"Mk {number} has readings. What is this?", text, options, colour=self.colour)
        )
        if said == "n":
            self.desk.settle_as_change(self._what_changed())
        elif said == "c":
            self.desk.settle_as_correction()
        self.desk.leave_field()
        self.draw()

    def _what_changed(self) -> str:
        """Return in words which fields the visit changed."""
        from model.fields import Build, fields_of

        at, number = self.desk.session.at, self.desk.session.number
        before = at.visit.marks[number].build if at.visit else {}
        now = at.project.marks[number].build
        fields = fields_of(Build)
        changed = [n for n in {**before, **now} if before.get(n, "") != now.get(n, "")]
        said = [
            f"{fields[n].label if n in fields else n}: {before.get(n) or '?'} -> {now.get(n) or '?'}" for n in changed
        ]
        return "; ".join(said)

    async def action_turn(self, step: int) -> None:
        """Turn to another leaf."""
        self.pane.leave()
        await self.turn_to((self.leaf + step) % len(LEAVES))

    async def turn_to(self, leaf: int) -> None:
        """Show a leaf by its number, from 0; it is mounted when first shown."""
        key = LEAVES[leaf][0]
        if key in ("results", "diary") and key not in self.panes:
            self.panes[key] = _late_pane(key, self.desk, colour=self.colour, plain=self.plain)
            await self.query_one("#leaf").mount(self.panes[key])
        before = self.pane
        self.leaf = leaf
        after = self.pane
        if before is not after:
            before.display = False
            after.display = True
        if isinstance(after, BuildPane):
            after.turn_to(key)
        after.take_focus()
        self.draw()

    # -- keys ---------------------------------------------------------------------------------------------------

    def action_step(self, back: bool) -> None:
        """Undo or redo."""
        self.pane.leave()
        self.desk.step(back)
        self.draw()

    def action_save(self) -> None:
        """Save now."""
        self.pane.leave()
        self.desk.leave_field()
        self.desk.save()
        self.draw()

    def action_close(self) -> None:
        """Go back to the list."""
        self.pane.leave()
        self.desk.close()
        self.dismiss(None)

    def action_why(self) -> None:
        """Show why every figure is what it is."""
        session = self.desk.session
        outlook = session.at.outlook
        kinds = [reading.kind for _, reading in session.at.project.readings_of(session.number)]
        cautions = cautions_for(session.parsed.build, kinds)

        def lines(width: int) -> list[Line]:
            return why_lines(outlook.prediction, outlook.gaps, cautions, width)

        title = f"Why: {session.at.project.name}, Mk {session.number}"
        self.app.push_screen(Reading(title, lines, colour=self.colour))

    @work
    async def action_note(self) -> None:
        """Add a line to the diary."""
        asked = Writing(
            "Note", "One line for the diary, with today's day and this mark.", self._note, colour=self.colour
        )
        text, use = await self.app.push_screen_wait(asked)
        self._note = "" if use else text
        if use and text.strip():
            self.app.post_message(AddNote(text.strip()))

    @work
    async def action_marks(self) -> None:
        """Look at another mark, or begin the next."""
        self.pane.leave()
        self.desk.leave_field()
        session = self.desk.session
        project = session.at.project
        following = project.latest.number + 1
        options = [
            Option(key=f"mark {number}", label=f"Mk {number}{' (shown now)' if number == session.number else ''}",
                   help=_told_of_mark(project, number))
            for number in sorted(project.marks, reverse=True)
        ]  # fmt: skip
        options.append(
            Option(
                key="r", label=f"Begin Mk {following}: {REBUILT.lower()}", help="Taken apart and put together again."
            )
        )
        options.append(Option(key="c", label=f"Begin Mk {following}: a change", help="Say what; then edit the fields."))
        at = next((i for i, o in enumerate(options) if o.key == f"mark {session.number}"), 0)
        text = "A mark is one numbered state of the build. Readings stay on the mark they were taken on."
        said = await self.app.push_screen_wait(
            Choosing(f"Marks of {project.name}", text, tuple(options), colour=self.colour, at=at)
        )
        if said.startswith("mark "):
            self.desk.look_at(int(said.removeprefix("mark ")))
        elif said == "r":
            self.desk.next_mark(REBUILT)
        elif said == "c":
            reason, use = await self.app.push_screen_wait(
                Writing(f"What changes in Mk {following}?", "One thing at a time tells most.", "", colour=self.colour)
            )
            if use:
                self.desk.next_mark(reason.strip())
        self.draw()

    @work
    async def ask_theirs(self) -> None:
        """Somebody else wrote the file: join both, or ask where both changed the same."""
        self.pane.leave()
        found = self.desk.join_theirs()
        if found is None:
            self.draw()
            return
        if not found.clashes:
            self.desk.settle_theirs(
                found.merged, "Another window wrote this file; both are joined. ctrl+z: mine alone."
            )
            self.draw()
            return
        options = (
            Option(key="m", label="Mine", help="Where both changed the same, what is typed here stands."),
            Option(key="t", label="Theirs", help="Where both changed the same, what is on the disk stands."),
        )
        places = ", ".join(found.clashes[:4]) + (" ..." if len(found.clashes) > 4 else "")
        text = f"Everything else is joined either way. Both changed: {places}."
        said = await self.app.push_screen_wait(
            Choosing("Another window wrote this file", text, options, colour=self.colour)
        )
        theirs = said == "t"
        message = "Joined with the file on the disk; ctrl+z takes it back."
        self.desk.settle_theirs(found.yielding if theirs else found.merged, message)
        self.draw()


class AddNote(Message):
    """A line for the open prototype's diary."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.text = text


def _late_pane(key: str, desk: Desk, *, colour: bool, plain: bool) -> Pane:
    """Return a leaf that is imported when it is first turned to."""
    if key == "results":
        from tui.panes.results import ResultsPane

        return ResultsPane(desk, colour=colour, plain=plain)
    from tui.panes.diary import DiaryPane

    return DiaryPane(desk, colour=colour, plain=plain)


def _told_of_mark(project: object, number: int) -> str:
    from model.record import Project

    if not isinstance(project, Project):
        return ""
    readings = len(project.readings_of(number))
    said = f"{readings} reading{'' if readings == 1 else 's'}"
    reason = project.marks[number].reason
    return f"{reason} ({said})" if reason else said
