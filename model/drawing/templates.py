"""Parts to cut at full size, as shapes in metres, from the same plan as the drawing.

Each says what no field tells; what is assumed is drawn dashed. The middle of a part is its origin, y up.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from model.checks.cautions import SHEET
from model.drawing.draw import IN_LINE, draw
from model.drawing.lettering import length_text
from model.drawing.plan import Plan
from model.drawing.shapes import Form, Point, Shape
from model.drawing.wheel_marks import degree_wheel
from model.fields import Build, fields_of
from model.fields.vocabulary import cranked

SHEETS = ("tinplate", "aluminium", "steel", "stainless", "copper", "brass")
FOAMS = ("eps", "xps")
CENTRE = Point(0.0, 0.0)
MOST_POSTS = 60
ROUND_PIN = 6e-3
"""Least material round a crank pin, [m]; common practice, no source."""
TURNS = "Seen from the side from which the engine turns clockwise; for the other side turn the sheet over."


@dataclass(frozen=True, slots=True, kw_only=True)
class Lettering:
    """A text on a part."""

    at: Point
    text: str
    size: float = 3e-3
    """Height of the type, [m]."""
    turned: float = 0.0
    """Against the clock, [rad]."""
    middle: bool = False
    """Whether the place is the middle of the text, else its beginning."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Template:
    """One part to cut."""

    key: str
    label: str
    shapes: tuple[Shape, ...] = ()
    """Parts: ``cut``, ``axis`` (middles, circles of pins), ``mark`` (what is scribed)."""
    texts: tuple[Lettering, ...] = ()
    notes: tuple[str, ...] = ()
    """What it is of, and what the drawing does not know; sentences."""
    cautions: tuple[str, ...] = ()
    """Keys of the cautions on cutting it."""
    lacks: tuple[str, ...] = ()
    """Names of the fields without which it cannot be drawn; then there are no shapes."""

    def radius(self) -> float:
        """Return the radius of the smallest circle about the middle that holds it, [m]."""
        return max((math.hypot(*point) + shape.radius for shape in self.shapes for point in shape.points), default=0.0)


Say = Callable[[float], str]
"""A length as text, with its unit."""
Make = Callable[[Plan, Template, Say], Template]
_Kind = tuple[str, str, tuple[str, ...], Make]


def templates_of(plan: Plan, build: Build, *, inches: bool = False) -> tuple[Template, ...]:
    """Return every template that an engine of this layout has, those that cannot be drawn too."""
    say = partial(length_text, inches=inches)
    made = (
        _made(plan, key, label, needs, make, say) for key, label, needs, make in _kinds(plan, free=not cranked(build))
    )
    sized = (_with_sizes(each, plan, say) for each in made)
    return tuple(_with_posts(each, build) if each.key.endswith("-end") else each for each in sized)


def _with_sizes(part: Template, plan: Plan, say: Say) -> Template:
    """Say first how large a part and its holes are, so that a sheet can be held against the metal."""
    sizes = []
    for ring in part.shapes:
        if ring.form is Form.CIRCLE and ring.radius > 0:
            # of a hole beside the middle it may be the place alone that is assumed
            guessed = ring.assumed and (ring.points[0] == CENTRE or plan.assumes(*ring.fields))
            label = f"{ring.label[:1].lower()}{ring.label[1:]}"
            sizes.append(f"{label} {say(2 * ring.radius)}{' (assumed)' if guessed else ''}")
    if not sizes:
        return part
    return replace(part, notes=(f"Diameters: {', '.join(dict.fromkeys(sizes))}.", *part.notes))


