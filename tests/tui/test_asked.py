"""What was asked for one prototype and lost its place to another's is asked again, and comes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from model.explain.diagnosis.diagnose import Diagnosis
from model.record import Entry
from tests.tui.test_shown import KNOWN, measured
from tui.runs.model_calls import ModelResult
from tui.runs.runner import Runner
from tui.state.asked import request_of, take
from tui.state.diagnosis import ask_diagnosis, take_diagnosis
from tui.state.knowledge import ask_knowledge
from tui.state.prototype import Prototype
from tui.state.session import Session

ASKS: dict[str, Callable[[Session, Runner], None]] = {"knowledge": ask_knowledge, "diagnosis": ask_diagnosis}


def two(*, found: bool = True) -> tuple[Session, Runner]:
    """Return two prototypes that bind, or of which the second shows nothing; and a runner that never begins to work."""
    session = Session(Path())
    for name in ("a", "b"):
        entries = {name: Entry(key=name, ticks=("binds",))} if found or name == "a" else {}
        session.add(Prototype(path=Path(f"{name}.toml"), project=replace(measured(), name=name, entries=entries)))
    return session, Runner(lambda result: None)


@pytest.mark.parametrize("found", [True, False])
@pytest.mark.parametrize("which", ASKS)
def test_a_question_whose_place_another_prototype_took_is_asked_again(which: str, found: bool) -> None:
    session, runner = two(found=found)
    awaits = {"knowledge": runner.knowledge.awaits, "diagnosis": runner.awaits_diagnosis}[which]
    for name, still in (("a", True), ("b", False), ("a", True)):
        session.open(Path(f"{name}.toml"))
        ASKS[which](session, runner)
        first = session.prototypes[Path("a.toml")]
        state = {"knowledge": first.knowledge, "diagnosis": first.diagnosis}[which]
        assert state.waits
        assert awaits(state.number) is still


def test_where_only_the_last_of_an_answer_was_displaced_it_is_asked_again_too() -> None:
    session, runner = two()
    first = session.open(Path("a.toml"))
    for ask in ASKS.values():
        ask(session, runner)
    known, causes = first.knowledge, first.diagnosis
    of_known = ModelResult(request=replace(request_of(session), number=known.number), listed=False, knowledge=KNOWN)
    assert take(known, of_known, KNOWN)
    of_causes = ModelResult(
        request=replace(request_of(session), number=causes.number), listed=False, diagnosis=Diagnosis()
    )
    assert take_diagnosis(causes, of_causes)
    for name in ("b", "a"):
        session.open(Path(f"{name}.toml"))
        for ask in ASKS.values():
            ask(session, runner)
    assert runner.knowledge.awaits(known.number)
    assert runner.awaits_diagnosis(causes.number)
    assert known.answer is KNOWN
