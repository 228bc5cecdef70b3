"""An engine that does not run: which cause, how sure, and the next test with the number to expect and what it means."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from model.explain.trouble.causes import CAUSES
from model.explain.trouble.trials import BUILDERS_ORDER, FLICK, Trial, coast, loss_of_coast, trial
from model.explain.trouble.weigh import (
    Crowd,
    Finding,
    classes,
    gather,
    likelihood,
    probabilities,
    ranked,
    surprise,
    weigh,
)
from model.fields import parse_build, parse_fields
from model.fields.reading import ReadingValues
from model.record import Project
from model.resolve import Resolved, resolve
from model.running.points import inertia
from model.uncertain import Uncertain
from model.units import Kind, digits, from_si

FloatArray = NDArray[np.float64]
CONTRADICTS = 0.06
"""A finding that fits what is known no better than this is told as contradicting the others."""
WORDS = {"no": 0.0, "weak": 1.0, "yes": 2.0, "random": 0.0, "same": 1.0}
OUTCOME = {"same": 0.0, "longer": 1.0, "ran": 2.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseSeen:
    """One cause with its probability."""

    key: str
    label: str
    probability: float
    remedy: str
    moved: tuple[tuple[str, float], ...] = ()
    """Findings that moved it, with the factor on its odds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """If the test shows this, then these causes come to the fore."""

    when: str
    then: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One test with what to expect."""

    key: str
    label: str
    how: str
    needs: str
    minutes: float
    caution: str
    reading: str
    """Kind of reading to write it down as."""
    expected: str
    """What this build should show, before it is done."""
    healthy: str
    """What it would show with nothing wrong."""
    branches: tuple[Branch, ...]
    bits: float
    """How much it tells, in bits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosis:
    """What is known of an engine that does not run."""

    causes: tuple[CauseSeen, ...] = ()
    """Most likely first."""
    next: Advice | None = None
    """The test that tells most for its effort; None when nothing is left to try."""
    others: tuple[Advice, ...] = ()
    findings: tuple[str, ...] = ()
    """What was found, in words."""
    contradictions: tuple[str, ...] = ()
    """Findings that do not fit the rest."""
    reason: str = ""
    """Why there is no diagnosis, when there is none."""


def diagnose(project: Project, *, mark: int, seed: int = 1) -> Diagnosis:
    """Weigh the causes for a mark of a project and name the next test."""
    build = parse_build(project.marks[mark].build if mark in project.marks else {}).build
    resolved = resolve(build)
    if not resolved.values or resolved.missing or resolved.problems:
        wanted = ", ".join(resolved.labels.get(n, n) for n in resolved.missing)
        why = f"still needed: {wanted}" if wanted else "; ".join(p.message for p in resolved.problems)
        return Diagnosis(reason=why or "there is no model for a layout without a crank on the displacer")
    crowd = gather(resolved, seed=seed)
    return conclude(crowd, findings_of(project, mark, crowd), resolved)


def conclude(crowd: Crowd, findings: list[Finding], resolved: Resolved) -> Diagnosis:
    """Turn a crowd and findings into a diagnosis."""
    weight = weigh(crowd, findings)
    chances = probabilities(crowd, weight)
    order = np.argsort(-chances)
    causes = tuple(
        CauseSeen(
            key=CAUSES[i].key,
            label=CAUSES[i].label,
            probability=float(chances[i]),
            remedy=CAUSES[i].remedy,
            moved=_moved(crowd, findings, int(i)),
        )
        for i in order
        if chances[i] > 0
    )
    done = {finding.trial for finding in findings}
    best = ranked(crowd, weight, done)
    advised = [_advice(crowd, weight, test, bits) for test, bits in best[:4]]
    return Diagnosis(
        causes=causes,
        next=advised[0] if advised else None,
        others=tuple(advised[1:]),
        findings=tuple(f"{trial(f.trial).label}: {shown_value(trial(f.trial), f.value, crowd)}" for f in findings),
        contradictions=_contradictions(crowd, findings),
    )


