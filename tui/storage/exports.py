"""A curve written to a file of its own: a picture or a table, by the ending of its name. Called on a thread."""

from __future__ import annotations

from pathlib import Path

from model.curves.chart import Chart
from model.curves.export import chart_csv, chart_svg
from model.errors import NotWritten
from model.store import export

KINDS = {".svg": chart_svg, ".csv": chart_csv}
"""What a file becomes, by its ending."""


def write_chart(path: Path, chart: Chart) -> None:
    """Write a chart, whole or not at all, and never over another file.

    Raises
    ------
    NotWritten
        Its name ends otherwise, it is there already, or the system refuses.
    """
    make = KINDS.get(path.suffix.lower())
    if make is None:
        raise NotWritten(f"{path.name!r} tells no kind of file.", hint="End it in .svg (a picture) or .csv (a table).")
    export(path, make(chart))


def free_name(folder: Path, stem: str) -> str:
    """Return a name for a picture that no file of a folder has: ``mug-mk2-power.svg``, ``mug-mk2-power-2.svg`` ..."""
    names = (f"{stem}.svg", *(f"{stem}-{number}.svg" for number in range(2, 100)))
    return next((name for name in names if not (folder / name).exists()), names[0])


__all__ = ["free_name", "write_chart"]
