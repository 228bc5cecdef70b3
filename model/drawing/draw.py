"""An engine at one degree of its turn: gamma, beta, alpha, and what is known of one whose displacer has no crank."""

from __future__ import annotations

import math

from model.drawing.plan import Plan
from model.drawing.power import is_rubber, length_of, needs_of, passage, power_piston, width_of
from model.drawing.shapes import Axis, Drawing, Form, Point, Side
from model.drawing.sheet import Rod, Sheet, rod_of

IN_LINE = math.radians(1.0)
"""Cylinders at a smaller angle than this stand side by side."""
ENDS = ("end_clearance_hot", "end_clearance_cold", "chamber_height")
DISPLACER = ("displacer_length", "side_clearance", "displacer_diameter", "displacer_mass", "displacer_material")
PASSED = 1e-3
"""Room between gland and crosshead at inner dead centre, [m]; no field tells it."""


def draw(plan: Plan, degree: int) -> Drawing:
    """Return the engine at a degree of the crank, 0 to 359; other numbers go round."""
    sheet = Sheet(plan=plan, degree=degree % len(plan.first))
    if plan.layout == "alpha":
        _alpha(sheet)
    else:
        _with_displacer(sheet)
    return sheet.done()


class _Stack:
    """Heights over the hot end's inner face of an engine with a displacer, [m]."""

    def __init__(self, plan: Plan) -> None:
        self.shared = bool(plan.between)
        self.wide, self.gap = plan["displacer_bore"], min(plan["side_clearance"], 0.45 * plan["displacer_bore"])
        self.hot, self.long = plan["end_clearance_hot"], plan["displacer_length"]
        self.lid = self.hot + self.long + plan.travel + plan["end_clearance_cold"]
        self.wall = plan["wall_thickness"]
        self.under = plan["hot_end_thickness"] if "hot_end_thickness" in plan.values else self.wall
        self.over = plan["cold_end_thickness"] if "cold_end_thickness" in plan.values else self.wall
        self.coaxial = plan.layout == "beta"
        self.gland = self.lid + self.over + (0.0 if self.coaxial else plan["gland_length"])
        self.displacer, self.piston = rod_of(plan, "displacer", "Displacer"), rod_of(plan, "piston", "Piston")
        half = width_of(plan) / 2
        turned = abs(plan["cylinder_angle"]) >= IN_LINE and not self.coaxial
        self.turned = turned
        self.on_lid = not self.coaxial and self.wide / 2 >= 2.3 * half + plan["gland_rod"]
        tube = 0.0 if self.coaxial else plan["tube_length"]
        self.tube = self.lid
        if self.shared:
            # where the crown would stand with no travel: the piston's place is its travel over this
            self.floor = self.hot + plan.first[0] + self.long + plan.between[0] - plan.second[0]
            self.aside = 0.0
        elif self.coaxial:
            self.floor, self.aside = self.lid, 0.0
        elif self.on_lid:
            self.floor, self.aside = self.lid + tube, self.wide / 2 - 1.1 * half
        else:
            # a diaphragm lies over the end of its passage, a cylinder stands beside it
            over = is_rubber(plan) and self.wide / 2 + tube > half + 3 * plan["gland_rod"]
            self.tube = self.lid - min(plan["tube_bore"], 0.5 * self.lid) / 2
            self.floor = 2 * self.tube - self.lid if not over else self.lid
            self.aside = self.wide / 2 + self.wall + tube + (0.0 if over else half)
        below = self.hot + self.long if self.coaxial else self.gland
        own = below + PASSED + self.displacer.reach
        piston = self.floor + length_of(plan) / 2 + self.piston.reach
        self.shaft = own if turned else max(own, piston)


def _with_displacer(sheet: Sheet) -> None:
    plan, stack = sheet.plan, _Stack(sheet.plan)
    axis = Axis(Point(0.0, stack.shaft))
    free = sheet.lacks("displacer_bore")
    if not free:
        _chamber(sheet, stack)
        _displacer(sheet, stack, axis)
    if stack.turned:
        second = Axis(axis.shaft, plan["cylinder_angle"])
        floor = length_of(plan) / 2 + stack.piston.reach
        _turned_passage(sheet, stack, second.at(floor, stack.piston.offset))
    else:
        second = Axis(Point(stack.aside - stack.piston.offset, stack.shaft))
        floor = stack.shaft - stack.floor
        if not (stack.coaxial or free):
            _straight_passage(sheet, stack)
    if stack.shared:
        _in_one_bore(sheet, stack)
        crown = stack.floor + sheet.second
        _shared_piston(sheet, second, stack.piston, crown=stack.shaft - crown)
    else:
        power_piston(sheet, second, stack.piston, floor=floor)
    shafts = [axis.shaft] if second.shaft == axis.shaft else [axis.shaft, second.shaft]
    hands = [("displacer", sheet.angle, stack.displacer.throw)]
    hands += [("piston", sheet.angle - plan.crank_angle, stack.piston.throw)]
    sheet.wheel(shafts if not free else shafts[-1:], hands)


