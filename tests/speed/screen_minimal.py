"""The least app that textual can show: one label; with ``numpy`` as an argument it imports that too."""

from __future__ import annotations

import sys

from textual.app import App, ComposeResult
from textual.widgets import Label


class Minimal(App[None]):
    """One label."""

    def compose(self) -> ComposeResult:
        """The label."""
        yield Label("Ready")


if __name__ == "__main__":
    if "numpy" in sys.argv:
        import numpy as np

        np.zeros(3)
    Minimal().run(mouse=False)
