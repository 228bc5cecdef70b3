"""Texts made safe to print."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.text.sanitise import sanitise


@given(text=st.text(alphabet=st.characters()))
def test_no_text_keeps_a_character_that_could_steer_a_terminal(text: str) -> None:
    assert sanitise(text).isprintable()
    assert all(line.isprintable() for line in sanitise(text, lines=True).split("\n"))


@given(text=st.text(alphabet=st.characters(categories=["L", "N", "P", "S"])))
def test_printable_text_is_left_alone(text: str) -> None:
    assert sanitise(text) == text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("\x1b[2J", "[2J"),
        ("\x9b31m", "31m"),
        ("a\r\nb\tc", "a b c"),
        ("a\u202eb", "ab"),
        ("\ud800", "?"),
        ("Größe μ 3/8″", "Größe μ 3/8″"),
    ],
)
def test_known_tricks_are_taken_out(text: str, shown: str) -> None:
    assert sanitise(text) == shown
