"""A glance at ``python -m tests.typing monkey``: 80 random keys in two windows; ``tests/slow`` presses 300."""

from __future__ import annotations

from pathlib import Path

from tests.typing.monkey import named_keys, run


def test_random_keys_end_nothing_and_leave_files_that_can_be_read(tmp_path: Path) -> None:
    assert {"enter", "esc", "a", "ctrl+z", "/", "pgdn"} <= set(named_keys())
    assert run(tmp_path, seed=18, count=80, longest=0.05) == []
