"""Builds of the kinds that are made at home, as their builders would type them. Invented; usual sizes."""

from __future__ import annotations

from model.fields import parse_build
from model.inputs.complete import complete_inputs
from model.inputs.model_inputs import ModelInputs

BUILDS: dict[str, dict[str, str]] = {
    "can, rubber": {
        "layout": "gamma", "displacer_bore": "66 mm", "displacer_throw": "15 mm", "displacer_length": "70 mm",
        "side_clearance": "2 mm", "diaphragm_rim": "45 mm", "diaphragm_disc": "30 mm", "piston_kind": "diaphragm",
        "piston_throw": "5 mm", "wheel_mass": "80 g", "wheel_diameter": "120 mm", "heat_source": "candle",
        "cold_side": "air", "friction_torque": "about 1 mN m",
    },
    "can, rubber, friction measured": {
        "layout": "gamma", "displacer_bore": "52 mm", "displacer_throw": "12 mm", "displacer_length": "60 mm",
        "side_clearance": "1.5 mm", "diaphragm_rim": "40 mm", "diaphragm_disc": "26 mm", "piston_kind": "diaphragm",
        "piston_throw": "4 mm", "wheel_mass": "90 g", "wheel_diameter": "120 mm", "heat_source": "spirit",
        "cold_side": "jacket", "friction_torque": "0.8 mN m +-0.3 measured",
    },
    "flat cup": {
        "layout": "gamma", "displacer_bore": "95 mm", "displacer_throw": "3.5 mm", "displacer_length": "9 mm",
        "side_clearance": "1.5 mm", "piston_bore": "10 mm", "piston_throw": "4.5 mm", "wheel_mass": "30 g",
        "wheel_diameter": "120 mm", "heat_source": "water", "cold_side": "air", "displacer_material": "eps",
        "friction_torque": "about 0.15 mN m",
    },
    "flat cup, temperatures measured": {
        "layout": "gamma", "displacer_bore": "100 mm", "displacer_throw": "4 mm", "displacer_length": "8 mm",
        "side_clearance": "1.5 mm", "piston_bore": "9.5 mm", "piston_throw": "4 mm", "wheel_mass": "25 g",
        "wheel_diameter": "120 mm", "heat_source": "water", "cold_side": "air", "hot_metal": "60 C +-3 measured",
        "cold_metal": "30 C +-3 measured", "friction_torque": "about 0.15 mN m",
    },
    "two syringes": {
        "layout": "alpha", "piston_bore": "15 mm", "piston_throw": "8 mm", "hot_throw": "8 mm", "phase": "90 deg",
        "tube_bore": "6 mm", "tube_length": "40 mm", "end_clearance_hot": "1 mm", "end_clearance_cold": "1 mm",
        "wheel_mass": "200 g", "wheel_diameter": "100 mm", "hot_metal": "about 450 C", "cold_metal": "about 40 C",
        "heat_source": "spirit", "friction_torque": "about 0.5 mN m",
    },
    "beta": {
        "layout": "beta", "piston_bore": "40 mm", "piston_throw": "6 mm", "displacer_throw": "14 mm",
        "displacer_length": "80 mm", "side_clearance": "1 mm", "wheel_mass": "250 g", "wheel_diameter": "120 mm",
        "heat_source": "spirit", "cold_side": "jacket",
    },
}  # fmt: skip


def model_inputs(name: str) -> ModelInputs:
    """Return a build, complete."""
    parsed = parse_build(BUILDS[name])
    made = complete_inputs(parsed.build)
    wrong = [str(p) for p in parsed.problems.values()] + [p.message for p in made.problems] + list(made.missing)
    if wrong:
        raise ValueError(f"{name}: {wrong}")
    return made
