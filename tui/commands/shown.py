"""What a mark has shown, as lines and as JSON: the prediction given all that was found, and what is known now."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from model.prediction.result import Prediction, Verdict
from model.quantities.phrases import chance_text
from model.quantities.units import Kind
from tui.commands.asjson import prediction_json
from tui.text.figures import MAIN, figure_text, in_unit
from tui.text.sanitise import sanitise
from tui.text.unknowns import unknown_text

if TYPE_CHECKING:
    from model.knowledge.result import Knowledge, Ratio, Took, Unknown


def shown_json(known: Knowledge) -> dict[str, Any] | None:
    """Return the prediction from what a mark has shown, with the keys of the drawing's; None without a finding."""
    if not known.learned:
        return None
    return {**prediction_json(known.prediction), "ratio": ratio_json(known.ratio)}


def known_json(known: Knowledge) -> dict[str, Any]:
    """Return what is known of a mark, and from what."""
    return {
        "unknowns": [_unknown_json(item) for item in known.unknowns],
        "took_part": [_took_json(item) for item in known.readings],
        "at_odds": [sanitise(text) for text in known.contradictions],
        "engines": round(known.effective),
        "note": sanitise(known.note),
    }


def ratio_json(ratio: Ratio | None) -> dict[str, Any] | None:
    """Return a ratio of two marks."""
    if ratio is None:
        return None
    parts = {"power": ratio.power, "speed": ratio.speed, "friction": ratio.friction}
    return {
        "to_mark": ratio.before,
        **{name: None if ends is None else _ends(ends, Kind.NUMBER, "") for name, ends in parts.items()},
    }


def _unknown_json(item: Unknown) -> dict[str, Any]:
    return {
        "key": item.key,
        "label": item.label,
        "unit": item.unit,
        "before": _ends(item.before, item.kind, item.unit),
        "after": _ends(item.after, item.kind, item.unit),
        "origin": item.origin,
        "since": item.since,
    }


def _took_json(item: Took) -> dict[str, Any]:
    return {
        "reading": f"{sanitise(item.entry)}.{sanitise(item.reading)}".rstrip("."),
        "mark": item.mark,
        "text": sanitise(item.text),
    }


def _ends(ends: tuple[float, float, float], kind: Kind, unit: str) -> dict[str, Any]:
    value, low, high = (in_unit(number, kind, unit) for number in ends)
    return {"value": value, "low": low, "high": high}


def shown_lines(known: Knowledge) -> list[str]:
    """Return what a mark has shown as lines; none where nothing was found."""
    if not known.learned:
        return []
    many = len(known.readings)
    lines = [f"From what it has shown ({many} finding{'s' if many > 1 else ''} of this mark and those before):"]
    lines += [f"  {line}" for line in _verdict_lines(known.prediction)]
    if known.ratio is not None and known.ratio.words:
        lines.append(f"  {known.ratio.words}")
    lines += unknown_lines(known)
    lines += [f"  At odds: {sanitise(text)}" for text in known.contradictions]
    return [*lines, f"  {sanitise(known.note)}"] if known.note else lines


def unknown_lines(known: Knowledge) -> list[str]:
    """Return what is known of a build now, and what was before."""
    width = max((len(item.label) for item in known.unknowns), default=0)
    return [f"  {item.label:<{width}}  {unknown_text(item)}" for item in known.unknowns]


def _verdict_lines(prediction: Prediction) -> list[str]:
    chance = "" if prediction.run_probability is None else f", {chance_text(prediction.run_probability)}"
    lines = [f"{str(prediction.verdict).capitalize()}{chance}."]
    if prediction.verdict is Verdict.DOES_NOT_RUN:
        return lines
    figures = [prediction.figures[key] for key in MAIN if key in prediction.figures]
    width = max((len(figure.label) for figure in figures), default=0)
    return [*lines, *(f"{figure.label:<{width}}  {figure_text(figure)}" for figure in figures)]


__all__ = ["known_json", "shown_json", "shown_lines", "unknown_lines"]
