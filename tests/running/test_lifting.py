"""The displacer's weight: the wheel lifts it once a turn and gets it back."""

from __future__ import annotations

import numpy as np
import pytest

from model.fields import parse_build
from model.fields.starts import STARTS
from model.inputs.complete import complete_inputs
from model.prediction.predict import predict
from model.prediction.result import Figure
from model.running.operate import Operation
from model.running.samples import SampledInputs
from tests.running.drawn_engines import at, held, some

TEXTS = {start.key: dict(start.texts) for start in STARTS}
DISPLACERS = [*some(4, "gamma"), *some(3, "beta")]
G = 9.80665
"""ISO 80000-3."""


def weighing(inputs: SampledInputs, mass: float, share: float) -> Operation:
    return at(held(inputs).changed(displacer_mass=np.array([mass]), displacer_unbalanced=np.array([share])))


@pytest.mark.parametrize("inputs", DISPLACERS)
def test_the_wheel_carries_m_g_h_of_a_heavy_displacer(inputs: SampledInputs) -> None:
    """Exact: a rise and fall of two throws (on a central crank pin) is m g h, give or take what the air does alone."""
    air = at(held(inputs)).fluctuation
    for mass, share in ((0.5, 1.0), (20.0, 1.0), (20.0, 0.25)):
        done = weighing(inputs, mass, share)
        height = done.geometry.travel_hot[0]
        assert (np.abs(done.fluctuation - share * mass * G * height) <= air * (1 + 1e-9)).all()


@pytest.mark.parametrize("inputs", DISPLACERS)
def test_a_balanced_displacer_weighs_nothing(inputs: SampledInputs) -> None:
    air, balanced = at(held(inputs)), weighing(inputs, 0.5, 0.0)
    assert balanced.fluctuation == pytest.approx(air.fluctuation, rel=1e-12)
    assert balanced.torque == pytest.approx(air.torque, rel=1e-12)


@pytest.mark.parametrize("inputs", DISPLACERS)
def test_a_weight_takes_what_is_lost_on_its_way_up_and_down(inputs: SampledInputs) -> None:
    """m g h/E up and E m g h down, Senft 2007: 8 g by 7 mm at E = 0.8 cost 0.247 mJ a turn (by hand); at E = 1 nil."""
    for share, each in ((0.8, 0.45), (1.0, 0.0)):
        through = inputs.changed(effectiveness=np.array([share]))
        air, heavy = at(held(through)), weighing(through, 0.008, 1.0)
        lost = each * 0.008 * G * heavy.geometry.travel_hot[0]
        assert 2 * np.pi * (air.torque - heavy.torque) == pytest.approx(lost, rel=2e-3, abs=1e-9)


def test_under_the_sun_the_displacer_sinks_from_its_hot_end() -> None:
    """The weight meets the air's push the other way round: of both ways together at least twice the greater of the two.

    Exact, as spans of sums go: span(a + b) + span(a - b) >= 2 max(span a, span b).
    """
    inputs = held(next(i for i in DISPLACERS if i.words["layout"] == "gamma"))
    air = at(inputs)
    height = float(air.geometry.travel_hot[0])
    mass = float(air.fluctuation.mean()) / (G * height)
    below, above = (
        weighing(SampledInputs(words={**inputs.words, "heat_source": source}, values=inputs.values, size=1), mass, 1.0)
        for source in ("electric", "sun")
    )
    assert (below.fluctuation + above.fluctuation >= 2 * np.maximum(air.fluctuation, mass * G * height) - 1e-9).all()
    assert (np.abs(below.fluctuation / above.fluctuation - 1) > 1e-4).all()


def figures(texts: dict[str, str]) -> dict[str, Figure]:
    return dict(predict(complete_inputs(parse_build(texts).build), samples=20).figures)


def test_a_weighed_displacer_asks_for_a_heavier_wheel() -> None:
    weighed = {**TEXTS["1"], "wheel_mass": "300 g", "wheel_diameter": "140 mm"}
    before, after = figures(weighed), figures(weighed | {"displacer_mass": "60 g measured"})
    for key in ("least_speed", "wheel_least", "wheel_carries"):
        more, less = after[key].value, before[key].value
        assert more is not None
        assert less is not None
        assert more > less


def test_a_displacer_that_weighs_next_to_nothing_moves_no_interval_but_the_wheel_s() -> None:
    """Each input has random numbers of its own."""
    before, after = figures(TEXTS["1"]), figures(TEXTS["1"] | {"displacer_mass": "0.01 g measured"})
    assert before.keys() == after.keys()
    moved = set()
    for key, figure in before.items():
        if figure.low is None or figure.high is None:
            continue
        if [after[key].low, after[key].high] != pytest.approx([figure.low, figure.high], rel=0.01):
            moved.add(key)
    assert moved <= {"wheel_least", "wheel_carries"}
