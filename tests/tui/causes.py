"""What stands for the weighing of causes and for allowances in the tests of the screens.

Apart from `stage`: the model's own modules load numpy, a third of the start of a program that asks for neither.
"""

from __future__ import annotations

from collections.abc import Callable

from model.explain.diagnosis.allowances import Allowance
from model.explain.diagnosis.diagnose import Advice, Branch, Diagnosis, RankedCause
from model.quantities.units import Kind
from model.record import Project
from tests.tui.stage import figure

TURNS = Advice(
    key="cold_flick", label="Free turns, cold, and where it stops", minutes=4, needs="a stripe on the wheel, a watch",
    how="Cold, closed: flick it five times; count turns and time until it stops, and look at which angle.",
    caution="By hand only: never spin it up with a drill. Local rules and the advice of licensed people come first.",
    reading="free_turns", readings=("free_turns", "stops"), expected="between 2 turns in 1.5 s and 9 turns in 7 s",
    healthy="", bits=0.5,
    branches=(
        Branch(when="fewer than 3 turns in 2 s", then="Friction 80 in 100"),
        Branch(when="more than 3 turns in 2 s", then="Leak 60 in 100, Dead volume 20 in 100"),
    ),
)  # fmt: skip
WEIGHTS = Advice(
    key="rim_weight", label="Grams on the rim", minutes=4, needs="thread, scale", caution="",
    how="Chamber open, link on: hang weights on the rim until it just turns.", reading="rim_weight",
    readings=("rim_weight",), expected="between 1 g and 9 g", healthy="between 0.5 g and 1 g", bits=0.3,
    branches=(Branch(when="above 4 g", then="Friction 95 in 100"), Branch(when="below 4 g", then="Leak 50 in 100")),
)  # fmt: skip


def diagnosis(project: Project, *, mark: int, progress: Callable[[float], None] = lambda share: None) -> Diagnosis:
    """Answer as the weighing of causes would: each reading of free turns or the bounce takes friction further down."""
    kinds = [reading.kind for _, reading in project.readings_of(mark)]
    found = sum(kind in ("free_turns", "bounce") for kind in kinds)
    if project.marks[mark].build.get("layout") == "rocking":
        return Diagnosis(reason="There is no model for a layout without a crank on the displacer.")
    friction = 0.6 / 2**found
    moved = (("Free turns, cold", 0.5),) if found else ()
    causes = [
        RankedCause(key="friction", label="Friction", probability=friction, remedy="Free the gland.", moved=moved),
        RankedCause(key="leak", label="Leak", probability=0.9 - friction, remedy="Soapy water on joints.",
                  moved=(("Bounce", 4.0), ("U-tube half-time", 0.1))),
        RankedCause(key="wheel", label="Wheel too light", probability=0.09, remedy="Mass at the rim, tied."),
        RankedCause(key="rubber", label="Diaphragm stiff", probability=0.01, remedy="Thinner rubber."),
    ]  # fmt: skip
    tests = (WEIGHTS, TURNS) if "free_turns" in kinds else (TURNS, WEIGHTS)
    return Diagnosis(
        causes=tuple(sorted(causes, key=lambda cause: -cause.probability)),
        next=tests[0],
        others=tests[1:],
        observations=tuple(f"{kind}: seen" for kind in kinds),
        contradictions=("Bounce, yes, does not fit the other findings.",) if found > 1 else (),
    )


def allowances(project: Project, *, mark: int) -> tuple[Allowance, ...]:
    """Answer as the allowances would."""
    return (
        Allowance(
            key="leak", label="Leak, half-time of the U-tube", at_most=False, measured=False, margin=0.5, tightest=True,
            bears=figure("leak", "bears", Kind.TIME, "s", 4.0), has=figure("leak_now", "has", Kind.TIME, "s", 2.0),
        ),
        Allowance(
            key="friction", label="Friction, grams at the rim", at_most=True, measured=True, margin=3.0,
            bears=figure("friction", "bears", Kind.MASS, "g", 0.003), has=figure("now", "has", Kind.MASS, "g", 0.001),
        ),
    )  # fmt: skip
