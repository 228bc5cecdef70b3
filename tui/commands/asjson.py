"""Predictions and gaps as plain keys and numbers: the words of ``--json``, which others may build on."""

from __future__ import annotations

from typing import Any

from model.prediction.result import Figure, FirstTest, Gap, Need, Prediction, Verdict, Why
from model.quantities.units import Kind
from tui.text.figures import in_unit
from tui.text.sanitise import sanitise

MAIN = (
    ("shaft_power_W", "shaft_power", "W"),
    ("speed_at_best_power_rpm", "speed_at_best_power", "rpm"),
    ("free_running_speed_rpm", "free_running_speed", "rpm"),
)
"""Key, figure and unit of what is null where an engine does not run; each an object of value, low and high."""

AT_SPEED = (
    ("indicated_power_W", "indicated_power", "W"),
    ("isothermal_power_W", "isothermal_power", "W"),
    ("shaft_power_at_speed_W", "shaft_power_there", "W"),
    ("hot_metal_C", "hot_metal", "C"),
    ("cold_metal_C", "cold_metal", "C"),
    ("hot_gas_C", "hot_gas", "C"),
    ("cold_gas_C", "cold_gas", "C"),
    ("heat_in_W", "heat_in", "W"),
    ("heat_out_W", "heat_out", "W"),
)
"""Key, figure and unit of what holds at the stated speed; each a plain number, its interval stands in ``figures``."""

GAP_UNITS = {Kind.POWER: "W", Kind.ROTATION: "rpm"}


def prediction_json(prediction: Prediction) -> dict[str, Any]:
    """Return a prediction as plain keys and numbers."""
    figures = prediction.figures
    stands = prediction.verdict is Verdict.DOES_NOT_RUN
    main = {
        key: None if stands or name not in figures else figure_json(figures[name], unit) for key, name, unit in MAIN
    }
    there = {
        key: in_unit(figures[name].value, figures[name].kind, unit) if name in figures else None
        for key, name, unit in AT_SPEED
    }
    return {
        "verdict": str(prediction.verdict),
        "reason": sanitise(prediction.reason),
        "run_probability": in_unit(prediction.run_probability, Kind.NUMBER, ""),
        **main,
        "at_speed_rpm": in_unit(prediction.at_speed, Kind.ROTATION, "rpm"),
        **there,
        "curve": [
            {
                "speed_rpm": in_unit(point.speed, Kind.ROTATION, "rpm"),
                "indicated_power_W": in_unit(point.indicated, Kind.POWER, "W"),
                "shaft_power_W": in_unit(point.shaft, Kind.POWER, "W"),
            }
            for point in prediction.curve
        ],
        "needs": [_need(need) for need in prediction.needs],
        "warnings": [sanitise(text) for text in prediction.warnings],
        "untried": [sanitise(text) for text in prediction.untried],
        "assumed": {sanitise(name): sanitise(text) for name, text in prediction.assumed.items()},
        "missing": [sanitise(name) for name in prediction.missing],
        "widest": [
            {"input": sanitise(label), "share": in_unit(share, Kind.NUMBER, "")} for label, share in prediction.widest
        ],
        "first_test": None if prediction.first_test is None else _first_test(prediction.first_test),
        "figures": {name: _figure(figure) for name, figure in figures.items()},
    }


def gap_json(gap: Gap) -> dict[str, Any]:
    """Return a gap as plain keys and numbers."""
    unit = GAP_UNITS.get(gap.measured.kind, gap.measured.unit)
    return {
        "reading": sanitise(f"{gap.entry}.{gap.reading}"),
        "mark": gap.mark,
        "day": sanitise(gap.day),
        "quantity": gap.quantity,
        "unit": unit,
        "measured": figure_json(gap.measured, unit),
        "predicted": figure_json(gap.predicted, unit),
        "gap": figure_json(gap.gap, unit),
        "shown": None if gap.shown is None else figure_json(gap.shown, unit),
        "shown_gap": None if gap.shown_gap is None else figure_json(gap.shown_gap, unit),
        "also": [
            {"key": figure.key, "label": figure.label, "unit": figure.unit, **(figure_json(figure, figure.unit) or {})}
            for figure in gap.also
        ],
        "note": sanitise(gap.note),
        "why": _why(gap.predicted.why),
    }


def figure_json(figure: Figure, unit: str) -> dict[str, float | None] | None:
    """Return value, low and high; None where there is no value."""
    value = in_unit(figure.value, figure.kind, unit)
    if value is None:
        return None
    return {
        "value": value,
        "low": in_unit(figure.low, figure.kind, unit),
        "high": in_unit(figure.high, figure.kind, unit),
    }


def _figure(figure: Figure) -> dict[str, Any]:
    return {
        "label": figure.label,
        "unit": figure.unit,
        "value": in_unit(figure.value, figure.kind, figure.unit),
        "low": in_unit(figure.low, figure.kind, figure.unit),
        "high": in_unit(figure.high, figure.kind, figure.unit),
        "why": _why(figure.why),
    }


def _first_test(test: FirstTest) -> dict[str, Any]:
    return {
        "key": test.key,
        "label": test.label,
        "minutes": test.minutes,
        "unit": test.unit,
        "at": in_unit(test.at, test.kind, test.unit),
        "runs_below": in_unit(test.below, Kind.NUMBER, ""),
        "runs_above": in_unit(test.above, Kind.NUMBER, ""),
        "shaft_power_below_W": in_unit(test.power_below, Kind.POWER, "W"),
        "shaft_power_above_W": in_unit(test.power_above, Kind.POWER, "W"),
    }


def _need(need: Need) -> dict[str, Any]:
    return {
        "key": need.key,
        "label": need.label,
        "unit": need.unit,
        "wants": in_unit(need.wants, need.kind, need.unit),
        "has": in_unit(need.has, need.kind, need.unit),
        "at_most": need.at_most,
        "beyond": need.beyond,
        "met": need.met,
        "why": _why(need.why),
    }


def _why(why: Why) -> dict[str, Any]:
    return {
        "formula": sanitise(why.formula),
        "inputs": {sanitise(label): sanitise(text) for label, text in why.inputs},
        "source": sanitise(why.source),
        "note": sanitise(why.note),
    }
