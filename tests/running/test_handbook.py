"""Single steps of the model near their code, each against a number worked out by hand, from a handbook or a limit."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from model.fields import parse_build
from model.fields.starts import STARTS
from model.inputs.complete import complete_inputs
from model.running.balance import HeatLine, cooling, network, temperatures
from model.running.engine import Geometry, geometry
from model.running.exchange import (
    FlowPaths,
    Passage,
    air_at,
    beside_effectiveness,
    blow_groups,
    conductances,
    flow_paths,
    flow_work,
)
from model.running.operate import leak_conductance
from model.running.samples import SampledInputs, central
from model.running.shaft import shaft_work
from tests.running.still_air import coefficient, radiation

CAN, FLAT, SYRINGES = (dict(start.texts) for start in STARTS)
AIR = air_at(temperature=np.array([[350.0]]), pressure=np.array([[101325.0]]))


def engine(texts: dict[str, str], **changes: float) -> tuple[SampledInputs, Geometry]:
    made = complete_inputs(parse_build(texts).build)
    assert not made.missing
    inputs = central(made.words, made.values).changed(**{name: np.array([value]) for name, value in changes.items()})
    return inputs, geometry(inputs, angles=64)


def along(texts: dict[str, str], **changes: float) -> float:
    inputs, form = engine(texts, **changes)
    return float(network(inputs, form, AIR, hot=np.array([[400.0]])).conduction[0, 0])


def test_a_can_s_wall_conducts_as_a_strip_of_its_whole_girth() -> None:
    """k pi D t/L: 52 W/(m K), 100 mm, 0.25 mm, 50 mm long are 81.7 mW/K (by hand)."""
    size = {"displacer_bore": 0.1, "wall_thickness": 0.25e-3, "displacer_length": 0.05}
    whole = size | {"hot_beside": 0.0, "cold_beside": 0.0}
    wall = along(CAN, **whole, wall_conductivity=52.0) - along(CAN, **whole, wall_conductivity=0.0)
    assert wall == pytest.approx(0.0817, rel=1e-3)
    # where a fifth of it has each end's temperature the rest is three fifths as long: 136 mW/K
    short = size | {"hot_beside": 0.2, "cold_beside": 0.2}
    wall = along(CAN, **short, wall_conductivity=52.0) - along(CAN, **short, wall_conductivity=0.0)
    assert wall == pytest.approx(0.0817 / 0.6, rel=1e-3)


def test_air_in_the_clearance_comes_to_the_metal_beside_it_as_between_plates_of_which_one_takes_no_heat() -> None:
    """Nu 4.86 on one wall's area (Shah and London 1978), 1 - exp(-NTU) along a wall of one temperature (by hand)."""
    gap, girth, length, speed, blow = 1e-3, 0.2, 0.1, 1.0, 1e-3
    inputs, _ = engine(FLAT, hot_beside=0.3, cold_beside=0.0, displacer_offcentre=0.0, gap_factor=1.0)
    hot, cold = (
        beside_effectiveness(inputs, slit(gap, girth, length), end, speed=np.array([[speed]]),
                             blow=np.array([[blow]]), air=AIR)
        for end in ("hot", "cold")
    )  # fmt: skip
    coefficient_ = 4.86 * float(AIR.conductivity[0, 0]) / (2 * gap)
    stream = blow * speed / math.pi * float(AIR.specific_heat[0, 0])
    units = coefficient_ * girth * 0.3 * length / stream
    assert 0.5 < units < 2
    # the entry length adds a few per cent to the developed number
    assert units < -math.log(1 - float(hot[0, 0])) < 1.05 * units
    assert float(cold[0, 0]) == pytest.approx(0.0, abs=1e-5)


