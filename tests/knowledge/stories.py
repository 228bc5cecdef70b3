"""Projects that a builder could have typed, and what is asked of them. Invented; usual sizes."""

from __future__ import annotations

from collections.abc import Mapping

from model.record import Entry, Mark, Project, Reading

CAN = {
    "layout": "gamma", "piston_kind": "piston", "piston_bore": "20 mm +-0.1 measured",
    "piston_throw": "5 mm +-0.1 measured", "piston_rod": "60 mm", "piston_length": "25 mm",
    "displacer_bore": "66 mm +-0.5 measured", "displacer_throw": "12 mm +-0.2 measured", "displacer_length": "60 mm",
    "displacer_rod": "70 mm", "side_clearance": "2 mm +-0.3 measured", "gland_rod": "2 mm", "end_clearance_hot": "1 mm",
    "end_clearance_cold": "1 mm", "dead_volume_cold": "2 ml +-0.5 measured", "phase": "90 deg +-3 measured",
    "wheel_mass": "120 g +-2 measured", "wheel_diameter": "120 mm", "tube_bore": "8 mm", "tube_length": "15 mm",
    "friction_torque": "1 mN m +-0.2 measured", "speed_drag": "0.002 mN m/rpm +-0.0004 measured",
    "leak_half_time": "10 s +-2 measured", "heat_source": "spirit",
    "hot_metal": "300 C +-5 measured", "cold_metal": "50 C +-3 measured", "cold_side": "air",
    "room_temperature": "20 C +-1 measured",
}  # fmt: skip
"""A can engine of which all is measured that can be."""
FLAT = {
    "layout": "gamma", "displacer_bore": "95 mm", "displacer_throw": "3.5 mm", "displacer_length": "9 mm",
    "side_clearance": "1.5 mm", "piston_bore": "10 mm", "piston_throw": "4.5 mm", "wheel_mass": "30 g",
    "wheel_diameter": "120 mm", "heat_source": "water", "cold_side": "air", "displacer_material": "eps",
}  # fmt: skip
"""A flat engine on a mug, as a beginner types it."""


def project(*marks: Mapping[str, str], entries: tuple[Entry, ...] = ()) -> Project:
    """Return a project of these marks and entries."""
    return Project(
        name="Trial",
        marks={n: Mark(number=n, build=build) for n, build in enumerate(marks, 1)},
        entries={entry.key: entry for entry in entries},
    )


def entry(key: str, mark: int, *readings: tuple[str, Mapping[str, str]], ticks: tuple[str, ...] = ()) -> Entry:
    """Return an entry with readings, each a kind and its texts."""
    made = {f"r{n}": Reading(key=f"r{n}", kind=kind, texts=texts) for n, (kind, texts) in enumerate(readings)}
    return Entry(key=key, day="2026-11-20", mark=mark, readings=made, ticks=ticks)


def speed(rpm: float, spread: float = 0.0) -> tuple[str, Mapping[str, str]]:
    """Return a reading of a free-running speed."""
    return "speed", {"tachometer": f"{rpm:.4g} rpm" + (f" +-{2 * spread:.3g}" if spread else "")}
