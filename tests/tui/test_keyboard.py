"""The keyboard line: keys, pastes whole and halved, pastes without an end, Escape told from a sequence."""

from __future__ import annotations

import pytest
from textual import constants, events

from tui.textual_patches.keyboard import KeyStream


class Typing:
    """A stream with a clock of its own."""

    def __init__(self) -> None:
        self.now = 100.0
        self.stream = KeyStream(patience=1.0, clock=lambda: self.now)

    def __call__(self, *parts: str) -> list[str]:
        """Return the keys and pastes that come of what arrives in these parts."""
        messages = [message for part in parts for message in self.stream.feed(part)]
        return [told(message) for message in messages]

    def after(self, seconds: float) -> list[str]:
        """Return what comes when nothing arrives for so long."""
        self.now += seconds
        return [told(message) for message in self.stream.tick()]


def told(message: object) -> str:
    if isinstance(message, events.Paste):
        return f"paste {message.text}"
    assert isinstance(message, events.Key)
    return message.key


PASTE = "\x1b[200~hello\nyou\x1b[201~"


def test_keys_before_and_behind_a_paste_keep_their_place() -> None:
    assert Typing()(f"a{PASTE}b\x1b[A") == ["a", "paste hello\nyou", "b", "up"]


@pytest.mark.parametrize("at", range(1, len(PASTE)))
def test_a_paste_that_comes_in_two_parts_is_one(at: int) -> None:
    assert Typing()("x" + PASTE[:at], PASTE[at:] + "y") == ["x", "paste hello\nyou", "y"]


def test_what_stands_in_a_paste_is_never_a_key() -> None:
    """Escape, sequences of keys, control characters, the beginning of another paste."""
    inside = "hello \x1b dd \x1b[A\x11\x1b[200~ \x1b[20 x\x1b[201"
    assert Typing()(f"a\x1b[200~{inside}\x1b[201~b") == ["a", f"paste {inside}", "b"]


def test_a_paste_without_an_end_is_ended_when_nothing_more_comes() -> None:
    typing = Typing()
    assert typing("\x1b[200~so far") == []
    assert typing.after(0.9) == []
    assert typing(" so good") == []
    assert typing.after(0.9) == []
    assert typing.after(0.2) == ["paste so far so good"]
    assert typing("q") == ["q"]


@pytest.mark.parametrize("behind", ["m", "b", "12.5 mm\r", "x" * 50, "\x1b", "\x1b[A"])
def test_escape_and_what_comes_right_behind_it_are_keys_of_their_own(behind: str) -> None:
    """On the line the two look like Alt; some pairs have a meaning of their own in other programs."""
    one_by_one = [key for part in behind.replace("\x1b[A", "A") for key in typed(part)]
    one_by_one = ["up" if key == "A" else key for key in one_by_one]
    together = Typing()
    assert together(f"\x1b{behind}") + together.after(1.0) == ["escape", *one_by_one]


def typed(part: str) -> list[str]:
    """Return the keys of a part that comes alone."""
    typing = Typing()
    return typing(part) + typing.after(1.0)


def test_escape_alone_waits_for_its_time_and_no_longer() -> None:
    typing = Typing()
    assert typing("\x1b") == []
    assert typing.stream.wait <= constants.ESCAPE_DELAY
    assert typing.after(constants.ESCAPE_DELAY) == ["escape"]
    assert typing.stream.wait > 0


def test_a_sequence_that_comes_in_parts_is_one_key() -> None:
    assert Typing()("\x1b", "[", "A") == ["up"]


def test_two_pastes_are_two() -> None:
    assert Typing()(PASTE + "\x1b[200~\x1b[201~") == ["paste hello\nyou", "paste "]


def test_an_end_without_a_beginning_is_nothing() -> None:
    assert Typing()("a\x1b[201~b") == ["a", "b"]


def test_a_character_that_is_no_text_does_not_end_a_paste() -> None:
    assert Typing()("\x1b[200~a\x00\ufffdb\x1b[201~") == ["paste a\ufffdb"]
