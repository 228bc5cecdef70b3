"""``quarterturn explain FILE[:MARK]``: why an engine gives what it gives, and what to change next."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from model.fields import Build, fields_of, problem_of
from model.fields.nearest import nearest_hint
from model.quantities.phrases import chance_text, hours_text
from model.quantities.units import Kind
from tui.commands.changes import (
    effect_json,
    not_possible_json,
    option_json,
    option_lines,
    outcome_json,
    outcome_text,
    power_text,
    range_json,
)
from tui.commands.common import file_and_mark, json_argument, marked_file_argument, show, show_json
from tui.commands.progress import doing
from tui.exits import CommandError, Exit
from tui.text.probabilities import bar
from tui.text.sanitise import sanitise

if TYPE_CHECKING:
    from model.changes.result import Advice, Aim, Breakdown, Comparison

BAR = 20
"""Cells of a bar that stands for the ideal."""
TOLD = 8
"""Changes that are told with what they need; the others in one line."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    marked_file_argument(parser)
    parser.add_argument(
        "--aim", metavar="TEXT", help='what it should do: "20 mW", "150 rpm", "run on 50 C water", "20 K"'
    )
    parser.add_argument(
        "--if",
        dest="edits",
        metavar="FIELD=TEXT",
        action="append",
        default=[],
        help='what if: a field as it would be, "piston_throw=4 mm"; may be given several times',
    )
    json_argument(parser, "one object with the newest reading taken apart, every change and the aim")


def run(options: argparse.Namespace) -> int:
    """Explain and print."""
    _, project, mark = file_and_mark(options.file)
    with doing("Trying every change on the engines that this build could be"):
        from model.changes.advice import advice
        from model.changes.aim import aim, goal_of
        from model.changes.breakdown import breakdowns
        from model.changes.compare import compare

        texts = {**project.marks[mark].build, **_edits(options.edits)}
        if options.aim:
            goal_of(options.aim)  # what is not understood is told before anything is worked out
        *_, made = advice(project, mark)
        wanted = aim(project, mark, options.aim) if options.aim and not made.reason else None
        tried = compare(project, mark, {"if": texts}) if options.edits and not made.reason else None
    with doing("Taking the newest reading apart"):
        apart = None if made.reason else next(breakdowns(project, mark), None)
    if options.json:
        show_json({"project": sanitise(project.name), "mark": mark, **_json(made, apart, wanted, tried)})
        return 0
    lines = [f"{sanitise(project.name)}, Mk {mark}"]
    lines += (
        [f"No explanation. {made.reason}"] if made.reason else [*_head(made), *_if_lines(tried), *_aim_lines(wanted)]
    )
    lines += breakdown_lines(apart) + advice_lines(made)
    show("\n".join(lines))
    return 0


def _head(made: Advice) -> list[str]:
    return [made.sentence, f"Now: {outcome_text(made.now)}.", *([made.note] if made.note else [])]


def _edits(asked: list[str]) -> dict[str, str]:
    """Read ``FIELD=TEXT``; refuses what is no field, or what its field cannot mean."""
    edits = {}
    for each in asked:
        name, sign, text = (part.strip() for part in each.partition("="))
        field = fields_of(Build).get(name)
        if not sign:
            hint = "Write a field as it is called in the file, an equals sign and its text: piston_throw=4 mm."
            raise CommandError(f"--if {each!r}: no field with a text.", code=Exit.USAGE, hint=hint)
        if field is None:
            raise CommandError(f"--if: {name!r} is no field of a build.", code=Exit.USAGE, hint=nearest_hint(name))
        problem = problem_of(field, text)
        if problem is not None:
            raise CommandError(f"{name} = {text!r}: {problem.message}", code=Exit.USAGE, hint=problem.remedy)
        edits[name] = text
    return edits


def _if_lines(tried: Comparison | None) -> list[str]:
    if tried is None:
        return []
    lines = [f"If so: {outcome_text(tried.others['if'])}."]
    effect = tried.effects.get("if")
    if effect is not None:
        lines.append(f"  {power_text(effect.power)} more; helps {chance_text(effect.helps)}.")
    return lines


def _aim_lines(made: Aim | None) -> list[str]:
    if made is None:
        return []
    lines = [f"To {made.goal}: {made.reason or made.sentence} As it is: {chance_text(made.now)}."]
    return [
        *lines,
        *(f"  {option.words} ({hours_text(option.hours)}): {chance_text(chance)}" for option, chance in made.ways),
    ]


