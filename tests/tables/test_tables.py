"""The data tables: rows within the bounds of their class, checked against other sources, and refused when malformed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

import ht.insulation
import pytest
from hypothesis import given
from hypothesis import strategies as st

import model
from model import tables
from model.errors import TableError
from model.fields.vocabulary import DISPLACER_MATERIALS, METALS, POST_MATERIALS

# Lowest and highest of each class, from the spread of handbooks; per row, so that a slip of a decimal cannot hide.
BOUNDS = {
    #            conductivity   density         specific heat   highest C
    "metal": ((10, 430), (2500, 9000), (350, 950), (180, 900)),
    "glass": ((0.9, 1.5), (2200, 2600), (700, 900), (80, 500)),
    "plastic": ((0.1, 0.4), (900, 2300), (900, 2000), (45, 260)),
    "foam": ((0.02, 0.06), (10, 60), (1000, 1600), (60, 90)),
    "rubber": ((0.1, 0.4), (850, 1300), (1000, 2100), (60, 250)),
    "wood": ((0.03, 0.25), (80, 900), (1200, 2200), (80, 150)),
    "carbon": ((50, 150), (1500, 2000), (600, 900), (300, 500)),
    "fibre": ((0.03, 0.2), (7000, 8100), (400, 550), (300, 500)),
    "adhesive": ((0.1, 0.7), (1000, 2200), (900, 1700), (50, 250)),
}
TABLE = '[material.x]\nname = "x"\nkind = "metal"\n' + "".join(
    f"{key} = 1.0\n"
    for key in (
        "conductivity", "conductivity_spread", "density", "specific_heat", "temperature_max",
        "emissivity", "emissivity_spread",
    )
)  # fmt: skip
GOOD = "format = 1\n" + TABLE + 'source = "CRC"\nwhere = "somewhere"\n'


def read(text: str) -> Mapping[str, tables.Material]:
    return tables.parse(text, tables.Material, file="materials.toml", table="material")


@pytest.mark.parametrize("key", list(tables.materials()))
def test_a_material_lies_within_the_bounds_of_its_class(key: str) -> None:
    row = tables.materials()[key]
    values = (row.conductivity, row.density, row.specific_heat, row.temperature_max - 273.15)
    for value, (low, high) in zip(values, BOUNDS[row.kind], strict=True):
        assert low <= value <= high, f"{key}: {value}"
    assert 0.0 < row.emissivity <= 1.0
    assert 0.0 < row.conductivity_spread < 0.5 and 0.0 < row.emissivity_spread < 1.0


POINTS = [(key, point) for key, row in tables.materials().items() for point in row.check]


@pytest.mark.parametrize(("key", "point"), POINTS, ids=lambda p: p if isinstance(p, str) else p.quantity)
def test_a_material_agrees_with_its_check_and_the_check_with_the_library(key: str, point: tables.Check) -> None:
    """EN 12524 by the VDI Heat Atlas (rho, k, cp) and ASHRAE 2009 (rho, cp, k) as `ht` 1.2 has them, exact names."""
    assert getattr(tables.materials()[key], point.quantity) == pytest.approx(point.value, rel=point.tolerance)
    if point.source == "EN12524":
        rho, k, cp = ht.insulation.building_materials[point.entry]
    else:
        rho, cp, k = ht.insulation.ASHRAE[point.entry][:3]
    assert point.value == {"density": rho, "conductivity": k, "specific_heat": cp}[point.quantity]


def test_siblings_among_the_materials_stand_in_the_known_order() -> None:
    """Common knowledge: who conducts better, who is heavier."""
    m = tables.materials()
    order = ("copper", "aluminium", "brass", "steel", "stainless", "borosilicate", "acrylic", "balsa", "eps")
    conductivities = [m[key].conductivity for key in order]
    assert conductivities == sorted(conductivities, reverse=True)
    assert m["eps"].density < m["xps"].density < m["balsa"].density < m["wood"].density


def test_every_material_of_a_form_has_a_row_and_every_row_is_offered() -> None:
    offered = {choice.key for choice in (*METALS, *DISPLACER_MATERIALS, *POST_MATERIALS)}
    assert offered == set(tables.materials())


def test_every_source_is_used() -> None:
    """Every key stands in the code, in another table or beside a check."""
    model_folder = Path(model.__file__).parent
    tests_folder = Path(__file__).parents[1]
    files = [*model_folder.rglob("*.py"), *model_folder.rglob("*.toml"), *tests_folder.rglob("*.py")]
    text = "\n".join(p.read_text(encoding="utf-8") for p in files if p.name != "sources.toml")
    unused = [key for key in tables.sources() if not re.search(rf"\b{key}\b", text)]
    assert unused == []


def test_a_source_says_how_it_was_read() -> None:
    for key, row in tables.sources().items():
        assert row.key == key
        assert row.seen.startswith(("seen", "library", "from memory", "by way of"))
        assert row.took and row.authors and row.title
        assert row.year == 0 or 1800 < row.year < 2027
        year = re.search(r"[a-z](\d{4})[a-z]?$", key)  # the number of a standard is no year
        if year:
            assert row.year == int(year.group(1))


def test_a_good_table_reads() -> None:
    (row,) = read(GOOD).values()
    assert row.density == 1.0
    assert row.source == "CRC"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("format = 1", "no rows"),
        ("format = 2\n" + TABLE, "Format 2"),
        ("not toml", "not TOML"),
        ("format = 1\n[material]\nx = 3\n", "not a table"),
        (GOOD.replace("density = 1.0\n", ""), "missing"),
        (GOOD.replace("density = 1.0\n", "density = 1.0\nweight = 3\n"), "No such key"),
        (GOOD.replace('name = "x"', 'name = "x"\nkey = "y"'), "No such key"),
        (GOOD.replace("density = 1.0", "density = nan"), "finite"),
        (GOOD.replace("density = 1.0", "density = inf"), "finite"),
        (GOOD.replace("density = 1.0", "density = -1.0"), "finite"),
        (GOOD.replace("density = 1.0", 'density = "1"'), "wrong type"),
        (GOOD.replace("density = 1.0", "density = true"), "wrong type"),
        (GOOD + "check = [{ quantity = 'density' }]\n", "missing"),
    ],
)
def test_a_malformed_table_is_refused_with_its_place(text: str, told: str) -> None:
    with pytest.raises(TableError, match=told) as caught:
        read(text)
    assert "materials.toml" in str(caught.value)


@given(st.text(max_size=200))
def test_any_text_reads_or_is_refused(text: str) -> None:
    try:
        read(text)
    except TableError as error:
        assert str(error)
