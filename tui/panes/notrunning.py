"""An engine that does not run: causes with their probability, the next test, what it would mean. Part of `next`.

Two faces: what is known, and the form of the reading that a test is written down as. When the form goes back, what was
found moves the causes. The diagnosis is asked while this pane is looked at, and is flagged as old until it has come.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import work

from model.bench.kinds import kind_of
from model.checks.seen_running import SeenRunning, seen_running
from tui.dialogs.ask_entry import ask_day, ask_kind
from tui.dialogs.ask_seen import ask_seen
from tui.dialogs.base import ChoiceDialog, Option
from tui.panes.benchpane import BenchPane, begun
from tui.state.controller import ProjectController
from tui.state.knowledge import knowledge_of
from tui.state.session import Session
from tui.view.diagnosis import (
    about_cause,
    pane_lines,
    running_lines,
    sheet_lines,
    shown_causes,
    tests_of,
    tightest_text,
)
from tui.view.first_test import in_order
from tui.view.keys import NEXT, Hints, hints
from tui.view.layout import READABLE, Room
from tui.view.lines import Line, text_of, wrapped
from tui.view.next import nearest_lines, sentence_lines
from tui.view.readings import kind_label
from tui.widgets.screen import own_keys

if TYPE_CHECKING:
    from model.explain.diagnosis.diagnose import Advice, RankedCause


class NotRunningPane(BenchPane):
    """Shows why it does not run and what to try next."""

    room: ClassVar[Room] = Room.DENSE
    wants_diagnosis: ClassVar[bool] = True

    def __init__(self, controller: ProjectController, *, id: str, colour: bool, plain: bool) -> None:
        super().__init__(controller, id=id, colour=colour, plain=plain)
        self.test_at = ""
        """Key of the test under the cursor; empty for the next one, whichever it is."""
        self.cause_at = ""
        """Key of the cause under the cursor; empty for the first."""
        self.on_cause = False
        """Whether Enter writes down the cause under the cursor, not the test."""
        self.hidden = False
        """Whether part of the test is below what is shown."""
        self.listing.keys = own_keys(NEXT, self)

    # -- what is shown ------------------------------------------------------------------------------------------

    @property
    def tests(self) -> tuple[Advice, ...]:
        """The tests that can be turned to; those of experienced builders where there is no diagnosis."""
        session = self.controller.session
        diagnosis = session.prototype.diagnosis.answer
        if diagnosis is None or seen_by(self) is not None:
            return ()
        source = session.texts.get("heat_source", "")
        tests = builders_tests(source) if diagnosis.reason else tests_of(diagnosis)
        return in_order(session.prototype, session.number, tests)

    @property
    def test_number(self) -> int:
        """Number of the test under the cursor, from 0."""
        return next((i for i, test in enumerate(self.tests) if test.key == self.test_at), 0)

    @property
    def causes(self) -> tuple[RankedCause, ...]:
        """The causes that are listed."""
        diagnosis = self.controller.session.prototype.diagnosis.answer
        if diagnosis is None or diagnosis.reason or seen_by(self) is not None:
            return ()
        return shown_causes(diagnosis, self.listing.size.height)

    @property
    def cause_number(self) -> int:
        """Number of the cause under the cursor, from 0."""
        return next((i for i, cause in enumerate(self.causes) if cause.key == self.cause_at), 0)

    def show_face(self) -> None:
        """Draw what is known."""
        width, height = max(40, min(READABLE, self.listing.size.width)), self.listing.size.height
        seen, session = seen_by(self), self.controller.session
        lines = (
            self._loses(seen, width)
            if seen is not None
            else [
                *([] if _without(session) else sentence_lines(session, width)),
                *pane_lines(
                    session, width, height, causes=self.causes, cause=self.cause_number, tests=self.tests,
                    test=self.test_number,
                ),
                *nearest_lines(session, width),
            ]
        )  # fmt: skip
        top = max(0, min(self.listing.top, len(lines) - height))
        self.hidden = any(text_of(line).startswith("  If ") for line in lines[top + height :])
        self.listing.show_lines(lines, top)

    def _loses(self, seen: SeenRunning, width: int) -> list[Line]:
        """Return what a running mark loses by: from what it has shown, where that is known, else as drawn."""
        session = self.controller.session
        known = knowledge_of(session)
        prediction = known.prediction if known else session.prototype.outlook.prediction
        return running_lines(seen, prediction, width, shown=known is not None)

    def why(self, width: int) -> list[Line]:
        """Return all causes with what moved them, all observations, all tests, all allowances."""
        seen = seen_by(self)
        return sheet_lines(self.controller.session, width) if seen is None else self._loses(seen, width)

    def advice(self, width: int, height: int) -> list[Line]:
        """Say what contradicts, what moved the cause under the cursor, what is tightest, and the remedy."""
        if self.form.opened is not None:
            return self.form.advice(width, height)
        state = self.controller.session.prototype.diagnosis
        if state.answer is None or seen_by(self) is not None:
            return []
        lines: list[Line] = []
        contradictions = state.answer.contradictions
        if contradictions:
            more = f" (and {len(contradictions) - 1} more: w)" if len(contradictions) > 1 else ""
            lines += wrapped(f"! Contradiction: {contradictions[0]}{more}", width, role="flag", rest="  ")[:2]
        if self.causes:
            lines += about_cause(self.causes[self.cause_number], width)[: max(1, height - len(lines) - 1)]
        tight = tightest_text(state)
        return [*lines, *(wrapped(tight, width, rest="  ") if tight else [])][:height]

    def hints(self) -> Hints:
        """Keys of the face that is shown."""
        if self.form.opened is not None:
            return self.form.hints()
        tests = self.tests
        if not tests:
            return hints(NEXT, "symptom", "add")
        timed = ("time",) if timed_kinds(tests[self.test_number].readings) else ()
        cause = (*hints(NEXT, "move_cause(1)"), ("w", "all of it")) if self.causes else ()
        return (
            *(*hints(NEXT, "write")[:-1], ("Enter", "seen here" if self.on_cause else "write down")),
            *hints(NEXT, "move_row(-1)"), *((("PgDn", "if ..."),) if self.hidden else ()),
            *hints(NEXT, *timed, "symptom"), *cause, *hints(NEXT, "add"),
        )  # fmt: skip

    # -- keys ---------------------------------------------------------------------------------------------------

    def action_move_row(self, step: int) -> None:
        """Turn to another test."""
        tests, self.on_cause = self.tests, False
        if tests:
            number = max(0, min(len(tests) - 1, self.test_number + step))
            self.test_at = tests[number].key if number else ""
            self._redraw(top=0)

    def action_move_cause(self, step: int) -> None:
        """Turn to another cause, round the end."""
        causes = self.causes
        if causes:
            self.on_cause = True
            self.cause_at = causes[(self.cause_number + step) % len(causes)].key
            self._redraw(top=0)

    def action_scroll_lines(self, step: int) -> None:
        """Show what is below or above."""
        self._redraw(top=max(0, self.listing.top + step))

    def _redraw(self, *, top: int) -> None:
        self.listing.top = top
        self.show_face()
        self.post_message(self.Changed())

    def action_write(self) -> None:
        """Write down what the test under the cursor showed, or what is seen of the cause."""
        if self.on_cause and self.causes:
            self._write_seen(self.causes[self.cause_number])
        elif self.tests:
            test = self.tests[self.test_number]
            self._write_down(test.key, test.readings)

    def action_time(self) -> None:
        """Time the test under the cursor, and write that down."""
        if self.tests:
            test = self.tests[self.test_number]
            self._write_down(test.key, timed_kinds(test.readings), timed=True)

    @work
    async def _write_seen(self, cause: RankedCause) -> None:
        """Write down what is seen of a cause: ticks, and a line in the diary."""
        if not self.controller.session.prototype.notice:
            await ask_seen(self.app, self.controller, cause.key, cause.label, self.colour)
            self.refresh_pane()
            self.post_message(self.Changed())

    @work
    async def action_add(self) -> None:
        """Write down a reading of any kind."""
        kind = await ask_kind(self.app, "", self.colour)
        if kind:
            self._write_down("", (kind,))

    @work
    async def action_symptom(self) -> None:
        """Search a symptom; what it points to is shown with its test, which can be written down."""
        from tui.dialogs.symptoms import SymptomScreen

        dialog = SymptomScreen(colour=self.colour)
        _, use = await self.app.push_screen_wait(dialog)
        if use and dialog.chosen is not None:
            key = dialog.chosen.test
            self._write_down(key, readings_of(key))

    @work
    async def _write_down(self, key: str, kinds: tuple[str, ...], *, timed: bool = False) -> None:
        """Open the form of a reading for a test; where it yields several, ask which."""
        prototype = self.controller.session.prototype
        if prototype.notice or not kinds:
            return
        kind = kinds[0]
        if len(kinds) > 1:
            kind = await _ask_which(self, kinds)
        day = await ask_day(self.app, self.controller, prototype.project, self.colour) if kind else ""
        if not day or self.controller.session.current != prototype.path:
            return
        texts = preset_texts(key, kind)
        self.open_form(begun(self.controller, day=day, kind=kind, texts=texts))
        if timed:
            self.form.action_stopwatch()


def _without(session: Session) -> bool:
    """Whether there is no diagnosis, which says why: the changes would say the same."""
    answer = session.prototype.diagnosis.answer
    return answer is not None and bool(answer.reason)


def seen_by(pane: NotRunningPane) -> SeenRunning | None:
    """Return by what the mark was seen running; None where it was not."""
    session = pane.controller.session
    return seen_running(session.prototype.project, session.number)


async def _ask_which(pane: NotRunningPane, kinds: tuple[str, ...]) -> str:
    """Ask which of several readings a test is written down as."""
    options = tuple(
        Option(key=f"{number}", label=kind_label(kind), help=declared.help if (declared := kind_of(kind)) else "")
        for number, kind in enumerate(kinds, 1)
    )
    text = "This test yields several readings. Write down one, then the other."
    answer = await pane.app.push_screen_wait(ChoiceDialog("What was found?", text, options, colour=pane.colour))
    return {f"{number}": kind for number, kind in enumerate(kinds, 1)}.get(answer, "")


def readings_of(key: str) -> tuple[str, ...]:
    """Return the kinds of reading that a test is written down as."""
    from model.explain.diagnosis.bench_tests import bench_test

    return tuple(dict.fromkeys(bench_test(part).reading for part in bench_test(key).yields if bench_test(part).reading))


def timed_kinds(kinds: Iterable[str]) -> tuple[str, ...]:
    """Return those of some kinds of reading that have a time."""
    return tuple(kind for kind in kinds if (declared := kind_of(kind)) is not None and declared.timed is not None)


def preset_texts(key: str, kind: str) -> dict[str, str]:
    """Return what a test says by itself of the reading that it is written down as; nothing where it is no test."""
    from model.explain.diagnosis.bench_tests import BENCH_TESTS

    return dict(next((test.presets.get(kind, {}) for test in BENCH_TESTS if test.key == key), {}))


def builders_tests(heat_source: str) -> tuple[Advice, ...]:
    """Return the tests in the fixed order of experienced builders, without numbers to expect."""
    from model.explain.diagnosis.bench_tests import BUILDERS_ORDER, bench_test, caution_of
    from model.explain.diagnosis.diagnose import Advice

    kinds = {key: readings_of(key) for key in BUILDERS_ORDER}
    return tuple(
        Advice(
            key=test.key, label=test.label, how=test.how, needs=test.needs, minutes=test.minutes,
            caution=caution_of(test, heat_source), sharp=test.sharp,
            reading=kinds[test.key][0], readings=kinds[test.key], expected="", healthy="", branches=(), bits=0.0,
        )
        for test in map(bench_test, BUILDERS_ORDER)
    )  # fmt: skip
