"""The figures that a prediction shows: label, unit, and why. One declaration each; no numpy."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from model.fields import Build, fields_of, show
from model.inputs.guesses import PRACTICE, source_of
from model.inputs.model_inputs import ModelInputs
from model.prediction.figure_table import FIGURES, NEEDS
from model.prediction.result import Figure, Need, Why
from model.prediction.volume_figures import VOLUMES
from model.quantities.phrases import span_text
from model.quantities.uncertain import Uncertain
from model.quantities.units import digits

GUESSES = f"Guessed ranges: {PRACTICE}, unless one stands beside."


def figure(
    key: str, value: float | None, model_inputs: ModelInputs, *, low: float | None = None, high: float | None = None
) -> Figure:
    """Make a figure of the declared kind."""
    spec = FIGURES[key] if key in FIGURES else VOLUMES[key]
    rows = shown_inputs(model_inputs, spec.inputs)
    return Figure(
        key=key,
        label=spec.label,
        kind=spec.kind,
        unit=spec.unit,
        value=value,
        low=low,
        high=high,
        why=Why(
            formula=spec.formula,
            inputs=rows,
            source=spec.source,
            note=" ".join(
                part for part in (spec.note, GUESSES if any("(guessed" in t for _, t in rows) else "") if part
            ),
        ),
    )


def shown_inputs(model_inputs: ModelInputs, names: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Return inputs as label and text with unit, those that this build has."""
    declared: Mapping[str, object] = fields_of(Build)
    rows = []
    for name in names:
        if name not in model_inputs.values:
            continue
        value = model_inputs.values[name]
        if name in declared:
            text = _text(name, value)
            if name in model_inputs.assumed:
                text += " (from readings)" if "from readings" in model_inputs.assumed[name] else _guessed(name)
        else:
            low, high = value.interval()
            text = f"{span_text(digits(low, 2), digits(high, 2))}{_guessed(name)}"
        rows.append((model_inputs.labels.get(name, name), text))
    return tuple(rows)


def _guessed(name: str) -> str:
    source = source_of(name)
    return " (guessed)" if source == PRACTICE else f" (guessed; {source})"


@lru_cache(maxsize=1024)
def _text(name: str, value: Uncertain) -> str:
    """Write a value as its field does; many figures show the same inputs."""
    return show(value, fields_of(Build)[name])


def need(key: str, *, wants: float | None, has: float, last: float | None = None) -> Need:
    """Make one line of what an engine needs against what it has, and the last value that was tried; SI."""
    label, kind, unit, at_most, formula = NEEDS[key]
    met = wants is not None and (has <= wants if at_most else has >= wants)
    return Need(
        key=key,
        label=label,
        kind=kind,
        unit=unit,
        wants=wants,
        has=has,
        at_most=at_most,
        beyond=bool(wants is not None and last is not None and abs(wants - last) <= 1e-9 * abs(last)),
        met=met,
        why=Why(formula=formula, source="derived here", note="All else as it is."),
    )
