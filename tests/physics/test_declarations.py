"""Every formula declares itself; every parameter is documented with its unit; every key of a source exists."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable
from types import ModuleType

import numpy as np

import model
import model.physics
from model import tables
from model.quantities.formula import DECLARED, Declaration, outside
from tests.offenders import none_breaks

UNITS = {
    "-", "m", "m^2", "m^3", "m^3/s", "m^3/(s Pa)", "m^3/Pa", "N/m", "m/s", "m/s^2", "m^2/s", "kg", "kg/s", "kg/m^3",
    "kg m^2", "s", "1/s", "rad", "rad/s", "N", "N m", "Pa", "Pa s", "J", "J/kg", "J/(kg K)", "K", "W", "W/K", "W/m^2",
    "W/(m K)", "W/(m^2 K)", "V", "ohm",
}  # fmt: skip
NO_SOURCE = {"derived here", "common practice, no source"}
MODULES = [
    importlib.import_module(f"model.physics.{module.name}")
    for module in pkgutil.iter_modules(model.physics.__path__)
    if module.name != "values"
]
"""Every file of formulas; `values` holds none."""


def declared_here() -> dict[str, tuple[Callable[..., object], Declaration]]:
    """The declared functions of these modules, by name."""
    return {
        name: (function, DECLARED[name])
        for module in MODULES
        for name, function in vars(module).items()
        if inspect.isfunction(function) and function.__module__ == module.__name__ and name in DECLARED
    }


FUNCTIONS = declared_here()


def test_every_public_formula_is_declared() -> None:
    none_breaks(declares_its_formulas, MODULES)


def declares_its_formulas(module: ModuleType) -> None:
    public = [
        name
        for name, value in vars(module).items()
        if inspect.isfunction(value) and value.__module__ == module.__name__ and not name.startswith("_")
    ]
    assert public
    assert [name for name in public if name not in FUNCTIONS] == []


def test_a_declaration_is_complete() -> None:
    none_breaks(is_complete, sorted(FUNCTIONS))


def is_complete(name: str) -> None:
    entry = FUNCTIONS[name][1]
    assert entry.quantity and entry.formula
    assert entry.source in NO_SOURCE or entry.source in tables.sources()
    assert entry.where
    assert 0.0 <= entry.spread < 0.6
    assert all(low < high for low, high in entry.valid.values())


def test_every_parameter_is_keyword_only_and_documented_with_its_unit() -> None:
    none_breaks(documents_its_parameters, sorted(FUNCTIONS))


def documents_its_parameters(name: str) -> None:
    function = FUNCTIONS[name][0]
    text = inspect.getdoc(function) or ""
    block = text.split("Parameters\n----------\n")[1].split("Returns\n-------\n")[0]
    documented = dict(re.findall(r"^(\w+) : [^\n]+\n((?:    [^\n]*\n?)+)", block, flags=re.M))
    parameters = inspect.signature(function).parameters
    assert list(documented) == list(parameters)
    for key, parameter in parameters.items():
        assert parameter.kind is inspect.Parameter.KEYWORD_ONLY
        if "Values" in str(parameter.annotation) and "bool" not in str(parameter.annotation):
            units = re.findall(r"\[([^\]]+)\]", documented[key])
            assert units and set(units) <= UNITS, f"{name}.{key}: {units}"
    returned = text.split("Returns\n-------\n")[1].split("\n\n")[0]
    assert set(re.findall(r"\[([^\]]+)\]", returned)) & UNITS


def test_keys_in_brackets_are_sources() -> None:
    none_breaks(names_sources_alone, sorted(FUNCTIONS))


def names_sources_alone(name: str) -> None:
    text = inspect.getdoc(FUNCTIONS[name][0]) or ""
    for key in re.findall(r"\[([A-Z][A-Za-z]+(?:\d{4}[a-z]?)?)\]", text):
        assert key in tables.sources() or key in UNITS


def test_every_declaration_of_the_model_names_a_source() -> None:
    for module in pkgutil.walk_packages(model.__path__, "model."):
        importlib.import_module(module.name)
    strange = {entry.name: entry.source for entry in DECLARED.values()}
    assert {k: v for k, v in strange.items() if v not in NO_SOURCE and v not in tables.sources()} == {}


def test_a_value_outside_the_range_is_told() -> None:
    (note,) = outside("nusselt_parallel_plates", reynolds=5000.0, prandtl=0.7)
    assert note.group == "reynolds" and note.high == 2800.0
    assert note.source in tables.sources()


def test_physics_reaches_neither_tables_nor_store() -> None:
    for module in MODULES:
        source = inspect.getsource(module)
        assert "model.tables" not in source and "model.store" not in source


def test_a_large_array_goes_through_without_a_loop() -> None:
    """300 samples by 25 speeds by 128 angles keep their shape through a chain of formulas."""
    from model.physics import duct, gas

    t = np.full((30, 5, 128), 350.0)
    speed = np.linspace(-3.0, 3.0, 128)
    mu, rho = gas.viscosity(gas=gas.AIR, temperature=t), gas.density(gas=gas.AIR, temperature=t, pressure=1e5)
    re = rho * speed * 0.004 / mu
    friction = duct.friction_parallel_plates(reynolds=re)
    assert friction.shape == t.shape
    assert np.all(np.isfinite(friction)) and np.all(friction > 0)
