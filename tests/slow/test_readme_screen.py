"""The screen in the README is the real one, with the real model and all that it learns.

``QUARTERTURN_GOLDEN=write`` writes the screen anew.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from tests.tui.test_readme import BESIDE, BLOCK, README, form_of, seen, stored
from tui.runs.model_api import default_learn
from tui.runs.runner import Runner

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def labels_of(screen: str) -> list[str]:
    """Return the panel's lines that name a figure. What was learnt comes of random steps, which another machine's
    rounding sends elsewhere: its numbers, and sentences about them, differ a little."""
    beside = (NUMBER.sub("", line[BESIDE:]) for line in screen.splitlines())
    return [" ".join(line.split()) for line in beside if line[:1].isupper() or line.startswith("  predicted there")]


@pytest.mark.usefixtures("quick")
def test_the_screen_in_the_readme_is_the_real_one(tmp_path: Path) -> None:
    learning = seen(tmp_path, until="From what it has shown", runner=lambda post: Runner(post, learn=default_learn))
    if os.environ.get("QUARTERTURN_GOLDEN") == "write":
        lines = "".join(f"    {line}".rstrip() + "\n" for line in learning.rstrip("\n").splitlines())
        text = README.read_text(encoding="utf-8")
        README.write_text(BLOCK.sub(lambda m: m[1] + lines + m[3], text), encoding="utf-8")
        return
    assert form_of(learning) == form_of(stored())
    assert labels_of(learning) == labels_of(stored())
