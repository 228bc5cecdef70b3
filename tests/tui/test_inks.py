"""The inks can be read on whatever the terminal writes on, and say without colour what they say with it."""

from __future__ import annotations

from time import sleep

import pytest
from rich.style import Style
from textual import constants

from tests.tui.test_keyboard import Typing
from tui.host.terminal import Terminal, look
from tui.notebook import NotebookApp
from tui.textual_patches.background import BackgroundTold
from tui.view.inks import INKS, LETTERS, STROKES, Ground, contrast, ground_on, style_of

BLACK, WHITE = (0, 0, 0), (255, 255, 255)
SOLARIZED_DARK, SOLARIZED_LIGHT = (0x00, 0x2B, 0x36), (0xFD, 0xF6, 0xE3)
"""base03 and base3. Source: Solarized, "The Values" (ethanschoonover.com/solarized)."""
PAPERS = {
    Ground.UNKNOWN: (BLACK, WHITE, SOLARIZED_DARK, SOLARIZED_LIGHT),
    Ground.DARK: (BLACK, SOLARIZED_DARK),
    Ground.LIGHT: (WHITE, SOLARIZED_LIGHT),
}


def xterm(number: int) -> tuple[int, int, int]:
    """Return a colour of the palette. Source: xterm, 256colres.pl: levels (n ? n * 40 + 55 : 0), greys n * 10 + 8."""
    assert 16 <= number <= 255, "the first sixteen are set by each terminal as it likes"
    if number > 231:
        return ((number - 232) * 10 + 8,) * 3
    cube = number - 16
    red, green, blue = (n * 40 + 55 if n else 0 for n in (cube // 36, cube // 6 % 6, cube % 6))
    return red, green, blue


def ratio(one: tuple[int, int, int], other: tuple[int, int, int]) -> float:
    """Return the contrast. Source: WCAG 2.2, "relative luminance" and "contrast ratio", written anew for this test."""

    def light(colour: tuple[int, int, int]) -> float:
        linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in (c / 255 for c in colour)]
        return sum(share * part for share, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))

    low, high = sorted((light(one), light(other)))
    return (high + 0.05) / (low + 0.05)


def colours(style: Style) -> tuple[int | None, int | None]:
    """Return ink and paper by number; None is the terminal's own."""
    ink, paper = style.color, style.bgcolor
    return (ink.number if ink else None), (paper.number if paper else None)


@pytest.mark.parametrize(
    ("one", "other", "known"),
    [
        (BLACK, WHITE, 21.0),  # the largest there is, by definition
        ((0x76, 0x76, 0x76), WHITE, 4.54),  # the lightest grey that passes on white; W3C, Understanding 1.4.3
        ((0x59, 0x59, 0x59), WHITE, 7.0),  # the same for 1.4.6
    ],
)
def test_the_contrast_is_the_published_one(
    one: tuple[int, int, int], other: tuple[int, int, int], known: float
) -> None:
    assert contrast(one, other) == pytest.approx(known, abs=0.005)
    assert ratio(one, other) == pytest.approx(known, abs=0.005)


@pytest.mark.parametrize("name", INKS)
@pytest.mark.parametrize("ground", PAPERS)
def test_every_ink_can_be_read_on_its_grounds(ground: Ground, name: str) -> None:
    """Letters 4.5, strokes 3, on black, white and both Solarized; an ink with its own paper is seen on that."""
    ink, paper = colours(style_of(name, ground))
    if ink is None:
        assert paper is None, "the terminal's own ink on paper of ours can be anything"
        return
    least = STROKES if INKS[name].strokes and ground is Ground.UNKNOWN else LETTERS
    for below in [xterm(paper)] if paper is not None else PAPERS[ground]:
        assert ratio(xterm(ink), below) >= least, (name, ground, below)


def test_no_letter_can_have_a_colour_of_its_own_on_all_four() -> None:
    """Why letters are coloured on a known ground alone: not one of the 240 colours reaches 4.5 on all."""
    every = [min(ratio(xterm(n), paper) for paper in PAPERS[Ground.UNKNOWN]) for n in range(16, 256)]
    assert STROKES < max(every) < LETTERS


