"""The data tables: rows within the bounds of their class, checked against other sources, and refused when malformed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

import CoolProp.CoolProp as reference
import ht.insulation
import pytest
from chemicals import MW, Hfg, Hfl, Tb, combustion_data
from chemicals.identifiers import search_chemical
from hypothesis import given
from hypothesis import strategies as st

import model
from model import tables
from model.errors import TableError
from model.fields.vocabulary import DISPLACER_MATERIALS, METALS, POST_MATERIALS
from model.physics import gas as gases

# Lowest and highest of each class, from the spread of handbooks; per row, so that a slip of a decimal cannot hide.
BOUNDS = {
    #            conductivity   density         specific heat   expansion       highest C
    "metal": ((10, 430), (2500, 9000), (350, 950), (10e-6, 25e-6), (180, 900)),
    "glass": ((0.9, 1.5), (2200, 2600), (700, 900), (3e-6, 10e-6), (80, 500)),
    "plastic": ((0.1, 0.4), (900, 2300), (900, 2000), (50e-6, 150e-6), (45, 260)),
    "foam": ((0.02, 0.06), (10, 60), (1000, 1600), (30e-6, 100e-6), (60, 90)),
    "rubber": ((0.1, 0.4), (850, 1300), (1000, 2100), (100e-6, 350e-6), (60, 250)),
    "wood": ((0.03, 0.25), (80, 900), (1200, 2200), (2e-6, 60e-6), (80, 150)),
    "carbon": ((50, 150), (1500, 2000), (600, 900), (1e-6, 9e-6), (300, 500)),
    "fibre": ((0.03, 0.2), (7000, 8100), (400, 550), (10e-6, 20e-6), (300, 500)),
    "adhesive": ((0.1, 0.7), (1000, 2200), (900, 1700), (30e-6, 100e-6), (50, 250)),
}
TABLE = '[material.x]\nname = "x"\nkind = "metal"\n' + "".join(
    f"{key} = 1.0\n"
    for key in (
        "conductivity", "conductivity_spread", "density", "specific_heat", "expansion", "temperature_max",
        "emissivity", "emissivity_spread",
    )
)  # fmt: skip
GOOD = "format = 1\n" + TABLE + 'source = "CRC"\nwhere = "somewhere"\n'


def read(text: str) -> Mapping[str, tables.Material]:
    return tables.parse(text, tables.Material, file="materials.toml", table="material")


@pytest.mark.parametrize("key", list(tables.materials()))
def test_a_material_lies_within_the_bounds_of_its_class(key: str) -> None:
    row = tables.materials()[key]
    values = (row.conductivity, row.density, row.specific_heat, row.expansion, row.temperature_max - 273.15)
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
    """Common knowledge: who conducts better, who is heavier, who expands less."""
    m = tables.materials()
    order = ("copper", "aluminium", "brass", "steel", "stainless", "borosilicate", "acrylic", "balsa", "eps")
    conductivities = [m[key].conductivity for key in order]
    assert conductivities == sorted(conductivities, reverse=True)
    assert m["borosilicate"].expansion < m["graphite"].expansion < m["steel"].expansion < m["brass"].expansion
    assert m["eps"].density < m["xps"].density < m["balsa"].density < m["wood"].density


def test_a_graphite_piston_in_glass_keeps_its_clearance() -> None:
    """16 mm bore in borosilicate, +60 K: graphite -1.2 um, steel -8.4, brass -15.1, aluminium -18.9 (recomputed).

    Within 0.5 um: half a unit in 1e-6/K, by which handbooks differ for one alloy.
    """
    m = tables.materials()
    for key, lost in (("graphite", -1.2), ("steel", -8.4), ("brass", -15.1), ("aluminium", -18.9)):
        change = (m["borosilicate"].expansion - m[key].expansion) * 0.016 * 60
        assert change * 1e6 == pytest.approx(lost, abs=0.5)


def test_every_material_of_a_build_has_a_row() -> None:
    for choice in (*METALS, *DISPLACER_MATERIALS, *POST_MATERIALS):
        assert choice.key in tables.materials()


def test_names_and_aliases_are_of_one_row_only() -> None:
    for rows in (tables.materials(), tables.fuels(), tables.gases()):
        seen: dict[str, str] = {}
        for key, row in rows.items():
            for name in {key.replace("_", " "), row.name, *row.aliases}:
                assert seen.setdefault(name.casefold(), key) == key
                found = tables.find(rows, f" {name.upper()} ")
                assert found is row
    assert tables.find(tables.materials(), "unobtainium") is None


LIQUID = ("ethanol", "methanol", "isopropanol", "lamp_oil")


@pytest.mark.parametrize("key", [key for key, row in tables.fuels().items() if row.substance])
def test_a_heating_value_agrees_with_formation_enthalpies(key: str) -> None:
    """chemicals 1.5: heats of formation and combustion stoichiometry; liquids from the liquid; 0.5 %."""
    row = tables.fuels()[key]
    of = Hfl if key in LIQUID else Hfg
    data = combustion_data(formula=search_chemical(row.substance).formula, Hf=of(row.substance), MW=MW(row.substance))
    assert row.heating_value == pytest.approx(-data.LHV / MW(row.substance) * 1e3, rel=0.005)
    assert row.heating_value_upper == pytest.approx(-data.HHV / MW(row.substance) * 1e3, rel=0.005)
    assert row.boiling_temperature == pytest.approx(Tb(row.substance), abs=1.0)


@pytest.mark.parametrize(
    ("key", "fluid"),
    [("ethanol", "Ethanol"), ("methanol", "Methanol"), ("propane", "Propane"), ("butane", "n-Butane")],
)
def test_densities_of_fuels_agree_with_coolprop(key: str, fluid: str) -> None:
    """CoolProp 8, liquid at 20 C (gases at their vapour pressure); 0.3 %."""
    liquid = reference.PropsSI("D", "T", 293.15, "Q", 0, fluid)
    assert tables.fuels()[key].density == pytest.approx(liquid, rel=0.003)


def test_paraffin_lies_on_the_series_of_alkanes() -> None:
    """Lower heating value per mass falls from propane over dodecane to wax (Dulong's 46.7 MJ/kg would not)."""
    f = tables.fuels()
    series = [f[key].heating_value for key in ("propane", "butane", "lamp_oil", "paraffin")]
    assert series == sorted(series, reverse=True)
    # C25H52 by bond increments: about 43.8 MJ/kg liquid, less the heat of fusion 0.23
    assert f["paraffin"].heating_value == pytest.approx(43.5e6, rel=0.005)


def test_flames_release_what_is_known_of_them() -> None:
    """Tea-light 30 to 42 W; spirit lamp 10 g/h = 75 W (estimates of the trade)."""
    f = tables.fuels()
    assert 30 <= f["paraffin"].burn_rate * f["paraffin"].heating_value <= 42
    assert f["ethanol"].burn_rate * f["ethanol"].heating_value == pytest.approx(75, rel=0.05)


@pytest.mark.parametrize("key", list(tables.gases()))
def test_a_gas_has_coefficients_and_meets_its_check_points(key: str) -> None:
    """Incropera 2007, Table A.4, from memory."""
    row = tables.gases()[key]
    gas = gases.GASES[key]
    laws = {
        "viscosity": gases.viscosity,
        "conductivity": gases.conductivity,
        "specific_heat": gases.specific_heat,
    }
    assert row.check
    for point in row.check:
        assert row.temperature_low <= point.temperature <= row.temperature_high
        value = laws[point.quantity](gas=gas, temperature=point.temperature)
        assert value == pytest.approx(point.value, rel=point.tolerance)
    assert set(tables.gases()) == set(gases.GASES)


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
        assert row.year == 0 or 1850 < row.year < 2027
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
        (GOOD + "aliases = [1]\n", "wrong type"),
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
