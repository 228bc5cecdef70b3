"""The periodic solver against marching the same balances with scipy, to a thousandth in work and heats.

The judge, `march`, is written from the differential equations alone and integrated by scipy's LSODA (tolerance 1e-7);
it shares only the builds with the solver. Errors are judged against the work or, where that is near nil, against a
fifth of pressure swing times volume swing: a work that is the small difference of large ones has no better scale.
"""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from model.cycle.periodic import solve
from tests.cycle.builds import Build, conductances, mean_volume, turn_of, volume_slopes, volumes, without
from tests.cycle.march import Marched, Marcher, shoot
from tests.examples import TIMES

ANGLES = 128
THOUSANDTH = 1e-3

EXCHANGE = [0.05, 0.4, 2.0, 12.0, 100.0]
LAYOUTS = ["gamma", "alpha", "beta"]


def grid() -> list[Build]:
    """Every pair of conductances twice, with the other words going round so that each meets each value often."""
    found = []
    for i, (_, hot, cold) in enumerate(product((1, 2), EXCHANGE, EXCHANGE)):
        layout = LAYOUTS[i % 3]
        found.append(
            Build(
                layout=layout,
                swept_cold=40e-6 if layout == "alpha" else 12e-6,
                temperature_hot=[360.0, 500.0, 800.0][(i // 2) % 3],
                ntu_hot=hot,
                ntu_cold=cold,
                swing=[0.0, 0.5, 0.9][(i // 3) % 3],
                harmonic=1 + i % 2,
                effectiveness=[0.0, 0.35, 0.7, 1.0][i % 4],
                effectiveness_heater=[0.0, 0.0, 0.5, 1.0, 0.2][(i // 2) % 5],
                effectiveness_cooler=[0.0, 0.3, 0.0, 1.0][(i // 3) % 4],
                leak=[0.0, 1e-3, 0.0, 3e-2, 0.2][(i // 4) % 5],
            )
        )
    return found


EXTRA = [
    Build(),
    Build(layout="alpha", swept_cold=40e-6, phase=1.1, leak=0.02, swing=0.7),
    Build(swept_hot=300e-6, swept_cold=5e-6, dead_gap=30e-6, temperature_hot=330.0, temperature_cold=300.0, swing=0.9),
    Build(ntu_hot=0.05, ntu_cold=100.0, effectiveness=1.0, leak=0.05, swing=0.8, harmonic=2),
    Build(layout="beta", swept_cold=40e-6, phase=2.0, ntu_hot=0.5, ntu_cold=0.5, heat_capacity_ratio=1.667),
    Build(phase=-np.pi / 2, ntu_hot=1.0, effectiveness=0.3),
    Build(volume_heater=9e-6, volume_cooler=5e-6, effectiveness_heater=1.0, effectiveness_cooler=1.0, leak=0.01),
    Build(volume_heater=9e-6, effectiveness_heater=0.6, ntu_hot=0.3, effectiveness=0.5),
    Build(give_hot=0.2, give_cold=0.1),
    Build(give_hot=0.05, give_cold=0.15, leak=0.02, swing=0.7, ntu_hot=0.4, effectiveness_cooler=0.3),
    Build(swept_hot=300e-6, swept_cold=5e-6, temperature_hot=330.0, temperature_cold=300.0, give_hot=0.4),
]


def scales(build: Build, judge: Marched) -> tuple[float, float]:
    """Scale of work and of heats."""
    hot, cold = volumes(build, np.linspace(0, 2 * np.pi, 400))
    swing = (judge.pressure_max - judge.pressure_min) * float(np.ptp(hot + cold))
    work = max(abs(judge.work), 0.2 * swing)
    return work, max(abs(judge.heat_hot), abs(judge.heat_cold), work)


@pytest.mark.parametrize(
    "build", (grid() if TIMES > 1 else grid()[::8]) + EXTRA, ids=lambda b: f"{b.layout}-{b.ntu_hot:g}-{b.ntu_cold:g}"
)
def test_work_and_heats_agree_with_marching_to_a_thousandth(build: Build) -> None:
    judge = shoot(build)
    assert judge.miss < 1e-6
    found = solve(turn_of([build], ANGLES))
    assert found.converged.all()
    of_work, of_heat = scales(build, judge)
    assert float(found.work[0]) == pytest.approx(judge.work, abs=THOUSANDTH * of_work)
    assert float(found.heat_hot[0]) == pytest.approx(judge.heat_hot, abs=THOUSANDTH * of_heat)
    assert float(found.heat_cold[0]) == pytest.approx(judge.heat_cold, abs=THOUSANDTH * of_heat)
    assert float(found.leak_enthalpy[0]) == pytest.approx(judge.leak_enthalpy, abs=THOUSANDTH * of_heat)
    assert float(found.face_hot[0]) == pytest.approx(judge.face_hot, rel=THOUSANDTH)
    assert float(found.face_cold[0]) == pytest.approx(judge.face_cold, rel=THOUSANDTH)
    assert float(found.pressure[0].max()) == pytest.approx(judge.pressure_max, rel=THOUSANDTH)
    assert float(found.pressure[0].min()) == pytest.approx(judge.pressure_min, rel=THOUSANDTH)


@pytest.mark.parametrize("build", EXTRA[:5], ids=lambda b: b.layout)
def test_judge_and_solver_are_given_the_same_engine(build: Build) -> None:
    marcher = Marcher(build)
    heat = build.pressure * mean_volume(build) * build.speed / build.temperature_cold
    for angle in (0.0, 1.0, 2.5, 5.0):
        hot, cold, slope_hot, slope_cold, to_hot, to_cold = marcher._at(angle)
        scaled = [*volumes(build, angle), *volume_slopes(build, angle)]
        np.testing.assert_allclose([hot, cold, slope_hot, slope_cold], np.array(scaled) / marcher.volume, rtol=1e-12)
        np.testing.assert_allclose(np.array([to_hot, to_cold]) * heat, conductances(build, angle), rtol=1e-12)


def test_marching_itself_closes_its_energy() -> None:
    """The judge is judged: heats less work less what the leak carries out, over a turn that returns."""
    for build in (without(EXTRA[1]), EXTRA[6], EXTRA[7]):
        judge = shoot(build)
        left = judge.heat_hot + judge.heat_cold - judge.work - judge.leak_enthalpy
        assert abs(left) < 1e-6 * abs(judge.heat_hot)


def test_plain_marching_turn_after_turn_ends_where_shooting_ends() -> None:
    """The shortcut of the judge gives what patience gives: a hundred turns, faces set after each."""
    build = Build(ntu_hot=1.0, ntu_cold=3.0)
    judge = shoot(build)
    marcher = Marcher(build)
    state, faces = [1.0, marcher.wall_hot, 1.0], (marcher.wall_hot, 1.0)
    work = 0.0
    for _ in range(100):
        end, _path = marcher.turn(state, faces)
        done = abs(end[3] * marcher.unit / work - 1) < 1e-7 if work else False
        work = end[3] * marcher.unit
        if done:
            break
        faces = marcher.faces_after(end)
        state = marcher.again(end)
    assert work == pytest.approx(judge.work, rel=1e-5)
