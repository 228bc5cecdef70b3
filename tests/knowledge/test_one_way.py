"""What is measured reaches what an engine has shown in one way: as a fact that weighs engines."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from model.bench import evidence
from model.knowledge import facts as facts_module
from model.knowledge.facts import facts_of
from model.knowledge.latents import chain_of
from model.knowledge.learn import learn
from model.quantities.uncertain import How
from tests.knowledge.stories import FLAT, entry, project, speed

ROOT = Path(__file__).parents[2]
GRAMS = ("rim_weight", {"weight": "0.05 g +-0.005", "radius": "60 mm"})
HALF = ("leak_down", {"time": "3 s +-0.5"})
DRAWING = {"explain/outlook.py", "explain/gap.py", "explain/lasting.py", "explain/diagnosis/allowances.py",
           "explain/diagnosis/before_running.py", "explain/diagnosis/spindowns.py"}  # fmt: skip
"""Who tells what a drawing says, grams and half-times of its own mark put in: no other may read a value out of them."""


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


def test_only_those_who_tell_a_drawing_read_values_out_of_readings() -> None:
    readers = set()
    for path in sorted((ROOT / "model").rglob("*.py")):
        names = {
            alias.name
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.ImportFrom) and node.module == "model.bench.evidence"
            for alias in node.names
        }
        if "evidence_of" in names:
            readers.add(path.relative_to(ROOT / "model").as_posix())
    assert readers == DRAWING
