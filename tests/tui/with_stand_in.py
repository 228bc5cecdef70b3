"""Opens the notebook on the terminal as the command does, with the model of the tests in place of the real one.

``STAND_IN=thinks`` makes the model think for ever about every build that is not in a file; ``STAND_IN=real`` leaves
the real model, and ``STAND_IN=real,thinks`` is both; ``STAND_IN_REST`` sets how long keys rest before the help is
drawn, [s].
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from tui.host.terminal import prepare


def main() -> int:
    """Run, and return the exit code."""
    prepare()
    from tests.tui.stage import stand_in, stand_in_allowances, stand_in_diagnosis, stand_in_gaps
    from tui.app import run
    from tui.runs import model_api, runner
    from tui.screens import project

    folder = Path(sys.argv[1])
    wanted = os.environ.get("STAND_IN", "").split(",")
    project.REST = float(os.environ.get("STAND_IN_REST", project.REST))
    own = runner.Runner.__init__.__kwdefaults__
    if "real" not in wanted:
        own.update(predict=stand_in, gaps=stand_in_gaps, diagnose=stand_in_diagnosis, allow=stand_in_allowances)
        model_api.default_lasting = model_api.no_lasting
    if "thinks" in wanted:
        own.update(predict=thinking(own["predict"], folder))
    return run(folder)


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
