"""Texts of builds drawn at random: within the usual ranges, and anywhere within the limits of the fields."""

from __future__ import annotations

import math
import random

from model.fields import Build, Field, applies, fields_of, parse_fields
from model.quantities.units import Kind

LAYOUTS = ("gamma", "beta", "alpha")
FLAMES = ("candle", "spirit", "gas")
WORD_FIELDS = tuple(name for name, field in fields_of(Build).items() if field.takes_words)
NUMBER_FIELDS = tuple(name for name, field in fields_of(Build).items() if field.kind is not None)


def _near(rng: random.Random, low: float, high: float) -> float:
    """Draw a number between two, flat in its logarithm."""
    return math.exp(rng.uniform(math.log(low), math.log(high)))


def usual(rng: random.Random, layout: str | None = None) -> dict[str, str]:
    """Return the texts of an engine such as builders make: sizes go with one another, many fields stay empty."""
    layout = layout or rng.choice(LAYOUTS)
    bore = _near(rng, 12, 30) if layout == "alpha" else _near(rng, 30, 150)
    flat = layout == "gamma" and rng.random() < 0.5
    stroke = bore * (rng.uniform(0.05, 0.12) if flat else rng.uniform(0.2, 0.6))
    texts = {"layout": layout, "phase": f"{rng.uniform(75, 110):.1f} deg"}
    if layout == "alpha":
        texts |= {"hot_bore": f"{bore} mm", "hot_throw": f"{stroke / 2} mm", "tube_bore": f"{bore * 0.3} mm"}
        texts |= {"piston_bore": f"{bore * rng.uniform(0.8, 1.1)} mm", "piston_throw": f"{stroke * 0.5} mm"}
    else:
        texts |= {
            "displacer_throw": f"{stroke / 2} mm",
            "side_clearance": f"{min(rng.uniform(1, 3), 0.06 * bore)} mm",
            "displacer_length": f"{stroke * (rng.uniform(1, 2) if flat else rng.uniform(2, 3.5))} mm",
        }
        if layout == "gamma":
            texts["displacer_bore"] = f"{bore} mm"
            texts["piston_bore"] = f"{bore * (rng.uniform(0.1, 0.2) if flat else rng.uniform(0.3, 0.6))} mm"
        else:
            texts["piston_bore"] = f"{bore} mm"
        texts["piston_throw"] = f"{stroke * rng.uniform(0.2, 0.5)} mm"
    if rng.random() < 0.7:
        source = rng.choice(("water", "hand", "electric") if flat else FLAMES)
        texts |= {"heat_source": source, "cold_side": rng.choice(("air", "fins", "fan", "jacket", "ice"))}
    else:
        cold = rng.uniform(15, 60)
        texts |= {
            "cold_metal": f"{cold} C",
            "hot_metal": f"{cold + (_near(rng, 8, 60) if flat else _near(rng, 50, 400))} C",
        }
    if rng.random() < 0.5:
        texts["leak_half_time"] = f"{_near(rng, 1, 100)} s"
    if rng.random() < 0.3:
        texts |= {"wheel_mass": f"{_near(rng, 30, 300)} g", "wheel_diameter": "120 mm"}
    if rng.random() < 0.2:
        texts["regenerator"] = rng.choice(("steel_wool", "mesh", "foil"))
    return texts


def _limited(rng: random.Random, field: Field) -> str:
    low, high = field.limits
    where = rng.random()
    if where < 0.25:
        value = low
    elif where < 0.5:
        value = high
    elif low > 0 and field.kind is not Kind.TEMPERATURE:
        value = _near(rng, low, high)
    else:
        value = rng.uniform(low, high)
    return f"{value!r} {field.unit}".strip()


def extreme(rng: random.Random, layout: str | None = None) -> dict[str, str]:
    """Return texts of which each number is empty, at one of its field's limits, or anywhere between, on its own."""
    texts = {"layout": layout or rng.choice(LAYOUTS)}
    declared = fields_of(Build)
    for name in WORD_FIELDS:
        if name != "layout" and rng.random() < 0.7:
            texts[name] = rng.choice(declared[name].choices).key
    chance = rng.choice((0.3, 0.6, 1.0))
    for name in NUMBER_FIELDS:
        if rng.random() < chance:
            texts[name] = _limited(rng, declared[name])
    return _with_needed(rng, texts)


def stretched(rng: random.Random) -> dict[str, str]:
    """Return a usual build with up to four of its numbers anywhere within their limits."""
    texts, declared = usual(rng), fields_of(Build)
    for name in rng.sample(NUMBER_FIELDS, rng.randint(1, 4)):
        texts[name] = _limited(rng, declared[name])
    return texts


def _with_needed(rng: random.Random, texts: dict[str, str]) -> dict[str, str]:
    """Fill in what no prediction can do without."""
    declared = fields_of(Build)
    for name in ("piston_bore", "diaphragm_rim", "piston_throw", "displacer_bore", "displacer_throw"):
        build, _ = parse_fields(Build, texts)
        if applies(declared[name], build) and not texts.get(name):
            texts[name] = _limited(rng, declared[name])
    if not texts.get("heat_source") and not texts.get("hot_metal"):
        texts["heat_source"] = rng.choice(declared["heat_source"].choices).key
    return texts
