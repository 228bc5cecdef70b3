"""The gap of a reading taken apart: from the ideal turn, at its own speed and metals, down to the measured shaft.

The ideal turn is isothermal in the real geometry. Heat exchange, clearance, leak and what gives take from each other:
each is switched off in the inputs of the model, alone and with the others, and counts as its mean over all orders.
Flow, crank, friction and drag are what the turn as it is says, exactly. What is left between the prediction without
this reading and the reading itself is unexplained.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from model.changes.compare import range_of
from model.changes.engines import FewEngines, few_engines
from model.changes.result import Breakdown, Loss
from model.changes.shapley import Without, shares, subsets
from model.checkpoint import Progress, checkpoint, silent
from model.explain.diagnosis.weights import WANDER
from model.knowledge.facts import Balance, facts_of
from model.knowledge.latents import Chain, chain_of, first_numbers
from model.knowledge.weigh import MODEL_ERROR
from model.physics.values import FloatArray
from model.quantities.phrases import rpm_text, watts_text
from model.quantities.ranges import Range
from model.quantities.uncertain import How
from model.record import Project
from model.running import leak_down
from model.running.engine import geometry
from model.running.operate import Operation, leak_conductance, operate
from model.running.samples import SampledInputs, normal_quantiles, strata

ANGLES = 32
OFF = 1e4
"""Times the heat exchange at which the spaces are as good as isothermal: the closed form to 1e-4 (`tests/cycle`)."""
TURNED_OFF = ("exchange", "clearance", "leak", "giving")
"""Losses that take from each other."""
LABELS: Mapping[str, tuple[str, str, str]] = {
    "exchange": ("Heat exchange in the spaces", "exchange", "exchange_factor"),
    "clearance": ("Heat lost in the clearance", "clearance", "side_clearance"),
    "leak": ("Leak", "leak", "leak_half_time"),
    "giving": ("Ends or rubber that give", "what gives", "soft_parts"),
    "flow": ("Flow", "flow", "flow_factor"),
    "crank": ("Bounce work and crank", "crank", "effectiveness"),
    "friction": ("Friction at rest", "friction", "friction_torque"),
    "drag": ("Drag that grows with speed", "drag", "speed_drag"),
    "unexplained": ("Unexplained", "unexplained", ""),
}
"""Loss -> how it is called, the same in a word or two, and the input that it rests on most."""
STAND_IN = {"leak_half_time": "piston_clearance", "soft_parts": "rubber_stretch", "side_clearance": "tube_bore"}
"""Input -> the one that stands for it on engines that have none."""
ENTANGLED = -0.75
"""Correlation over the engines at which two losses are one line: what one takes more, the other takes less."""
MATTERS = 0.05
"""Share of the ideal by which both must vary for that."""
BLIND = 0.75
"""Half-width of the prediction over the power that the air gives, from which a reading can tell nothing."""
NARROWED, MOVED = 0.55, 0.9
"""Spread of an input's numbers among the engines, and how far their middle moved, by which something was learned: more
than two dozen engines, some of them alike, show by chance."""


def breakdowns(
    project: Project, mark: int, *, only: tuple[str, str] | None = None, seed: int = 1, progress: Progress = silent
) -> Iterator[Breakdown]:
    """Yield the gap of each brake and free-running reading of a mark taken apart, newest first.

    Parameters
    ----------
    project, mark
        The prototype and its mark.
    only : tuple of str, optional
        Keys of the entry and of the reading in it, where one alone is wanted.
    seed : int
        Where the random numbers begin.
    progress : callable
        Told the share that is done, 0 to 1.
    """
    chain = chain_of(project, mark)
    if mark not in chain.inputs:
        yield Breakdown(mark=mark, entry="", reading="", told="", reason="There is no prediction of this mark.")
        return
    wanted = [
        fact
        for fact in reversed(facts_of(project, chain).balances)
        if fact.mark == mark and only in (None, (fact.entry, fact.reading))
    ]
    for number, fact in enumerate(wanted):
        told = partial(_share, progress, number / len(wanted), 0.7 / len(wanted))
        engines = few_engines(project, mark, without=frozenset({fact.entry}), seed=seed, progress=told)
        if engines is not None:
            checkpoint()
            yield taken_apart(engines, fact, seed=seed)
            progress((number + 1) / len(wanted))


def _share(progress: Progress, start: float, width: float, share: float) -> None:
    progress(start + width * share)


def taken_apart(engines: FewEngines, fact: Balance, *, seed: int = 1) -> Breakdown:
    """Return a reading taken apart on engines that know nothing of it."""
    inputs = _at_reading(engines.chain, fact, engines)
    whole = _counted(inputs, fact.speed)
    measured = _measured(fact, engines.size, seed)
    unexplained = whole.predicted - measured
    lines = _lines(engines, whole, unexplained, _found(fact, engines))
    drawn = None
    if engines.learned:
        fresh = first_numbers(seed, engines.size)
        as_drawn = replace(engines, draw=fresh, learned=False)
        drawn = range_mean(_counted(_at_reading(engines.chain, fact, as_drawn), fact.speed, apart=False).predicted)
    then = _at_visit(whole, engines.size, seed)
    verdict = _verdict(then, measured, whole)
    made = Breakdown(
        mark=fact.mark,
        entry=fact.entry,
        reading=fact.reading,
        told=fact.text,
        speed=fact.speed,
        difference=range_of(inputs["hot_metal"] - inputs["cold_metal"]),
        ideal=range_mean(whole.ideal),
        losses=lines,
        predicted=range_mean(whole.predicted),
        measured=range_mean(measured),
        drawn=drawn,
        verdict=verdict,
        engines=engines.size,
    )
    return replace(made, sentence=_sentence(made))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Counted:
    """Powers of engines at one speed and their metals, (engines,) each, [W]."""

    ideal: FloatArray
    shares: Mapping[str, tuple[FloatArray, FloatArray]]
    """Loss that takes from others -> its mean over the orders, and (orders, engines)."""
    exact: Mapping[str, FloatArray]
    """Loss that the turn as it is says."""
    predicted: FloatArray


def _at_reading(chain: Chain, fact: Balance, engines: FewEngines) -> SampledInputs:
    """Return the engines under the conditions of a reading, their metals held where they are."""
    made = chain.sampled(fact.mark, engines.draw, under=fact.under, place=fact.place)
    if "hot_metal" in made and "cold_metal" in made:
        return made
    o = operate(made, np.full((made.size, 1), fact.speed), angles=ANGLES, refined=False)
    return made.changed(hot_metal=o.hot_metal[:, 0], cold_metal=o.cold_metal[:, 0])


def _counted(inputs: SampledInputs, speed: float, *, apart: bool = True) -> Counted:
    chosen = subsets(TURNED_OFF) if apart else (frozenset(),)
    leaking = leak_conductance(inputs, geometry(inputs, angles=16))
    parts = [switched(inputs, off, leaking) for off in chosen]
    names = {name for part in parts for name in part.values}
    whole = SampledInputs(
        words=inputs.words,
        values={name: np.concatenate([part[name] for part in parts]) for name in names},
        size=len(parts) * inputs.size,
    )
    o = operate(whole, np.full((whole.size, 1), speed), passes=1, angles=ANGLES)
    turns = speed / (2 * np.pi)
    # flow takes nothing from the others: it stands by itself
    gas = dict(zip(chosen, np.split((o.indicated + o.flow)[:, 0] * turns, len(chosen)), strict=True))
    as_it_is = _last(o, inputs.size)
    ideal = as_it_is["isothermal"] * turns
    if apart:
        gas[frozenset(TURNED_OFF)] = ideal
    friction = inputs["friction_torque"] * speed
    drag = inputs["speed_drag"] * speed**2
    exact = {
        "flow": as_it_is["flow"] * turns,
        "crank": (as_it_is["indicated"] - as_it_is["shaft"]) * turns,
        "friction": friction,
        "drag": drag,
    }
    return Counted(
        ideal=ideal,
        shares=shares(TURNED_OFF, gas) if apart else {},
        exact=exact,
        predicted=as_it_is["shaft"] * turns - friction - drag,
    )


def _last(o: Operation, size: int) -> dict[str, FloatArray]:
    """Return what the engines as they are give, the last of all that were run, (engines,) [J]."""
    return {name: getattr(o, name)[-size:, 0] for name in ("isothermal", "flow", "indicated", "shaft")}


def switched(inputs: SampledInputs, off: Without, leaking: FloatArray) -> SampledInputs:
    """Return engines with some losses switched off; a leak that stays is the same hole."""
    one = np.ones(inputs.size)
    changes = {"clearance_spared": one if "clearance" in off else 0 * one}
    if "exchange" in off:
        changes["exchange_factor"] = OFF * inputs["exchange_factor"]
    if "giving" in off:
        stiff = {"soft_parts": 0.0, "rubber_stretch": 1e8, "hot_end_modulus": 1e8, "cold_end_modulus": 1e8}
        changes |= {name: inputs[name] * times for name, times in stiff.items() if name in inputs}
    made = inputs.changed(**changes)
    if "leak_half_time" in inputs:
        there = leak_down.half_time(made, geometry(made, angles=16), leaking)
        return leak_down.with_half_time(made, 1e9 * one if "leak" in off else there)
    shut = [name for name in ("piston_clearance", "gland_clearance", "piston_leak") if name in inputs]
    return made.changed(**{name: 1e-4 * inputs[name] for name in shut}) if "leak" in off else made


def _measured(fact: Balance, size: int, seed: int) -> FloatArray:
    """Return the shaft power that was read, as far as it is known, (engines,) [W]; nil where it runs free."""
    if fact.load is None:
        return np.zeros(size)
    z = normal_quantiles(strata(seed, "what was read", size))
    return np.asarray((fact.load.value + fact.load.spread * z) * fact.speed)


def _at_visit(whole: Counted, size: int, seed: int) -> FloatArray:
    """Return the prediction with what friction and the model's error are on any visit."""
    gas, friction = (
        np.exp(spread * normal_quantiles(strata(seed, name, size)))
        for spread, name in ((MODEL_ERROR, "the model's error then"), (WANDER, "friction then"))
    )
    shaft = whole.predicted + whole.exact["friction"] + whole.exact["drag"]
    return np.asarray(shaft * gas - whole.exact["friction"] * friction - whole.exact["drag"])