def steady(volume: float, angles: int = 64) -> Any:
    """A displacer that moves a volume to and fro at one speed, turning at once at the ends."""
    there = np.linspace(0.0, volume, angles // 2 + 1)
    return SimpleNamespace(moved=np.concatenate([there, there[-2:0:-1]])[None], layout="beta")


def slit(gap: float, width: float, length: float) -> FlowPaths:
    way = Passage(flow_area=np.array([gap * width]), hydraulic=np.array([2 * gap]), length=np.array([length]),
                  wetted=np.array([2 * width * length]), kind="clearance")  # fmt: skip
    return FlowPaths(open=way, matrix=None, share=np.ones(1), series=False)


@pytest.mark.parametrize(("off", "ease"), [(0.0, 1.0), (1.0, 2.5)])
def test_flow_through_a_slit_costs_what_poiseuille_and_its_two_ends_say(off: float, ease: float) -> None:
    """12 mu L v/s^2 between plates, 2.5 times easier where they touch (Shah and London 1978); entrance 0.5, exit 1.

    100 ml to and fro in half a second through 1 by 200 mm: 2 m/s. The drop is the same both ways, on 200 ml in all.
    """
    inputs = SampledInputs(words={}, values={"flow_factor": np.ones(1), "displacer_offcentre": np.array([off])}, size=1)
    work, to_piston = flow_work(inputs, steady(1e-4), slit(1e-3, 0.2, 0.03), speed=np.array([[4 * math.pi]]), air=AIR)
    speed, mu, rho = 1e-4 / 0.25 / 2e-4, float(AIR.viscosity[0, 0]), float(AIR.density[0, 0])
    drop = 12 * mu * 0.03 * speed / 1e-6 / ease + 1.5 * 0.5 * rho * speed**2
    assert float(work[0, 0]) == pytest.approx(drop * 2e-4, rel=1e-6)
    assert float(to_piston[0, 0]) == 0.0


@pytest.mark.parametrize("known", [{"piston_clearance": "30 um"}, {}])
def test_two_pistons_leak_twice_as_much_as_one(known: dict[str, str]) -> None:
    one, two = ({**FLAT, **known, "piston_count": count} for count in ("1", "2"))
    leaks = []
    for texts in (one, two):
        inputs, form = engine(texts)
        values = {
            name: value for name, value in inputs.values.items() if name not in ("leak_half_time", "gland_clearance")
        }
        if not known:
            values["piston_leak"] = np.array([1e-3])
        leaks.append(float(leak_conductance(SampledInputs(words=inputs.words, values=values, size=1), form)[0]))
    assert leaks[0] > 0
    assert leaks[1] == pytest.approx(2 * leaks[0])


def test_two_pistons_have_a_passage_each_and_lose_twice_what_one_does() -> None:
    """Twice the air through two pipes side by side has the drop of one (Cengel and Cimbala 2006, chapter 8)."""
    (one, form), (two, twin) = (engine({**FLAT, "piston_count": count}) for count in ("1", "2"))
    speed = np.array([[20.0]])
    lost, lost_by_two = (
        float(flow_work(inputs, made, flow_paths(inputs, made), speed=speed, air=AIR)[1][0, 0])
        for inputs, made in ((one, form), (two, twin))
    )
    assert lost > 0
    assert lost_by_two == pytest.approx(2 * lost)
    tube = float((np.pi / 4 * one["tube_bore"] ** 2 * one["tube_length"])[0])
    still, still_twin = (made.volume_cold - made.pistons[0] for made in (form, twin))
    np.testing.assert_allclose(still_twin - still, tube, rtol=1e-6)


def test_fins_of_a_small_engine_multiply_its_surface_three_to_six_times() -> None:
    """Rings of 60 mm every 5 mm on a barrel of 40 mm have 5.8 times its surface (by hand); a plate is bare."""
    ring = 2 * (30**2 - 20**2) / (2 * 20 * 5) + 0.8
    assert ring == pytest.approx(5.8)
    (bare, form), (finned, _) = (
        engine(CAN, cold_coefficient=10.0),
        engine({**CAN, "cold_side": "fins"}, cold_coefficient=10.0),
    )
    assert 3.0 <= float((cooling(finned, form) / cooling(bare, form))[0]) <= ring


def loss(texts: dict[str, str], **changes: float) -> tuple[float, Geometry]:
    inputs, form = engine(texts, **changes)
    return float(network(inputs, form, AIR, hot=np.array([[400.0]])).loss[0, 0]), form


def test_a_heated_plate_radiates_from_its_face_and_its_rim() -> None:
    """Stefan and Boltzmann over plate and band where nothing covers the plate; a flame covers it."""
    bare = {"hot_exposure": 1.0, "hot_loss_coefficient": 0.0, "hot_emissivity": 0.9, "room_temperature": 293.0,
            "wall_conductivity": 1e6}  # fmt: skip
    rays = radiation(surface=400.0, room=293.0, emissivity=0.9)
    for source, faces in (("electric", 1), ("sun", 1), ("candle", 0)):
        found, form = loss({**CAN, "heat_source": source}, **bare)
        wide, high = float(form.bore_hot[0]), float(form.travel_hot[0])
        inputs, _ = engine(CAN)
        band = math.pi * wide * (high + float(inputs["end_clearance_hot"][0]))
        assert found == pytest.approx(rays * (band + faces * math.pi / 4 * wide**2), rel=1e-3)


def test_a_wall_that_hardly_conducts_gives_off_heat_along_a_short_length() -> None:
    """A long fin of one face: pi D sqrt(h k t) (Incropera 2007, table 3.4, D); acrylic, 2 mm, 8 W/(m2 K): 7.1 mm."""
    long = {"hot_exposure": 1.0, "hot_loss_coefficient": 8.0, "hot_emissivity": 1e-9, "wall_conductivity": 0.2,
            "wall_thickness": 2e-3, "displacer_throw": 0.05}  # fmt: skip
    found, form = loss({**CAN, "heat_source": "candle"}, **long)
    assert found == pytest.approx(8.0 * math.pi * float(form.bore_hot[0]) * 7.07e-3, rel=2e-3)


def middle(low: float, high: float) -> float:
    return math.sqrt(low * high)


def test_guessed_coefficients_have_the_handbook_in_their_middle() -> None:
    """A range that holds the right number somewhere would hide a slip by half: the middle lies within a quarter.

    Hot end: free convection from 60 mm of a can's wall at 200 C and from a plate of 100 mm that faces up at 40 C.
    Cold end: the same of a plate and of a wall of 60 mm at 20 K excess, and radiation of a half-dull surface. Hot
    water: Incropera 2007, Table 1.1 (from memory), free convection of liquids 50 to 1000 W/(m^2 K).
    """
    can_wall = coefficient(surface=473.0, room=293.0, length=0.06, face="vertical")
    flat_plate = coefficient(surface=313.0, room=293.0, length=0.1 / 4, face="up")
    can, form = engine({**CAN, "cold_side": "air"})
    assert can["hot_loss_coefficient"][0] == pytest.approx(middle(can_wall, flat_plate), rel=0.2)
    plate, wall = (
        coefficient(surface=313.0, room=293.0, length=length, face=face)
        for length, face in ((0.06 / 4, "up"), (0.06, "vertical"))
    )
    cold = (plate + wall) / 2 + radiation(surface=313.0, room=293.0, emissivity=0.5)
    area = float(form.area_cold[0] + math.pi * form.bore_cold[0] * max(form.wall_length[0] / 2, form.travel_hot[0]))
    assert float(cooling(can, form)[0]) / area == pytest.approx(cold, rel=0.25)
    water, _ = engine({**FLAT, "heat_source": "water"})
    assert water["contact_coefficient"][0] == pytest.approx(middle(50.0, 1000.0), rel=0.25)


def shaft(push: list[float], swept: list[float], **values: float) -> tuple[float, float]:
    """Work and forced work of pressures over the room's at the middles of steps of one piston of 1 m2."""
    inputs = SampledInputs(words={}, values={name: np.array([value]) for name, value in values.items()}, size=1)
    form: Any = SimpleNamespace(
        pistons=(np.array([swept]),), piston_area=np.ones(1), swept_piston=np.array([np.ptp(swept)]), layout="alpha"
    )
    over = np.array(push)
    # pressures at the angles whose means with the next are the wanted ones: constant pairs
    work, forced, _ = shaft_work(
        inputs, form, pressure=over[None, None], room=np.zeros((1, 1)), drive_work=np.array([[values["drive"]]])
    )
    return float(work[0, 0]), float(forced[0, 0])


def test_a_mechanism_takes_its_share_both_ways() -> None:
    """By hand: 1.5 J out and 0.5 J in against the pressure, E = 0.8: 0.8 x 1 - (1/0.8 - 0.8) x 0.5 = 0.575 J.

    The drive of a displacer costs 1/E of its work: 0.4 J takes 0.5 J.
    """
    push, swept = [1.5, 1.5, 0.5, 0.5], [0.0, 0.5, 1.0, 0.5]
    work, forced = shaft(push, swept, effectiveness=0.8, drive=0.0)
    # means 1.5, 1.0, 0.5, 1.0 over steps of +0.5, +0.5, -0.5, -0.5
    assert forced == pytest.approx(0.75)
    assert work == pytest.approx(0.8 * 0.5 - (1 / 0.8 - 0.8) * 0.75)
    driven, _ = shaft(push, swept, effectiveness=0.8, drive=0.4)
    assert work - driven == pytest.approx(0.5)


def test_a_rubber_s_spring_gives_back_what_it_takes_about_the_middle_of_its_stroke() -> None:
    """Exact: bent half a stroke either way, it takes k (S/2)^2/2 twice a turn, so that W_forced = k S^2/4."""
    turn = 2 * np.pi * np.arange(720) / 720
    swept = list(0.01 * (1 - np.cos(turn)))
    _, forced = shaft([0.0] * 720, swept, effectiveness=1.0, drive=0.0, diaphragm_stiffness=200.0)
    assert forced == pytest.approx(200.0 * 0.02**2 / 4, rel=1e-3)


def test_a_clearance_s_hydraulic_diameter_is_four_times_its_area_over_what_it_wets() -> None:
    inputs, form = engine(FLAT)
    way = flow_paths(inputs, form).open
    assert way.hydraulic == pytest.approx(4 * way.flow_area * way.length / way.wetted)
    gap, wide = float(inputs["side_clearance"][0]), float(form.bore_hot[0])
    assert float(way.flow_area[0]) == pytest.approx(math.pi / 4 * (wide**2 - (wide - 2 * gap) ** 2))


def test_the_jet_of_a_clearance_sweeps_the_plate_over_its_area_by_its_girth() -> None:
    """Martin 1977 for a slot, x = (pi D^2/4)/(pi D): a strip along the rim with the plate's area. Third powers add.

    The blend without the jet is that of a displacer that moves next to nothing.
    """
    inputs, _ = engine(FLAT, exchange_factor=1.0)
    bore, gap, height = 0.1, 1e-3, 0.008
    area = math.pi / 4 * bore**2
    coefficients = []
    for volume in (1e-4, 1e-16):
        form: Any = steady(volume)
        form.angles = 64
        form.volume_hot = form.volume_cold = np.full((1, 64), height * area)
        form.area_hot = form.area_cold = np.array([area])
        form.bore_hot = form.bore_cold = np.array([bore])
        hot, _ = conductances(
            inputs, form, slit(gap, math.pi * bore, 0.02), speed=np.array([[20.0]]), air_hot=AIR, air_cold=AIR
        )
        coefficients.append(float(hot[0, 0, 5]) / (area + 0.7 * math.pi * bore * height))
    jet = (coefficients[0] ** 3 - coefficients[1] ** 3) ** (1 / 3)
    slot, k, pr = 2 * gap, float(AIR.conductivity[0, 0]), float(AIR.prandtl[0, 0])
    velocity = 1e-4 / math.pi * 20.0 / (gap * math.pi * bore)
    reynolds = velocity * slot * float(AIR.density[0, 0] / AIR.viscosity[0, 0])
    reach, away = area / (math.pi * bore) / slot, height / slot
    power = 0.695 - 1 / (reach + away**1.33 + 3.06)
    martin = 3.06 * reynolds**power * pr**0.42 / (reach + away + 2.78)
    assert jet == pytest.approx(martin * k / slot, rel=1e-3)


def test_a_can_that_stands_over_a_flame_is_as_hot_as_its_balance_worked_out_on_its_own() -> None:
    """34 W in proportion to its excess, convection and radiation of a fin, wall to a held cold end: by bisection."""
    inputs, form = engine({**CAN, "heat_source": "candle", "cold_metal": "40 C"}, heat_released=34.0, heat_caught=0.35,
                          flame_temperature=1250.0, room_temperature=293.0)  # fmt: skip
    hot, none = np.array([[500.0]]), HeatLine(slope=np.zeros((1, 1)), fixed=np.zeros((1, 1)))
    for _ in range(30):
        net = network(inputs, form, AIR, hot=hot)
        hot, cold = temperatures(net, taken=none, given=none)
    value = {name: float(array[0]) for name, array in inputs.values.items()}
    wide, band = float(form.bore_hot[0]), float(form.travel_hot[0]) + value["end_clearance_hot"]

    def left(t: float) -> float:
        into = 34.0 * 0.35 * (1250.0 - t) / (1250.0 - 293.0)
        h = value["hot_loss_coefficient"] + radiation(surface=t, room=293.0, emissivity=value["hot_emissivity"])
        m = math.sqrt(h / (value["wall_conductivity"] * value["wall_thickness"]))
        out = value["hot_exposure"] * h * math.pi * wide * math.tanh(m * band) / m * (t - 293.0)
        return into - out - float(net.conduction[0, 0]) * (t - 313.15)

    assert cold[0, 0] == pytest.approx(313.15)
    assert hot[0, 0] == pytest.approx(brentq(left, 300.0, 1200.0), abs=0.5)


def test_a_long_clearance_has_the_transfer_units_of_plates_at_one_temperature() -> None:
    """Nu 7.541 (Shah and London 1978): 1 by 200 mm, 0.3 m long, 20 ml in half a second; NTU = Nu k/(2 s) A/(m cp)."""
    inputs, _ = engine(FLAT, displacer_offcentre=0.0, gap_factor=1.0, displacer_conductivity=1e-9)
    blow = np.array([[20e-6 * float(AIR.density[0, 0])]])
    groups = blow_groups(inputs, slit(1e-3, 0.2, 0.3).open, speed=np.array([[2 * math.pi]]), blow=blow, air=AIR)
    flow = float(blow[0, 0]) / 0.5
    units = 7.541 * float(AIR.conductivity[0, 0]) / 2e-3 * 2 * 0.2 * 0.3 / (flow * float(AIR.specific_heat[0, 0]))
    assert float(groups.ntu[0, 0]) == pytest.approx(units, rel=0.05)
