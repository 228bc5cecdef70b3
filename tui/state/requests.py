"""What was asked of the model for the open prototype, and what comes back. A part of the `ProjectController`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from model.fields import Build
from model.record import Project, Reading
from tui.runs.model_calls import ModelRequest, ModelResult
from tui.runs.runner import Runner
from tui.state.asked import take
from tui.state.changes import ask_next, ask_tried, give_up_next, take_answer
from tui.state.curves import ask_curves
from tui.state.diagnosis import ask_diagnosis, take_diagnosis
from tui.state.engine import ask_engine
from tui.state.knowledge import ask_knowledge
from tui.state.prototype import Outlook, Prototype, parsed_build
from tui.state.session import Session, tried

NONE_ASKED = -1
"""In place of a request's number where the figures on the screen need none."""

ReadingsOfEntries = dict[str, tuple[str, int | None, Mapping[str, Reading]]]
"""Day, mark and readings of each entry: what a gap depends on."""


class Requests:
    """The newest request, and the one to fall back to."""

    def __init__(self, session: Session, runner: Runner) -> None:
        self._session = session
        self._runner = runner
        self.number = 0
        """Number of the newest request; results of others come too late."""
        self._about: tuple[Path, int, str, Build, ReadingsOfEntries] | None = None
        """What the newest is about; None: what stands on the screen is to be asked anew."""
        self._newest: ModelRequest | None = None
        self._before: ModelRequest | None = None
        """The newest when the open field was entered."""
        self._diagnosis_wanted = self._engine_wanted = self._curves_wanted = False

    def want_diagnosis(self, wanted: bool) -> None:
        """Have it diagnosed from now on, or no more, at every change of what they depend on."""
        self._diagnosis_wanted = wanted
        if wanted:
            ask_next(self._session, self._runner, looked_at=True)
            ask_diagnosis(self._session, self._runner)
        else:
            give_up_next(self._session, self._runner)

    def want_curves(self, wanted: bool) -> None:
        """Have curves drawn from now on, or no more, at every change of what they depend on."""
        self._curves_wanted = wanted
        if wanted:
            ask_curves(self._session, self._runner)
        else:
            self._runner.curves.give_up()

    def want_engine(self, wanted: bool) -> None:
        """Have it drawn from now on, or no more, at every change of its texts."""
        self._engine_wanted = wanted
        if wanted:
            ask_engine(self._session, self._runner)

    def forget(self) -> None:
        """Another prototype is open: what stands on the screen is to be asked anew."""
        self._about = None

    def turn_outlook(self) -> None:
        """Let the figures be those of what is looked at: of a scratch copy, beside its mark's, or of a mark."""
        prototype, key = self._session.prototype, self._session.scratch_key
        if prototype.outlook_of == key:
            return
        if prototype.own is None:
            prototype.own = prototype.outlook
        prototype.outlook = replace(prototype.own, gaps=()) if key else prototype.own
        prototype.own = prototype.own if key else None
        prototype.outlook_of, self._about = key, None

    def begin_field(self) -> None:
        """A field is opened: `fall_back` comes back to what was asked now."""
        self._before = self._newest

    def ask(self) -> None:
        """Ask for a prediction of what stands on the screen, unless it is asked already or a field is flagged.

        The diagnosis of an engine that does not run is asked with it while it is looked at.
        """
        session = self._session
        self.turn_outlook()
        if self._engine_wanted:
            ask_engine(session, self._runner)
        ask_knowledge(session, self._runner)
        ask_tried(session, self._runner)
        ask_next(session, self._runner, looked_at=self._diagnosis_wanted)
        if self._curves_wanted:
            ask_curves(session, self._runner)
        if self._diagnosis_wanted:
            ask_diagnosis(session, self._runner)
        prototype, parsed = session.prototype, session.parsed
        outlook = prototype.outlook
        if parsed.problems and outlook.mark == session.number and (outlook.prediction is not None or outlook.pending):
            return
        readings = readings_of_entries(prototype.project)
        about = (prototype.path, session.number, session.scratch_key, parsed.build, readings)
        if self._about == about:
            return
        self._about = about
        outlook.pending = True
        outlook.gaps_old = bool(outlook.gaps)
        self._newest = ModelRequest(
            path=prototype.path, build=parsed.build, project=tried(session), mark=session.number,
            scratch=session.scratch is not None, beside=self._beside(),
        )  # fmt: skip
        self.number = self._runner.ask(self._newest)

    def _beside(self) -> ModelRequest | None:
        """Return the question of the mark whose scratch copy is looked at, where it has no answer yet."""
        session, own = self._session, self._session.prototype.own
        if session.scratch is None:
            return None
        build = parsed_build(session.own).build
        if own is not None and (own.build, own.mark) == (build, session.number) and own.prediction is own.spread:
            return None
        return ModelRequest(path=session.prototype.path, build=build, project=session.shown, mark=session.number)

    def fall_back(self) -> None:
        """Let the figures be those of before the open field was entered: what was typed on the way was no engine."""
        prototype = self._session.prototype
        if prototype.before is None or (self._about is None and prototype.outlook.build == prototype.before.build):
            return
        prototype.outlook = replace(prototype.before, mark=self._session.number)
        self._about = None
        again = self._before if prototype.before.pending else None
        self.number = NONE_ASKED if again is None else self._runner.ask(again)

    def take(self, result: ModelResult) -> Prototype | None:
        """Take what came back into the session; return the prototype it is of, None when it came too late."""
        request = result.request
        prototype = self._session.prototypes.get(request.path)
        if prototype is None:
            return None
        opened = self._session.current == request.path
        if request.question is not None:
            in_time = take_answer(prototype, result)
            if in_time and opened and self._diagnosis_wanted:
                ask_diagnosis(self._session, self._runner)  # it lets the list of changes go first
            return prototype if in_time else None
        if result.of_knowledge:
            return prototype if take(prototype.knowledge, result, result.knowledge) else None
        if result.of_diagnosis:
            return prototype if take_diagnosis(prototype.diagnosis, result) else None
        if result.listed:
            asked = parsed_build(prototype.project.latest).build, readings_of_entries(prototype.project)
            if opened or asked != (request.build, readings_of_entries(request.project)):
                return None
        elif not opened or request.number != self.number:
            return None
        if result.beside:
            prototype.own = prototype.own or Outlook()
        outlook = prototype.own if result.beside and prototype.own else prototype.outlook
        outlook.failure = result.failure
        if result.failure:
            outlook.pending = False
        if result.prediction is not None:
            outlook.build, outlook.mark, outlook.prediction = request.build, request.mark, result.prediction
            if result.prediction.has_interval or result.prediction.reason:
                outlook.spread = result.prediction
                outlook.pending = False
            if self._engine_wanted and opened:
                ask_engine(self._session, self._runner)  # it has a speed now
        if result.gaps is not None:
            outlook.gaps, outlook.gaps_old = result.gaps, False
        return prototype


def readings_of_entries(project: Project) -> ReadingsOfEntries:
    """Return what the gaps of a project depend on."""
    return {e.key: (e.day, e.mark, e.readings) for e in project.entries.values() if e.readings}