def findings_of(project: Project, mark: int, crowd: Crowd) -> list[Finding]:
    """Read the findings of a mark's readings; of several of one kind the last counts."""
    moment = float(np.median(inertia(crowd.inputs)))
    rim = float(np.median(crowd.inputs["wheel_diameter"])) / 2
    found: dict[str, Finding] = {}
    for _, reading in project.readings_of(mark):
        values, _ = parse_fields(ReadingValues, {**reading.texts, "kind": reading.kind})
        for finding in _of_reading(values, moment, rim):
            found.pop(finding.trial, None)
            found[finding.trial] = finding
    return [f for f in found.values() if f.trial in crowd.shown]


def _of_reading(values: ReadingValues, moment: float, rim: float) -> list[Finding]:
    kind = values.kind or ""
    if kind == "free_turns":
        return _of_coast(values, moment)
    if kind == "trial" and values.trial and values.outcome:
        return [Finding(trial=values.trial, value=OUTCOME[values.outcome])]
    word = {"bounce": values.bounce, "stops": values.stops}.get(kind)
    if word is not None:
        return [Finding(trial=kind, value=WORDS[word])]
    found = []
    numbers: dict[str, tuple[str, Uncertain | None]] = {
        "leak_down": ("leak_down", values.time),
        "swing_cold": ("swing_cold", values.swing),
        "swing_hot": ("swing_hot", values.swing),
        "crank_angle": ("crank_angle", values.angle),
        "displacer_travel": ("displacer_travel", values.travel),
    }
    if kind in numbers and (number := numbers[kind][1]) is not None:
        found.append(Finding(trial=numbers[kind][0], value=number.value, spread=number.spread))
    if kind == "rim_weight" and values.weight is not None and values.radius is not None:
        scale = values.radius.value / rim
        found.append(
            Finding(trial="rim_weight", value=values.weight.value * scale, spread=values.weight.spread * scale)
        )
    if kind == "rubber" and values.weight is not None and values.travel is not None and values.travel.value > 0:
        found.append(Finding(trial="rubber", value=9.80665 * values.weight.value / values.travel.value))
    for name, temperature in (("hot_metal", values.hot_metal), ("cold_metal", values.cold_metal)):
        if kind == "temperatures" and temperature is not None:
            found.append(Finding(trial=name, value=temperature.value, spread=temperature.spread))
    return found


def _of_coast(values: ReadingValues, moment: float) -> list[Finding]:
    if values.turns is None or values.turns.value <= 0 or values.direction == "backward":
        return []
    name = "free_hot" if values.warmth == "hot" else "free_cold"
    turns = values.turns.value
    if values.time is not None:
        loss = loss_of_coast(turns=turns, time=values.time.value, moment=moment)
        relative = math.hypot(values.turns.spread / turns, 2 * values.time.spread / values.time.value)
        return [Finding(trial=name, value=loss, spread=loss * math.hypot(relative, 0.15))]
    # turns alone: the flick is not known, two turns a second give or take a half
    loss = moment * FLICK**2 / (4 * math.pi * turns)
    return [Finding(trial=name, value=loss, spread=loss)]


def _moved(crowd: Crowd, findings: list[Finding], cause: int) -> tuple[tuple[str, float], ...]:
    """Return the factor of each finding on the odds of a cause, where it is worth telling."""
    moved = []
    weight = crowd.weight
    mine = crowd.cause == cause
    for finding in findings:
        chance = likelihood(finding, crowd.shown[finding.trial])
        own = float((weight[mine] * chance[mine]).sum() / max(weight[mine].sum(), 1e-300))
        rest = float((weight[~mine] * chance[~mine]).sum() / max(weight[~mine].sum(), 1e-300))
        factor = own / max(rest, 1e-300)
        if factor > 1.5 or factor < 1 / 1.5:
            moved.append((trial(finding.trial).label, factor))
    return tuple(moved)


def _contradictions(crowd: Crowd, findings: list[Finding]) -> tuple[str, ...]:
    """Return findings that fit badly what all the others say."""
    told = []
    for finding in findings:
        others = [f for f in findings if f is not finding]
        if others and surprise(crowd, weigh(crowd, others), finding) < CONTRADICTS:
            told.append(
                f"{trial(finding.trial).label}, {shown_value(trial(finding.trial), finding.value, crowd)}, "
                "does not fit the other findings: do it again, or there are two faults."
            )
    return tuple(told)


