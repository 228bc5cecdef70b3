"""What an ensemble says, in words: numbers as a builder would, what to expect of a test, what it would mean."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from model.bench.kinds import DROP_FALL, DROP_MASS
from model.explain.diagnosis.bench_tests import BenchTest, bench_test, coast, small
from model.explain.diagnosis.causes import CAUSES
from model.explain.diagnosis.ensemble import Ensemble
from model.explain.diagnosis.weights import probabilities
from model.physics.values import FloatArray, IndexArray
from model.quantities.constants import GRAVITY
from model.quantities.phrases import chance_text, span_text
from model.quantities.units import Kind, digits, from_si

LONG = 300.0
"""A half-time beyond which nobody waits, [s]."""
COASTS = ("free_cold", "free_hot", "free_open", "free_unlinked", "free_piston")
OVER = "over "


def shown_value(test: BenchTest, value: float) -> str:
    """Write an outcome as a builder would say it; a coast as turns and time from a flick of two turns a second."""
    if test.words:
        return test.words[int(np.clip(round(value), 0, len(test.words) - 1))]
    if test.key in COASTS:
        turns, time = coast(slowing=value)
        return f"{OVER}500 turns" if turns > 500 else f"{digits(turns, 2)} turns in {digits(time, 2)} s"
    if test.key == "piston_drop":
        time = DROP_FALL / max(value * DROP_MASS * GRAVITY, 1e-12)
        return f"{digits(time, 2)} s for 10 mm at 10 g" if time < LONG else "minutes for 10 mm at 10 g"
    if test.kind is None:
        return digits(value, 2)
    if test.key == "leak_down" and value > LONG:
        return "minutes"
    significant = 3 if test.kind in (Kind.TEMPERATURE, Kind.ANGLE) else 2
    return f"{digits(from_si(value, test.kind, test.unit), significant)} {test.unit}"


def expected(test: BenchTest, outcomes: FloatArray, weight: FloatArray) -> str:
    """Return the middle 90 % of what a weighted ensemble shows, in words."""
    if outcomes.size == 0 or weight.sum() <= 0:
        return ""
    if test.words:
        places = np.clip(np.round(outcomes), 0, len(test.words) - 1).astype(int)
        share = np.bincount(places, weights=weight, minlength=len(test.words)) / weight.sum()
        return ", ".join(
            f"{test.words[i]} ({chance_text(float(share[i]))})" for i in np.argsort(-share) if share[i] > 0.08
        )
    low, high = (shown_value(test, value) for value in quantiles(outcomes, weight, (0.05, 0.95)))
    if test.key in (*COASTS, "piston_drop"):
        low, high = high, low
    return span_text(low, high)


def quantiles(outcomes: FloatArray, weight: FloatArray, shares: tuple[float, ...]) -> list[float]:
    """Return weighted quantiles."""
    order = np.argsort(outcomes)
    running = np.cumsum(weight[order]) / weight.sum()
    return [float(v) for v in outcomes[order][np.minimum(np.searchsorted(running, shares), len(order) - 1)]]


def by_part(parts: tuple[str, ...], texts: list[str]) -> str:
    """Put what several observations of one test say behind one another."""
    if len(parts) == 1:
        return texts[0]
    return "; ".join(f"{small(bench_test(key).label)}: {text}" for key, text in zip(parts, texts, strict=True) if text)


PHRASES = {
    "free_cold": "it coasts {} cold",
    "free_hot": "it coasts {} hot",
    "swing_cold": "the swing is {}",
    "leak_down": "the half-time is {}",
    "hot_metal": "the hot metal is {}",
    "cold_metal": "the cold metal is {}",
    "other_way: no change": "no longer the other way",
    "other_way: coasts longer": "longer the other way",
    "other_way: runs": "runs the other way",
    "stops: anywhere": "stops anywhere",
    "stops: same angle": "stops at the same angle",
}
"""What one of several observations of a test is, as it is read aloud."""
LEAST_PART = 0.04
"""Share of the engines below which an outcome is not worth telling."""


def _phrase(test: BenchTest, text: str) -> str:
    words = PHRASES.get(f"{test.key}: {text}" if test.words else test.key, f"{small(test.label)} {{}}")
    shorter = text.replace(" in ", " (") + ")" if test.key in COASTS and text.count(" in ") == 1 else text
    return words.format(shorter)


def branches(ensemble: Ensemble, weight: FloatArray, parts: tuple[str, ...]) -> list[tuple[str, str]]:
    """Say for each class of outcome which causes would then come first: (if this, then that)."""
    by_share = []
    for name, chosen in _groups(ensemble, weight, parts):
        part = float(weight[chosen].sum())
        after = probabilities(ensemble, np.where(chosen, weight, 0.0) / part)
        first = [f"{CAUSES[i].label} {chance_text(float(after[i]))}" for i in np.argsort(-after)[:2] if after[i] > 0.1]
        by_share.append((part, name, ", ".join(first) or "nothing stands out"))
    return [(name, then) for _, name, then in sorted(by_share, key=lambda row: -row[0])[:5]]


def stays_sure(ensemble: Ensemble, weight: FloatArray, parts: tuple[str, ...], cause: int, sure: float) -> bool:
    """Whether after every outcome worth telling this cause would still be as sure as that."""
    groups = [np.where(chosen, weight, 0.0) / weight[chosen].sum() for _, chosen in _groups(ensemble, weight, parts)]
    return all(probabilities(ensemble, after)[cause] >= sure for after in groups)


def part_branches(ensemble: Ensemble, weight: FloatArray, test: BenchTest) -> list[tuple[str, str]]:
    """Say of a test that tells the part apart, in place of the cause, what each outcome would mean.

    A part whose removal takes away half of the loss of the opened engine has it.
    """
    half = quantiles(ensemble.outcomes["free_open"], weight, (0.5,))[0] / 2
    freed = ensemble.outcomes[test.key] < ensemble.outcomes["free_open"] / 2
    share = float(weight[freed].sum() / weight.sum())
    text = shown_value(test, half)
    return [
        (f"more than {text}, half the loss of before", f"it is at {test.at} ({chance_text(share)})"),
        ("hardly more than opened, all linked", f"it is somewhere else ({chance_text(1 - share)})"),
    ]


def _groups(ensemble: Ensemble, weight: FloatArray, parts: tuple[str, ...]) -> list[tuple[str, NDArray[np.bool_]]]:
    """Sort engines by what they would show, in words; what hardly any shows is left out."""
    number = np.zeros(weight.size, dtype=np.intp)
    names = [""]
    for key in parts:
        test = bench_test(key)
        classes, texts = _classes(ensemble, weight, test, few=len(parts) > 1)
        number = number * len(texts) + classes
        phrases = [_phrase(test, text) for text in texts] if len(parts) > 1 else texts
        names = [f"{name}{' and ' if name else ''}{text}" for name in names for text in phrases]
    groups = ((name, number == which) for which, name in enumerate(names))
    return [(name, chosen) for name, chosen in groups if weight[chosen].sum() >= LEAST_PART * weight.sum()]


def distinct_edges(edges: list[float], texts: list[str]) -> dict[str, float]:
    """Return the edges by what is read of them; of those that read the same, the first."""
    edges_by_text: dict[str, float] = {}
    for text, edge in zip(texts, edges, strict=True):
        edges_by_text.setdefault(text, edge)
    return edges_by_text


def _classes(ensemble: Ensemble, weight: FloatArray, test: BenchTest, *, few: bool) -> tuple[IndexArray, list[str]]:
    """Sort outcomes into classes that a builder can tell apart, with the words of each."""
    outcomes = ensemble.outcomes[test.key]
    if test.words:
        return np.clip(np.round(outcomes), 0, len(test.words) - 1).astype(np.intp), list(test.words)
    edges = sorted(set(quantiles(outcomes, weight, (0.5,) if few else (0.2, 0.5, 0.8))))
    edges_told = distinct_edges(edges, [shown_value(test, edge).removeprefix(OVER) for edge in edges])
    edges, texts = list(edges_told.values()), list(edges_told)
    falling = test.key in (*COASTS, "piston_drop")
    under, over = ("more than", "fewer than") if falling else ("below", "above")
    names = [f"{under} {texts[0]}"]
    names += [span_text(a, b) for a, b in pairwise(texts)]
    return np.digitize(outcomes, edges).astype(np.intp), [*names, f"{over} {texts[-1]}"]