def _with_posts(plate: Template, build: Build) -> Template:
    """Mark equal parts at the edge of a plate for the posts that hold it."""
    posts = round(build.post_count.value) if build.post_count is not None else 0
    edge = plate.radius()
    if posts < 1 or plate.lacks or build.layout == "alpha":
        return plate
    marks = []
    for number in range(min(posts, MOST_POSTS)):
        angle = 2 * math.pi * (number + 0.5) / posts
        ends = CENTRE.towards(angle, 0.93 * edge), CENTRE.towards(angle, edge)
        marks.append(Shape(part="mark", label="Post", form=Form.LINE, points=ends, fields=("post_count",)))
    told = f"{posts} posts or screws: equal parts are marked at the edge; on which circle they stand no field tells."
    return replace(plate, shapes=(*plate.shapes, *marks), notes=(*plate.notes, told))


def _kinds(plan: Plan, *, free: bool) -> list[_Kind]:
    """Return the parts of a layout; of one whose displacer moves `free` of the crank only those at the piston."""
    crank = "Crank disc of the power piston"
    if free:
        return [
            ("piston-crank", crank, ("piston_throw",), _only_crank),
            ("degree-wheel", "Degree wheel", ("piston_throw",), partial(_wheel, free=True)),
        ]
    if plan.layout == "alpha":
        ends: list[_Kind] = [
            ("hot-end", "Head of the hot cylinder", ("hot_bore",), _hot_end),
            ("cold-end", "Head of the cold cylinder", ("piston_bore",), _cold_end),
            ("hot-crank", "Crank disc of the hot piston", ("hot_throw",), _first_crank),
        ]
    else:
        ends = [("hot-end", "Hot end plate", ("displacer_bore",), _hot_end)]
        if not plan.between:
            ends += [("cold-end", "Cold end plate", ("displacer_bore",), _cold_end)]
        ends += [
            ("displacer", "Displacer", ("displacer_bore",), _displacer),
            ("displacer-crank", "Crank disc of the displacer", ("displacer_throw",), _first_crank),
        ]
    ends.append(("piston-crank", crank, ("piston_throw",), _piston_crank))
    wheel = ("hot_throw" if plan.layout == "alpha" else "displacer_throw", "piston_throw")
    return [*ends, ("degree-wheel", "Degree wheel", wheel, _wheel)]


def _made(plan: Plan, key: str, label: str, needs: tuple[str, ...], make: Make, say: Say) -> Template:
    lacks = tuple(name for name in needs if name in plan.hidden)
    blank = Template(key=key, label=label, lacks=lacks)
    return blank if lacks else make(plan, blank, say)


def _with(blank: Template, shapes: list[Shape], notes: list[str], **rest: object) -> Template:
    return Template(key=blank.key, label=blank.label, shapes=tuple(shapes), notes=tuple(notes), **rest)  # type: ignore[arg-type]


def _circle(
    part: str, label: str, radius: float, at: Point = CENTRE, *, fields: tuple[str, ...] = (), assumed: bool = False
) -> Shape:
    return Shape(part=part, label=label, form=Form.CIRCLE, points=(at,), radius=radius, fields=fields, assumed=assumed)


def _cross(at: Point, size: float) -> list[Shape]:
    """Return the two lines that mark a middle, each `size` to either side."""
    ends = ((at.moved(-size, 0.0), at.moved(size, 0.0)), (at.moved(0.0, -size), at.moved(0.0, size)))
    return [Shape(part="axis", label="Middle", form=Form.LINE, points=pair) for pair in ends]


def _word(plan: Plan, name: str) -> str:
    """Return a word of the build in the builder's words; empty where it is not known."""
    choices = {choice.key: choice.label for choice in fields_of(Build)[name].choices}
    return choices.get(plan.words.get(name, ""), "")


def _thick(plan: Plan, what: str, material: str, thickness: str, say: Say, along: str = "") -> str:
    """Say of what a part is, and how thick."""
    word = _word(plan, material)
    size = ""
    if plan.has(thickness):
        size = f", {say(plan[thickness])}{along}{' (assumed)' if plan.assumes(thickness) else ''}"
    return f"{what}: {word or 'material not given'}{size}."


