"""From what a builder wrote to a complete set of inputs: guesses for empty fields, material data, factors of the model.

Knows the tables, not the physics; imports no numpy. Every guess is a range, is named, and is shown on the form.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from model.bench.evidence import Evidence
from model.errors import Problem
from model.fields import Build, applies, fields_of, show
from model.fields.vocabulary import CRANKED, rubber
from model.inputs.friction import WARM, guess_friction, piston_area
from model.inputs.from_measures import (
    RAW,
    clashes,
    clearance_of,
    conductance_of_posts,
)
from model.inputs.heat_sources import FACE, FLAMES, complete_bath, complete_source, contact
from model.inputs.materials import (
    conductivity_of,
    effusivity_of,
    elasticity_of,
    emissivity_of,
    is_metal,
    too_hot,
    volumetric_capacity_of,
)
from model.inputs.model_inputs import ModelInputs
from model.inputs.wheels import usual_size, usual_wheel
from model.quantities.uncertain import How, Shape, Uncertain, between
from model.quantities.units import find_unit


def _ratio(low: float, high: float) -> Uncertain:
    """Return a factor known to lie between two values with a probability of 90 %, alike up and down."""
    middle = math.sqrt(low * high)
    spread = math.log(high / low) / (2 * 1.645)
    return Uncertain(value=middle, spread=middle * spread, how=How.GUESSED, shape=Shape.LOG_NORMAL)


FACTORS: dict[str, tuple[str, Uncertain]] = {
    # one face of a calm layer and a jet that dies away, up to both faces taking part (four times as much when calm);
    # the middle was chosen once, on all measured engines together (DEVELOPERS.md, Decisions)
    "exchange_factor": ("Heat exchange in the spaces", _ratio(0.7, 2.0)),
    # turnovers of the plate's radius over the jet's speed: eddies die in about one of their own, half of that one,
    # rings of air that circle the whole space in some; the pressure of four flat drums lags as if they outlast a blow
    "stirring_lasts": ("How long a jet's eddies last", between(0.7, 5.0)),
    "gap_factor": ("Heat exchange in the clearance", _ratio(0.75, 1.33)),
    "flow_factor": ("Flow resistance", _ratio(0.7, 1.5)),
    "flame_temperature": ("Temperature of the flame's gas", _ratio(1000.0, 1500.0)),
    # still air: 7 on 100 mm that face up, 20 K above it, 9 on a can's wall at 200 C; less on a face that looks down
    "hot_loss_coefficient": ("Heat lost from the hot end", _ratio(5.0, 12.5)),
    "hot_exposure": ("Share of the hot end in the open", between(0.4, 1.0)),
    "cold_coefficient_factor": ("Cooling", _ratio(0.7, 1.4)),
    "leak_offcentre": ("Piston and rod off centre", between(0.2, 1.0)),
}
"""Factors of the model, name -> label and value: 90 % ranges of what the correlations leave open; common practice, no
source, unless a line says otherwise."""
SOFT_PARTS = (0.03, 0.6)
"""What seals and foam of a flat engine give, as a share of its air: a plate's area squared over the stiffness of its
seal, 10 MN/m glued or screwed metal to plastic to 0.5 MN/m on soft tape, 3 to 50 % for 140 mm; foam, of 1 to 3 MPa and
open by up to a twentieth, 2 to 10 %; common practice, no source, after looking at the swing of four drums."""
RUBBER_STRETCH = (130.0, 1000.0)
"""E t/(1 - nu^2) of a rubber sheet, [N/m]: natural rubber of 1 to 2 MPa [Lindley1974], glove to balloon or tube, 0.1 to
0.4 mm (common practice, no source)."""
ONE_CYLINDER = 0.05
"""How far the two bores of a beta may differ: a liner or a skirt, no other cylinder; common practice, no source."""
_COOLING = {
    "air": (6.0, 14.0),
    "fins": (5.0, 12.0),
    "fan": (15.0, 45.0),
    "jacket": (150.0, 700.0),
    "ice": (200.0, 800.0),
}
"""W/(m^2 K) on the cooled surface, radiation included; common practice, no source."""


_BESIDE = {True: (0.1, 0.4), False: (0.0, 0.1)}
"""Share of the displacer's length beside which the wall has an end's temperature, with and without what brings that
about: a wall of metal (a fin of tinplate 0.25 mm thick, in air on both sides, is long by sqrt(k t/h), 20 mm), a flame
that licks the wall, a jacket; common practice, no source."""


def complete_inputs(build: Build, evidence: Evidence | None = None) -> ModelInputs:
    """Complete a build: what its builder typed first, then what was measured on it, then guesses.

    Parameters
    ----------
    build : Build
        What is known of the engine; None where it is not.
    evidence : Evidence, optional
        What its readings tell.
    """
    layout = build.layout or "gamma"
    words = {name: value for name in fields_of(Build) if isinstance(value := getattr(build, name), str)}
    words.setdefault("layout", layout)
    if layout not in CRANKED:
        return ModelInputs(layout=layout, words=words, values={}, labels={})
    values: dict[str, Uncertain] = {}
    labels: dict[str, str] = {}
    for name, declared in fields_of(Build).items():
        value = getattr(build, name)
        labels[name] = declared.full_label
        if isinstance(value, Uncertain) and applies(declared, build):
            values[name] = value
    given = set(values)
    measured = {name: value for name, value in (evidence or Evidence()).values.items() if name not in given}
    values.update(measured)
    if "piston_leak" in values:
        labels["piston_leak"] = "Leak past the piston"
    if evidence and evidence.hose and "leak_half_time" not in given:
        values["u_tube_hose"], labels["u_tube_hose"] = evidence.hose, "Hose of the U-tube"
    missing = _missing(build, layout, values)
    assumed: dict[str, str] = {}
    if not missing:
        _complete(build, layout, words, values)
        _factors(words, values, labels)
        for name in fields_of(Build):
            if name in values and name not in given and values[name].spread > 0:
                assumed[name] = show(values[name], fields_of(Build)[name], significant=2)
                if evidence and name in evidence.sources:
                    assumed[name] += f" (from readings: {evidence.sources[name]})"
    problems = () if missing else (*_contradictions(layout, values), *clashes(values, words, measured))
    for name in RAW:
        values.pop(name, None)
    return ModelInputs(
        layout=layout,
        words=words,
        values=values,
        labels=labels,
        assumed=assumed,
        missing=missing,
        problems=problems,
        warnings=() if missing else _too_hot(layout, words, values),
    )


def _too_hot(layout: str, words: Mapping[str, str], values: Mapping[str, Uncertain]) -> tuple[str, ...]:
    """Return what does not stand the hot metal that was measured, or the water."""
    hottest = values.get("hot_metal", values.get("source_temperature"))
    if hottest is None:
        return ()
    parts = [("Hot end", words["hot_end_material"]), ("Cylinder wall", words["wall_material"])]
    if layout != "alpha":
        parts.append(("Displacer", words["displacer_material"]))
    limits = ((part, too_hot(word, hottest.value)) for part, word in parts)
    return tuple(f"{part}: {sentence}" for part, sentence in limits if sentence)


def _missing(build: Build, layout: str, values: Mapping[str, Uncertain]) -> tuple[str, ...]:
    needed = ["diaphragm_rim" if rubber(build) else "piston_bore", "piston_throw"]
    if layout != "alpha":
        needed += ["displacer_throw"] if layout == "beta" else ["displacer_bore", "displacer_throw"]
    missing = [name for name in needed if name not in values]
    if "hot_metal" not in values and not build.heat_source:
        missing.append("heat_source")
    return tuple(missing)


def _put(values: dict[str, Uncertain], name: str, make: Callable[[], Uncertain]) -> None:
    if name not in values:
        values[name] = make()


def _complete(build: Build, layout: str, words: dict[str, str], values: dict[str, Uncertain]) -> None:
    """Fill every empty field that the model needs, in an order in which each guess can use those before it."""
    _geometry(build, layout, values)
    complete_bath(words, values)
    _declared_guesses(build, values)
    _wheel(build, layout, values)
    _walls(layout, words, values)
    _ends(layout, words, values)
    _sides(words, values)


def _geometry(build: Build, layout: str, values: dict[str, Uncertain]) -> None:
    v = values
    if rubber(build):
        rim = v["diaphragm_rim"]
        _put(v, "diaphragm_disc", lambda: between(0.45 * rim.value, 0.8 * rim.value))
    bore = v["diaphragm_rim"] if rubber(build) else v["piston_bore"]
    throw = v["piston_throw"]
    _put(v, "piston_rod", lambda: between(4 * throw.value, 15 * throw.value))
    if not rubber(build):
        _put(v, "piston_length", lambda: between(0.7 * bore.value, 2 * bore.value))
    if layout == "alpha":
        _put(v, "hot_bore", lambda: bore)
        _put(v, "hot_throw", lambda: throw)
        _put(v, "hot_rod", lambda: between(4 * v["hot_throw"].value, 15 * v["hot_throw"].value))
        swept = math.pi / 2 * bore.value**2 * throw.value
    else:
        _put(v, "displacer_bore", lambda: bore)
        wide, travel = v["displacer_bore"].value, v["displacer_throw"].value
        _put(v, "displacer_rod", lambda: between(4 * travel, 15 * travel))
        _put(v, "displacer_length", lambda: between(2 * travel, 6 * travel))
        usual = between(min(1e-3, 0.02 * wide), min(3e-3, 0.06 * wide))
        _put(v, "side_clearance", lambda: clearance_of(v) or usual)
        _put(v, "gland_rod", lambda: between(min(0.8e-3, 0.03 * wide), min(2e-3, 0.06 * wide)))
        swept = math.pi / 2 * wide**2 * travel
    stroke = 2 * (v["hot_throw"] if layout == "alpha" else v["displacer_throw"]).value
    if "chamber_height" in v and layout != "alpha":
        _ends_from_height(v)
    for name in ("end_clearance_hot", "end_clearance_cold"):
        _put(v, name, lambda: between(min(0.7e-3, 0.05 * stroke), min(3e-3, 0.25 * stroke)))
    if layout != "beta":
        # a passage is cut to fit the piston it feeds
        _put(v, "tube_bore", lambda: between(0.15 * bore.value, 0.6 * bore.value))
        _put(v, "tube_length", lambda: between(0.2 * bore.value, 2 * bore.value))
    _put(v, "dead_volume_hot", lambda: between(0.0, 0.02 * swept))
    _put(v, "dead_volume_cold", lambda: between(0.005 * swept, 0.06 * swept))


def _ends_from_height(v: dict[str, Uncertain]) -> None:
    """Share what displacer and stroke leave of the inside height between the ends that are not known."""
    spare = spare_height(v)
    known = [v[name].value for name in ("end_clearance_hot", "end_clearance_cold") if name in v]
    rest = (spare - sum(known)) / max(2 - len(known), 1)
    if rest > 0:
        for name in ("end_clearance_hot", "end_clearance_cold"):
            _put(v, name, lambda: between(0.5 * rest, 1.5 * rest))


def spare_height(values: Mapping[str, Uncertain]) -> float:
    """Return inside height less displacer and stroke, [m]."""
    beam = values["displacer_beam"].value if "displacer_beam" in values else 1.0
    stroke = 2 * values["displacer_throw"].value * beam
    return values["chamber_height"].value - values["displacer_length"].value - stroke


def _declared_guesses(build: Build, values: dict[str, Uncertain]) -> None:
    for name, declared in fields_of(Build).items():
        if name in values or declared.guess is None or declared.kind is None or not applies(declared, build):
            continue
        unit = find_unit(declared.unit, declared.kind)
        low, high = (x * unit.factor + unit.offset for x in (declared.guess.low, declared.guess.high))
        values[name] = between(low, high)
    for name in ("piston_beam", "displacer_beam", "piston_count"):
        values.setdefault(name, Uncertain(value=1.0))
    values.setdefault("piston_offset", Uncertain(value=0.0))
    if "room_pressure" not in values:
        values["room_pressure"] = _air_pressure(values.get("altitude", Uncertain(value=200.0, spread=150.0)))
    values.setdefault("cylinder_angle", Uncertain(value=0.0))
    if build.phase is None and build.cylinder_angle is not None and abs(build.cylinder_angle.value) > 0.5:
        # both rods on one crank pin: the angle between the cylinders makes the phase
        values["phase"] = Uncertain(value=0.0, spread=0.03, how=How.GUESSED)


def _wheel(build: Build, layout: str, v: dict[str, Uncertain]) -> None:
    if build.wheel_diameter is None:
        bores = [v[name].value for name in ("displacer_bore", "piston_bore", "diaphragm_rim") if name in v]
        throws = [v[name].value for name in ("piston_throw", "displacer_throw", "hot_throw") if name in v]
        v["wheel_diameter"] = usual_size(v["wheel_diameter"], bore=max(bores), throw=max(throws))
    swept = 2 * v["piston_throw"].value * piston_area(v)
    _put(v, "wheel_mass", lambda: usual_wheel(v, swept=swept, alpha=layout == "alpha"))


def _air_pressure(altitude: Uncertain) -> Uncertain:
    """Return the pressure of the standard atmosphere at an altitude, give or take the weather (1 %), [Pa].

    Source: [ISO2533]; without an altitude, a place between sea level and 500 m.
    """
    pressure = 101325.0 * (1 - 0.0065 * altitude.value / 288.15) ** 5.25588
    spread = math.hypot(0.01 * pressure, 12.0 * altitude.spread)
    return Uncertain(value=pressure, spread=spread, how=How.GUESSED)


def _walls(layout: str, words: dict[str, str], values: dict[str, Uncertain]) -> None:
    v = values
    flame = words.get("heat_source") in FLAMES
    # a beta or alpha that a resistor or a mirror heats runs hot, as one on a flame does
    glows = "hot_metal" in v and v["hot_metal"].value > WARM
    hot = flame or glows or (layout != "gamma" and words.get("heat_source") in ("electric", "sun"))
    words.setdefault("hot_end_material", "tinplate" if flame else "stainless" if hot else "aluminium")
    words.setdefault("cold_end_material", "aluminium")
    words.setdefault("wall_material", words["hot_end_material"] if hot or layout == "alpha" else "acrylic")
    words.setdefault("displacer_material", "balsa" if flame and not glows else "stainless" if hot else "eps")
    words.setdefault("regenerator", "none")
    if words["displacer_material"] == "steel_wool" and words["regenerator"] == "none" and layout != "alpha":
        words["regenerator"] = "steel_wool"
        _put(values, "matrix_length", lambda: values["displacer_length"])
        inner = values["displacer_bore"].value - 2 * values["side_clearance"].value
        _put(values, "matrix_diameter", lambda: between(0.97 * inner, inner))
        _put(values, "matrix_porosity", lambda: between(0.94, 0.985))
        _put(values, "matrix_wire", lambda: between(25e-6, 60e-6))
    metal = is_metal(words["wall_material"])
    _put(v, "wall_thickness", lambda: between(0.15e-3, 0.4e-3) if metal else between(0.8e-3, 3e-3))
    v["wall_conductivity"] = _conductivity(words["wall_material"])
    v["displacer_conductivity"] = _conductivity(words["displacer_material"])
    wide = next(v[name].value for name in ("displacer_bore", "piston_bore", "diaphragm_rim") if name in v)
    # like shapes carry k A/L in proportion to their size: up to 0.03 W/K at 100 mm; common practice, no source
    carried = 0.03 * min(wide / 0.1, 1.0)
    usual = Uncertain(value=0.0) if layout == "alpha" else between(0.0, carried)
    _put(v, "posts", lambda: conductance_of_posts(v, words) or usual)
    guess_friction(words, v, wide)
    if "piston_clearance" not in v:
        _put(v, "leak_half_time", lambda: between(1.0, 60.0))
    if words["regenerator"] != "none":
        _put(v, "matrix_diameter", lambda: between(0.6 * wide, 0.9 * wide))


def _ends(layout: str, words: Mapping[str, str], values: dict[str, Uncertain]) -> None:
    """Say how ends flex: the plates of a flat engine by a usual thickness, other ends only where it was written.

    A can's bottom and lid are stamped with ribs and stand much stiffer than flat sheet; common practice, no source.
    """
    if layout == "beta":
        values.pop("cold_end_thickness", None)
    for end in ("hot", "cold") if layout != "beta" else ("hot",):
        name = f"{end}_end_thickness"
        modulus, poisson = elasticity_of(words[f"{end}_end_material"])
        flat = layout == "gamma" and words.get("heat_source") not in (*FLAMES, None)
        if flat and is_metal(words[f"{end}_end_material"]):
            bore = values["displacer_bore"].value
            values.setdefault(name, between(max(1e-3, bore / 150), max(3e-3, bore / 50)))
        if name in values and modulus > 0:
            values[f"{end}_end_modulus"] = _data(modulus, 0.05)
            values[f"{end}_end_poisson"] = _data(poisson, 0.0)
            # clamped to simply supported, (7 + nu)/(1 + nu): screws, glue and gaskets lie between
            values["end_edge"] = between(1.0, (7 + poisson) / (1 + poisson))
        else:
            values.pop(name, None)
    if layout == "gamma" and words.get("heat_source") not in (*FLAMES, None):
        values["soft_parts"] = between(*SOFT_PARTS)
    if "diaphragm_rim" in values:
        values["rubber_stretch"] = between(*RUBBER_STRETCH)


def _conductivity(material: str) -> Uncertain:
    return _data(*conductivity_of(material))


def _data(value: float, relative: float) -> Uncertain:
    """Return a value from a table with its relative standard uncertainty."""
    return Uncertain(value=value, spread=relative * value, how=How.GUESSED)


def _sides(words: dict[str, str], values: dict[str, Uncertain]) -> None:
    v = values
    room = v["room_temperature"].value
    complete_source(words, v)
    cold = words.setdefault("cold_side", "air")
    v["cold_coefficient"] = between(*_COOLING[cold])
    if cold == "ice":
        v["sink_temperature"] = between(273.15, 279.0)
    elif cold == "jacket":
        v["sink_temperature"] = between(room, room + 15.0)
    else:
        v["sink_temperature"] = v["room_temperature"]


def _factors(words: Mapping[str, str], values: dict[str, Uncertain], labels: dict[str, str]) -> None:
    for name, (label, value) in FACTORS.items():
        values[name] = value
        labels[name] = label
    touched = contact(words, values)
    if touched is not None:
        values["contact_coefficient"] = touched
        labels["contact_coefficient"] = "Heat from the source to the plate"
    face = FACE.get(words.get("heat_source", ""))
    values["hot_emissivity"] = between(*face) if face else _data(*emissivity_of(words["hot_end_material"]))
    labels["hot_emissivity"] = "Radiation of the hot end"
    for part in ("displacer", "wall"):
        material = words[f"{part}_material"]
        values[f"{part}_effusivity"] = _data(effusivity_of(material), 0.2)
        values[f"{part}_capacity"] = _data(volumetric_capacity_of(material), 0.1)
    for part in ("hot_end", "cold_end"):  # without a spread: for warm-up alone, where thickness is known far worse
        values[f"{part}_capacity"] = _data(volumetric_capacity_of(words[f"{part}_material"]), 0.0)
    values["displacer_skin_thickness"] = values.get("displacer_skin", _data(1.0, 0.0))
    if "displacer_mass" in values:
        # no counterweight, to one that carries the whole displacer; common practice, no source
        values["displacer_unbalanced"] = between(0.0, 1.0)
    if words["layout"] != "alpha":
        metal = is_metal(words["wall_material"])
        values["hot_beside"] = between(*_BESIDE[metal or words.get("heat_source") in FLAMES])
        values["cold_beside"] = between(*_BESIDE[metal or words["cold_side"] == "jacket"])
    labels.update(
        hot_beside="Share of the clearance beside hot metal",
        cold_beside="Share of the clearance beside cold metal",
        displacer_unbalanced="Displacer's weight without a counterweight",
        displacer_effusivity="Heat store of the displacer",
        displacer_capacity="Heat store of the displacer",
        displacer_skin_thickness="Displacer: Displacer wall",
        end_edge="How the ends are held at the rim",
        soft_parts="What seals and foam give",
        rubber_stretch="How the rubber stretches",
        hot_end_modulus="Stiffness of the hot end",
        cold_end_modulus="Stiffness of the cold end",
        wall_effusivity="Heat store of the wall",
        wall_capacity="Heat store of the wall",
        cold_coefficient="Cooling",
        sink_temperature="What cools it",
        wall_conductivity="Wall's conductivity",
        displacer_conductivity="Displacer's conductivity",
    )


def _not_hotter(values: Mapping[str, Uncertain]) -> str:
    hot, cold = (show(values[name], fields_of(Build)[name], spread=False) for name in ("hot_metal", "cold_metal"))
    return f"Hot metal: {hot}, not hotter than the cold metal, {cold}."


def _contradictions(layout: str, values: Mapping[str, Uncertain]) -> tuple[Problem, ...]:
    """Return what cannot be though each field alone can."""
    v = values
    contradictions = []

    def add(name: str, message: str, remedy: str) -> None:
        text = show(v[name], fields_of(Build)[name])
        contradictions.append(Problem(where=name, value=text, message=message, remedy=remedy))

    if layout != "alpha":
        if 2 * v["side_clearance"].value >= v["displacer_bore"].value:
            add("side_clearance", "Displacer side clearance: as wide as the cylinder.", "It is one side, not both.")
        if "chamber_height" in v and spare_height(v) <= 0:
            add(
                "chamber_height",
                "Inside height: the displacer would hit an end near 0 deg (hot) or 180 deg (cold) of its crank; "
                f"{-1e3 * spare_height(v):.1f} mm are missing.",
                "Shorten the displacer or its throw; leave about 1 mm at each end.",
            )
        if v["gland_rod"].value >= v["displacer_bore"].value - 2 * v["side_clearance"].value:
            add("gland_rod", "Displacer rod: thicker than the displacer.", "Check the unit.")
    if layout == "beta" and "piston_bore" in v:
        bore, wide = v["piston_bore"].value, v["displacer_bore"].value
        if abs(bore / wide - 1) > ONE_CYLINDER:
            add(
                "displacer_bore",
                f"Displacer cylinder bore: {1e3 * wide:.1f} mm, but in a beta the displacer shares one cylinder with "
                f"the piston, whose bore is {1e3 * bore:.1f} mm.",
                "Write one bore for both, or take the gamma layout, where each has a cylinder of its own.",
            )
    if layout != "alpha":
        name = "diaphragm_rim" if "diaphragm_rim" in v else "piston_bore"
        swept = 2 * v["piston_throw"].value * v["piston_beam"].value * piston_area(v)
        moved = math.pi / 2 * v["displacer_bore"].value ** 2 * v["displacer_throw"].value * v["displacer_beam"].value
        if swept > 3 * moved:
            add(
                name,
                f"Power piston: sweeps {1e6 * swept:.0f} ml, more than three times the {1e6 * moved:.0f} ml that the "
                "displacer moves; no heat can turn that.",
                "Check the units of bores and throws; a tenth to the whole is usual.",
            )
    if "diaphragm_rim" in v and v["diaphragm_disc"].value >= v["diaphragm_rim"].value:
        add("diaphragm_disc", "Diaphragm disc: as large as the rim, so it cannot move.", "Make the disc smaller.")
    for rod in _short_rods(v):
        label = fields_of(Build)[rod].label
        add(rod, f"{label}: not longer than the throw, so the crank cannot turn.", "Pin to pin, not the throw.")
    if "hot_metal" in v and "cold_metal" in v and v["hot_metal"].value <= v["cold_metal"].value:
        add("hot_metal", _not_hotter(v), "Check that the two are not exchanged.")
    return tuple(contradictions)


def _short_rods(values: Mapping[str, Uncertain]) -> list[str]:
    """Return the connecting rods that are not longer than their throws."""
    pairs = (("piston_rod", "piston_throw"), ("displacer_rod", "displacer_throw"), ("hot_rod", "hot_throw"))
    known = ((rod, values[rod].value, values[throw].value) for rod, throw in pairs if rod in values and throw in values)
    return [rod for rod, long, throw in known if long <= 1.05 * throw]