def _chamber(sheet: Sheet, stack: _Stack) -> None:
    """Walls and ends of the displacer's cylinder."""
    half, wall = stack.wide / 2, stack.wall
    bottom, top = -stack.under, stack.lid + stack.over
    for side in (-1, 1):
        inner, outer = side * half, side * (half + wall)
        corners = (Point(inner, 0.0), Point(outer, 0.0), Point(outer, stack.lid), Point(inner, stack.lid))
        sheet.shape("wall", "Cylinder wall", Form.AREA, *corners, fields=("wall_thickness", "wall_material"),
                    needs=("displacer_bore",))  # fmt: skip
        sheet.shape("chamber", "Displacer cylinder", Form.LINE, corners[0], corners[3],
                    fields=("displacer_bore", *ENDS, "displacer_length"))  # fmt: skip
    fields: tuple[str, ...] = ("hot_end_material", "hot_end_thickness", "heat_source", "hot_metal", "displacer_bore")
    sheet.shape("hot_end", "Hot end", Form.AREA, *_plate(half + wall, bottom, 0.0), fields=fields, side=Side.HOT)
    fields = ("cold_end_material", "cold_end_thickness", "cold_side", "cold_area", "cold_metal", "displacer_bore")
    if stack.coaxial:
        for side in (-1, 1):
            corner = Point(side * half, stack.lid), Point(side * (half + wall), stack.lid)
            sheet.shape("cold_end", "Cold end", Form.LINE, *corner, fields=fields, side=Side.COLD)
    else:
        sheet.shape("cold_end", "Cold end", Form.AREA, *_plate(half + wall, stack.lid, top), fields=fields,
                    side=Side.COLD)  # fmt: skip
    sheet.length("displacer_bore", Point(-half, 0.0), Point(half, 0.0))
    sheet.length("chamber_height", Point(half, 0.0), Point(half, stack.lid), "displacer_bore")
    sheet.length("wall_thickness", Point(half, stack.lid / 2), Point(half + wall, stack.lid / 2), "displacer_bore")
    sheet.length("hot_end_thickness", Point(half, bottom), Point(half, 0.0), "displacer_bore")
    sheet.length("cold_end_thickness", Point(half, stack.lid), Point(half, top), "displacer_bore")


def _plate(half: float, low: float, high: float) -> tuple[Point, ...]:
    return Point(-half, low), Point(half, low), Point(half, high), Point(-half, high)