def _metal_cautions(plan: Plan, material: str, thickness: str = "") -> tuple[str, ...]:
    """Return the caution on sheet with sharp edges, not of a plate that is thicker than shears cut."""
    word = plan.words.get(material, "")
    thick = word != "tinplate" and plan.has(thickness) and plan[thickness] > SHEET
    return ("cut_tin",) if not word or (word in SHEETS and not thick) else ()


def _plate(plan: Plan, bore: str) -> tuple[list[Shape], list[str]]:
    """Return a disc that covers a cylinder to the outside of its wall, and what is to be said of it."""
    inside = plan[bore] / 2
    outside = inside + plan["wall_thickness"] if plan.has("wall_thickness") else inside
    shapes = [
        _circle("cut", "Outside of the cylinder", outside, fields=(bore, "wall_thickness"),
                assumed=plan.assumes(bore, "wall_thickness") or outside == inside),
    ]  # fmt: skip
    if outside > inside:
        shapes.append(_circle("mark", "Inside of the cylinder", inside, fields=(bore,), assumed=plan.assumes(bore)))
    shapes += _cross(CENTRE, min(5e-3, inside))
    notes = ["The outline is the outside of the cylinder: rim, fold or flange of your joint no field tells; add it."]
    return shapes, notes


def _hot_end(plan: Plan, blank: Template, say: Say) -> Template:
    alpha = plan.layout == "alpha"
    shapes, notes = _plate(plan, "hot_bore" if alpha else "displacer_bore")
    notes.insert(0, _thick(plan, "Plate", "hot_end_material", "hot_end_thickness", say))
    return _with(blank, shapes, notes, cautions=_metal_cautions(plan, "hot_end_material", "hot_end_thickness"))


def _cold_end(plan: Plan, blank: Template, say: Say) -> Template:
    alpha = plan.layout == "alpha"
    shapes, notes = _plate(plan, "piston_bore" if alpha else "displacer_bore")
    notes.insert(0, _thick(plan, "Plate", "cold_end_material", "cold_end_thickness", say))
    if alpha:
        notes.append("Where the passage enters no field tells: no hole is drawn for it.")
    elif plan.layout == "beta":
        shapes.append(_circle("cut", "Bore of the power cylinder", plan["piston_bore"] / 2, fields=("piston_bore",),
                              assumed=plan.assumes("piston_bore")))  # fmt: skip
    else:
        names = ("gland_rod", "gland_clearance")
        hole = plan["gland_rod"] / 2 + plan["gland_clearance"]
        shapes.append(_circle("cut", "Hole for the rod", hole, fields=names, assumed=plan.assumes(*names)))
        notes.append("The hole in the middle is that of the rod in its gland; the outside of a bush no field tells.")
        _passages(plan, shapes, notes, say)
    return _with(blank, shapes, notes, cautions=_metal_cautions(plan, "cold_end_material", "cold_end_thickness"))


def _passages(plan: Plan, shapes: list[Shape], notes: list[str], say: Say) -> None:
    """Add the holes to the power cylinders where the drawing has them on the lid; their place is assumed."""
    bore = draw(plan, 0).dimension("tube_bore")
    turned = abs(plan["cylinder_angle"]) >= IN_LINE
    if bore is None or turned or abs(bore.end.y - bore.start.y) > 1e-9:
        notes.append("The passage to the power piston is not in it: where it leaves no field tells.")
        return
    count = max(1, round(plan["piston_count"]))
    away = (bore.start.x + bore.end.x) / 2
    for number in range(count):
        at = CENTRE.towards(math.pi / 2 + 2 * math.pi * number / count, away)
        shapes.append(_circle("cut", "Passage", plan["tube_bore"] / 2, at, fields=("tube_bore",), assumed=True))
        shapes += _cross(at, plan["tube_bore"] / 2 + 2e-3)
    where = "where it stands" if count == 1 else "where they stand"
    notes.append(f"Passage to the power piston: its bore is {say(plan['tube_bore'])}; {where} is assumed.")


