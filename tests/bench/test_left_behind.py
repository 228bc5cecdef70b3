"""What was measured on an earlier mark is told, and left out of the drawing's figures."""

from __future__ import annotations

from model.bench.evidence import left_behind
from model.explain.outlook import outlook
from model.record import Entry, Mark, Project, Reading
from tests.diagnosis.builds import BUILDS

CAN = {name: text for name, text in BUILDS["can, rubber"].items() if name != "friction_torque"}
RIM = {"weight": "2 g", "radius": "30 mm"}
TOLD = "Friction was measured on Mk 1: as drawn leaves it out"


def project(build: dict[str, str], *later: Reading) -> Project:
    entries = {
        "kaaaaa": Entry(key="kaaaaa", mark=1, readings={"a": Reading(key="a", kind="rim_weight", texts=RIM)}),
        "kbbbbb": Entry(key="kbbbbb", mark=2, readings={reading.key: reading for reading in later}),
    }
    return Project(name="x", marks={n: Mark(number=n, build=build) for n in (1, 2)}, entries=entries)


def warned(made: Project, mark: int) -> bool:
    return any(TOLD in warning for warning in outlook(made, mark=mark, samples=0).warnings)


def test_friction_of_the_mark_before_is_told_and_not_used() -> None:
    made = project(CAN)
    assert left_behind(made, 2) == {"Friction": 1}
    assert left_behind(made, 1) == {}
    assert warned(made, 2)
    assert not warned(made, 1)
    assert "friction_torque" in outlook(made, mark=2, samples=0).assumed
    assert "from readings" not in outlook(made, mark=2, samples=0).assumed["friction_torque"]


def test_measured_again_or_typed_there_is_nothing_to_tell() -> None:
    again = project(CAN, Reading(key="a", kind="rim_weight", texts=RIM))
    assert left_behind(again, 2) == {}
    assert not warned(again, 2)
    assert not warned(project({**CAN, "friction_torque": "1 mN m"}), 2)