def _displacer(sheet: Sheet, stack: _Stack, axis: Axis) -> None:
    """Displacer, the rooms round it, its rod, gland and crank."""
    plan, half = sheet.plan, stack.wide / 2 - stack.gap
    low = stack.hot + sheet.first
    high = low + stack.long
    thick = min(plan["gland_rod"], 0.5 * stack.wide)
    sheet.shape("displacer", "Displacer", Form.AREA, *_plate(half, low, high), fields=DISPLACER,
                needs=("displacer_bore",), moves=True)  # fmt: skip
    if plan.words.get("regenerator", "none") != "none":
        across, along = min(plan["matrix_diameter"], stack.wide) / 2, plan["matrix_length"]
        sheet.shape(
            "matrix", "Regenerator", Form.AREA, *_plate(across, low, low + along),
            fields=("matrix_diameter", "matrix_length", "matrix_porosity", "regenerator"), moves=True,
        )  # fmt: skip
        sheet.length("matrix_diameter", Point(-across, low), Point(across, low))
        sheet.length("matrix_length", Point(across, low), Point(across, low + along))
    top = high + plan.between[sheet.degree] if stack.shared else stack.lid
    through = 0.0 if stack.coaxial else thick
    sheet.space("hot", Side.HOT, _plate(stack.wide / 2, 0.0, low))
    sheet.space("cold", Side.COLD, _plate(stack.wide / 2, high, top), rod=through, rod_length=top - high)
    for side in (-1, 1):
        inner, outer = sorted((side * half, side * stack.wide / 2))
        strip = Point(inner, low), Point(outer, low), Point(outer, high), Point(inner, high)
        sheet.space("gap", Side.NEITHER, strip)
    end = stack.shaft - stack.displacer.reach + sheet.first / plan["displacer_beam"]
    sheet.shape("displacer_stem", "Displacer rod", Form.AREA, *_plate(thick / 2, high, max(end, high)),
                fields=("gland_rod",), moves=True)  # fmt: skip
    if not stack.coaxial:
        bush = 1.5 * thick + plan["gland_clearance"]
        sheet.shape("gland", "Gland", Form.AREA, *_plate(bush, stack.lid + stack.over, stack.gland),
                    fields=("gland_length", "gland_clearance"))  # fmt: skip
        sheet.length("gland_length", Point(bush, stack.lid + stack.over), Point(bush, stack.gland))
    sheet.crank(axis, stack.displacer, sheet.angle, at=stack.shaft - end)
    sheet.length("displacer_length", Point(half, low), Point(half, high))
    sheet.length("displacer_diameter", Point(-half, high), Point(half, high))
    sheet.length("side_clearance", Point(half, (low + high) / 2), Point(stack.wide / 2, (low + high) / 2))
    sheet.length("gland_rod", Point(-thick / 2, end), Point(thick / 2, end))
    # the clearances of the fields are those at the ends of the stroke
    sheet.length("end_clearance_hot", Point(-half, 0.0), Point(-half, stack.hot))
    if not stack.shared:
        sheet.length("end_clearance_cold", Point(-half, stack.lid - plan["end_clearance_cold"]),
                     Point(-half, stack.lid))  # fmt: skip


def _straight_passage(sheet: Sheet, stack: _Stack) -> None:
    long = sheet.plan["tube_length"]
    if stack.on_lid:
        passage(sheet, Point(stack.aside, stack.lid), Point(stack.aside, stack.lid + long), true=True)
    else:
        start = Point(stack.wide / 2 + stack.wall, stack.tube)
        passage(sheet, start, start.moved(long, 0.0), true=True)


def _turned_passage(sheet: Sheet, stack: _Stack, end: Point) -> None:
    """From the lid to a cylinder that stands at an angle: where it runs no field tells."""
    side = 1 if end.x >= 0 else -1
    if not sheet.lacks("displacer_bore"):
        passage(sheet, Point(side * 0.7 * stack.wide / 2, stack.lid), end, true=False)


def _in_one_bore(sheet: Sheet, stack: _Stack) -> None:
    """The cylinder goes on round the piston, as far as that needs it."""
    plan, half = sheet.plan, stack.wide / 2
    end = stack.floor + plan.stroke + length_of(plan)
    for side in (-1, 1):
        wall = Point(side * half, stack.lid), Point(side * half, max(end, stack.lid))
        sheet.shape("piston_cylinder", "Cylinder", Form.LINE, *wall, fields=("piston_bore",), side=Side.COLD, fits=True)


def _shared_piston(sheet: Sheet, axis: Axis, rod: Rod, *, crown: float) -> None:
    """The power piston of a beta, in the displacer's bore."""
    plan, long = sheet.plan, sheet.plan["piston_length"]
    sheet.shape(
        "piston", "Power piston", Form.AREA, *axis.box(crown - long, crown, plan["piston_bore"], rod.offset),
        fields=("piston_length", "piston_bore", "piston_clearance", "piston_kind"), side=Side.COLD, moves=True,
    )  # fmt: skip
    head = rod.reach - sheet.second / plan["piston_beam"]
    sheet.stem(axis, rod, crown - long / 2, head, *needs_of(plan), "piston_throw")
    sheet.crank(axis, rod, sheet.angle - plan.crank_angle - plan["cylinder_angle"], at=head)
    edge = rod.offset + plan["piston_bore"] / 2
    sheet.length("piston_bore", axis.at(crown, edge - plan["piston_bore"]), axis.at(crown, edge))
    sheet.length("piston_length", axis.at(crown, edge), axis.at(crown - long, edge))


