"""``python -m tests.typing monkey`` presses all keys of the help; ``tests/slow`` presses three hundred."""

from __future__ import annotations

from tests.typing.monkey import named_keys


def test_the_keys_of_the_help_are_pressed() -> None:
    assert {"enter", "esc", "a", "ctrl+z", "/", "pgdn"} <= set(named_keys())
