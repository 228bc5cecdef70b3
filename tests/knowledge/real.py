"""Measured engines with several points: one part held out, told from the other, and as drawn. By hand.

Whole days are held out; with one day the upper, then the lower half of the temperature difference or, under a brake, of
the speed. An engine of fewer than four points leaves one out at a time, and is told apart.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from model.inputs.complete import complete_inputs
from model.knowledge.expect import values_at
from model.knowledge.facts import Balance, Facts
from model.knowledge.latents import Chain, opened
from model.knowledge.learn import engines_of
from model.physics.values import FloatArray
from model.quantities.units import Kind
from tests.reference.engines import ROLES, build_of, engines, read

MISSED = 20.0
"""Weight of a miss in the interval score of a 90 % interval: 2 over 0.1 [Gneiting2007, from memory]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldOut:
    """One held-out point: relative errors (logarithm), whether the interval holds it, interval score over it."""

    key: str
    few: bool
    quantity: str
    drawn: tuple[float, bool, float, float]
    learned: tuple[float, bool, float, float]
    """And how likely it was said to run there, which it did."""


def points_of(engine: dict[str, Any]) -> list[tuple[dict[str, Any], Balance]]:
    """Return the points that say a speed, free or under a load, with what they say of it."""
    found = []
    for number, point in enumerate(engine["point"]):
        quantity = point["measured"]["quantity"]
        if quantity == "free_running_speed":
            speed, load = read(Kind.ROTATION, "rpm", point["measured"]["value"]), None
        elif quantity in ("shaft_power", "torque") and "speed" in point:
            speed = read(Kind.ROTATION, "rpm", point["speed"])
            kind, unit = (Kind.POWER, "W") if quantity == "shaft_power" else (Kind.TORQUE, "N m")
            value = read(kind, unit, point["measured"]["value"])
            load = value if quantity == "torque" else value.scaled(1 / speed.value)
        else:
            continue
        under = opened(complete_inputs(build_of(engine, point)))
        if not under.values or under.missing or under.problems:
            continue
        relative = math.hypot(speed.spread / speed.value, 0.005)
        found.append(
            (point, Balance(mark=1, entry="", reading=str(number), text="", under=under, speed=speed.value,
                            spread=relative, load=load))
        )  # fmt: skip
    return found


def visits_of(points: list[tuple[dict[str, Any], Balance]]) -> list[str]:
    """Return the part that each point belongs to."""
    days = [str(point.get("day", "")) for point, _ in points]
    if len(points) < 4:
        return [str(number) for number in range(len(points))]
    if len(set(days)) > 1:
        return days
    apart = [_difference(balance) for _, balance in points]
    if max(apart) - min(apart) < 1.0:
        apart = [balance.speed for _, balance in points]
    middle = float(np.median(apart))
    return ["upper" if value > middle else "lower" for value in apart]


def _difference(balance: Balance) -> float:
    values = balance.under.values
    return values["hot_metal"].value - values["cold_metal"].value if {"hot_metal", "cold_metal"} <= set(values) else 0.0


def held_out(key: str) -> Iterator[HeldOut]:
    """Hold out each part of an engine in turn."""
    engine = engines()[key]
    points = points_of(engine) if engine.get("role") in ROLES else []
    parts = visits_of(points)
    if len(points) < 3 or len(set(parts)) < 2:
        return
    balances = [replace(balance, entry=part) for (_, balance), part in zip(points, parts, strict=True)]
    build = build_of(engine, points[0][0])
    chain = Chain(builds={1: build}, inputs={1: balances[0].under}, kept={1: {}}, typed={1: frozenset()})
    drawn = engines_of(chain, Facts(), 1)
    for part in dict.fromkeys(parts):
        rest = Facts(balances=tuple(b for b in balances if b.entry != part))
        known = engines_of(chain, rest, 1)
        for balance in (b for b in balances if b.entry == part):
            measured = balance.speed if balance.load is None else balance.load.value * balance.speed
            scores = [_scored(values_at(chain, each, balance, 1), measured) for each in (drawn, known)]
            yield HeldOut(
                key=key, few=len(points) < 4, quantity="speed" if balance.load is None else "power",
                drawn=scores[0], learned=scores[1],
            )  # fmt: skip


def _scored(values: FloatArray, measured: float) -> tuple[float, bool, float, float]:
    middle = float(np.sort(values)[values.size // 2])
    error = abs(math.log(middle / measured)) if middle > 0 else math.inf
    low, high = (float(end) for end in np.quantile(values, [0.05, 0.95]))
    missed = max(low - measured, measured - high, 0.0)
    return error, missed <= 0, (high - low + MISSED * missed) / measured, float((values > 0).mean())


def real_lines() -> list[str]:
    """Return the table, one row an engine, and the whole: one result an engine, bootstrap over engines."""
    lines = ["## Measured engines, one part held out", ""]
    lines += [
        "Error of the middle (median of the logarithm), share of 90 % intervals that hold, interval score over the "
        "measured value, and Brier score of the chance to run there, under its brake, which all did; as drawn, then "
        "from the other part.",
        "",
    ]
    lines += [
        "| engine | points | error | | held | | score | | Brier | |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    rows = []
    for key in engines():
        found = list(held_out(key))
        if not found:
            continue
        columns = [[getattr(one, which)[n] for one in found] for n in range(4) for which in ("drawn", "learned")]
        median, share = (lambda v: float(np.median(v))), (lambda v: float(np.mean(v)))
        columns = [*columns[:6], *([(1 - chance) ** 2 for chance in column] for column in columns[6:])]
        values = [f(c) for f, c in zip((median, median, *[share] * 6), columns, strict=True)]
        rows.append((found[0].few, values))
        lines.append(
            f"| {key}{' (one left out)' if found[0].few else ''} | {len(found)} | {values[0]:.2f} | {values[1]:.2f} | "
            f"{values[2]:.0%} | {values[3]:.0%} | {values[4]:.2f} | {values[5]:.2f} | "
            f"{values[6]:.3f} | {values[7]:.3f} |"
        )
    for few, name in ((False, "engines of four points and more"), (True, "engines of three")):
        some = np.array([values for own, values in rows if own is few])
        if some.size:
            lines += ["", _whole(some, name)]
    return lines


def _whole(some: np.ndarray[Any, np.dtype[np.float64]], name: str) -> str:
    chosen = np.random.default_rng(1).integers(0, len(some), (2000, len(some)))
    told = []
    for column in range(8):
        means = np.median(some[chosen, column], axis=1) if column < 2 else some[chosen, column].mean(axis=1)
        middle = np.median(some[:, column]) if column < 2 else some[:, column].mean()
        low, high = np.quantile(means, [0.025, 0.975])
        told.append(f"{middle:.2f} ({low:.2f} to {high:.2f})")
    return (
        f"{len(some)} {name}, 95 % by bootstrap over engines: error {told[0]} as drawn, {told[1]} learned; "
        f"held {told[2]} and {told[3]}; score {told[4]} and {told[5]}; Brier {told[6]} and {told[7]}."
    )


__all__ = ["held_out", "real_lines"]
