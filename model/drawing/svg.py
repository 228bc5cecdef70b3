"""One sheet as SVG. Lengths here are those of the paper, in millimetres, x to the right and y down.

Width, height and viewBox say the same millimetres, so that a printer at 100 % is true to size; texts stay texts. Lines
are told apart without colour, with the widths and the line types of ISO 128-2 (0.18, 0.25, 0.35, 0.5 mm; continuous,
dashed, long-dashed dotted).
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from typing import NamedTuple
from xml.etree.ElementTree import Element, SubElement, fromstring, tostring

from model.drawing.lettering import clean

Place = tuple[float, float]


class Pen(Enum):
    """A kind of line: width, [mm], and its dashes."""

    OUTLINE = (0.5, "")
    CUT = (0.25, "")
    """A line to cut along."""
    ASSUMED = (0.35, "2.4 1.2")
    """What no field tells."""
    THIN = (0.18, "")
    """Dimension lines, ticks."""
    ASSUMED_THIN = (0.18, "1.6 0.8")
    """Dimension lines of what no field tells."""
    AXIS = (0.18, "8 1.2 0.8 1.2")
    """Lines of symmetry, circles of pins."""


class Fill(Enum):
    """What is within an outline."""

    NONE = "none"
    PAPER = "white"
    METAL = "#c4c4c4"
    PART = "#ececec"
    INK = "black"
    HOT = "url(#hot)"
    COLD = "url(#cold)"


class Sheet(NamedTuple):
    """A page that is done."""

    svg: str
    wide: float
    """[mm]"""
    high: float


class Page:
    """A sheet that is drawn on, from the back to the front."""

    def __init__(self, wide: float, high: float, *, title: str, about: str = "") -> None:
        self.wide, self.high = wide, high
        self._root = Element("svg", {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{_number(wide)}mm", "height": f"{_number(high)}mm",
            "viewBox": f"0 0 {_number(wide)} {_number(high)}",
            "font-family": "Helvetica, Arial, 'Liberation Sans', sans-serif", "stroke-linejoin": "round",
        })  # fmt: skip
        SubElement(self._root, "title").text = clean(title)
        if about:
            SubElement(self._root, "desc").text = clean(about)
        # a browser prints it without margins of its own, else it would scale the sheet
        SubElement(self._root, "style").text = f"@page {{ size: {_number(wide)}mm {_number(high)}mm; margin: 0 }}"
        self._patterns()
        self._within = self._root
        self._add("rect", {"width": _number(wide), "height": _number(high), "fill": "white"})

    def _patterns(self) -> None:
        """Declare what tells hot air from cold without colour: hot is hatched and cold dotted, as on the screen."""
        defs = SubElement(self._root, "defs")
        box = {"width": "2", "height": "2", "patternUnits": "userSpaceOnUse"}
        hot = SubElement(defs, "pattern", {"id": "hot", **box, "patternTransform": "rotate(45)"})
        SubElement(hot, "line", {"x1": "0", "y1": "0", "x2": "0", "y2": "2", "stroke": "black", "stroke-width": "0.2"})
        cold = SubElement(defs, "pattern", {"id": "cold", **box})
        for at in ("0.5", "1.5"):
            SubElement(cold, "circle", {"cx": at, "cy": at, "r": "0.22", "fill": "black"})

    def _add(self, tag: str, attributes: dict[str, str]) -> Element:
        return SubElement(self._within, tag, attributes)

    def begin(self, **names: str) -> None:
        """Begin a group; its names (``part``, ``field``) are kept for whoever reads the file: ``data-part``."""
        self._within = SubElement(self._root, "g", {f"data-{name}": clean(text) for name, text in names.items()})

    def end(self) -> None:
        """End the group."""
        self._within = self._root

    def window(self, name: str, left: float, top: float, wide: float, high: float) -> None:
        """Show of what follows, until `end`, only what lies within a rectangle."""
        clip = SubElement(self._root, "clipPath", {"id": name})
        SubElement(clip, "rect", _box(left, top, wide, high))
        self._within = SubElement(self._root, "g", {"clip-path": f"url(#{name})"})

    def area(self, places: Iterable[Place], pen: Pen | None, fill: Fill = Fill.NONE) -> None:
        """Draw a closed outline."""
        self._add("polygon", {"points": _points(places), **_ink(pen, fill)})

    def line(self, places: Iterable[Place], pen: Pen) -> None:
        """Draw an open line."""
        self._add("polyline", {"points": _points(places), **_ink(pen, Fill.NONE)})

    def circle(self, centre: Place, radius: float, pen: Pen | None, fill: Fill = Fill.NONE) -> None:
        """Draw a circle."""
        x, y = map(_number, centre)
        self._add("circle", {"cx": x, "cy": y, "r": _number(radius), **_ink(pen, fill)})

    def box(self, left: float, top: float, wide: float, high: float, pen: Pen | None, fill: Fill = Fill.NONE) -> None:
        """Draw a rectangle."""
        self._add("rect", {**_box(left, top, wide, high), **_ink(pen, fill)})

    def text(
        self,
        at: Place,
        text: str,
        size: float = 3.0,
        *,
        anchor: str = "start",
        turned: float = 0.0,
        bold: bool = False,
        halo: bool = False,
    ) -> None:
        """Write a text on its base line; `turned` clockwise about its place, [deg], `halo` with paper round it."""
        x, y = map(_number, at)
        attributes = {"x": x, "y": y, "font-size": _number(size), "text-anchor": anchor}
        if turned:
            attributes["transform"] = f"rotate({_number(turned)} {x} {y})"
        if bold:
            attributes["font-weight"] = "bold"
        if halo:
            attributes |= {"stroke": "white", "stroke-width": _number(size / 4), "paint-order": "stroke"}
        self._add("text", attributes).text = clean(text)

    def picture(self, document: str, left: float, top: float, wide: float, high: float) -> None:
        """Put another SVG document into a box, as large as fits, in the middle."""
        inner = fromstring(document)
        inner.attrib.update({**_box(left, top, wide, high), "preserveAspectRatio": "xMidYMid meet"})
        _without_namespace(inner)
        self._within.append(inner)

    def done(self) -> str:
        """Return the document; ASCII, so that no reader mistakes its encoding."""
        body: bytes = tostring(self._root, encoding="us-ascii", xml_declaration=False)
        return '<?xml version="1.0" encoding="UTF-8"?>\n' + body.decode("ascii") + "\n"


def _without_namespace(element: Element) -> None:
    """Name the elements of a read document as those that are written here: the outer one declares the namespace."""
    for each in element.iter():
        each.tag = each.tag.rpartition("}")[2]


def _ink(pen: Pen | None, fill: Fill) -> dict[str, str]:
    if pen is None:
        return {"fill": fill.value, "stroke": "none"}
    wide, dashes = pen.value
    dashed = {"stroke-dasharray": dashes} if dashes else {}
    return {"fill": fill.value, "stroke": "black", "stroke-width": _number(wide), **dashed}


def _box(left: float, top: float, wide: float, high: float) -> dict[str, str]:
    return {"x": _number(left), "y": _number(top), "width": _number(wide), "height": _number(high)}


def _points(places: Iterable[Place]) -> str:
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in places)


def _number(value: float) -> str:
    """Return a length to a tenth of a micrometre: at a scale of 1:100 it is still told to 0.01 mm."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
