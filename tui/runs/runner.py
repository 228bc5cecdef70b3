"""The only caller of the model on screen: numbered runs in four queues, each with a thread; late results are dropped.

A queue holds the newest question only (the list queue: one for each prototype). An answer carries its question;
`ProjectController` drops those that are not of the newest. The value comes first, its interval after a pause without
new questions, the rest behind it. The calls themselves stand in `model_calls`. Knows no widget: answers go to `post`, a
function that is safe to call from any thread.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Collection
from dataclasses import replace
from functools import partial
from pathlib import Path

from model.fields import Build
from tui.host.memory import trim
from tui.runs.model_api import (
    SAMPLES,
    Allowances,
    Changes,
    Diagnose,
    Expect,
    Gaps,
    Lasting,
    Learn,
    Look,
    Predict,
    default_allowances,
    default_diagnose,
    default_gaps,
    default_predict,
    no_changes,
    no_expect,
    no_lasting,
    no_learn,
    no_look,
)
from tui.runs.model_calls import ModelCalls, ModelRequest, ModelResult
from tui.runs.newest_queue import NewestQueue

PAUSE = 0.03
"""How long without a new question before an interval is begun, [s]."""


class Runner:
    """Queues of runs: the open prototype's, which goes first, the list's, the diagnosis', and the allowances'."""

    def __init__(
        self,
        post: Callable[[ModelResult], None],
        *,
        predict: Predict = default_predict,
        lasting: Lasting = no_lasting,
        gaps: Gaps = default_gaps,
        diagnose: Diagnose = default_diagnose,
        allowances: Allowances = default_allowances,
        look: Look = no_look,
        learn: Learn = no_learn,
        expect: Expect = no_expect,
        changes: Changes = no_changes,
        yield_to_ui: Callable[[], None] = lambda: None,
    ) -> None:
        """Take where answers go, the model API, and what a queue does at each checkpoint for others' sake."""
        self._calls = ModelCalls(
            post=post, predict=predict, lasting=lasting, gaps=gaps, diagnose=diagnose, allowances=allowances,
            look=look, learn=learn, expect=expect, changes=changes, yield_to_ui=yield_to_ui,
        )  # fmt: skip
        self._bell = threading.Condition()
        self.knowledge = NewestQueue(self._calls.post_knowledge, self._bell, lambda: self._first)
        """What marks have shown."""
        self.rows = NewestQueue(self._calls.post_changes, self._bell, lambda: self.knowledge.busy)
        """Rows of values, and aims: somebody waits for them; only learning, on which they stand, goes first."""
        self.tries = NewestQueue(
            self._calls.post_changes, self._bell, lambda: self._first or self.knowledge.busy or self.rows.busy
        )
        """Scratch copies beside their marks."""
        self.changes = NewestQueue(
            self._calls.post_changes, self._bell, lambda: self._first or any(q.busy for q in self._before_changes)
        )
        """What to change next."""
        self.engine = NewestQueue(self._calls.post_changes, self._bell, lambda: False)
        """What the engine looks like: somebody looks at it."""
        self.curves = NewestQueue(
            self._calls.post_changes, self._bell, lambda: self._first or self.knowledge.busy or self.rows.busy
        )
        """Curves, which stand on what was learnt."""
        self._before_changes = (self.knowledge, self.rows, self.tries)
        self._newest = {
            "knowledge": self.knowledge, "rows": self.rows, "tries": self.tries, "changes": self.changes,
            "engine": self.engine, "curves": self.curves,
        }  # fmt: skip
        self._open: ModelRequest | None = None
        self._listed: dict[Path, ModelRequest] = {}
        self._diagnosis_request: ModelRequest | None = None
        self._diagnosis_number = 0
        """Number of the newest request in the diagnosis' queue."""
        self._allowances_request: ModelRequest | None = None
        self._diagnosed: Build | None = None
        """Build of the last diagnosis: an observation on the same build is counted at once, before any interval."""
        self._number = 0
        self._asked = 0
        """Questions in the queue of the open prototype so far: a run of the list gives way to one, however short."""
        self._busy = 0
        self._opening = False
        self._stopped = False
        self._started = False

    def start(self) -> None:
        """Begin to work; call after the first paint."""
        if not self._started:
            self._started = True
            works: dict[str, Callable[[], None]] = {
                "open": self._work_open, "list": self._work_list, "diagnosis": self._work_diagnosis,
                "allowances": self._work_allowances,
            }  # fmt: skip
            works |= {name: partial(queue.work, partial(_rest, self)) for name, queue in self._newest.items()}
            for name, work in works.items():
                threading.Thread(target=work, name=f"predict-{name}", daemon=True).start()

    def stop(self) -> None:
        """Give up all questions and end the threads."""
        with self._bell:
            self._stopped = True
            self._open = self._diagnosis_request = self._allowances_request = None
            self._listed.clear()
            for queue in self._newest.values():
                queue.stop()
            self._bell.notify_all()

    def ask(self, request: ModelRequest) -> int:
        """Ask in the queue of the open prototype: takes the place of the question before; returns its number."""
        with self._bell:
            self._number += 1
            self._asked += 1
            self._open = _numbered(request, self._number)
            self._bell.notify_all()
            return self._number

    def ask_listed(self, request: ModelRequest) -> None:
        """Ask in the list's queue: takes the place of the question of the same prototype only."""
        with self._bell:
            self._number += 1
            self._listed[request.path] = _numbered(request, self._number)
            self._bell.notify_all()

    def keep_listed(self, paths: Collection[Path]) -> set[Path]:
        """Give up the questions of the list that are of other prototypes; return theirs."""
        with self._bell:
            given_up = set(self._listed) - set(paths)
            for path in given_up:
                del self._listed[path]
            return given_up

    def ask_diagnosis(self, request: ModelRequest) -> int:
        """Ask why a prototype does not run: takes the place of the question before; returns its number."""
        with self._bell:
            self._number += 1
            self._diagnosis_request = _numbered(request, self._number)
            self._diagnosis_number = self._number
            self._bell.notify_all()
            return self._number

    def awaits_diagnosis(self, number: int) -> bool:
        """Whether the diagnosis of a number is the newest, so that it still comes, or its allowances do."""
        return number == self._diagnosis_number

    @property
    def idle(self) -> bool:
        """Whether nothing is asked or being worked on."""
        with self._bell:
            return not (
                self._busy
                or self._opening
                or self._open
                or self._listed
                or self._diagnosis_request
                or self._allowances_request
                or any(queue.busy for queue in self._newest.values())
            )

    def _work_open(self) -> None:
        while True:
            with self._bell:
                self._bell.wait_for(lambda: self._open is not None or self._stopped)
                if self._stopped or self._open is None:
                    return
                request, self._open = self._open, None
                self._opening = True
            try:
                self._run_open(request)
            finally:
                with self._bell:
                    self._opening = False
                    self._bell.notify_all()
            _rest(self)

    def _run_open(self, request: ModelRequest) -> None:
        def pause() -> bool:
            """Rest behind the value: while keys come, no interval is begun."""
            with self._bell:
                return self._bell.wait_for(self._late, timeout=PAUSE)

        whole = self._calls.stages(request, self._late, pause)
        if whole is not None and request.beside is not None:
            beside = replace(request.beside, number=request.number)
            whole = self._calls.stages(beside, self._late, pause, beside=True) and whole
        if whole is not None and not request.scratch:
            self._calls.compare(request, samples=SAMPLES, listed=False, late=self._late)
            if not self._late():  # last, as it costs more than all the rest
                self._calls.add_lasting(request, whole, self._late)

    def _work_list(self) -> None:
        while True:
            with self._bell:
                self._bell.wait_for(lambda: (self._listed and not self._first) or self._stopped)
                if self._stopped:
                    return
                path = next(iter(self._listed))
                request = self._listed.pop(path)
                self._busy += 1
            try:
                self._run_listed(request)
            finally:
                with self._bell:
                    self._busy -= 1
                    self._bell.notify_all()
            _rest(self)

    def _run_listed(self, request: ModelRequest) -> None:
        """Work on the list's question; one that has to give way to the open prototype is put back."""
        with self._bell:
            asked = self._asked

        def late() -> bool:
            return self._first or self._asked != asked

        done = self._calls.whole(request, late) and self._calls.compare(
            request, samples=request.gap_samples, listed=True, late=late
        )
        if not done and late():
            with self._bell:
                self._listed.setdefault(request.path, request)

    def _work_diagnosis(self) -> None:
        def may() -> bool:
            """A diagnosis waits for the open prototype; where only an observation is new, it comes first."""
            return self._diagnosis_request is not None and (
                not self._first or self._diagnosis_request.build == self._diagnosed
            )

        while True:
            with self._bell:
                self._bell.wait_for(lambda: may() or self._stopped)
                if self._stopped or self._diagnosis_request is None:
                    return
                request, self._diagnosis_request = self._diagnosis_request, None
                self._busy += 1
            try:
                if self._calls.post_diagnosis(
                    request, self._diagnosis_late(request), partial(self._keep_diagnosed, request)
                ):
                    with self._bell:
                        self._allowances_request = request
            finally:
                with self._bell:
                    self._busy -= 1
                    self._bell.notify_all()
            _rest(self)

    def _work_allowances(self) -> None:
        """Work out allowances on a thread of their own: a new observation need not wait for them."""
        while True:
            with self._bell:
                self._bell.wait_for(lambda: (self._allowances_request is not None and not self._first) or self._stopped)
                if self._stopped or self._allowances_request is None:
                    return
                request, self._allowances_request = self._allowances_request, None
                self._busy += 1
            try:
                self._calls.post_allowances(request, self._diagnosis_late(request))
            finally:
                with self._bell:
                    self._busy -= 1
                    self._bell.notify_all()
            _rest(self)

    def _keep_diagnosed(self, request: ModelRequest) -> None:
        self._diagnosed = request.build

    @property
    def _first(self) -> bool:
        """Whether the open prototype's queue has work, which goes first."""
        return self._open is not None or self._opening or self._stopped

    def _late(self) -> bool:
        return self._open is not None or self._stopped

    def _diagnosis_late(self, request: ModelRequest) -> Callable[[], bool]:
        return lambda: request.number != self._diagnosis_number or self._stopped


def _rest(runner: Runner) -> None:
    """Where nothing more is asked, give back what the work took."""
    if runner.idle:
        trim()


def _numbered(request: ModelRequest, number: int) -> ModelRequest:
    return replace(request, number=number)
