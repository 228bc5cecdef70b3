"""``quarterturn gap FILE``: how far each reading is from the prediction at its own temperatures and speed."""

from __future__ import annotations

import argparse

from model.prediction.result import Gap
from tui.commands.asjson import gap_json
from tui.commands.common import file_argument, json_argument, mark_of, open_file, show, show_json
from tui.text.figures import figure_text
from tui.text.sanitise import sanitise


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    file_argument(parser)
    parser.add_argument("--mark", metavar="N", type=int, help="only readings of this mark")
    json_argument(parser, "a list of gaps")


def run(options: argparse.Namespace) -> int:
    """Compare and print."""
    project = open_file(options.file).project
    if options.mark is not None:
        mark_of(project, options.mark, options.file)
    from model.explain.gap import gaps

    found = gaps(project, mark=options.mark)
    if options.json:
        show_json([gap_json(gap) for gap in found])
    elif found:
        show("\n".join(line for gap in found for line in gap_lines(gap)))
    else:
        show(
            "No reading can be compared: it takes a speed or brake reading of a mark that has a prediction; before it "
            "runs, a hot and a cold coast with turns and time (and the wheel's mass), or a hot swing of the displacer."
        )
    return 0


def gap_lines(gap: Gap) -> list[str]:
    """Return a gap as lines of text."""
    mark = f"Mk {gap.mark}" if gap.mark is not None else "no mark"
    head = f"{sanitise(gap.day) or 'no day'}, {mark}, {gap.measured.label.lower()}"
    lines = [
        head,
        f"  measured   {figure_text(gap.measured)}",
        f"  predicted  {figure_text(gap.predicted)}",
        f"  gap        {figure_text(gap.gap)}",
        *(f"  {figure.label.lower()}: {figure_text(figure)}" for figure in gap.also),
    ]
    return [*lines, f"  {sanitise(gap.note)}"] if gap.note else lines
