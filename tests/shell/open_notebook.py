"""Open a notebook with a command on a pseudo-terminal, look at a prototype, and leave.

Use: ``open_notebook.py COMMAND FOLDER``. Run by ``.ci/run`` against the installed wheel, outside the checkout.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))
from terminal import Terminal


def main(command: str, folder: str) -> int:
    """Return 0 when the notebook opens, predicts and closes."""
    terminal = Terminal([command, folder], environ={"PYTHONPATH": ""})
    try:
        terminal.wait_for("Cocoa tin")
        terminal.press("enter")
        terminal.wait_for("Best shaft power")
        terminal.press("ctrl+q")
        code = terminal.wait_for_end()
    finally:
        terminal.close()
    print(f"opened, predicted and closed: exit {code}")
    return code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2]))
