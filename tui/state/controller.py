"""What a key does to the open prototype: session, persistence and runner brought together, without a screen.

Every change goes through here: it is put into the session, noted for the draft or saved, and asked of the runner.
News of persistence and answers of the runner come back through `take`, on the screen's own thread. Screens call the
methods and then draw from `session`.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from model.fields.starts import given_way
from model.record import Mark, Project
from tui.runs.model_calls import ModelResult
from tui.runs.runner import Runner
from tui.state.pending import laid_over, pending_text, with_text, without_text
from tui.state.prototype import Prototype, SaveState
from tui.state.recovery import offer_drafts, set_pending, step_aside
from tui.state.requests import Requests
from tui.state.scratches import hold_scratches, put_scratch, tell_scratches
from tui.state.session import Session
from tui.state.sharing import NOT_SAVED, joined_copies, read_again, take_changed, tell_gone
from tui.state.step_text import step_text
from tui.storage.persistence import ChangedOnDisk, NotSaved, Persistence, Saved, Theirs
from tui.text.labels import full_label

REBUILT = "Rebuilt, same dimensions"


class ProjectController:
    """The open prototype and what is done to it."""

    def __init__(
        self,
        session: Session,
        persistence: Persistence,
        runner: Runner,
        today: Callable[[], str] = lambda: time.strftime("%Y-%m-%d"),
    ) -> None:
        self.session = session
        self.persistence = persistence
        self.runner = runner
        self.today = today
        """The day by the clock, ISO 8601."""
        self.said_day = ""
        """The day that the builder gave when the clock stood wrong."""
        self.requests = Requests(session, runner)
        self._typed = ""
        """Name of the field that was typed into in the open visit."""

    def open(self, path: Path) -> Prototype:
        """Open a prototype: as it stands on the disk, with what a draft holds beyond that."""
        prototype = self.session.prototypes[path]
        quiet = prototype.save_state in (SaveState.SAVED, SaveState.READ_ONLY)
        if quiet and self.persistence.on_disk.is_gone(path):
            tell_gone(self.persistence, prototype)
        elif quiet and self.persistence.on_disk.moved_on(path):
            read_again(self.persistence, prototype)
        self.session.open(path)
        self.persistence.watcher.watch(path)
        prototype.settled.clear()
        prototype.move_on()
        self.requests.forget()
        if quiet and not prototype.notice and prototype.save_state is not SaveState.GONE:
            offer_drafts(self.persistence, prototype)
            joined = joined_copies(self.persistence, prototype)
            if joined is not None:
                self.change(joined.project)
                prototype.message = joined.message
            tell_scratches(prototype)
        elif prototype.save_state is SaveState.FAILED:
            self.save()
        self.requests.ask()
        return prototype

    def close(self) -> None:
        """Leave the open prototype."""
        self.requests.want_diagnosis(False)
        self.requests.want_curves(False)
        self.requests.want_engine(False)
        self.leave_field()
        self.persistence.watcher.watch(None)
        self.session.scratch_key = ""
        self.requests.turn_outlook()
        self.session.current = None
        for queue in (self.runner.changes, self.runner.tries):
            queue.give_up()

    def enter_field(self) -> None:
        """A field is opened: undo will come back to here, and so do the figures when its text cannot be read."""
        if self.session.prototype.visit is None:
            self.requests.begin_field()
        self.session.begin_visit()

    def type(self, name: str, text: str) -> None:
        """A text of the build changed under the cursor (a file that may only be read takes none)."""
        session, prototype = self.session, self.session.prototype
        if prototype.notice:
            return
        prototype.move_on()
        self._typed = name
        prototype.dropped = prototype.declined = None
        if session.scratch is not None:
            put_scratch(session, session.scratch.with_text(session.own, name, text))
            hold_scratches(self.persistence, prototype)
        elif _asks(prototype, session.number):
            set_pending(self.persistence, prototype, with_text(prototype.pending, session.stored, name, text))
        else:
            set_pending(self.persistence, prototype, without_text(prototype.pending, session.number, name))
            session.type(name, text)
            self._noted()
        if session.parsed.problems:
            self.requests.fall_back()
        else:
            self.requests.ask()

    def put(self, project: Project) -> None:
        """Something of the project changed under the cursor (a reading, an entry); it counts once its field is left."""
        if not self.session.prototype.notice:
            self.session.put(project)
            self._noted()

    def _noted(self) -> None:
        prototype = self.session.prototype
        prototype.save_state = prototype.save_state if prototype.save_state is SaveState.FAILED else SaveState.TYPING
        self.persistence.note(prototype.path, prototype.project)

    @property
    def must_ask(self) -> bool:
        """Whether a text was typed into a mark that has readings, and nobody has said yet why."""
        prototype = self.session.prototype
        return (
            prototype.pending is not None and not prototype.pending.left and _asks(prototype, prototype.pending.number)
        )

    def settle_as_correction(self) -> None:
        """The typed text corrects a measurement of its mark."""
        prototype = self.session.prototype
        pending = prototype.pending
        if pending is None:
            return
        if prototype.project.readings_of(pending.number):
            prototype.settled.add(pending.number)
        self.session.begin_visit()
        self.session.put(prototype.project.with_mark(laid_over(_mark(prototype, pending.number), pending)))
        set_pending(self.persistence, prototype, None)

    def settle_as_change(self, reason: str = "") -> None:
        """The typed text is of a new mark; the old one keeps its own. The reason is the change in words, else."""
        prototype = self.session.prototype
        pending = prototype.pending
        if pending is None:
            return
        following = prototype.project.latest.number + 1
        build = laid_over(_mark(prototype, pending.number), pending).build
        reason_text = reason or pending_text(prototype.project, pending)
        self.session.begin_visit()
        self.session.put(prototype.project.with_mark(Mark(number=following, reason=reason_text, build=build)))
        self.session.number = following
        set_pending(self.persistence, prototype, None)
        self.requests.ask()

    def leave_field(self, *, unless_asked: bool = False) -> bool:
        """The field is left: save what changed. Returns whether anything did; what awaits an answer goes on waiting.

        `unless_asked`: not where a question comes first, after which it is called again.
        """
        told = _gives_way(self, self._typed) if self.session.current is not None and self._typed else ""
        self._typed = ""
        if self.session.current is None or (unless_asked and self.must_ask):
            return False
        prototype = self.session.prototype
        if prototype.pending is not None:
            prototype.pending = replace(prototype.pending, left=True)
        before = self.session.end_visit()
        hold_scratches(self.persistence, prototype)
        if before is None:
            if (
                prototype.save_state is SaveState.TYPING
            ):  # typed, and typed back: the file has it, and has to be told to
                self.save()
            return False
        if before.project != prototype.project:
            self.save()
        self.requests.ask()
        prototype.done = told or prototype.done
        return True

    def undo_field(self) -> None:
        """Take back what was typed into the open field in this visit; where that is nothing, forget the visit."""
        prototype = self.session.prototype
        typed = prototype.pending is not None and not prototype.pending.left
        if typed or prototype.typed:
            self.step(back=True)
        else:
            self.session.end_visit(forget=True)

    def change(self, project: Project) -> None:
        """Change the project in one step that undo takes back, and save it."""
        self.leave_field()
        self.session.begin_visit()
        self.put(project)
        self.leave_field()

    def next_mark(self, reason: str) -> None:
        """Begin the next mark with the build of the one that is looked at."""
        prototype = self.session.prototype
        if prototype.notice:
            prototype.save_state, prototype.message = SaveState.READ_ONLY, prototype.notice
            return
        following = prototype.project.latest.number + 1
        self.change(
            prototype.project.with_mark(Mark(number=following, reason=reason, build=dict(self.session.stored.build)))
        )
        self.look_at(following)

    def look_at(self, number: int) -> None:
        """Look at another mark."""
        self.leave_field()
        self.session.prototype.move_on()
        self.session.number, self.session.scratch_key = number, ""
        self.requests.turn_outlook()
        self.session.prototype.outlook.gaps = ()
        self.requests.ask()

    def step(self, back: bool) -> bool:
        """Undo the open visit or the last one (or redo), and save; return whether there was any.

        What waits for an answer goes first, and comes back first; but the text of an open field before it.
        """
        prototype = self.session.prototype
        typing, before = prototype.typed, prototype.snapshot
        waiting = pending_text(prototype.project, prototype.pending)
        if not (back and typing) and step_aside(self.persistence, prototype, back=back):
            self.session.end_visit()
            prototype.done = f"Taken back: {waiting}." if back and waiting else ""
            self.requests.ask()
            return True
        prototype.dropped = prototype.declined = None
        moved = self.session.step_back() if back else self.session.step_forward()
        prototype.done = step_text(before, prototype.snapshot, back=back)
        if moved:
            hold_scratches(self.persistence, prototype)
            if before.project != prototype.project:
                self.save()
            self.requests.ask()
        return moved

    def tell(self, text: str) -> None:
        """Say below the open prototype what was done, until the next key that does something."""
        self.session.prototype.done = text

    def save(self) -> None:
        """Save the open prototype now."""
        prototype = self.session.prototype
        if prototype.notice:
            prototype.save_state, prototype.message = SaveState.READ_ONLY, prototype.notice
        else:
            prototype.save_state = SaveState.SAVING
            self.persistence.save(prototype.path, prototype.project)

    def take(self, news: ModelResult | Saved | NotSaved | ChangedOnDisk) -> Prototype | None:
        """Take what came back into the session; return the prototype it is of, None when it came too late."""
        if isinstance(news, ModelResult):
            return self.requests.take(news)
        prototype = self.session.prototypes.get(news.path)
        if prototype is None:
            return None
        if isinstance(news, ChangedOnDisk):
            if take_changed(self.persistence, prototype) and prototype.path == self.session.current:
                self.requests.ask()
        else:
            _take_kept(prototype, news)
        return prototype

    def settle_theirs(self, theirs: Theirs, project: Project, message: str) -> None:
        """Take the project that was merged with theirs, and save it over theirs."""
        prototype = self.session.prototype
        self.persistence.start_from(prototype.path, theirs.stored)
        self.session.begin_visit()
        self.session.put(project)
        self.session.end_visit()
        prototype.message = message
        self.save()
        self.requests.ask()


def _gives_way(controller: ProjectController, name: str) -> str:
    """Empty what a start brought and the field that was typed tells by itself; return what is said of it."""
    session = controller.session
    if name in session.parsed.problems or not session.texts.get(name, ""):
        return ""
    said = []
    for each in given_way(name, session.texts):
        said.append(f"{full_label(each)} {session.texts[each]}, of the start, gives way to {full_label(name)}")
        controller.type(each, "")
    return f"{'; '.join(said)}; ctrl+z brings it back." if said else ""


def _mark(prototype: Prototype, number: int) -> Mark:
    """Return a mark; one that another window took back meanwhile is an empty one."""
    return prototype.project.marks.get(number) or Mark(number=number)


def _asks(prototype: Prototype, number: int) -> bool:
    """Whether a text of a mark waits for an answer before it is written."""
    return number not in prototype.settled and bool(prototype.project.readings_of(number))


def _take_kept(prototype: Prototype, news: Saved | NotSaved) -> None:
    if isinstance(news, NotSaved):
        prototype.save_state = SaveState.FAILED
        join = " ctrl+s joins both." if news.changed else ""
        prototype.message = f"{NOT_SAVED}: {news.message}{join}"
        return
    if prototype.project == news.project:
        prototype.save_state = SaveState.SAVED
    if prototype.message.startswith(NOT_SAVED):
        prototype.message = ""
