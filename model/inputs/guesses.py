"""Where each guessed range comes from. Data only; what is not named here is common practice, no source."""

from __future__ import annotations

from model.fields import Build, fields_of

PRACTICE = "common practice, no source"
SOURCES = {
    "heat_released": "tea-light 2.3-3.5 g of wax an hour; sun ASTM G173; gas by the hot end's size (EN 30-2-1, from "
    "memory); resistor: what bare metal loses; spirit lamp: common practice",
    "heat_caught": "flame: household burners (EN 30-2-1, from memory), less on a small hot end; sun, resistor: common "
    "practice",
    "source_temperature": "hot water in a mug, common practice; skin, from memory",
    "room_pressure": "ISO 2533:1975, sea level to 500 m unless the altitude is given",
    "friction_torque": "measured on flat drums, a beta and engines that stopped; the wheel's weight; ends by common "
    "practice",
    "speed_drag": "measured slopes of a beta and of flat drums; spread by common practice",
    "hot_beside": "length of a fin of the wall; common practice",
    "cold_beside": "length of a fin of the wall; common practice",
    "wheel_mass": "one plain compact disc (ECMA-130, 14 g at 120 mm) to a steel disc of 3 mm: common practice",
    "exchange_factor": "one face of a calm layer to both; middle from all measured engines together",
    "piston_leak": "from readings",
    "gland_leak": "from readings",
    "u_tube_hose": "the 2 mm asked for, or air line of 4 mm: common practice, no source",
    "hot_emissivity": "table of materials; soot from memory",
    "wall_conductivity": "table of materials",
    "displacer_conductivity": "table of materials",
    "wall_effusivity": "table of materials",
    "displacer_effusivity": "table of materials",
    "wall_capacity": "table of materials",
    "displacer_capacity": "table of materials",
}
"""Name of an input -> source of its range, where it has one."""


def source_of(name: str) -> str:
    """Return where the range of a guessed input comes from."""
    if name in SOURCES:
        return SOURCES[name]
    declared = fields_of(Build).get(name)
    return PRACTICE if declared is None or declared.guess is None else declared.guess.source
