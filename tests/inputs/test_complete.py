"""From what was written to a complete set of inputs."""

from __future__ import annotations

from pathlib import Path

import pytest

from model.bench.evidence import Evidence
from model.fields import parse_build
from model.fields.starts import STARTS
from model.inputs.complete import FACTORS, complete_inputs
from model.quantities.uncertain import Uncertain
from model.tables import materials

ROOT = Path(__file__).parents[2]
TEXTS = {start.key: dict(start.texts) for start in STARTS}


def values_of(**texts: str) -> dict[str, Uncertain]:
    return dict(complete_inputs(parse_build(TEXTS["1"] | texts).build).values)


@pytest.mark.parametrize(
    ("height", "printed"),
    [("0 m", 101325.0), ("500 m", 95460.8), ("1000 m", 89874.6), ("2000 m", 79495.2), ("3000 m", 70108.5)],
)
def test_the_pressure_of_a_place_is_that_of_the_standard_atmosphere(height: str, printed: float) -> None:
    """ISO 2533:1975 at geopotential height, from memory; within 2 Pa. Weather moves it by about 1 % either way."""
    pressure = values_of(altitude=height)["room_pressure"]
    assert pressure.value == pytest.approx(printed, abs=2.0)
    assert pressure.spread >= 0.01 * printed * 0.999


def test_a_material_brings_its_own_uncertainty() -> None:
    """The table has one for each material; a foam is known better than a plate whose surface may be bright or dull."""
    for word in ("tinplate", "stainless", "brass"):
        wall = values_of(wall_material=word)["wall_conductivity"]
        row = materials()[word]
        assert (wall.value, wall.spread) == pytest.approx(
            (row.conductivity, row.conductivity * row.conductivity_spread)
        )


def test_a_rubber_s_hysteresis_is_part_of_the_guessed_friction() -> None:
    """pi tan(delta) k (S/2)^2: 0.3 mJ a turn at 0.1, 40 N/m and a stroke of 10 mm (by hand), 0.05 mN m."""
    sizes = {"layout": "gamma", "heat_source": "candle", "piston_kind": "diaphragm", "diaphragm_rim": "38 mm",
             "piston_throw": "5 mm", "displacer_bore": "66 mm", "displacer_throw": "10 mm"}  # fmt: skip
    soft, firm = (
        complete_inputs(parse_build({**sizes, "diaphragm_stiffness": f"{k} N/m +-0.1"}).build).values["friction_torque"]
        for k in (0.2, 40)
    )
    assert soft.low is not None and soft.high is not None and firm.low is not None and firm.high is not None
    more = (firm.low - soft.low, firm.high - soft.high)
    assert more[0] < 0.05e-3 < more[1]
    assert more[1] == pytest.approx(1.5 * 0.05e-3, rel=0.03)


def test_what_a_reading_tells_is_not_held_against_a_field_as_if_it_were_typed() -> None:
    """Emptying one of the two, as the clash asks for, would not be possible."""
    texts = TEXTS["1"] | {"heat_source": "candle", "tealights": "1"}
    typed = complete_inputs(parse_build(texts | {"heat_released": "420 W"}).build)
    assert [problem.where for problem in typed.problems] == ["heat_released"]
    evidence = Evidence(values={"heat_released": Uncertain(value=420.0)}, sources={"heat_released": "fuel burnt"})
    measured = complete_inputs(parse_build(texts).build, evidence)
    assert not measured.problems
    assert measured.values["heat_released"].value == 420.0


def test_each_uncertain_constant_is_read_where_the_engine_turns() -> None:
    """One that nothing reads would still be drawn, and named among what an interval rests on."""
    code = "".join(
        path.read_text(encoding="utf-8")
        for room in ("running", "cycle")
        for path in (ROOT / "model" / room).glob("*.py")
    )
    assert [name for name in FACTORS if f'"{name}"' not in code] == []
