"""Opens the notebook on the terminal as the command does, with the model of the tests in place of the real one.

``STAND_IN=thinks`` makes the model think for ever about every build that is not in a file; ``STAND_IN=real`` leaves
the real model, and ``STAND_IN=real,thinks`` is both; ``STAND_IN_REST`` sets how long keys rest before the help is
drawn, [s].
"""

from __future__ import annotations

import asyncio
import os
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from tui.host.terminal import prepare

LONG = 10.0
"""A rest of the keys that is longer than this is waited for by nobody, [s]."""


def main() -> int:
    """Run, and return the exit code."""
    prepare()
    from tests.tui.stage import engine_alone, stand_in, stand_in_allowances, stand_in_diagnosis, stand_in_gaps
    from tui.app import run
    from tui.runs import model_api, runner
    from tui.screens import project

    folder = Path(sys.argv[1])
    wanted = os.environ.get("STAND_IN", "").split(",")
    project.REST = float(os.environ.get("STAND_IN_REST", project.REST))
    own = runner.Runner.__init__.__kwdefaults__
    if "real" not in wanted:
        own.update(predict=stand_in, gaps=stand_in_gaps, diagnose=stand_in_diagnosis, allowances=stand_in_allowances)
        model_api.default_lasting = model_api.no_lasting
        model_api.default_learn = model_api.no_learn
        model_api.default_look = model_api.no_look
        model_api.default_changes = engine_alone
    tell_rest(waits_for_the_model="thinks" not in wanted, soon=project.REST)
    if "thinks" in wanted:
        own.update(predict=thinking(own["predict"], folder))
    return run(folder)


def tell_rest(*, waits_for_the_model: bool, soon: float) -> None:
    """Let the app write `AT_REST` when it has come to rest behind a focus report; help comes `soon` behind a key."""
    from textual import events

    from tests.tui.line import AT_REST
    from tests.tui.stage import LOOK, SOON, settle
    from tests.tui.waiting import wait_until_idle
    from tui.notebook import NotebookApp

    on_event, tasks = NotebookApp.on_event, set[asyncio.Task[None]]()
    horizon = SOON + (soon if soon < LONG else 0.0)

    async def tell(app: NotebookApp) -> None:
        busy = True
        while busy:
            await settle(horizon)
            busy = not (app.typed.idle and wait_until_idle(app.persistence, 0))
            busy = busy or (waits_for_the_model and not app.runner.idle)
            await (asyncio.sleep(LOOK) if busy else settle(horizon))
        if app._driver is not None:
            app._driver.write(AT_REST.decode())
            app._driver.flush()

    async def told(app: NotebookApp, event: events.Event) -> None:
        await on_event(app, event)
        if isinstance(event, events.AppFocus):
            tasks.add(asyncio.create_task(tell(app)))

    NotebookApp.on_event = told  # type: ignore[method-assign]


def thinking(answer: Callable[..., Any], folder: Path) -> Callable[..., Any]:
    """Return a model that answers for the builds in the files and thinks about any other until nobody waits."""
    from model.checkpoint import checkpoint
    from model.fields import parse_build
    from model.store import open_notebook

    known = [parse_build(stored.project.latest.build).build for stored in open_notebook(folder).stored]

    def think(*args: Any, **named: Any) -> Iterator[Any]:
        while named["build"] not in known:
            checkpoint()
            time.sleep(0.01)
        yield from answer(*args, **named)

    return think


if __name__ == "__main__":
    sys.exit(main())
