"""``quarterturn draw FILE[:MARK]``: the engine to scale, parts to cut at full size, and curves, as SVG for printing."""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Any

from model.checks.cautions import all_cautions
from model.errors import NotWritten
from model.fields import Build, fields_of, read_field
from model.quantities.uncertain import Uncertain
from model.quantities.units import UnitError
from model.record import Project
from model.store import StandsAlready, export, refuse_those_that_stand
from tui.commands.common import file_and_mark, json_argument, marked_file_argument, show, show_json
from tui.commands.progress import doing
from tui.exits import CommandError, Exit
from tui.text.sanitise import sanitise

if TYPE_CHECKING:
    from model.drawing.furniture import Heading
    from model.drawing.paper import Paper
    from model.drawing.plan import Plan
    from model.drawing.svg import Sheet

ANGLE = "90 deg"
"""Angle of the crank at which an engine is drawn unless another is asked for."""
PAPERS = ("a4", "letter")


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """One thing that is drawn: the engine, a template or a curve, on its sheets."""

    kind: str
    """``engine``, ``template`` or ``curve``."""
    name: str
    label: str
    sheets: tuple[Sheet, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Engine:
    """What is drawn, and how."""

    project: Project
    mark: int
    plan: Plan
    build: Build
    heading: Heading
    paper: Paper
    inches: bool
    degree: int


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    marked_file_argument(parser)
    parser.add_argument(
        "--angle", metavar="TEXT", default=ANGLE, help=f"angle of the crank, as a field takes it; else {ANGLE}"
    )
    what = parser.add_mutually_exclusive_group()
    what.add_argument("--curve", metavar="NAME", help="a curve in place of the engine: power, loop, torque ...")
    what.add_argument("--template", metavar="NAME", help="a part to cut at full size: displacer, degree-wheel ...")
    what.add_argument("--all", action="store_true", help="the engine, every template and every curve")
    parser.add_argument("--units", choices=("mm", "in"), default="mm", help="of the dimensions told")
    parser.add_argument("--paper", choices=PAPERS, default=PAPERS[0], help="what it is printed on")
    parser.add_argument(
        "--to", metavar="FILE.svg", type=Path, help="the file; several sheets are FILE-NAME-1.svg and so on"
    )
    parser.add_argument("--replace", action="store_true", help="write over files that are there already")
    json_argument(parser, "one object with every sheet")


def run(options: argparse.Namespace) -> int:
    """Draw, and write or print."""
    if options.to is not None and options.to.suffix.casefold() != ".svg":
        raise CommandError(f"{options.to} is no name of an SVG file.", code=Exit.USAGE, hint="End it in .svg.")
    if options.to is None and not options.json and sys.stdout.isatty():
        hint = "Say where it goes, such as --to engine.svg, or send it on: > engine.svg"
        raise CommandError("An SVG is not for reading on a terminal.", code=Exit.USAGE, hint=hint)
    degree = _degree(options.angle)
    _, project, mark = file_and_mark(options.file)
    with doing("Drawing the engine"):
        engine = _engine(project, mark, options, degree)
        made = list(_drawn(engine, options))
    if options.curve or options.all:
        with doing("Learning from the readings and working out the curves"):
            made += _curves(engine, options.curve)
    if options.to is None and not options.json and sum(len(each.sheets) for each in made) != 1:
        count = sum(len(each.sheets) for each in made)
        raise CommandError(f"These are {count} sheets.", code=Exit.USAGE, hint="Say where they go: --to engine.svg")
    names = _names(made, options.to)
    if options.to is not None:
        _write(made, names, replace=options.replace)
    if options.json:
        show_json({**_head_json(engine, options), "sheets": _sheets_json(made, names)})
    elif options.to is not None:
        show("\n".join(f"Written: {name}" for name in names))
    else:
        sys.stdout.write(made[0].sheets[0].svg)
    for each in made:
        _say(each.notes)
    return Exit.OK


def _degree(text: str) -> int:
    """Return a whole degree; the text is read as that of the field for the crank angle."""
    try:
        read = read_field(fields_of(Build)["phase"], text)
    except UnitError as error:
        raise CommandError(f"--angle {text!r}: {error.message}", code=Exit.USAGE, hint=error.hint) from error
    if not isinstance(read, Uncertain):
        raise CommandError("--angle: no angle is given.", code=Exit.USAGE, hint="Write it like 90 deg or 1/4 turn.")
    return round(math.degrees(read.value)) % 360


def _engine(project: Project, mark: int, options: argparse.Namespace, degree: int) -> _Engine:
    from model.drawing.furniture import Heading
    from model.drawing.paper import PAPERS as papers
    from model.drawing.planning import plan_of
    from model.explain.as_drawn import AsDrawn

    drawn = AsDrawn(project, mark)
    reason = project.marks[mark].reason if mark in project.marks else ""
    layouts = {choice.key: choice.label for choice in fields_of(Build)["layout"].choices}
    return _Engine(
        project=project,
        mark=mark,
        plan=plan_of(drawn.build, drawn.evidence),
        build=drawn.build,
        heading=Heading(name=project.name, mark=mark, reason=reason, layout=layouts.get(drawn.build.layout or "", "")),
        paper=papers[options.paper],
        inches=options.units == "in",
        degree=degree,
    )


def _drawn(engine: _Engine, options: argparse.Namespace) -> Iterator[Printed]:
    if options.curve:
        return
    if not options.template:
        from model.drawing.engine_page import engine_sheet, lacking

        sheet = engine_sheet(engine.plan, engine.degree, engine.heading, engine.paper, inches=engine.inches)
        yield Printed(kind="engine", name="engine", label="Engine", sheets=(sheet,), notes=tuple(lacking(engine.plan)))
    if options.template or options.all:
        yield from _templates(engine, options.template)


def _templates(engine: _Engine, wanted: str | None) -> Iterator[Printed]:
    """Yield the template that is wanted, or every one; what cannot be drawn is told."""
    from model.drawing.template_page import template_sheets
    from model.drawing.templates import templates_of

    templates = {each.key: each for each in templates_of(engine.plan, engine.build, inches=engine.inches)}
    labels = fields_of(Build)
    if wanted is not None:
        templates = {wanted: templates[_known(wanted, list(templates), "template")]}
    cautions = {caution.id: caution for caution in all_cautions()}
    for key, template in templates.items():
        if template.lacks:
            names = ", ".join(labels[name].label for name in template.lacks)
            sentence = f"{template.label} cannot be drawn: not known is {names}."
            if wanted is not None:
                raise CommandError(sentence, code=Exit.PROBLEMS, hint="Fill it in; a guess will do.")
            yield Printed(kind="template", name=key, label=template.label, sheets=(), notes=(sentence,))
            continue
        known = [cautions[name] for name in template.cautions if name in cautions]
        sheets = template_sheets(template, engine.heading, known, engine.paper, inches=engine.inches)
        yield Printed(kind="template", name=key, label=template.label, sheets=sheets, notes=())


def _curves(engine: _Engine, wanted: str | None) -> list[Printed]:
    """Return the curve that is wanted, or every one of which there is something to draw."""
    from model.curves.curves import ORDER, curves_of
    from model.curves.export import chart_svg
    from model.drawing.curve_page import curve_sheet

    if wanted is not None:
        _known(wanted, list(ORDER), "curve")
    curves = curves_of(engine.project, engine.mark)
    made = []
    for chart in curves.charts:
        if wanted in (None, chart.key) and not chart.empty:
            sheet = curve_sheet(chart_svg(chart), chart.title, engine.heading, engine.paper)
            made.append(Printed(kind="curve", name=chart.key, label=chart.title, sheets=(sheet,)))
    if wanted is not None and not made:
        lacks = next((chart.lacks for chart in curves.charts if chart.key == wanted), "") or curves.reason
        raise CommandError(f"There is nothing to draw in the curve {wanted}. {lacks}".strip(), code=Exit.PROBLEMS)
    if curves.reason and wanted is None:
        made.append(Printed(kind="curve", name="", label="", sheets=(), notes=(f"Curves: {curves.reason}",)))
    return made


def _known(name: str, names: Sequence[str], what: str) -> str:
    """Return a name that is known; refuse another with the nearest, and with all."""
    if name in names:
        return name
    near = get_close_matches(name.casefold(), names, n=1, cutoff=0.4)
    meant = f"Did you mean {near[0]}? " if near else ""
    raise CommandError(
        f"This engine has no {what} {name!r}.", code=Exit.USAGE, hint=f"{meant}There are: {', '.join(names)}."
    )


def _names(made: Sequence[Printed], to: Path | None) -> list[Path]:
    """Return the file of each sheet: the one named, or where there are several that name with what is on them."""
    if to is None:
        return []
    if sum(len(each.sheets) for each in made) == 1:
        return [to]
    names = []
    alone = len(made) == 1
    for each in made:
        of = f"curve-{each.name}" if each.kind == "curve" else each.name
        for number in range(len(each.sheets)):
            sheet = f"-{number + 1}" if len(each.sheets) > 1 else ""
            names.append(to.with_name(f"{to.stem}{'' if alone else f'-{of}'}{sheet}{to.suffix}"))
    return names


def _write(made: Sequence[Printed], names: Sequence[Path], *, replace: bool) -> None:
    """Write every sheet, each whole or not at all; nothing where one of them is there already."""
    texts = [sheet.svg for each in made for sheet in each.sheets]
    try:
        if not replace:
            refuse_those_that_stand(names)
        for name, text in zip(names, texts, strict=True):
            export(name, text, replace=replace)
    except StandsAlready as error:
        hint = "Name another, or add --replace to write over it."
        raise CommandError(error.message, code=Exit.CANNOT_WRITE, hint=hint) from error
    except NotWritten as error:
        raise CommandError(error.message, code=Exit.CANNOT_WRITE, hint=error.hint) from error


def _say(notes: Sequence[str]) -> None:
    """Tell on standard error what could not be drawn."""
    for note in notes:
        sys.stderr.write(f"{sanitise(note)}\n")


def _head_json(engine: _Engine, options: argparse.Namespace) -> dict[str, Any]:
    from model.drawing.engine_page import told_lengths

    labels = fields_of(Build)
    unit = 0.0254 if engine.inches else 1e-3
    return {
        "project": sanitise(engine.project.name),
        "mark": engine.mark,
        "layout": engine.build.layout,
        "angle_deg": engine.degree,
        "paper": options.paper,
        "unit": options.units,
        "dimensions": [
            {
                "field": name,
                "label": labels[name].label,
                "value": float(f"{length / unit:.6g}"),
                "assumed": assumed,
            }
            for name, length, assumed in told_lengths(engine.plan, engine.degree)
        ],
        "missing": list(engine.plan.missing),
        "left_out": list(engine.plan.left_out),
    }


def _sheets_json(made: Sequence[Printed], names: Sequence[Path]) -> list[dict[str, Any]]:
    files = iter(names)
    sheets = []
    for each in made:
        for number, sheet in enumerate(each.sheets):
            file = next(files, None)
            sheets.append(
                {
                    "kind": each.kind,
                    "name": each.name,
                    "label": sanitise(each.label),
                    "sheet": number + 1,
                    "of": len(each.sheets),
                    "width_mm": float(f"{sheet.wide:.6g}"),
                    "height_mm": float(f"{sheet.high:.6g}"),
                    "file": None if file is None else sanitise(file),
                    "svg": sheet.svg if file is None else None,
                }
            )
    return sheets
