"""Opens the notebook on the terminal as the command does, with the model of the tests in place of the real one."""

from __future__ import annotations

import sys
from pathlib import Path

from tui.terminal import prepare


def main() -> int:
    """Run, and return the exit code."""
    prepare()
    from tests.tui.stage import stand_in, stand_in_gaps
    from tui.app import run
    from tui.runner import Runner

    Runner.__init__.__kwdefaults__.update(predict=stand_in, gaps=stand_in_gaps)
    return run(Path(sys.argv[1]))


if __name__ == "__main__":
    sys.exit(main())
