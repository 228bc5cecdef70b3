"""What the commands say of changes, as text and as JSON. No numpy."""

from __future__ import annotations

from typing import Any

from model.changes.result import Effect, NotPossible, Option, Outcome
from model.quantities.ladder import unit_for
from model.quantities.phrases import chance_text, hours_text, rpm_text
from model.quantities.ranges import Range
from model.quantities.units import Kind, digits, from_si, size_from_si
from tui.text.sanitise import sanitise

TELLING = 0.9
"""Chance to help below which it is told: two dozen engines cannot say more."""
FIGURES: tuple[tuple[str, str, Kind, str], ...] = (
    ("power", "shaft_power_W", Kind.POWER, "W"), ("best_speed", "speed_at_best_power_rpm", Kind.ROTATION, "rpm"),
    ("free_speed", "free_running_speed_rpm", Kind.ROTATION, "rpm"), ("spare", "spare_torque_mNm", Kind.TORQUE, "mN m"),
    ("least_difference", "least_difference_K", Kind.DIFFERENCE, "K"),
)  # fmt: skip
"""Attribute of an outcome or effect -> its key, kind and unit."""


def power_text(watts: Range) -> str:
    """Return a power with its ends: ``0.44 mW (0.23 to 0.85)``."""
    unit = unit_for(Kind.POWER, "W", watts.low, watts.high, watts.middle)
    middle, low, high = (digits(from_si(each, Kind.POWER, unit), 2) for each in (watts.middle, watts.low, watts.high))
    return f"{middle} {unit}" + (f" ({low} to {high})" if low != high else "")


def outcome_text(outcome: Outcome) -> str:
    """Return what an engine does in one line."""
    if not outcome.solved:
        return " ".join(outcome.in_the_way) or "not solved"
    said = [f"runs {chance_text(outcome.runs)}"]
    if outcome.power is not None and outcome.power.high > 0:
        said.append(power_text(outcome.power))
    if outcome.free_speed is not None:
        said.append(f"{rpm_text(outcome.free_speed.middle)} free")
    if outcome.least_difference is not None:
        said.append(f"from {outcome.least_difference.middle:.0f} K")
    return ", ".join(said)


def option_lines(option: Option) -> list[str]:
    """Return a change: what to do, what it brings, hours and things, what can hurt."""
    effect = option.effect
    helps = f"; helps {chance_text(effect.helps)}" if effect.helps < TELLING else ""
    lines = [f"{option.words} ({hours_text(option.hours)})", f"    {outcome_text(option.outcome)}{helps}"]
    if option.only_together:
        lines.append("    only the two together: neither does it alone")
    if option.needs:
        lines.append(f"    needs {option.needs}")
    return [*lines, f"    Caution: {option.caution}"] if option.caution else lines


def range_json(value: Range | None, kind: Kind, unit: str, *, size: bool = False) -> dict[str, float] | None:
    """Return a range in a unit; of a difference of two values (`size`) without the unit's zero."""
    if value is None:
        return None
    turned = size_from_si if size else from_si
    ends = {"value": value.middle, "low": value.low, "high": value.high}
    return {name: float(f"{turned(number, kind, unit):.6g}") for name, number in ends.items()}


def outcome_json(outcome: Outcome) -> dict[str, Any]:
    """Return an outcome as plain keys and numbers."""
    figures = {key: range_json(getattr(outcome, name), kind, unit) for name, key, kind, unit in FIGURES}
    return {
        "solved": outcome.solved,
        "runs": round(outcome.runs, 4),
        **figures,
        "in_the_way": [sanitise(text) for text in outcome.in_the_way],
    }


def effect_json(effect: Effect | None, *, running: bool) -> dict[str, Any] | None:
    """Return an effect as plain keys and numbers; what is sure is power where it runs, else torque to spare."""
    if effect is None:
        return None
    sure = effect.sure if running else size_from_si(effect.sure, Kind.TORQUE, "mN m")
    return {
        "runs": round(effect.runs, 4),
        **{key: range_json(getattr(effect, name), kind, unit, size=True) for name, key, kind, unit in FIGURES},
        "times": range_json(effect.times, Kind.NUMBER, ""),
        "helps": round(effect.helps, 4),
        "sure": float(f"{sure:.6g}"),
    }


def option_json(option: Option, *, running: bool) -> dict[str, Any]:
    """Return a change as plain keys and numbers."""
    return {
        "key": option.key,
        "words": sanitise(option.words),
        "parts": list(option.parts),
        "texts": {name: sanitise(text) for name, text in option.texts.items()},
        "hours": option.hours,
        "needs": option.needs,
        "caution": option.caution,
        "source": option.source,
        "group": option.group,
        "only_together": option.only_together,
        "outcome": outcome_json(option.outcome),
        "effect": effect_json(option.effect, running=running),
    }


def not_possible_json(refused: NotPossible) -> dict[str, str]:
    """Return a change that cannot be as plain keys."""
    return {"key": refused.key, "words": refused.words, "why": sanitise(refused.why)}


__all__ = [
    "effect_json",
    "not_possible_json",
    "option_json",
    "option_lines",
    "outcome_json",
    "outcome_text",
    "power_text",
    "range_json",
]
