"""What the periodic solver is asked, and what it answers. Data only."""

from __future__ import annotations

from dataclasses import dataclass

from model.physics.values import BoolArray, FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Turn:
    """What one turn needs; batch shape ``(n,)``, angles last."""

    volume_hot: FloatArray
    """(n, n_angles) volume of the hot space at evenly spaced angles, [m^3], > 0."""
    volume_cold: FloatArray
    """(n, n_angles) volume of the cold space, [m^3], > 0."""
    volume_gap: FloatArray
    """(n,) volume of the gap or regenerator, [m^3], >= 0."""
    conductance_hot: FloatArray
    """(n, n_angles) conductance from hot wall to gas over each step, [W/K], >= 0."""
    conductance_cold: FloatArray
    """(n, n_angles) conductance from cold wall to gas over each step, [W/K], >= 0."""
    effectiveness: FloatArray
    """(n,) effectiveness of the gap as a regenerator, [-], 0 to 1."""
    effectiveness_heater: FloatArray
    """(n,) effectiveness of a heater passage between gap and hot space, both ways, [-], 0 to 1."""
    effectiveness_cooler: FloatArray
    """(n,) the same on the cold side, [-]."""
    temperature_hot: FloatArray
    """(n,) hot metal, [K]."""
    temperature_cold: FloatArray
    """(n,) cold metal, [K]."""
    temperature_room: FloatArray
    """(n,) air of the room, that comes in by the leak, [K]."""
    pressure: FloatArray
    """(n,) pressure of the room; mean (or rms) of the turn, [Pa]."""
    leak: FloatArray
    """(n,) leak of the cold space: volume flow over pressure difference, [m^3/(s Pa)], >= 0. Laminar: the mass flow is
    leak (p^2 - p_room^2) / (2 R T), T the cold metal's."""
    speed: FloatArray
    """(n,) angular speed, [rad/s], > 0."""
    volume_heater: FloatArray | None = None
    """(n,) volume between gap and hot space that stays at the hot metal's temperature, [m^3], >= 0. Exact with a heater
    of effectiveness one; with less, the air that it stores is still taken at the metal's temperature."""
    volume_cooler: FloatArray | None = None
    """(n,) the same on the cold side, [m^3], >= 0."""
    compliance_hot: FloatArray | None = None
    """(n,) volume that the walls of the hot space give for a pressure above the room's, lossless, [m^3/Pa], >= 0."""
    compliance_cold: FloatArray | None = None
    """(n,) the same on the cold side, [m^3/Pa]."""
    gas_constant: float = 287.05
    """Specific gas constant, [J/(kg K)]."""
    heat_capacity_ratio: FloatArray | float = 1.4
    """Ratio of heat capacities, [-]; scalar or (n,)."""
    rms: bool = True
    """Whether the room's pressure is the rms (a small leak both ways, laminar) or the mean of the turn's. With a leak
    it is the rms: only then does the leak over a turn come to nil."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class State:
    """The periodic state; batch first, angles last."""

    pressure: FloatArray
    """(n, n_angles) at the angles, [Pa]."""
    temperature_hot: FloatArray
    """(n, n_angles) gas in the hot space, [K]."""
    temperature_cold: FloatArray
    """(n, n_angles) gas in the cold space, [K]."""
    face_hot: FloatArray
    """(n,) temperature at which the gap gives gas to the hot space, [K]."""
    face_cold: FloatArray
    """(n,) temperature at which the gap gives gas to the cold space, [K]."""
    flow_hot: FloatArray
    """(n, n_angles) mass that enters the hot space from the gap in each step, [kg]."""
    flow_cold: FloatArray
    """(n, n_angles) mass that enters the cold space from the gap in each step, [kg]."""
    work: FloatArray
    """(n,) indicated work of a turn, [J]."""
    heat_hot: FloatArray
    """(n,) heat from the hot wall into the gas in a turn, heater included, [J]."""
    heat_cold: FloatArray
    """(n,) heat from the cold wall into the gas in a turn (negative in an engine), [J]."""
    leak_enthalpy: FloatArray
    """(n,) enthalpy that the leak carries out in a turn, [J]."""
    mass: FloatArray
    """(n,) mass of gas inside, [kg]."""
    residual: FloatArray
    """(n,) largest scaled residual."""
    iterations: int
    """Newton iterations used."""
    converged: BoolArray
    """(n,) whether the tolerance was reached."""
    reason: tuple[str, ...]
    """Named reasons of those that did not converge (unique)."""
