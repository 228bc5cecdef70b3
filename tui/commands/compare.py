"""``quarterturn compare FILE[:MARK] FILE[:MARK]``: two or three prototypes or marks side by side, line by line."""

from __future__ import annotations

import argparse
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from model.record import Project
from tui.commands.common import file_and_mark, json_argument, show, show_json
from tui.commands.progress import doing
from tui.exits import CommandError, Exit
from tui.text.sanitise import sanitise

if TYPE_CHECKING:
    from tui.state.prototype import Prototype
    from tui.view.comparison import Compared


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "files",
        metavar="FILE[:MARK]",
        nargs="+",
        type=Path,
        help="two or three project files; a number behind a colon names a mark, without it the latest counts",
    )
    json_argument(parser, "one object with every row")


def run(options: argparse.Namespace) -> int:
    """Compare and print."""
    from tui.view.comparison import MOST, table_rows

    if not 2 <= len(options.files) <= MOST:
        raise CommandError(f"Two or three files can be compared, not {len(options.files)}.", code=Exit.USAGE)
    chosen = [file_and_mark(named) for named in options.files]
    prototypes = []
    for path, project, number in chosen:
        with doing(f"Predicting {sanitise(project.name)}, Mk {number}"):
            prototypes.append(_prototype(path, project, number))
    rows = table_rows(prototypes)
    if options.json:
        show_json(_json(prototypes, rows))
    else:
        show("\n".join(_lines(_titles(prototypes), rows)))
    return 0


def _prototype(path: Path, project: Project, number: int) -> Prototype:
    """Return a prototype as it stood at a mark, with its prediction and gaps."""
    from model.explain.gap import gaps
    from model.explain.outlook import outlook
    from model.knowledge.learn import learn
    from tui.state.knowledge import about
    from tui.state.prototype import Asked, Outlook, Prototype, parsed_build

    at = project.until(number)
    prediction = outlook(project, mark=number)
    predicted = Outlook(build=parsed_build(at.latest).build, prediction=prediction, gaps=gaps(project, mark=number))
    known = Asked(answer=learn(project, number), of=about(at, number))
    return Prototype(path=path, project=at, outlook=predicted, knowledge=known)


def _titles(prototypes: list[Prototype]) -> list[str]:
    """Return name and mark of each, with the file where two would be called the same."""
    titles = [f"{sanitise(p.project.name)}, Mk {p.project.latest.number}" for p in prototypes]
    often = Counter(titles)
    files = {title: {p.path for p, t in zip(prototypes, titles, strict=True) if t == title} for title in titles}
    return [
        f"{title} ({sanitise(p.path)})" if often[title] > 1 and len(files[title]) > 1 else title
        for p, title in zip(prototypes, titles, strict=True)
    ]


def _lines(titles: list[str], rows: list[Compared]) -> list[str]:
    lines = [" | ".join(titles)]
    for row in rows:
        if not row.cells:
            lines += ["", row.label]
            continue
        lines.append(f"  {row.label.strip()}")
        cells = (sanitise(cell.replace("\n", ", ")) for cell in row.cells)
        lines += [f"    {title}: {cell}" for title, cell in zip(titles, cells, strict=True)]
    return lines


def _json(prototypes: list[Prototype], rows: list[Compared]) -> dict[str, object]:
    """Return the table as plain keys: each row with the heading that it stands under."""
    rows_json = []
    heading = ""
    for row in rows:
        heading = heading if row.cells else row.label
        if row.cells:
            cells = [sanitise(cell.replace("\n", ", ")) for cell in row.cells]
            rows_json.append({"heading": heading, "label": row.label.strip(), "cells": cells})
    heads = [
        {"file": sanitise(p.path), "project": sanitise(p.project.name), "mark": p.project.latest.number}
        for p in prototypes
    ]
    return {"prototypes": heads, "rows": rows_json}
