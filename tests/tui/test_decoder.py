"""The keyboard line: stray bytes, halved characters, and an end that no signal tells."""

from __future__ import annotations

from tui.textual_patches.decoder import forgiving


def test_stray_bytes_become_replacements_and_halved_characters_wait() -> None:
    ended: list[int] = []
    line = forgiving("utf-8", lambda: ended.append(1))()
    assert line.decode(b"\xff7") == "\ufffd7"
    assert line.decode(b"\xc3") == ""
    assert line.decode(b"\xa9") == "é"
    assert ended == []


def test_an_empty_read_tells_once_that_the_line_has_ended() -> None:
    ended: list[int] = []
    line = forgiving("utf-8", lambda: ended.append(1))()
    assert line.decode(b"") == "" and line.decode(b"") == ""
    assert ended == [1]


def test_the_last_call_is_no_hang_up() -> None:
    ended: list[int] = []
    assert forgiving("utf-8", lambda: ended.append(1))().decode(b"", final=True) == ""
    assert ended == []
