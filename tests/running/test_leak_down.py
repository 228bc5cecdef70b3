"""A U-tube on a closed chamber: by hydrostatics, and by swings of a chamber marched in time."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from model.bench.evidence import evidence_of, hose_of
from model.bench.reading import ReadingValues
from model.fields import parse_build, parse_fields
from model.inputs.complete import complete_inputs
from model.physics.leak import u_tube_compliance
from model.prediction.predict import predict
from model.record import Entry, Mark, Project, Reading
from model.running import leak_down
from model.running.engine import geometry
from model.running.operate import leak_conductance
from model.running.samples import SampledInputs, central
from tests.diagnosis.builds import BUILDS

ROOM = 1e5
CAN = {name: text for name, text in BUILDS["can, rubber"].items() if name != "leak_half_time"}


def inputs_of(*readings: dict[str, str], build: dict[str, str] = CAN) -> SampledInputs:
    entry = Entry(
        key="kaaaaa",
        mark=1,
        readings={f"r{n}": Reading(key=f"r{n}", kind="leak_down", texts=t) for n, t in enumerate(readings)},
    )
    project = Project(name="x", marks={1: Mark(number=1, build=build)}, entries={"kaaaaa": entry})
    made = complete_inputs(parse_build(build).build, evidence_of(project, 1))
    return central(made.words, made.values)


def leak_of(*readings: dict[str, str], build: dict[str, str] = CAN) -> float:
    inputs = inputs_of(*readings, build=build)
    return float(leak_conductance(inputs, geometry(inputs, angles=16))[0])


def air_of(inputs: SampledInputs) -> float:
    return float(leak_down.effective_volume(inputs, geometry(inputs, angles=16))[0])


def by_hand(bore: float) -> float:
    """Air that follows the water for a level difference of 1 cm, 98.0665 Pa: half a centimetre in each limb."""
    return math.pi / 4 * bore**2 * 0.005 / 98.0665


@pytest.mark.parametrize("bore", [2e-3, 4e-3, 6e-3])
def test_a_centimetre_of_water_moves_half_a_centimetre_of_hose(bore: float) -> None:
    """Hydrostatics, exact."""
    assert float(u_tube_compliance(bore=bore)) == pytest.approx(by_hand(bore), rel=1e-9)


@pytest.mark.parametrize(("bore", "share"), [(2e-3, 0.15), (4e-3, 0.61), (6e-3, 1.37)])
def test_what_it_adds_to_a_can(bore: float, share: float) -> None:
    """105 ml at 1 bar, by hand: 16.0, 64.1 and 144 ml more."""
    assert ROOM * by_hand(bore) / 105e-6 == pytest.approx(share, rel=0.02)
    assert ROOM * float(u_tube_compliance(bore=bore)) / 105e-6 == pytest.approx(share, rel=0.02)


def test_a_half_time_read_on_a_hose_is_of_a_larger_leak() -> None:
    """(V + p C) G^-1: by hand with the same chamber; a sensor's time is the chamber's own, as is the typed one."""
    inputs = inputs_of({"time": "4 s", "hose": "4 mm"})
    more = float(inputs["room_pressure"][0]) * by_hand(4e-3) / air_of(inputs)
    sensor = leak_of({"time": "4 s", "hose": "0 mm"})
    assert leak_of({"time": "4 s", "hose": "4 mm"}) == pytest.approx((1 + more) * sensor, rel=1e-9)
    assert leak_of(build={**CAN, "leak_half_time": "4 s"}) == pytest.approx(sensor, rel=1e-9)
    # what is typed comes first, and no hose with it
    typed = leak_of({"time": "9 s", "hose": "6 mm"}, build={**CAN, "leak_half_time": "4 s"})
    assert typed == pytest.approx(sensor, rel=1e-9)


def test_one_leak_read_on_two_hoses_is_that_leak() -> None:
    """Half-times of one leak grow with V + p C, by hand: ln 2 (V + p C)/(p G)."""
    inputs = inputs_of({"time": "4 s", "hose": "0 mm"})
    pressure, leak = float(inputs["room_pressure"][0]), 3e-10
    texts = []
    for bore in (2e-3, 5e-3):
        time = math.log(2) * (air_of(inputs) + pressure * by_hand(bore)) / (pressure * leak)
        texts.append({"time": f"{time} s", "hose": f"{1e3 * bore} mm"})
    for some in (texts[:1], texts[1:], texts):
        assert leak_of(*some) == pytest.approx(leak, rel=1e-6)
    form = geometry(inputs, angles=16)
    back = float(leak_down.half_time(inputs, form, np.array([leak]), bore=2e-3)[0])
    assert f"{back:.9g}" == f"{float(texts[0]['time'].split()[0]):.9g}"


def test_a_half_time_of_ones_own_leaves_the_hose_behind() -> None:
    inputs = inputs_of({"time": "4 s", "hose": "4 mm"})
    form = geometry(inputs, angles=16)
    own = leak_down.half_time(inputs, form, leak_conductance(inputs, form))
    again = leak_conductance(leak_down.with_half_time(inputs, own), form)
    assert again == pytest.approx(leak_conductance(inputs, form), rel=1e-12)


def test_without_a_hose_it_is_guessed_and_a_swing_beyond_a_metre_was_a_sensors() -> None:
    values, _ = parse_fields(ReadingValues, {"kind": "leak_down", "time": "4 s"})
    assert (hose_of(values).low, hose_of(values).high) == pytest.approx((2e-3, 4e-3))
    for text, sensor in (("90 cm water", False), ("110 cm water", True)):
        swing, _ = parse_fields(ReadingValues, {"kind": "swing_cold", "swing": text})
        assert (hose_of(swing).value == 0) == sensor
    narrow, wide = (leak_of({"time": "4 s", "hose": f"{bore} mm"}) for bore in (2, 4))
    assert narrow < leak_of({"time": "4 s"}) < wide


@pytest.mark.parametrize("bore", [0.0, 2e-3, 4e-3, 6e-3])
@pytest.mark.parametrize("turns", [0.0, 0.3, 3.0])
def test_the_share_of_a_swing_agrees_with_a_chamber_marched_in_time(bore: float, turns: float) -> None:
    """d(p V)/dt = -G p_m (p - room), V = V(t) + C (p - room), by scipy; small swings, so linear to a percent.

    turns: mass that leaks over a turn for a pressure, over the mass that the pressure is of.
    """
    inputs = inputs_of({"time": "4 s", "hose": "0 mm"})
    room, volume, speed = float(inputs["room_pressure"][0]), air_of(inputs), 2 * math.pi / 6
    leak = turns * volume * speed / (2 * math.pi * room)

    def swing(compliance: float) -> float:
        def rate(t: float, p: np.ndarray) -> np.ndarray:
            whole = volume * (1 + 0.005 * math.sin(speed * t)) + compliance * (p - room)
            turning = volume * 0.005 * speed * math.cos(speed * t)
            return np.asarray((-leak * room * (p - room) - p * turning) / (whole + compliance * p))

        run = solve_ivp(rate, (0.0, 60.0), [room], rtol=1e-9, atol=1e-5, max_step=0.05)
        return float(np.ptp(run.y[0][run.t > 48.0]))

    expected = swing(by_hand(bore)) / swing(0.0)
    form = geometry(inputs, angles=16)
    ours = float(leak_down.share_shown(inputs, form, np.array([leak]), speed=speed, bore=bore)[0])
    assert ours == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("name", ["flat cup", "flat cup, temperatures measured"])
def test_what_a_u_tube_is_predicted_to_show_is_by_boyles_law(name: str) -> None:
    """A tight flat cup turned cold by hand: p dV/(V + p C), C of 2 mm hose by hand; without it a fifth more.

    To 5 %: the air is a little stiffer than isothermal.
    """
    made = complete_inputs(parse_build({**BUILDS[name], "leak_half_time": "1000 s"}).build)
    inputs = central(made.words, made.values)
    room, swept = float(inputs["room_pressure"][0]), float(geometry(inputs, angles=16).swept_piston[0])
    shown = predict(made, samples=2).figures["swing_cold"].value
    assert shown == pytest.approx(room * swept / (air_of(inputs) + room * by_hand(2e-3)), rel=0.05)
    assert shown < 0.9 * room * swept / air_of(inputs)