def _lines(engines: FewEngines, whole: Counted, unexplained: FloatArray, found: Mapping[str, str]) -> tuple[Loss, ...]:
    """Return the losses from the ideal down, those that cannot be told apart as one."""
    groups = _entangled(whole)
    lines = []
    for group in groups:
        taken = np.sum([whole.shares[key][0] for key in group], axis=0)
        orders = np.mean(np.sum([whole.shares[key][1] for key in group], axis=0), axis=1)
        lines.append(
            _loss(group, taken, (float(orders.min()), float(orders.max())), _known(group, found)),
        )
    lines += [_loss((key,), taken, None, _known((key,), found)) for key, taken in whole.exact.items()]
    lines.append(_loss(("unexplained",), unexplained, None, ""))
    return tuple(line for line in lines if line.power.low != 0 or line.power.high != 0 or line.key == "unexplained")


def _loss(group: Sequence[str], taken: FloatArray, orders: tuple[float, float] | None, known: str) -> Loss:
    labels = [LABELS[key][0] for key in group]
    label = " and ".join([labels[0], *(text[:1].lower() + text[1:] for text in labels[1:])])
    short = " and ".join(LABELS[key][1] for key in group)
    return Loss(key="+".join(group), label=label, short=short, power=range_mean(taken), orders=orders, known=known)


