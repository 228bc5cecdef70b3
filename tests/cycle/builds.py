"""Turns to test with: plain ones made by hand and random ones over wide limits. Owns no expected number."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from model.cycle.periodic import Turn

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """One engine at one speed, in the plain words from which its turn is made; sine motion, SI."""

    layout: str = "gamma"
    swept_hot: float = 40e-6
    swept_cold: float = 10e-6
    dead_hot: float = 6e-6
    dead_cold: float = 8e-6
    dead_gap: float = 3e-6
    temperature_hot: float = 500.0
    temperature_cold: float = 320.0
    temperature_room: float = 295.0
    phase: float = np.pi / 2
    pressure: float = 101_325.0
    speed: float = 20.0
    ntu_hot: float = 2.0
    """Heat conductance of the hot space over the heat capacity of all the air times the angular speed, [-]."""
    ntu_cold: float = 2.0
    swing: float = 0.0
    """How far the conductances vary over the turn, 0 (constant) to below 1."""
    harmonic: int = 1
    effectiveness: float = 0.7
    effectiveness_heater: float = 0.0
    effectiveness_cooler: float = 0.0
    volume_heater: float = 0.0
    volume_cooler: float = 0.0
    leak: float = 0.0
    """Leak per room pressure over the turn's volume flow, [-]: volume flow at one room pressure over omega V."""
    give_hot: float = 0.0
    """Compliance of the hot space's walls times the room's pressure over the mean volume, [-]."""
    give_cold: float = 0.0
    heat_capacity_ratio: float = 1.4
    gas_constant: float = 287.05


def volumes(build: Build, angle: FloatArray | float) -> tuple[FloatArray, FloatArray]:
    """Hot and cold volume at an angle; at zero the hot space is smallest, the piston follows by the phase."""
    a = np.asarray(angle, float)
    hot = build.swept_hot / 2 * (1 - np.cos(a))
    out = build.swept_cold / 2 * (1 - np.cos(a - build.phase))
    if build.layout == "alpha":
        cold = out
    else:
        cold = build.swept_hot - hot + out
        if build.layout == "beta":
            x, y = build.swept_hot, build.swept_cold
            cold = cold - (x + y) / 2 + np.sqrt((x * x + y * y) / 4 - x * y * np.cos(build.phase) / 2)
    return hot + build.dead_hot, cold + build.dead_cold


def volume_slopes(build: Build, angle: float) -> tuple[float, float]:
    """Slopes of both volumes over the angle."""
    hot = build.swept_hot / 2 * np.sin(angle)
    out = build.swept_cold / 2 * np.sin(angle - build.phase)
    return float(hot), float(out if build.layout == "alpha" else out - hot)


def mean_volume(build: Build) -> float:
    """Mean of all the volume over a turn."""
    hot, cold = volumes(build, np.linspace(0, 2 * np.pi, 256, endpoint=False))
    return float((hot + cold).mean() + build.dead_gap + build.volume_heater + build.volume_cooler)


def conductances(build: Build, angle: FloatArray | float) -> tuple[FloatArray, FloatArray]:
    """Conductance of hot and cold space at an angle, [W/K]."""
    a = np.asarray(angle, float)
    gamma = build.heat_capacity_ratio
    unit = build.pressure * mean_volume(build) / build.temperature_cold * gamma / (gamma - 1) * build.speed
    wave = build.harmonic * a
    return (
        build.ntu_hot * unit * (1 + build.swing * np.cos(wave)),
        build.ntu_cold * unit * (1 - build.swing * np.sin(wave)),
    )


def leak_of(build: Build) -> float:
    """Leak as volume flow over pressure difference, [m^3/(s Pa)]."""
    return build.leak * build.speed * mean_volume(build) / build.pressure


def compliance_of(build: Build) -> tuple[float, float]:
    """What the walls of hot and cold space give, [m^3/Pa]."""
    unit = mean_volume(build) / build.pressure
    return build.give_hot * unit, build.give_cold * unit


def turn_of(builds: list[Build], angles: int) -> Turn:
    """A batch of turns over evenly spaced angles; conductances are those at the middle of each step."""
    at = 2 * np.pi * np.arange(angles) / angles
    middle = at + np.pi / angles
    pairs = [volumes(b, at) for b in builds]
    heats = [conductances(b, middle) for b in builds]

    def each(name: str) -> FloatArray:
        return np.array([getattr(b, name) for b in builds], float)

    return Turn(
        volume_hot=np.array([p[0] for p in pairs]),
        volume_cold=np.array([p[1] for p in pairs]),
        volume_gap=each("dead_gap"),
        volume_heater=each("volume_heater"),
        volume_cooler=each("volume_cooler"),
        compliance_hot=np.array([compliance_of(b)[0] for b in builds]),
        compliance_cold=np.array([compliance_of(b)[1] for b in builds]),
        conductance_hot=np.array([h[0] for h in heats]),
        conductance_cold=np.array([h[1] for h in heats]),
        effectiveness=each("effectiveness"),
        effectiveness_heater=each("effectiveness_heater"),
        effectiveness_cooler=each("effectiveness_cooler"),
        temperature_hot=each("temperature_hot"),
        temperature_cold=each("temperature_cold"),
        temperature_room=each("temperature_room"),
        pressure=each("pressure"),
        leak=np.array([leak_of(b) for b in builds]),
        speed=each("speed"),
        gas_constant=builds[0].gas_constant,
        heat_capacity_ratio=each("heat_capacity_ratio"),
        rms=False,
    )


def random_builds(count: int, *, seed: int) -> list[Build]:
    """Builds spread over far wider limits than engines have: any phase, any heat exchange, any leak."""
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(count):
        swept = 10 ** rng.uniform(-7, -1.5)
        cold = rng.uniform(290, 360)
        found.append(
            Build(
                layout=str(rng.choice(["alpha", "beta", "gamma"])),
                swept_hot=swept,
                swept_cold=swept * 10 ** rng.uniform(-2, 0.5),
                dead_hot=swept * 10 ** rng.uniform(-2.5, 0.3),
                dead_cold=swept * 10 ** rng.uniform(-2.5, 0.3),
                dead_gap=swept * 10 ** rng.uniform(-3, 0.5),
                temperature_hot=cold * rng.uniform(1.0, 3.2),
                temperature_cold=cold,
                temperature_room=rng.uniform(260, 320),
                phase=float(rng.choice([rng.uniform(0, 2 * np.pi), rng.uniform(1.2, 2.0)])),
                pressure=101_325 * 10 ** rng.uniform(-0.2, 1.5),
                speed=10 ** rng.uniform(-1, 3),
                ntu_hot=10 ** rng.uniform(-3, 3),
                ntu_cold=10 ** rng.uniform(-3, 3),
                swing=rng.uniform(0, 0.98),
                harmonic=int(rng.integers(1, 4)),
                effectiveness=float(rng.choice([0.0, 1.0, rng.uniform(0, 1), rng.uniform(0, 1)])),
                effectiveness_heater=float(rng.choice([0.0, 0.0, rng.uniform(0, 1), 1.0])),
                effectiveness_cooler=float(rng.choice([0.0, 0.0, rng.uniform(0, 1), 1.0])),
                leak=float(rng.choice([0.0, 10 ** rng.uniform(-5, 1)])),
                heat_capacity_ratio=float(rng.choice([1.4, 1.667])),
            )
        )
    return found


def without(build: Build, **changes: object) -> Build:
    """The build with some of its words changed."""
    return replace(build, **changes)  # type: ignore[arg-type]