def _advice(crowd: Crowd, weight: FloatArray, test: Trial, bits: float) -> Advice:
    shown = crowd.shown[test.key]
    return Advice(
        key=test.key,
        label=test.label,
        how=test.how,
        needs=test.needs,
        minutes=test.minutes,
        caution=test.caution,
        reading=test.reading,
        expected=_range(test, shown, weight, crowd),
        healthy=_range(test, shown, np.where(crowd.shown["runs"] > 0, 1.0, 0.0), crowd),
        branches=_branches(crowd, weight, test),
        bits=bits,
    )


def _range(test: Trial, shown: FloatArray, weight: FloatArray, crowd: Crowd) -> str:
    """Return the middle 90 % of what a weighted crowd shows, in words."""
    if weight.sum() <= 0:
        return "not known"
    if test.words:
        share = np.bincount(np.round(shown).astype(int), weights=weight, minlength=len(test.words)) / weight.sum()
        likely = [f"{test.words[i]} ({share[i]:.0%})" for i in np.argsort(-share) if share[i] > 0.08]
        return ", ".join(likely)
    order = np.argsort(shown)
    running = np.cumsum(weight[order]) / weight.sum()
    at = np.minimum(np.searchsorted(running, (0.05, 0.95)), len(order) - 1)
    low, high = (float(value) for value in shown[order][at])
    return f"between {shown_value(test, low, crowd)} and {shown_value(test, high, crowd)}"


def shown_value(test: Trial, value: float, crowd: Crowd) -> str:
    """Write an outcome as a builder would say it; a coast as turns and time from a flick of two turns a second."""
    if test.words:
        return test.words[min(round(value), len(test.words) - 1)]
    if test.key in ("free_cold", "free_hot"):
        moment = float(np.median(inertia(crowd.inputs)))
        turns, time = coast(loss=value, moment=moment)
        return "no end of turns" if math.isinf(turns) else f"{digits(turns, 2)} turns in {digits(time, 2)} s"
    if test.kind is None:
        return digits(value, 2)
    if test.key == "leak_down" and value > 300:
        return "minutes"
    significant = 3 if test.kind in (Kind.TEMPERATURE, Kind.ANGLE) else 2
    return f"{digits(from_si(value, test.kind, test.unit), significant)} {test.unit}"


def _branches(crowd: Crowd, weight: FloatArray, test: Trial) -> tuple[Branch, ...]:
    """Say for each class of outcome which causes would then come first."""
    number, edges = classes(crowd, weight, test)
    total = weight.sum()
    branches = []
    for which in range(int(number.max()) + 1):
        chosen = number == which
        if weight[chosen].sum() < 0.04 * total:
            continue
        after = probabilities(crowd, np.where(chosen, weight, 0.0) / weight[chosen].sum())
        first = [f"{CAUSES[i].label} {after[i]:.0%}" for i in np.argsort(-after)[:2] if after[i] > 0.1]
        branches.append(Branch(when=_when(test, which, edges, crowd), then=", ".join(first) or "nothing stands out"))
    return tuple(branches)


def _when(test: Trial, which: int, edges: FloatArray, crowd: Crowd) -> str:
    if test.words:
        return test.words[min(which, len(test.words) - 1)]
    texts = [shown_value(test, float(edge), crowd) for edge in edges]
    falling = test.key in ("free_cold", "free_hot")
    under, over = ("more than", "fewer than") if falling else ("below", "above")
    if which == 0:
        return f"{under} {texts[0]}"
    if which >= len(texts):
        return f"{over} {texts[-1]}"
    return f"between {texts[which - 1]} and {texts[which]}"


def fixed_order(done: set[str], crowd: Crowd) -> Trial | None:
    """Return the next test of experienced builders' fixed order."""
    return next((trial(key) for key in BUILDERS_ORDER if key not in done and key in crowd.shown), None)


__all__ = ["Advice", "Branch", "CauseSeen", "Diagnosis", "conclude", "diagnose", "findings_of", "fixed_order"]