def _entangled(whole: Counted) -> list[tuple[str, ...]]:
    """Return the losses in groups: two that the engines trade for one another cannot be told apart."""
    groups: list[tuple[str, ...]] = []
    scale = MATTERS * float(np.abs(whole.ideal).mean())
    for key in TURNED_OFF:
        taken = whole.shares[key][0]
        for number, group in enumerate(groups):
            other = np.sum([whole.shares[each][0] for each in group], axis=0)
            if min(taken.std(), other.std()) > scale and float(np.corrcoef(taken, other)[0, 1]) < ENTANGLED:
                groups[number] = (*group, key)
                break
        else:
            groups.append((key,))
    return groups


def _found(fact: Balance, engines: FewEngines) -> dict[str, str]:
    """Return of each loss how the input that it rests on is known."""
    found = {}
    first = engines.chain.marks[0]
    for key, (_, _, wanted) in LABELS.items():
        name = wanted if wanted in fact.under.values else STAND_IN.get(wanted, "")
        value = fact.under.values.get(name)
        if value is None:
            continue
        z = engines.chain.number(fact.mark, name, engines.draw) if value.spread else np.zeros(engines.size)
        learned = engines.learned and value.spread > 0 and (z.std() < NARROWED or abs(z.mean()) > MOVED)
        if learned:
            found[key] = "learned" if fact.mark == first or engines.here else "carried"
        else:
            found[key] = {How.MEASURED: "measured", How.GUESSED: "guessed"}.get(value.how, "drawn")
    return found