@pytest.mark.parametrize("name", INKS)
def test_without_colours_attributes_alone_are_sent(name: str) -> None:
    """Neither with NO_COLOR nor with 16 colours; what may be missed is not made faint where that cannot be measured."""
    style = style_of(name, Ground.COLOURLESS)
    assert colours(style) == (None, None)
    assert not style.dim


@pytest.mark.parametrize("name", ["on", "head", "flag", "here", "key"])
def test_what_has_to_be_seen_is_seen_without_colour(name: str) -> None:
    assert style_of(name, Ground.COLOURLESS) != Style()
    assert style_of(name, Ground.UNKNOWN) != Style()


def test_a_background_between_light_and_dark_keeps_the_terminals_own_ink() -> None:
    """Dark and light ones that are in use are known as such; one on which not every ink can be read is not."""
    dark = [BLACK, SOLARIZED_DARK, (0x1E, 0x1E, 0x1E), (0x30, 0x0A, 0x24), (0x2E, 0x34, 0x40)]
    assert {ground_on(paper) for paper in dark} == {Ground.DARK}
    light = [WHITE, SOLARIZED_LIGHT, (0xFA, 0xFA, 0xFA), (0xEE, 0xE8, 0xD5)]
    assert {ground_on(paper) for paper in light} == {Ground.LIGHT}
    assert {ground_on((grey,) * 3) for grey in range(90, 200)} == {Ground.UNKNOWN}


@pytest.mark.parametrize("end", ["\x1b\\", "\x07"])
def test_the_terminals_answer_is_no_key(end: str) -> None:
    """Whole, and broken at every place; what stands before and behind it is."""
    answer = f"\x1b]11;rgb:0000/2b2b/3636{end}"
    for at in range(1, len(answer)):
        stream = Typing().stream
        messages = [message for part in ("a" + answer[:at], answer[at:] + "b") for message in stream.feed(part)]
        assert [getattr(message, "key", getattr(message, "rgb", None)) for message in messages] == [
            "a", SOLARIZED_DARK, "b"]  # fmt: skip


def test_an_answer_that_breaks_off_types_nothing() -> None:
    typing = Typing()
    assert typing("\x1b]11;rgb:0000/2b") == []
    assert typing.after(0.9) == []
    assert typing.after(0.2) == []
    assert typing.after(0.2) == []
    assert typing("x") == ["x"]


def test_what_only_begins_like_an_answer_is_keys() -> None:
    typing = Typing()
    assert typing("\x1b]") == []
    assert typing.after(0.2) == []
    sleep(2 * constants.ESCAPE_DELAY)  # the parser of textual has a clock of its own
    assert typing.after(0.2) == ["right_square_bracket"]


@pytest.mark.parametrize(
    ("terminal", "before", "after"),
    [
        (Terminal(), Ground.UNKNOWN, Ground.LIGHT),
        (Terminal(background="dark"), Ground.DARK, Ground.DARK),
        (Terminal(colour=False), Ground.COLOURLESS, Ground.COLOURLESS),
        (Terminal(many=False), Ground.COLOURLESS, Ground.COLOURLESS),
    ],
)
def test_what_is_written_on_is_taken_from_the_terminal(
    tmp_path: object, terminal: Terminal, before: Ground, after: Ground
) -> None:
    app = NotebookApp(tmp_path, terminal)  # type: ignore[arg-type]
    assert app.ground is before
    app.on_background_told(BackgroundTold(WHITE))
    assert app.ground is after


def test_sixteen_colours_are_told_from_the_name_of_the_terminal() -> None:
    assert look({"TERM": "xterm-256color"}, "utf-8").many
    assert look({"TERM": "xterm", "COLORTERM": "truecolor"}, "utf-8").many
    assert not look({"TERM": "linux"}, "utf-8").many
    assert not look({"TERM": "xterm-16color"}, "utf-8").many