def breakdown_lines(made: Breakdown | None) -> list[str]:
    """Return a reading taken apart, a bar for each step."""
    if made is None or made.ideal is None or made.measured is None:
        return []
    lines = [f"Taken apart: {sanitise(made.told)}", made.sentence]
    width = max(len(line.label) for line in made.losses)
    top = max(made.ideal.middle, 1e-12)
    lines.append(f"  {'Ideal turn':<{width}}  [{bar(1.0, BAR)}]  {power_text(made.ideal)}")
    for line in made.losses:
        share = min(abs(line.power.middle) / top, 1.0)
        known = f", {line.known}" if line.known else ""
        lines.append(f"  {line.label:<{width}}  [{bar(share, BAR)}]  {power_text(line.power)}{known}")
        if line.orders is not None and line.orders[1] - line.orders[0] > 0.05 * top:
            low, high = (1e3 * end for end in line.orders)
            lines.append(f"  {'':<{width}}   {low:.2g} to {high:.2g} mW by the order of counting")
    lines.append(f"  {'Measured':<{width}}   {power_text(made.measured)}")
    if made.drawn is not None and made.predicted is not None:
        lines.append(f"  As drawn it would give {power_text(made.drawn)} there, as it is {power_text(made.predicted)}.")
    return lines


def advice_lines(made: Advice) -> list[str]:
    """Return what to change next, best first; what brings nothing; what cannot be."""
    if made.reason:
        return []
    lines = [
        "What to change, by the gain of nine engines in ten:" if made.running else "What brings it nearer to running:"
    ]
    for number, option in enumerate(made.options[:TOLD], start=1):
        first, *rest = option_lines(option)
        lines += [f"  {number}. {first}", *(f"  {line}" for line in rest)]
    if made.tells_apart:
        lines.append(f"The first cannot be told apart. {made.tells_apart}")
    for title, options in (("Less", made.options[TOLD:]), ("No help here", made.others)):
        if options:
            lines.append(f"{title}: {'; '.join(option.words for option in options)}.")
    lines += [f"Not here: {refused.words}: {sanitise(refused.why)}" for refused in made.not_possible]
    return lines


def _json(made: Advice, apart: Breakdown | None, wanted: Aim | None, tried: Comparison | None) -> dict[str, Any]:
    return {
        "reason": sanitise(made.reason),
        "sentence": sanitise(made.sentence),
        "running": made.running,
        "learned": made.learned,
        "engines": made.engines,
        "note": made.note,
        "now": outcome_json(made.now),
        "options": [option_json(option, running=made.running) for option in made.options],
        "no_help": [option_json(option, running=made.running) for option in made.others],
        "not_possible": [not_possible_json(refused) for refused in made.not_possible],
        "tells_apart": made.tells_apart,
        "breakdown": None if apart is None or apart.ideal is None else _breakdown_json(apart),
        "what_if": None
        if tried is None
        else {
            "outcome": outcome_json(tried.others["if"]),
            "effect": effect_json(tried.effects.get("if"), running=tried.running),
        },
        "aim": None if wanted is None else _aim_json(wanted, made.running),
    }


def _breakdown_json(made: Breakdown) -> dict[str, Any]:
    watts = {
        f"{name}_W": range_json(getattr(made, name), Kind.POWER, "W")
        for name in ("ideal", "predicted", "measured", "drawn")
    }
    return {
        "reading": f"{made.entry} {made.reading}",
        "text": sanitise(made.told),
        "at_speed_rpm": float(f"{made.speed * 30 / 3.141592653589793:.6g}"),
        "difference_K": range_json(made.difference, Kind.DIFFERENCE, "K"),
        **watts,
        "losses": [
            {
                "key": line.key,
                "label": line.label,
                "power_W": range_json(line.power, Kind.POWER, "W"),
                "orders_W": None if line.orders is None else [float(f"{end:.6g}") for end in line.orders],
                "known": line.known,
            }
            for line in made.losses
        ],
        "verdict": made.verdict,
        "sentence": sanitise(made.sentence),
    }


def _aim_json(made: Aim, running: bool) -> dict[str, Any]:
    ways = list(made.ways) if made.ways else [made.nearest] if made.nearest is not None else []
    return {
        "goal": made.goal,
        "chance": round(made.now, 4),
        "reached": bool(made.ways) or made.now >= 0.5,
        "ways": [{"chance": round(chance, 4), **option_json(option, running=running)} for option, chance in ways],
        "sentence": sanitise(made.reason or made.sentence),
    }
