"""A small part of ``python -m tests.typing monkey``: 300 random keys in two windows."""

from __future__ import annotations

from pathlib import Path

from tests.typing.monkey import named_keys, run


def test_random_keys_end_nothing_and_leave_files_that_can_be_read(tmp_path: Path) -> None:
    assert {"enter", "esc", "a", "ctrl+z", "/", "pgdn"} <= set(named_keys())
    assert run(tmp_path, seed=17, count=300, longest=0.05) == []
