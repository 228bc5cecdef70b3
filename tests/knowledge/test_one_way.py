"""What is measured reaches what an engine has shown in one way: as a fact that weighs engines."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from model.bench import evidence
from model.knowledge import allowances, not_running
from model.knowledge import facts as facts_module
from model.knowledge.allowances import allowances_of
from model.knowledge.facts import facts_of
from model.knowledge.latents import chain_of
from model.knowledge.learn import learn
from model.knowledge.not_running import diagnose
from model.quantities.uncertain import How
from tests.knowledge.stories import FLAT, entry, project, speed

pytestmark = pytest.mark.usefixtures("few_drawn")
ROOT = Path(__file__).parents[2]
GRAMS = ("rim_weight", {"weight": "0.05 g +-0.005", "radius": "60 mm"})
HEAVIER = {**FLAT, "wheel_mass": "60 g"}
HALF = ("leak_down", {"time": "3 s +-0.5"})
DRAWING = {"explain/as_drawn.py"}
"""Who tells what a drawing says, parts measured on their own on its mark put in (grams, half-times): no other may read
a value out of them."""
READ_READINGS = {"curves/measured.py", "explain/gap.py", "explain/lasting.py", "explain/diagnosis/before_running.py",
                 "knowledge/facts.py", "knowledge/allowances.py"}  # fmt: skip
"""Who reads what readings say, beyond `bench` and `checks`: what was measured beside a prediction, the facts, and of
`allowances` the temperatures at which it is asked."""


def test_no_reading_puts_a_value_into_the_inputs_of_the_engines(monkeypatch: pytest.MonkeyPatch) -> None:
    """Were a value put in, it would count twice: once as an input, once as a fact."""

    def never(*args: object, **named: object) -> None:
        raise AssertionError("a reading was read for a value")

    trial = project(FLAT, entries=(entry("a", 1, GRAMS, HALF), entry("b", 1, speed(280))))
    monkeypatch.setattr(evidence, "evidence_of", never)
    chain = chain_of(trial, 1)
    assert not [name for name, value in chain.inputs[1].values.items() if value.how is How.MEASURED]
    assert "leak_half_time" not in chain.inputs[1].values
    known = learn(trial, 1)
    assert len(known.readings) == 3
    friction = next(item for item in known.unknowns if item.key == "friction_torque")
    assert friction.narrowed < 0.7


def test_without_facts_the_readings_say_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """With the one way closed, a project with readings and one without are known alike."""
    trial = project(FLAT, entries=(entry("a", 1, GRAMS), entry("b", 1, speed(280))))
    monkeypatch.setattr("model.knowledge.learn.facts_of", lambda *args, **named: facts_module.Facts())
    assert learn(trial, 1).readings == ()
    assert facts_of(trial, chain_of(trial, 1)).all


def test_without_facts_the_causes_and_what_it_bears_are_those_of_the_drawing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Grams on Mk 1, a half-time and a word on Mk 2: with the one way closed none of them moves anything."""
    bounce = ("bounce", {"bounce": "no"})
    trial = project(FLAT, HEAVIER, entries=(entry("a", 1, GRAMS), entry("b", 2, HALF, bounce, ticks=("binds",))))
    assert diagnose(trial, mark=2).observations
    for module in (not_running, allowances):
        monkeypatch.setattr(module, "facts_of", lambda *args, **named: facts_module.Facts())
    bare = project(FLAT, HEAVIER)
    assert diagnose(trial, mark=2) == diagnose(bare, mark=2)
    assert allowances_of(trial, mark=2) == allowances_of(bare, mark=2)


def _imports(module: str, name: str) -> set[str]:
    """Return the files of the model that import a name of a module."""
    readers = set()
    for path in sorted((ROOT / "model").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module == module and name in [a.name for a in node.names]:
                readers.add(path.relative_to(ROOT / "model").as_posix())
    return readers


def test_only_those_who_tell_a_drawing_read_values_out_of_readings() -> None:
    assert _imports("model.bench.evidence", "evidence_of") == DRAWING


def test_what_a_reading_says_is_read_where_it_becomes_a_fact_or_stands_beside_a_prediction() -> None:
    readers = {
        path for path in _imports("model.bench.reading", "values_of") if not path.startswith(("bench", "checks"))
    }
    assert readers == READ_READINGS
