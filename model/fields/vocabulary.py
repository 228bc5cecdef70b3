"""The words that fields take, and which fields have a meaning for which build."""

from __future__ import annotations

from typing import Any

from model.fields.field import Choice

LAYOUTS = (
    Choice(key="gamma", label="gamma", help="displacer and power piston in two bores: most cans and flat engines"),
    Choice(key="beta", label="beta", help="displacer and power piston in one bore"),
    Choice(key="alpha", label="alpha", help="two pistons, one hot and one cold"),
    Choice(key="rocking", label="rocking test tube", help="test tube and marbles, no crank on the displacer"),
    Choice(key="ringbom", label="Ringbom", help="the displacer is moved by the pressure, not by a crank"),
)
HEAT_SOURCES = (
    Choice(key="candle", label="candle", help="tea-light or candle"),
    Choice(key="spirit", label="spirit lamp", help="alcohol burner"),
    Choice(key="gas", label="gas flame", help="camping or kitchen gas flame"),
    Choice(key="water", label="hot water", help="a mug or bath of hot water"),
    Choice(key="electric", label="electric", help="resistor or hot plate"),
    Choice(key="sun", label="sun", help="lens or mirror"),
    Choice(key="hand", label="hand", help="the warmth of a hand"),
)
COLD_SIDES = (
    Choice(key="air", label="still air"),
    Choice(key="fins", label="fins", help="fins in still air"),
    Choice(key="fan", label="fan", help="a fan or the draught of the wheel"),
    Choice(key="jacket", label="water jacket", help="standing or running water"),
    Choice(key="ice", label="ice", help="ice or ice water"),
)
METALS = (
    Choice(key="tinplate", label="tinplate"),
    Choice(key="aluminium", label="aluminium"),
    Choice(key="steel", label="steel"),
    Choice(key="stainless", label="stainless steel"),
    Choice(key="copper", label="copper"),
    Choice(key="brass", label="brass"),
    Choice(key="borosilicate", label="borosilicate glass"),
    Choice(key="soda_lime", label="soda-lime glass"),
    Choice(key="acrylic", label="acrylic"),
    Choice(key="polycarbonate", label="polycarbonate"),
    Choice(key="pla", label="PLA", help="printed; softens from 50 C"),
    Choice(key="petg", label="PETG", help="printed"),
    Choice(key="card", label="card"),
    Choice(key="wood", label="wood"),
)
POST_MATERIALS = (
    Choice(key="nylon", label="nylon"),
    Choice(key="ptfe", label="PTFE"),
    Choice(key="steel", label="steel"),
    Choice(key="stainless", label="stainless steel"),
    Choice(key="brass", label="brass"),
    Choice(key="aluminium", label="aluminium"),
    Choice(key="wood", label="wood"),
)
DISPLACER_MATERIALS = (
    Choice(key="balsa", label="balsa"),
    Choice(key="eps", label="polystyrene foam"),
    Choice(key="xps", label="extruded foam", help="the fine, closed foam of boards (XPS)"),
    Choice(key="cork", label="cork"),
    Choice(key="aluminium", label="aluminium can", help="thin closed can"),
    Choice(key="tinplate", label="tin can", help="thin closed can"),
    Choice(key="stainless", label="stainless can", help="thin closed can"),
    Choice(
        key="steel_wool",
        label="steel wool",
        help="the displacer is a roll of steel wool: air goes through it",
    ),
    Choice(key="card", label="card"),
    Choice(key="borosilicate", label="glass", help="closed glass tube or marbles"),
)
PISTON_KINDS = (
    Choice(key="piston", label="piston", help="a solid piston or syringe plunger"),
    Choice(key="diaphragm", label="diaphragm", help="rubber sheet with a stiff disc"),
)
REGENERATORS = (
    Choice(key="none", label="none", help="the side clearance alone"),
    Choice(key="steel_wool", label="steel wool"),
    Choice(key="mesh", label="wire mesh"),
    Choice(key="foil", label="foil"),
)

CRANKED = ("gamma", "beta", "alpha")


def cranked(build: Any) -> bool:
    """Whether this layout can be predicted."""
    return build.layout in (*CRANKED, None)


def displaced(build: Any) -> bool:
    """Whether the build has a displacer on a crank."""
    return build.layout in ("gamma", "beta", None)


def alpha(build: Any) -> bool:
    """Whether the build has two pistons."""
    return bool(build.layout == "alpha")


def rubber(build: Any) -> bool:
    """Whether the power piston is a diaphragm."""
    return bool(build.piston_kind == "diaphragm" and build.layout != "alpha")


def solid(build: Any) -> bool:
    """Whether the power piston slides in a bore."""
    return not rubber(build)


def matrix(build: Any) -> bool:
    """Whether there is a regenerator of wire or foil."""
    wool = build.displacer_material == "steel_wool" and displaced(build)
    return build.regenerator not in (None, "none") or (wool and build.regenerator is None)


def posted(build: Any) -> bool:
    """Whether posts or screws join the hot end to the cold end."""
    return cranked(build) and build.post_count is not None and build.post_count.value > 0
