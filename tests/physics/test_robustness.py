"""One battery over every formula: whatever is physically possible gives finite numbers, the same alone and in arrays.

The limits of each parameter are read from its own documentation: "> 0", ">= 0", "0 to 1", or either sign.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from itertools import product

import numpy as np
import pytest

import model.physics
from model.physics import gas as gases
from model.quantities.formula import DECLARED
from tests.offenders import none_breaks

MODULES = [module.name for module in pkgutil.iter_modules(model.physics.__path__) if module.name != "values"]
SIZES = {
    "K": (200.0, 1500.0), "m": (1e-5, 1.0), "Pa": (1e3, 1e7), "Pa s": (5e-6, 1e-4), "kg/m^3": (0.05, 9000.0),
    "rad/s": (0.1, 600.0), "W/(m K)": (0.01, 400.0), "J/(kg K)": (100.0, 15000.0), "W/(m^2 K)": (0.1, 1e4),
    "m^2/s": (1e-7, 1e-3), "J/kg": (1e6, 5e7), "m^3/(s Pa)": (1e-14, 1e-6), "-": (1e-3, 1e6),
}  # fmt: skip
COUNT = 64


def functions() -> dict[str, object]:
    found = {}
    for module_name in MODULES:
        module = importlib.import_module(f"{model.physics.__name__}.{module_name}")
        for name, value in vars(module).items():
            if inspect.isfunction(value) and value.__module__ == module.__name__ and name in DECLARED:
                found[name] = value
    return found


for _name in MODULES:
    importlib.import_module(f"model.physics.{_name}")
FUNCTIONS = functions()


def possible(text: str, generator: np.random.Generator) -> np.ndarray:
    """Draw physically possible values for a parameter with this documentation, its ends among them."""
    unit = re.findall(r"\[([^\]]+)\]", text)[0]
    low, high = SIZES.get(unit, (1e-3, 1e3))
    values = np.exp(generator.uniform(np.log(low), np.log(high), COUNT))
    if "0 to 1" in text:
        values = generator.uniform(0.0, 0.99, COUNT)
        values[:4] = 0.0
        if "below 1" not in text:
            values[4:8] = 1.0
        if "above 0" in text:
            values = np.maximum(values, 0.05)
        return values
    if "> 1" in text or ">= 1" in text:
        return generator.uniform(1.05, 1.67, COUNT)
    if ">= 0" in text:
        values[::5] = 0.0
    elif "> 0" not in text and unit != "K":
        values[::3] *= -1.0
        values[1::5] = 0.0
    elif "the sign" in text:
        values[1::5] = 0.0
    return values


def arguments(name: str, seed: int) -> dict[str, object]:
    function = FUNCTIONS[name]
    block = (inspect.getdoc(function) or "").split("Parameters\n----------\n")[1].split("Returns\n-------\n")[0]
    documented = dict(re.findall(r"^(\w+) : [^\n]+\n((?:    [^\n]*\n?)+)", block, flags=re.M))
    generator = np.random.default_rng(seed)
    given: dict[str, object] = {}
    for key, parameter in inspect.signature(function).parameters.items():
        kind = str(parameter.annotation)
        if "Gas" in kind:
            given[key] = gases.AIR
        elif "bool" in kind:
            given[key] = generator.random(COUNT) < 0.5
        else:
            given[key] = possible(" ".join(documented[key].split()), generator)
    if "temperature_difference" in given:
        given["temperature_difference"] = np.linspace(-300.0, 300.0, COUNT)
    if "surface_temperature" in given:  # some of them in balance with the room
        surface, room = given["surface_temperature"], given["room_temperature"]
        given["surface_temperature"] = np.where(np.arange(COUNT) % 4 == 0, room, surface)
    return given


def test_possible_inputs_give_finite_numbers_without_a_warning() -> None:
    """Warnings are errors in this suite; rest, reversal and balance are among the inputs."""
    none_breaks(gives_finite_numbers, product(sorted(FUNCTIONS), range(4)))


def gives_finite_numbers(name: str, seed: int) -> None:
    given = arguments(name, seed)
    with np.errstate(all="raise", under="ignore"):
        values = np.asarray(FUNCTIONS[name](**given))
    assert values.shape == (COUNT,)
    assert values.dtype == np.float64
    assert np.all(np.isfinite(values))
    for place in (0, 1, 17):
        alone = {key: value[place].item() if isinstance(value, np.ndarray) else value for key, value in given.items()}
        assert float(FUNCTIONS[name](**alone)) == pytest.approx(float(values[place]), rel=1e-12, abs=1e-300)


def test_inputs_broadcast_against_one_another() -> None:
    """The first array stands as a column against the rest as rows."""
    none_breaks(broadcasts, sorted(FUNCTIONS))


def broadcasts(name: str) -> None:
    given = arguments(name, 1)
    flat = np.asarray(FUNCTIONS[name](**given))
    arrays = [key for key, value in given.items() if isinstance(value, np.ndarray)]
    if len(arrays) < 2:
        return
    turned = given | {arrays[0]: given[arrays[0]][:, np.newaxis]}
    values = np.asarray(FUNCTIONS[name](**turned))
    assert values.shape == (COUNT, COUNT)
    assert np.diagonal(values) == pytest.approx(flat, rel=1e-12, abs=1e-300)
