"""What a builder measures in place of an input: a displacer's diameter, posts by size, tea-lights by number.

Each gives one input of the model; where that was typed itself, it stands, and the two must not contradict each other.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping

from model.errors import Problem
from model.fields import Build, fields_of, show
from model.inputs.materials import conductivity_of
from model.quantities.uncertain import How, Shape, Uncertain

TEALIGHT_POWER = (27.0, 42.0)
"""Heat that one tea-light sets free, [W]: 2.3-3.5 g of wax an hour."""
RULED = 0.3e-3
"""Standard uncertainty of a diameter taken with a rule or a thread, [m]; common practice, no source."""
WIDE = 0.25
"""Relative spread from which a value that cannot be negative is taken as log-normal, as in a field's text."""
CONDUCTIVITY_SPREAD = 0.1
"""Relative standard uncertainty of a conductivity of the tables."""
RAW = ("displacer_diameter", "post_count", "post_diameter", "post_length", "tealights", "lens_area")
"""Fields that give an input and are none themselves."""
POST_MATERIAL = "steel"
"""What posts are taken to be made of where nobody says it."""


def clearance_of(values: Mapping[str, Uncertain]) -> Uncertain | None:
    """Return the clearance on each side that bore and diameter leave, [m]; None where they are not known, or clash.

    Two diameters taken with a rule are each known to `RULED`, however large they are; one that was written with a
    spread, or as measured, to that.
    """
    bore, diameter = values.get("displacer_bore"), values.get("displacer_diameter")
    if bore is None or diameter is None or diameter.value >= bore.value:
        return None
    known = [v.spread if v.how is How.MEASURED else min(v.spread, RULED) for v in (bore, diameter)]
    return _positive((bore.value - diameter.value) / 2, math.hypot(*known) / 2)


def conductance_of_posts(values: Mapping[str, Uncertain], words: Mapping[str, str]) -> Uncertain | None:
    """Return what posts and screws carry, N k A/L with A = pi d^2/4, [W/K]; None where their number is not known.

    Source: [IncroperaEtAl2007], eq. 3.6; conductivity from the table of materials.
    """
    count = values.get("post_count")
    if count is None:
        return None
    if count.value <= 0:
        return Uncertain(value=0.0)
    across, along = values["post_diameter"], values["post_length"]
    conductivity, _ = conductivity_of(words.get("post_material", POST_MATERIAL))
    carried = count.value * conductivity * math.pi / 4 * across.value**2 / along.value
    relative = math.hypot(2 * across.spread / across.value, along.spread / along.value, CONDUCTIVITY_SPREAD)
    return _positive(carried, carried * relative)


def heat_of_tealights(values: Mapping[str, Uncertain]) -> tuple[float, float]:
    """Return between which powers the tea-lights' heat lies, [W]; one where nobody says how many."""
    count = values["tealights"].value if "tealights" in values else 1.0
    return count * TEALIGHT_POWER[0], count * TEALIGHT_POWER[1]


def _positive(value: float, spread: float) -> Uncertain:
    shape = Shape.LOG_NORMAL if spread > WIDE * value > 0 else Shape.NORMAL
    return Uncertain(value=value, spread=spread, how=How.GUESSED, shape=shape)


def clashes(
    values: Mapping[str, Uncertain], words: Mapping[str, str], measured: Collection[str] = ()
) -> tuple[Problem, ...]:
    """Return what these fields say against each other, both named; what readings tell (`measured`) was not typed."""
    values = {name: value for name, value in values.items() if name not in measured}
    all_clashes = []
    bore, diameter = values.get("displacer_bore"), values.get("displacer_diameter")
    if bore is not None and diameter is not None:
        all_clashes.append(_diameter_clash(values, bore, diameter))
    posts, carried = values.get("posts"), conductance_of_posts(values, words)
    if posts and carried and _far_apart(posts.value, carried.value, posts.spread + carried.spread):
        all_clashes.append(
            _problem(
                "posts",
                posts,
                f"Conduction by posts: {_text('posts', posts)}, but Posts or screws by number, size and material "
                f"carry {_text('posts', carried)}.",
                "Empty one of the two; a thread is thinner than its name.",
            )
        )
    low, high = heat_of_tealights(values)
    heat = values.get("heat_released")
    if "tealights" in values and heat is not None and not low / 2 <= heat.value <= 2 * high:
        all_clashes.append(
            _problem(
                "heat_released",
                heat,
                f"Heat released: {_text('heat_released', heat)}, but Tea-lights: {values['tealights'].value:.0f}, "
                f"which set free {low:.0f} to {high:.0f} W.",
                "Empty one of the two.",
            )
        )
    all_clashes.append(_lens_clash(values, heat))
    return tuple(problem for problem in all_clashes if problem is not None)


def _lens_clash(values: Mapping[str, Uncertain], heat: Uncertain | None) -> Problem | None:
    """Heat released that no sunshine on this lens makes up, 300 to 1400 W/m^2: clouds to the sun outside the air."""
    if "lens_area" not in values or heat is None or 300 <= heat.value / values["lens_area"].value <= 1400:
        return None
    lens = values["lens_area"]
    message = (
        f"Heat released: {_text('heat_released', heat)}, but Lens or mirror: {_text('lens_area', lens)}, on which "
        f"{600 * lens.value:.2g} to {1000 * lens.value:.2g} W of sun fall."
    )
    return _problem("heat_released", heat, message, "Empty one of the two.")


def _diameter_clash(values: Mapping[str, Uncertain], bore: Uncertain, diameter: Uncertain) -> Problem | None:
    name = "displacer_diameter"
    inside = f"in a Displacer cylinder bore of {_text('displacer_bore', bore)}"
    left, typed = clearance_of(values), values.get("side_clearance")
    if left is None:
        message = f"Displacer diameter: {_text(name, diameter)} {inside}; it does not go in."
        return _problem(name, diameter, message, "Check the two, and their units.")
    if typed is None or abs(left.value - typed.value) <= 2 * math.hypot(left.spread, typed.spread):
        return None
    message = (
        f"Displacer diameter: {_text(name, diameter)} {inside} leaves {_text('side_clearance', left)} on each side, "
        f"but Displacer side clearance says {_text('side_clearance', typed)}."
    )
    return _problem(name, diameter, message, "Correct one of the three, or empty the clearance.")


def _far_apart(one: float, other: float, spread: float) -> bool:
    """Whether two values differ by more than a factor of two, and by more than twice their spread."""
    return not other / 2 <= one <= 2 * other and abs(one - other) > 2 * spread


def _text(name: str, value: Uncertain) -> str:
    return show(value, fields_of(Build)[name], spread=False)


def _problem(name: str, value: Uncertain, message: str, remedy: str) -> Problem:
    return Problem(where=name, value=show(value, fields_of(Build)[name]), message=message, remedy=remedy)
