"""Every figure and every need that a prediction shows, each declared once: label, unit, formula, source. Data only."""

from __future__ import annotations

from dataclasses import dataclass

from model.quantities.units import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureSpec:
    """Declaration of a figure."""

    label: str
    kind: Kind
    unit: str
    formula: str
    source: str
    inputs: tuple[str, ...] = ()
    """Names of the inputs that are shown with it."""
    note: str = ""


_TURN = "periodic turn with finite heat exchange: energy and mass of each space, gap as regenerator"
_SENFT = "Senft2007, from memory"
_MOVES = ("piston_bore", "diaphragm_rim", "diaphragm_disc", "piston_throw", "displacer_bore", "displacer_throw",
          "hot_bore", "hot_throw", "phase")  # fmt: skip
_LOSSES = ("friction_torque", "speed_drag", "effectiveness", "leak_half_time", "piston_clearance", "side_clearance")

FIGURES: dict[str, FigureSpec] = {
    "shaft_power": FigureSpec(
        label="Best shaft power",
        kind=Kind.POWER,
        unit="mW",
        formula="speed x (shaft work of a turn/2 pi - friction - drag x speed), largest over speed",
        source=_SENFT,
        inputs=(*_MOVES, *_LOSSES),
        note="Negative: what is missing at the stated speed of an engine that does not run.",
    ),
    "speed_at_best_power": FigureSpec(
        label="Speed at best power",
        kind=Kind.ROTATION,
        unit="rpm",
        formula="speed at which the shaft power is largest",
        source="derived here",
        inputs=_LOSSES,
    ),
    "free_running_speed": FigureSpec(
        label="Free-running speed",
        kind=Kind.ROTATION,
        unit="rpm",
        formula="highest speed at which the torque left over falls to nil, and the wheel carries it round",
        source="derived here",
        inputs=(*_LOSSES, "wheel_mass", "wheel_diameter"),
    ),
    "indicated_power": FigureSpec(
        label="Indicated power",
        kind=Kind.POWER,
        unit="mW",
        formula=f"{_TURN}; W = sum of p dV, less flow losses",
        source="derived here",
        inputs=_MOVES,
    ),
    "isothermal_power": FigureSpec(
        label="Closed form, no losses",
        kind=Kind.POWER,
        unit="mW",
        formula="air of each space at its metal's temperature, no losses: W = sum of p dV",
        source="Schmidt1871",
        inputs=_MOVES,
        note="The air never reaches the metal's temperature; measured small engines made 10 to 60 % of this.",
    ),
    "shaft_power_there": FigureSpec(
        label="Shaft power",
        kind=Kind.POWER,
        unit="mW",
        formula="speed x (shaft work of a turn/2 pi - friction - drag x speed)",
        source=_SENFT,
        inputs=_LOSSES,
    ),
    "hot_metal": FigureSpec(
        label="Hot metal",
        kind=Kind.TEMPERATURE,
        unit="C",
        formula="heat that gets in = heat to the air + conduction + loss to the room",
        source="derived here",
        inputs=("hot_metal", "heat_released", "heat_caught", "source_temperature"),
        note="As measured where it was measured.",
    ),
    "cold_metal": FigureSpec(
        label="Cold metal",
        kind=Kind.TEMPERATURE,
        unit="C",
        formula="heat from the air + conduction = cooling x (cold metal - what cools it)",
        source="derived here",
        inputs=("cold_metal", "cold_area", "room_temperature"),
        note="As measured where it was measured.",
    ),
    "hot_gas": FigureSpec(
        label="Hot air",
        kind=Kind.TEMPERATURE,
        unit="C",
        formula=f"{_TURN}; mean over the turn",
        source="Martin1977",
        inputs=("exchange_factor", "side_clearance"),
        note="Not the metal's temperature.",
    ),
    "cold_gas": FigureSpec(
        label="Cold air",
        kind=Kind.TEMPERATURE,
        unit="C",
        formula=f"{_TURN}; mean over the turn",
        source="Martin1977",
        inputs=("exchange_factor", "side_clearance"),
        note="Not the metal's temperature.",
    ),
    "heat_in": FigureSpec(
        label="Heat that gets in",
        kind=Kind.POWER,
        unit="W",
        formula="heat to the air + conduction along walls, posts and displacer + loss of the hot end to the room",
        source="derived here",
        inputs=("wall_thickness", "displacer_length", "side_clearance"),
    ),
    "heat_out": FigureSpec(
        label="Heat to the cold side",
        kind=Kind.POWER,
        unit="W",
        formula="heat from the air + conduction",
        source="derived here",
        inputs=("cold_area",),
    ),
    "pressure_swing": FigureSpec(
        label="Pressure swing",
        kind=Kind.PRESSURE,
        unit="kPa",
        formula=f"{_TURN}; highest less lowest pressure",
        source="derived here",
        inputs=_MOVES,
        note="1 kPa is 10 cm of water in a U-tube.",
    ),
    "closed_form_share": FigureSpec(
        label="Share of the closed form",
        kind=Kind.FRACTION,
        unit="%",
        formula="indicated power over that of the closed form",
        source="derived here",
    ),
    "beale": FigureSpec(
        label="Beale number",
        kind=Kind.NUMBER,
        unit="",
        formula="shaft power/(mean pressure x swept volume x turns/s)",
        source="common practice, no source",
        inputs=("room_pressure",),
        note="0.11 to 0.15 for pressurised engines, 0.02 to 0.09 for large ones at room pressure, far less on warm "
        "water; an alpha counts its hot piston.",
    ),
    "efficiency": FigureSpec(
        label="Efficiency",
        kind=Kind.FRACTION,
        unit="%",
        formula="shaft power over heat that gets in",
        source="derived here",
    ),
    "gap_effectiveness": FigureSpec(
        label="Heat the clearance gives back",
        kind=Kind.FRACTION,
        unit="%",
        formula="NTU/(NTU + 2) of parallel plates, off centre, walls of limited heat store",
        source="Hausen1983",
        inputs=("side_clearance", "displacer_offcentre", "displacer_length"),
        note="Share of the heat that the side clearance or regenerator stores and gives back.",
    ),
    "wheel_carries": FigureSpec(
        label="Wheel must carry",
        kind=Kind.ENERGY,
        unit="mJ",
        formula="largest less smallest sum over the turn of torque - mean torque, less m g times the displacer's rise",
        source="KhurmiGupta2005",
        inputs=(*_MOVES, "displacer_mass"),
        note="Two compact discs hold 1.1 mJ at 60 rpm and 28 mJ at 300 rpm.",
    ),
    "heat_released": FigureSpec(
        label="Heat released",
        kind=Kind.POWER,
        unit="W",
        formula="as the source says, and no less than what leaves the hot metal",
        source="derived here",
        inputs=("heat_released", "source_temperature"),
    ),
    "heat_missed": FigureSpec(
        label="Misses the hot end",
        kind=Kind.POWER,
        unit="W",
        formula="heat released less what gets in",
        source="derived here",
        inputs=("heat_caught",),
    ),
    "heat_lost_hot": FigureSpec(
        label="Lost from the hot end to the room",
        kind=Kind.POWER,
        unit="W",
        formula="coefficient x band of the hot end x (hot metal - room)",
        source="derived here",
        inputs=("hot_loss_coefficient",),
    ),
    "heat_along": FigureSpec(
        label="Along walls to the cold end",
        kind=Kind.POWER,
        unit="W",
        formula="(walls + posts + displacer + shuttle) x (hot metal - cold metal)",
        source="derived here",
        inputs=("wall_thickness", "posts", "displacer_length"),
    ),
    "heat_to_air": FigureSpec(
        label="Heat to the air",
        kind=Kind.POWER,
        unit="W",
        formula="periodic turn: heat from the hot metal into the air",
        source="derived here",
        inputs=(),
    ),
    "heat_from_air": FigureSpec(
        label="Heat from the air to the cold end",
        kind=Kind.POWER,
        unit="W",
        formula="periodic turn: heat from the air into the cold metal",
        source="derived here",
        inputs=(),
    ),
    "flow_loss": FigureSpec(
        label="Lost to flow",
        kind=Kind.POWER,
        unit="W",
        formula="pressure drop of clearance and passage x flow, over the turn",
        source="derived here",
        inputs=("side_clearance", "displacer_length", "tube_bore", "tube_length"),
    ),
    "crank_loss": FigureSpec(
        label="Lost in the crank",
        kind=Kind.POWER,
        unit="W",
        formula="indicated less what is left before friction: (1/E - E) x forced work + (1 - E) x work",
        source="derived here",
        inputs=("effectiveness",),
    ),
    "friction_loss": FigureSpec(
        label="Lost to friction",
        kind=Kind.POWER,
        unit="W",
        formula="(friction torque + drag x speed) x speed",
        source="derived here",
        inputs=("friction_torque", "speed_drag"),
    ),
    "quarter_1": FigureSpec(
        label="Torque of the air, quarter 1",
        kind=Kind.TORQUE,
        unit="mN m",
        formula="mean of (p - room) dV/d angle over the quarter",
        source="derived here",
        note="Quarter 1: air goes to the hot end. What stands below the mean is carried by the wheel.",
    ),
    "quarter_2": FigureSpec(
        label="Torque of the air, quarter 2",
        kind=Kind.TORQUE,
        unit="mN m",
        formula="mean of (p - room) dV/d angle over the quarter",
        source="derived here",
        note="Quarter 2: air goes to the hot end. What stands below the mean is carried by the wheel.",
    ),
    "quarter_3": FigureSpec(
        label="Torque of the air, quarter 3",
        kind=Kind.TORQUE,
        unit="mN m",
        formula="mean of (p - room) dV/d angle over the quarter",
        source="derived here",
        note="Quarter 3: air goes to the cold end. What stands below the mean is carried by the wheel.",
    ),
    "quarter_4": FigureSpec(
        label="Torque of the air, quarter 4",
        kind=Kind.TORQUE,
        unit="mN m",
        formula="mean of (p - room) dV/d angle over the quarter",
        source="derived here",
        note="Quarter 4: air goes to the cold end. What stands below the mean is carried by the wheel.",
    ),
    "swing_cold": FigureSpec(
        label="U-tube, cold, piston alone",
        kind=Kind.PRESSURE,
        unit="kPa",
        formula="periodic turn at room temperature, one turn in 6 s, leak as it is; V/(V + p pi d^2/(8 rho g)) of it",
        source="derived here",
        inputs=("leak_half_time",),
        note="On 2 mm hose, the cold engine turned slowly by hand. The water takes up air: a wider hose shows less.",
    ),
    "swing_hot": FigureSpec(
        label="U-tube, hot, displacer alone",
        kind=Kind.PRESSURE,
        unit="kPa",
        formula="periodic turn at these metal temperatures, piston held at mid stroke, one turn in 6 s; "
        "V/(V + p pi d^2/(8 rho g)) of it",
        source="derived here",
        inputs=("leak_half_time",),
        note="Clearly smaller than the cold swing of the piston: the piston is probably too big for this heat.",
    ),
    "loose_travel": FigureSpec(
        label="A loose piston would move",
        kind=Kind.LENGTH,
        unit="mm",
        formula="hot swing x volume/(mean pressure x area of the piston)",
        source="derived here",
        note="Rod unlinked, piston free of friction.",
    ),
    "warm_up": FigureSpec(
        label="First runs after",
        kind=Kind.TIME,
        unit="min",
        formula="time from lighting until the metals differ by what the engine needs; lumped heat stores of both ends",
        source="derived here",
        inputs=("heat_released", "heat_caught", "source_temperature"),
    ),
    "run_time": FigureSpec(
        label="Runs for",
        kind=Kind.TIME,
        unit="min",
        formula="time until the metals differ by less than it needs: cup cooled, ice melted, cold side warm",
        source="derived here",
        inputs=("water_mass", "ice_mass", "cold_area"),
        note="Nothing is shown where it goes on for more than twelve hours or a flame is kept alight.",
    ),
    "wheel_least": FigureSpec(
        label="Lightest wheel for best power",
        kind=Kind.MASS,
        unit="g",
        formula="I w^2/2 = half of the energy that the wheel must carry, at the speed of best power with any wheel",
        source="KhurmiGupta2005",
        inputs=("wheel_diameter",),
        note="At the wheel's diameter; inertia taken as 0.6 m r^2: 0.5 for a disc, 1 for a ring.",
    ),
    "wheel_most": FigureSpec(
        label="Heavier only starts later",
        kind=Kind.MASS,
        unit="g",
        formula="torque left over x 30 s/(speed x 0.6 r^2)",
        source="common practice, no source",
        inputs=("wheel_diameter",),
    ),
    "least_speed": FigureSpec(
        label="Wheel carries it above",
        kind=Kind.ROTATION,
        unit="rpm",
        formula="I w^2/2 = half of the energy that the turn takes up and gives back",
        source="KhurmiGupta2005",
        inputs=("wheel_mass", "wheel_diameter"),
    ),
}

NEEDS = {
    "temperature_difference": (
        "Temperature difference of the metals", Kind.DIFFERENCE, "K", False,
        "least difference at which the torque left over is above nil at some speed, cold metal as it is",
    ),
    "friction": (
        "Friction, grams at the rim", Kind.MASS, "g", True,
        "shaft work of a turn/2 pi less drag, largest over speed, as a weight at the wheel's rim",
    ),
    "leak_half_time": (
        "Leak-down half-time", Kind.TIME, "s", False,
        "least half-time at which the torque left over is above nil at some speed",
    ),
    "phase": (
        "Error of the phase",
        Kind.ANGLE,
        "deg",
        True,
        "largest error either way of a quarter turn at which the torque left over is above nil",
    ),
    "piston": (
        "Stroke of the power piston", Kind.LENGTH, "mm", True,
        "largest stroke at which the torque left over is above nil: the largest piston this heat can turn",
    ),
    "wheel": (
        "Wheel mass", Kind.MASS, "g", False,
        "I w^2/2 = half of the energy that the wheel must carry, at the highest speed with torque to spare",
    ),
}  # fmt: skip
"""Label, kind, unit, whether it is an upper bound, formula."""