def _known(group: Sequence[str], found: Mapping[str, str]) -> str:
    words = dict.fromkeys(found[key] for key in group if key in found)
    return " and ".join(words)


def range_mean(values: FloatArray) -> Range:
    """Return mean and 90 % ends over engines: means add up, as middles do not."""
    spread = range_of(values)
    mean = float(values.mean())
    return Range(middle=mean, low=min(spread.low, mean), high=max(spread.high, mean))


def _verdict(then: FloatArray, measured: FloatArray, whole: Counted) -> str:
    """Return what a reading says of the prediction, both uncertainties counted."""
    away = range_of(np.sort(measured) - then if measured.std() == 0 else measured - then)
    air = float(np.abs(whole.predicted + whole.exact["friction"] + whole.exact["drag"]).mean())
    if away.high < 0:
        return "short"
    if away.low > 0:
        return "better"
    return "cannot tell" if (away.high - away.low) / 2 > BLIND * max(air, 1e-12) else "agrees"


SAYS = {
    "agrees": "It does what it should",
    "short": "It falls short",
    "better": "It does better than predicted",
    "cannot tell": "This reading cannot tell",
}


def _sentence(made: Breakdown) -> str:
    """Say the gap in one sentence: what it should give, what it gives, and where most of the ideal goes."""
    if made.ideal is None or made.predicted is None or made.measured is None:
        return ""
    known = [line for line in made.losses if line.key != "unexplained"]
    most = sorted(known, key=lambda line: -line.power.middle)[:2]
    where = " and ".join(f"{line.label.lower()} ({watts_text(line.power.middle)})" for line in most)
    there = rpm_text(made.speed)
    middle, low, high = (watts_text(each) for each in (made.predicted.middle, made.predicted.low, made.predicted.high))
    if made.measured.high > 0:
        against = f"{watts_text(made.measured.middle)} at {there}, where {middle} ({low} to {high}) is predicted"
    else:
        against = f"running free at {there}, where {middle} ({low} to {high}) would be left"
    return (
        f"{SAYS[made.verdict]}: {against}. Of {watts_text(made.ideal.middle)} in the ideal turn most goes into {where}."
    )


__all__ = ["LABELS", "breakdowns", "range_mean", "switched", "taken_apart"]