def _displacer(plan: Plan, blank: Template, say: Say) -> Template:
    names = ("displacer_bore", "side_clearance")
    radius = plan["displacer_bore"] / 2 - plan["side_clearance"]
    notes = [_thick(plan, "Displacer", "displacer_material", "displacer_length", say, " high")]
    if radius <= 0:
        notes.append("The side clearance leaves no room for it.")
        radius = 0.0
    shapes = [_circle("cut", "Displacer", radius, fields=names, assumed=plan.assumes(*names))]
    rod = min(plan["gland_rod"] / 2, radius)
    shapes.append(_circle("cut", "Rod", rod, fields=("gland_rod",), assumed=plan.assumes("gland_rod")))
    shapes += _cross(CENTRE, min(5e-3, radius))
    notes.append("How the rod is held no field tells: washers and bush are not drawn. Of a closed can this is the end.")
    word = plan.words.get("displacer_material", "")
    cautions = _metal_cautions(plan, "displacer_material") + (("hot_wire",) if not word or word in FOAMS else ())
    return _with(blank, shapes, notes, cautions=cautions)


def _first_crank(plan: Plan, blank: Template, say: Say) -> Template:
    part = "hot" if plan.layout == "alpha" else "displacer"
    return _crank(plan, blank, say, f"{part}_throw", "piston's crank", -plan.crank_angle)


def _piston_crank(plan: Plan, blank: Template, say: Say) -> Template:
    other = "hot piston's crank" if plan.layout == "alpha" else "displacer's crank"
    return _crank(plan, blank, say, "piston_throw", other, plan.crank_angle)


def _only_crank(plan: Plan, blank: Template, say: Say) -> Template:
    return _crank(plan, blank, say, "piston_throw", "", 0.0)


def _crank(plan: Plan, blank: Template, say: Say, name: str, other: str, ahead: float) -> Template:
    """Return a disc with its pin at the top; the other, if any, goes ahead of it by an angle, clockwise, [rad]."""
    throw, guessed = plan[name], plan.assumes(name)
    edge = throw + max(ROUND_PIN, throw / 2)
    pin, toward = CENTRE.moved(0.0, throw), math.pi - ahead
    shapes = [
        _circle("cut", "Edge", edge, assumed=True),
        _circle("axis", "Circle of the pin", throw, fields=(name,), assumed=guessed),
        Shape(part="mark", label="Throw", form=Form.LINE, points=(CENTRE, pin), fields=(name,), assumed=guessed),
        *_cross(CENTRE, min(3e-3, 0.7 * throw)),
        *_cross(pin, min(3e-3, 0.7 * throw)),
    ]
    texts = [Lettering(at=pin.moved(2e-3, 1e-3), text="pin")]
    notes = [f"Throw {say(throw)}{' (assumed)' if guessed else ''} from shaft to pin."]
    if other:
        ends = CENTRE.towards(toward, 0.6 * edge), CENTRE.towards(toward, edge)
        assumed = plan.assumes("phase")
        shapes.append(Shape(part="mark", label="The other crank", form=Form.LINE, points=ends, fields=("phase",),
                            assumed=assumed))  # fmt: skip
        texts.append(Lettering(at=CENTRE.towards(toward, edge + 2e-3), text=f"to the {other}"))
        degrees = f"{math.degrees(plan.crank_angle):.4g} deg{' (assumed)' if assumed else ''}"
        notes += [f"The line at the edge points to the {other}: crank angle {degrees}.", TURNS]
    notes.append("Size of the disc, shaft and pin no field tells: the edge is assumed; drill at the crosses for yours.")
    return _with(blank, shapes, notes, texts=tuple(texts), cautions=("cut_tin",))


def _wheel(plan: Plan, blank: Template, say: Say, *, free: bool = False) -> Template:
    shapes, marks, notes = degree_wheel(plan, free=free)
    texts = tuple(
        Lettering(at=mark.at, text=mark.text, size=mark.size, turned=mark.turned, middle=mark.middle) for mark in marks
    )
    return _with(blank, shapes, [*notes, TURNS], texts=texts)


__all__ = ["Lettering", "Template", "templates_of"]
