"""``quarterturn gap FILE``: how far each reading is from the prediction at its own temperatures and speed."""

from __future__ import annotations

import argparse

from model.checks.problems import problems_of_reading
from model.errors import Problem
from model.prediction.result import Gap
from model.record import Project
from tui.commands.asjson import gap_json
from tui.commands.common import file_argument, json_argument, mark_of, open_file, problem_json, show, show_json
from tui.commands.progress import doing
from tui.text.figures import figure_text
from tui.text.sanitise import sanitise


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    file_argument(parser)
    parser.add_argument("--mark", metavar="N", type=int, help="only readings of this mark")
    json_argument(parser, "one object with every gap")


def run(options: argparse.Namespace) -> int:
    """Compare and print."""
    project = open_file(options.file).project
    if options.mark is not None:
        mark_of(project, options.mark, options.file)
    with doing("Predicting each reading at its own temperatures and speed"):
        from model.explain.gap import gaps

        all_gaps = gaps(project, mark=options.mark)
    with doing("Weighing what was found beside each visit"):
        from model.knowledge.expect import expected
        from model.knowledge.gaps import gaps_with

        numbers = sorted({gap.mark for gap in all_gaps if gap.mark is not None})
        all_gaps = gaps_with(all_gaps, [item for number in numbers for item in expected(project, number)])
    flagged = _flagged(project, options.mark)
    if options.json:
        show_json(
            {
                "project": sanitise(project.name),
                "gaps": [gap_json(gap) for gap in all_gaps],
                "flagged": [problem_json(problem) for problem in flagged],
            }
        )
        return 0
    if all_gaps:
        show("\n".join(line for gap in all_gaps for line in gap_lines(gap)))
    else:
        show(
            "No reading can be compared: it takes a speed or brake reading of a mark that has a prediction; before it "
            "runs, a hot and a cold coast with turns and time (and the wheel's mass), or a hot swing of the displacer."
        )
    if flagged:
        show("\n".join(f"Flagged: {problem}" for problem in flagged))
    return 0


def _flagged(project: Project, mark: int | None) -> tuple[Problem, ...]:
    """Return what is wrong with the readings asked for: what is flagged does not count, or not as it was meant."""
    return tuple(
        problem
        for entry in project.entries.values()
        for reading in entry.readings.values()
        if mark is None or project.mark_of(entry, reading) in (mark, None)
        for problem in problems_of_reading(project, entry, reading)
    )


def _shown_lines(gap: Gap) -> list[str]:
    """Return the gap against what was found beside that visit."""
    if gap.shown is None or gap.shown_gap is None:
        return []
    return [f"  by all else that was found {figure_text(gap.shown)}", f"  gap        {figure_text(gap.shown_gap)}"]


def gap_lines(gap: Gap) -> list[str]:
    """Return a gap as lines of text."""
    mark = f"Mk {gap.mark}" if gap.mark is not None else "no mark"
    head = f"{sanitise(gap.day) or 'no day'}, {mark}, {gap.measured.label.lower()}"
    lines = [
        head,
        f"  measured   {figure_text(gap.measured)}",
        f"  predicted  {figure_text(gap.predicted)}",
        f"  gap        {figure_text(gap.gap)}",
        *_shown_lines(gap),
        *(f"  {figure.label.lower()}: {figure_text(figure)}" for figure in gap.also),
    ]
    return [*lines, f"  {sanitise(gap.note)}"] if gap.note else lines
