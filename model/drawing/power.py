"""The power piston or its diaphragm, with cylinder, crank and room: on the lid, beside, in line or at an angle."""

from __future__ import annotations

from model.drawing.plan import Plan
from model.drawing.shapes import Axis, Form, Point, Side
from model.drawing.sheet import Rod, Sheet


def is_rubber(plan: Plan) -> bool:
    """Whether the power piston is a diaphragm."""
    return "diaphragm_rim" in plan.values


def width_of(plan: Plan) -> float:
    """Return the bore of the power cylinder, or the rim of the diaphragm, [m]."""
    return plan["diaphragm_rim"] if is_rubber(plan) else plan["piston_bore"]


def length_of(plan: Plan) -> float:
    """Return the length of the power piston, [m]; nil of a diaphragm."""
    return 0.0 if is_rubber(plan) else plan["piston_length"]


def needs_of(plan: Plan) -> tuple[str, ...]:
    """Return the fields without which there is no power piston."""
    return ("diaphragm_rim",) if is_rubber(plan) else ("piston_bore",)


def count_of(plan: Plan) -> int:
    """Return how many power pistons there are, each with a cylinder and a passage of its own."""
    return max(1, round(plan["piston_count"])) if plan.layout != "alpha" else 1


def power_piston(sheet: Sheet, axis: Axis, rod: Rod, *, floor: float, clearance: float = 0.0) -> None:
    """Draw it; `floor` is how far the cylinder's floor, or the head, is from the shaft, [m].

    `clearance` is what is left over the floor at inner dead centre.
    """
    plan = sheet.plan
    crown = floor - clearance - sheet.second
    if is_rubber(plan):
        _diaphragm(sheet, axis, rod, floor=floor)
    else:
        _piston(sheet, axis, rod, floor=floor, crown=crown, clearance=clearance)
    wrist = crown - length_of(plan) / 2
    needs = (*needs_of(plan), "piston_throw")
    head = rod.reach - sheet.second / plan["piston_beam"]
    sheet.stem(axis, rod, wrist, head, *needs)
    sheet.crank(axis, rod, sheet.angle - plan.crank_angle - plan["cylinder_angle"], at=head)


def _piston(sheet: Sheet, axis: Axis, rod: Rod, *, floor: float, crown: float, clearance: float) -> None:
    plan, bore, long = sheet.plan, sheet.plan["piston_bore"], sheet.plan["piston_length"]
    count = count_of(plan)
    fields = ("piston_bore", "piston_count")
    end = floor - clearance - plan.stroke - long
    for side in (-1, 1):
        middle = rod.offset + side * bore / 2
        sheet.shape(
            "piston_cylinder", "Power cylinder", Form.LINE, axis.at(floor, middle), axis.at(end, middle),
            fields=fields, side=Side.COLD, count=count, fits=True,
        )  # fmt: skip
    ends = (axis.at(floor, rod.offset - bore / 2), axis.at(floor, rod.offset + bore / 2))
    sheet.shape("piston_cylinder", "Power cylinder", Form.LINE, *ends, fields=fields, side=Side.COLD, count=count)
    sheet.shape(
        "piston", "Power piston", Form.AREA, *axis.box(crown - long, crown, bore, rod.offset),
        fields=("piston_length", "piston_bore", "piston_clearance", "piston_kind"), side=Side.COLD, moves=True,
        count=count,
    )  # fmt: skip
    outline = axis.box(crown, floor, bore, rod.offset)
    sheet.space("piston", Side.COLD, outline, "piston_bore", count=count)
    sheet.length("piston_bore", *ends)
    edge = rod.offset + bore / 2
    sheet.length("piston_length", axis.at(crown, edge), axis.at(crown - long, edge), "piston_bore")


def _diaphragm(sheet: Sheet, axis: Axis, rod: Rod, *, floor: float) -> None:
    """The rim stands half a stroke over a floor as wide as the disc: that cone sweeps what the solver has."""
    plan = sheet.plan
    rim, disc = plan["diaphragm_rim"], min(plan["diaphragm_disc"], plan["diaphragm_rim"])
    held, now, m = floor - plan.stroke / 2, floor - sheet.second, rod.offset
    count, fields = count_of(plan), ("diaphragm_rim", "piston_count")
    cup = tuple(axis.at(*place) for place in _cup(held, floor, rim, disc, m))
    sheet.shape("piston_cylinder", "Diaphragm's cup", Form.LINE, *cup, fields=fields, side=Side.COLD, count=count,
                fits=True)  # fmt: skip
    ends = axis.at(held, m - rim / 2), axis.at(held, m + rim / 2)
    plate = axis.at(now, m - disc / 2), axis.at(now, m + disc / 2)
    rubber = ("diaphragm_rim", "diaphragm_stiffness", "piston_kind")
    for rim_end, disc_end in zip(ends, plate, strict=True):
        sheet.shape("diaphragm", "Diaphragm", Form.LINE, rim_end, disc_end, fields=rubber, side=Side.COLD,
                    moves=True, count=count)  # fmt: skip
    sheet.shape("disc", "Diaphragm's disc", Form.LINE, *plate, fields=("diaphragm_disc",), needs=("diaphragm_rim",),
                side=Side.COLD, moves=True, count=count)  # fmt: skip
    right = (axis.at(floor, m - disc / 2), axis.at(floor, m + disc / 2), ends[1])
    sheet.space("piston", Side.COLD, (*right, plate[1], plate[0], ends[0]), "diaphragm_rim", count=count)
    sheet.length("diaphragm_rim", *ends)
    sheet.length("diaphragm_disc", *plate, "diaphragm_rim")


def _cup(held: float, floor: float, rim: float, disc: float, middle: float) -> tuple[tuple[float, float], ...]:
    left, right = middle - rim / 2, middle + rim / 2
    return (held, left), (floor, middle - disc / 2), (floor, middle + disc / 2), (held, right)


def passage(sheet: Sheet, start: Point, end: Point, *, true: bool) -> None:
    """Draw the passage to the power piston, or between the cylinders; `true`: as long as it is."""
    bore = sheet.plan["tube_bore"]
    dx, dy = end.x - start.x, end.y - start.y
    long = (dx * dx + dy * dy) ** 0.5
    if long <= 0:
        return
    ax, ay = -dy / long * bore / 2, dx / long * bore / 2
    outline = (start.moved(-ax, -ay), end.moved(-ax, -ay), end.moved(ax, ay), start.moved(ax, ay))
    fields = ("tube_bore", "tube_length")
    needs, count = needs_of(sheet.plan), count_of(sheet.plan)
    for one, other in ((outline[0], outline[1]), (outline[3], outline[2])):
        sheet.shape("passage", "Passage", Form.LINE, one, other, fields=fields, needs=needs, side=Side.COLD,
                    fits=not true)  # fmt: skip
    if true:
        across = (outline[3], outline[0], outline[1], outline[2])
        sheet.space("passage", Side.NEITHER, across, *needs, count=count)
        sheet.length("tube_length", outline[0], outline[1], *needs)
    sheet.length("tube_bore", outline[0], outline[3], *needs)
