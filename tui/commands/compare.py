"""``quarterturn compare FILE FILE``: two or three prototypes side by side, line by line."""

from __future__ import annotations

import argparse
from pathlib import Path

from tui.commands.common import open_file, show
from tui.exits import CommandError, Exit
from tui.text.sanitise import sanitise


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("files", metavar="FILE", nargs="+", type=Path, help="two or three project files")


def run(options: argparse.Namespace) -> int:
    """Compare the latest marks and print."""
    from tui.view.comparison import MOST, table_rows

    if not 2 <= len(options.files) <= MOST:
        raise CommandError(f"Two or three files can be compared, not {len(options.files)}.", code=Exit.USAGE)
    from model.explain.gap import gaps
    from model.explain.outlook import outlook
    from tui.state.prototype import Outlook, Prototype, parsed_build

    prototypes = []
    for path in options.files:
        project = open_file(path).project
        mark = project.latest
        found = Outlook(
            build=parsed_build(mark).build,
            prediction=outlook(project, mark=mark.number),
            gaps=gaps(project, mark=mark.number),
        )
        prototypes.append(Prototype(path=path, project=project, outlook=found))
    names = [f"{sanitise(p.project.name)}, Mk {p.project.latest.number}" for p in prototypes]
    lines = [" | ".join(names)]
    for row in table_rows(prototypes):
        if not row.cells:
            lines += ["", row.label]
            continue
        lines.append(f"  {row.label.strip()}")
        cells = (sanitise(cell.replace("\n", ", ")) for cell in row.cells)
        lines += [f"    {name}: {cell}" for name, cell in zip(names, cells, strict=True)]
    show("\n".join(lines))
    return 0
