"""Which file a curve is written to: a name is asked for until one can be written, and never one that is taken."""

from __future__ import annotations

import asyncio
from pathlib import Path

from model.curves.chart import Chart
from model.errors import ModelError
from tui.dialogs.ask_entry import Asker
from tui.dialogs.base import LineDialog
from tui.state.controller import ProjectController
from tui.storage.exports import free_name, write_chart
from tui.text.sanitise import one_line

TEXT = "A name that ends in .svg is written as a picture, one in .csv as a table. In the folder {folder}."


async def ask_file(app: Asker, controller: ProjectController, chart: Chart, *, colour: bool) -> None:
    """Ask for a name, beside the project's file unless it says a folder, and write the curve to it."""
    session = controller.session
    path = session.prototype.path
    folder = path.parent.absolute()
    begun = await asyncio.to_thread(free_name, folder, f"{path.stem}-mk{session.number}-{chart.key}")
    text = TEXT.format(folder=one_line(str(folder)))
    proposed = True  # the name that stands there was not typed: what is typed takes its place
    while True:
        asked = LineDialog(
            f"Write {chart.title!r} to which file?", text, begun, colour=colour, proposed=proposed, keeps=False
        )
        answer, use = await app.push_screen_wait(asked)
        begun = one_line(answer).strip()
        if not use or not begun:
            return
        target = folder / Path(begun).expanduser()
        try:
            await asyncio.to_thread(write_chart, target, chart)
        except ModelError as error:
            text, proposed = str(error), False
            continue
        if session.current == path:
            controller.tell(f"Written: {one_line(str(target))}")
        return
