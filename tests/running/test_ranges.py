"""A formula used outside the range of its source says so beside the result, and a usual build hears nothing."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from model.fields import parse_build
from model.fields.starts import STARTS
from model.inputs.complete import complete_inputs
from model.prediction.predict import predict
from model.quantities.formula import DECLARED
from model.running.operate import operate
from model.running.ranges import out_of_range
from model.running.samples import central
from tests.running.still_air import coefficient, radiation

CAN, FLAT, SYRINGES = (dict(start.texts) for start in STARTS)
WOOL = {"regenerator": "steel_wool", "matrix_length": "20 mm", "matrix_diameter": "60 mm", "matrix_wire": "40 um",
        "matrix_porosity": "94 %"}  # fmt: skip
JETS = ("slot jet", "round jet")
"""Every small engine leaves the range of the jets' source: there the calm layer rules, and that is told too."""


def told(texts: dict[str, str], speed: float = 15.0) -> list[str]:
    found = complete_inputs(parse_build(texts).build)
    notes = out_of_range(operate(central(found.words, found.values), np.array([[speed]])))
    return [f"{note.group}: {note.quantity}: {note}" for note in notes if not any(jet in note.quantity for jet in JETS)]


@pytest.mark.parametrize("texts", [CAN, FLAT, SYRINGES, CAN | WOOL], ids=["can", "flat", "syringes", "wool"])
def test_a_usual_build_stays_within_every_range_but_that_of_the_jets(texts: dict[str, str]) -> None:
    assert told(texts) == []


LARGE = {"displacer_bore": "600 mm", "displacer_throw": "72 mm", "displacer_length": "150 mm", "piston_bore": "133 mm",
         "piston_throw": "66 mm", "hot_metal": "160 C", "cold_metal": "30 C"}  # fmt: skip


@pytest.mark.parametrize(
    ("texts", "speed", "quantity", "group"),
    [
        (FLAT | LARGE | {"side_clearance": "8 mm"}, 60.0, "nusselt_parallel_plates", "reynolds"),
        (FLAT | {"displacer_length": "6 mm"}, 12.0, "shuttle_loss", "stroke_over_length"),
        (CAN | {"cold_area": "2 cm2"}, 15.0, "cooling", "excess"),
        (FLAT | {"hot_end_thickness": "0.2 mm"}, 12.0, "plate_compliance", "deflection_over_thickness"),
        (FLAT | {"piston_clearance": "500 um"}, 12.0, "annular_conductance", "radial_clearance"),
        (CAN | WOOL | {"matrix_porosity": "99 %"}, 15.0, "nusselt_felt_gedeon_wood_1996", "porosity"),
        (CAN | WOOL | {"matrix_wire": "3 um"}, 0.5, "friction_felt_gedeon_wood_1996", "reynolds"),
        (FLAT | {"side_clearance": "20 mm"}, 12.0, "effectiveness_with_wall_capacity", "ntu"),
        (CAN | {"regenerator": "foil", "matrix_length": "20 mm", "matrix_diameter": "8 mm", "matrix_wire": "100 um",
                "matrix_porosity": "95 %", "side_clearance": "0.1 mm"}, 150.0, "nusselt_parallel_foil", "reynolds"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)  # fmt: skip
def test_a_build_outside_says_so(texts: dict[str, str], speed: float, quantity: str, group: str) -> None:
    wanted = DECLARED[quantity].quantity
    assert any(note.startswith(f"{group}: {wanted}: ") for note in told(texts, speed)), told(texts, speed)


def test_the_guess_of_cooling_covers_still_air_and_radiation_within_its_range() -> None:
    """IncroperaEtAl2007, chapter 9, plate and barrel alike, black to bright: within 6 to 14 W/(m^2 K) times 0.7 to 1.4.

    The barrel is half of the cooled area or so, as in the model.
    """
    _, high = DECLARED["cooling"].valid["excess"]
    room = 293.0
    for size, excess, emissivity in itertools.product((0.04, 0.08, 0.15), (10.0, 40.0, high), (0.1, 0.9)):
        plate, barrel = (
            coefficient(surface=room + excess, room=room, length=length, face=face)
            for length, face in ((size / 4, "up"), (size, "vertical"))
        )
        rays = radiation(surface=room + excess, room=room, emissivity=emissivity)
        assert 0.7 * 6 <= (plate + barrel) / 2 + rays <= 1.4 * 14


def test_a_prediction_tells_them_beside_its_figures() -> None:
    found = predict(complete_inputs(parse_build(CAN | WOOL | {"matrix_porosity": "99 %"}).build), samples=20)
    (note,) = [text for text in found.untried if "porosity" in text]
    assert note.startswith("Less sure: ")
    assert note.endswith("here 0.99.")
    assert len({text.partition(" Its source")[0] for text in found.untried}) == len(found.untried), "each formula once"
    assert not found.warnings, "what may melt is not drowned by how far a formula was tried"
