"""A prediction and a notebook made by hand, so that the commands are tested apart from the model."""

from __future__ import annotations

import math
import shutil
from pathlib import Path

import pytest

from model.prediction.result import CurvePoint, Figure, Gap, Need, Prediction, Verdict, Why
from model.quantities.units import Kind

DEMO = Path(__file__).resolve().parents[2] / "projects"
RPM = 2 * math.pi / 60


def figure(key: str, kind: Kind, unit: str, value: float | None, low: float | None, high: float | None) -> Figure:
    why = Why(formula=f"{key} = this over that", inputs=(("Bore", "12 mm"),), source="derived here", note="steady")
    label = key.replace("_", " ").capitalize()
    return Figure(key=key, label=label, kind=kind, unit=unit, value=value, low=low, high=high, why=why)


def running() -> Prediction:
    """A prediction of an engine that runs."""
    figures = [
        figure("shaft_power", Kind.POWER, "W", 0.0052, 0.0031, 0.0094),
        figure("speed_at_best_power", Kind.ROTATION, "rpm", 150 * RPM, 110 * RPM, 190 * RPM),
        figure("free_running_speed", Kind.ROTATION, "rpm", 240 * RPM, 180 * RPM, 310 * RPM),
        figure("indicated_power", Kind.POWER, "W", 0.031, 0.02, 0.05),
        figure("isothermal_power", Kind.POWER, "W", 0.09, 0.08, 0.1),
        figure("shaft_power_there", Kind.POWER, "W", 0.0052, 0.0031, 0.0094),
        figure("hot_metal", Kind.TEMPERATURE, "C", 485.15, 475.15, 495.15),
        figure("cold_metal", Kind.TEMPERATURE, "C", 320.15, 315.15, 325.15),
        figure("hot_gas", Kind.TEMPERATURE, "C", 400.15, 380.15, 420.15),
        figure("cold_gas", Kind.TEMPERATURE, "C", 350.15, 340.15, 360.15),
        figure("heat_in", Kind.POWER, "W", 11.0, 8.0, 15.0),
        figure("heat_out", Kind.POWER, "W", 10.97, 7.9, 14.9),
        figure("pressure_swing", Kind.PRESSURE, "kPa", 9000.0, 7000.0, 12000.0),
    ]
    return Prediction(
        verdict=Verdict.RUNS,
        run_probability=0.93,
        figures={f.key: f for f in figures},
        at_speed=150 * RPM,
        curve=(
            CurvePoint(speed=50 * RPM, indicated=0.01, shaft=0.003),
            CurvePoint(speed=150 * RPM, indicated=0.031, shaft=0.0052),
        ),
        assumed={"displacer_offcentre": "between 20 and 80 %"},
        widest=(("Share that gets in", 0.4),),
        warnings=("the foam melts at 80 C",),
        untried=("the jet was tried from 3000 to 90000",),
        has_interval=True,
    )


def standing() -> Prediction:
    """A prediction of an engine that does not run."""
    made = running()
    figures = dict(made.figures)
    for key in ("speed_at_best_power", "free_running_speed"):
        figures[key] = figure(key, figures[key].kind, figures[key].unit, None, None, None)
    figures["shaft_power"] = figure("shaft_power", Kind.POWER, "W", -0.02, -0.05, 0.001)
    figures["shaft_power_there"] = figure("shaft_power_there", Kind.POWER, "W", -0.02, -0.05, -0.001)
    needs = (
        Need(
            key="temperature_difference",
            label="Temperature difference",
            kind=Kind.TEMPERATURE,
            unit="K",
            wants=260.0,
            has=180.0,
        ),
        Need(key="friction", label="Friction", kind=Kind.TORQUE, unit="mN m", wants=None, has=0.003, at_most=True),
    )
    return Prediction(
        verdict=Verdict.DOES_NOT_RUN,
        run_probability=0.04,
        figures=figures,
        at_speed=90 * RPM,
        curve=made.curve,
        needs=needs,
        has_interval=True,
    )


def one_gap() -> Gap:
    """A reading of speed against its prediction."""
    return Gap(
        entry="t5b7kn",
        reading="e",
        mark=3,
        day="2026-11-08",
        quantity="speed",
        measured=figure("speed", Kind.ROTATION, "rpm", 230 * RPM, 226 * RPM, 234 * RPM),
        predicted=figure("speed", Kind.ROTATION, "rpm", 240 * RPM, 180 * RPM, 310 * RPM),
        gap=figure("gap", Kind.ROTATION, "rpm", -10 * RPM, -80 * RPM, 50 * RPM),
        note="at its own temperatures",
    )


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    """A copy of the demo notebook, to write in."""
    folder = tmp_path / "notebook"
    shutil.copytree(DEMO, folder)
    return folder