def _alpha(sheet: Sheet) -> None:
    """Two pistons: the hot one straight down, the cold one beside it or at an angle."""
    plan = sheet.plan
    hot, cold = rod_of(plan, "hot", "Hot piston"), rod_of(plan, "piston", "Cold piston")
    long = plan["piston_length"]
    ends = plan["end_clearance_hot"], plan["end_clearance_cold"]
    reach = [rod.reach + long / 2 + end for rod, end in zip((hot, cold), ends, strict=True)]
    turned = abs(plan["cylinder_angle"]) >= IN_LINE
    axis = Axis(Point(0.0, reach[0]))
    half = plan["hot_bore"] / 2, plan["piston_bore"] / 2
    aside = half[0] + plan["tube_length"] + half[1]
    second = Axis(axis.shaft, plan["cylinder_angle"]) if turned else Axis(Point(aside - cold.offset, reach[0]))
    _hot_piston(sheet, axis, hot, floor=reach[0])
    power_piston(sheet, second, cold, floor=reach[1], clearance=ends[1])
    sheet.length("end_clearance_cold", second.at(reach[1], cold.offset - half[1]),
                 second.at(reach[1] - ends[1], cold.offset - half[1]), "piston_bore")  # fmt: skip
    if turned:
        side = 1 if plan["cylinder_angle"] > 0 else -1
        passage(sheet, axis.at(reach[0], side * half[0] * 0.5), second.at(reach[1], -side * half[1] * 0.5), true=False)
    else:
        start = Point(half[0], plan["tube_bore"] / 2)
        passage(sheet, start, start.moved(plan["tube_length"], 0.0), true=True)
    _matrix_between(sheet, axis.at(reach[0], half[0]), second.at(reach[1], cold.offset - half[1]))
    shafts = [axis.shaft] if turned else [axis.shaft, second.shaft]
    hands = [("hot", sheet.angle, hot.throw), ("piston", sheet.angle - plan.crank_angle, cold.throw)]
    sheet.wheel(shafts, hands)


def _hot_piston(sheet: Sheet, axis: Axis, rod: Rod, *, floor: float) -> None:
    plan = sheet.plan
    bore, long, end = plan["hot_bore"], plan["piston_length"], plan["end_clearance_hot"]
    crown = floor - end - sheet.first
    last = floor - end - plan.travel - long
    for side in (-1, 1):
        wall = axis.at(floor, side * bore / 2), axis.at(last, side * bore / 2)
        sheet.shape("hot_cylinder", "Hot cylinder", Form.LINE, *wall, fields=("hot_bore", "wall_material"),
                    side=Side.HOT, fits=True)  # fmt: skip
    head = axis.at(floor, -bore / 2), axis.at(floor, bore / 2)
    fields = ("hot_bore", "hot_end_material", "hot_end_thickness", "heat_source", "hot_metal", "end_clearance_hot")
    sheet.shape("hot_end", "Hot end", Form.LINE, *head, fields=fields, side=Side.HOT)
    sheet.shape("hot_piston", "Hot piston", Form.AREA, *axis.box(crown - long, crown, bore),
                fields=("hot_bore", "piston_length"), side=Side.HOT, moves=True)  # fmt: skip
    sheet.space("hot", Side.HOT, axis.box(crown, floor, bore))
    sheet.stem(axis, rod, crown - long / 2, rod.reach - sheet.first, "hot_throw")
    sheet.crank(axis, rod, sheet.angle, at=rod.reach - sheet.first)
    sheet.length("hot_bore", *head)
    sheet.length("end_clearance_hot", axis.at(floor, -bore / 2), axis.at(floor - end, -bore / 2))


def _matrix_between(sheet: Sheet, start: Point, end: Point) -> None:
    """The regenerator of an alpha, in the middle of its passage."""
    plan = sheet.plan
    if plan.words.get("regenerator", "none") == "none":
        return
    dx, dy = end.x - start.x, end.y - start.y
    far = math.hypot(dx, dy) or 1.0
    ux, uy = dx / far, dy / far
    along, half = plan["matrix_length"] / 2, plan["matrix_diameter"] / 2
    middle = start.moved(dx / 2, dy / 2)
    corners = tuple(
        middle.moved(a * along * ux - b * half * uy, a * along * uy + b * half * ux)
        for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    )
    fields = ("matrix_diameter", "matrix_length", "matrix_porosity", "regenerator")
    sheet.shape("matrix", "Regenerator", Form.AREA, *corners, fields=fields, side=Side.NEITHER)
    sheet.length("matrix_diameter", corners[0], corners[3])
    sheet.length("matrix_length", corners[0], corners[1])
