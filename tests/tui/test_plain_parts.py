"""Parts without a screen: the terminal's abilities, the plot, the form's rows."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from model.fields import Build, fields_of
from model.fields.starts import STARTS
from model.prediction.result import CurvePoint
from tests.tui.stage import CAN
from tui.host.terminal import look, prepare
from tui.view.form_rows import content_of, next_word, reading_of, settled_text, shown_text
from tui.view.lines import text_of, width_of
from tui.view.plot import power_plot


@pytest.mark.parametrize(
    ("environ", "plain"),
    [
        ({"TERM": "xterm-256color", "LANG": "de_DE.UTF-8"}, False),
        ({"TERM": "tmux-256color"}, False),
        ({"TERM": "xterm", "LANG": "C", "LC_CTYPE": "C.UTF-8"}, True),
        ({"TERM": "xterm", "LC_CTYPE": "UTF-8"}, False),
        ({"TERM": "xterm", "LC_ALL": "en_US.ISO-8859-1", "LANG": "en_US.UTF-8"}, True),
        ({"TERM": "linux", "LANG": "C.UTF-8"}, True),
        ({"TERM": "vt220", "LANG": "C.UTF-8"}, True),
        ({"LANG": "C.UTF-8"}, True),
        ({"TERM": "linux", "QUARTERTURN_CHARACTERS": "utf8"}, False),
        ({"TERM": "xterm", "QUARTERTURN_CHARACTERS": "plain"}, True),
    ],
)
def test_plain_characters_are_used_where_the_terminal_may_not_have_others(environ: dict[str, str], plain: bool) -> None:
    assert look(environ, "utf-8").plain is plain


def test_an_encoding_without_the_characters_means_plain() -> None:
    assert look({"TERM": "xterm", "LANG": "C.UTF-8"}, "ascii").plain


def test_settings_that_would_end_the_program_are_dropped_and_sensible_ones_kept() -> None:
    environ = {"TEXTUAL_COLOR_SYSTEM": "many", "ESCDELAY": "soon", "TEXTUAL_FPS": "4", "COLORTERM": "truecolor"}
    prepare(environ)
    assert environ["TEXTUAL_COLOR_SYSTEM"] == "256"
    assert environ["ESCDELAY"] == "100"
    assert environ["TEXTUAL_FPS"] == "4"
    assert environ["TEXTUAL_ANIMATIONS"] == "none"


@pytest.mark.parametrize(
    ("environ", "delay"),
    [({}, "100"), ({"SSH_TTY": "/dev/pts/3"}, "350"), ({"SSH_CONNECTION": "a 1 b 2", "ESCDELAY": "25"}, "25")],
)
def test_escape_waits_for_the_line_and_the_builder_has_the_last_word(environ: dict[str, str], delay: str) -> None:
    """[ms]: a tenth of a second where keys cannot be held back; more on a line from another computer."""
    prepare(environ)
    assert environ["ESCDELAY"] == delay


def test_without_a_terminal_it_is_refused_and_the_other_commands_are_named() -> None:
    code = "from tui.host.terminal import refusal; print(refusal())"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, stdin=subprocess.DEVNULL, check=True,
        env={**os.environ, "PYTHONPATH": "."},
    )  # fmt: skip
    assert "need a terminal" in done.stdout
    assert "report FILE" in done.stdout


CURVE = tuple(CurvePoint(speed=s, indicated=0.02, shaft=0.01 - 0.0002 * s) for s in range(10, 100, 10))


@pytest.mark.parametrize("plain", [True, False])
@pytest.mark.parametrize(("width", "height"), [(32, 8), (60, 14), (24, 5)])
def test_a_plot_fills_its_room_and_no_more(plain: bool, width: int, height: int) -> None:
    lines = power_plot(CURVE, width=width, height=height, plain=plain)
    assert len(lines) == height
    drawn = "\n".join(map(text_of, lines))
    assert drawn.isascii() is plain
    assert all(width_of(line) <= max(width, 50) for line in lines)
    assert "rpm" in drawn


@pytest.mark.parametrize("curve", [(), CURVE[:1]])
def test_no_plot_is_drawn_of_nothing(curve: tuple[CurvePoint, ...]) -> None:
    assert power_plot(curve, width=60, height=12, plain=True) == []


def test_a_form_shows_the_fields_that_apply_and_a_heading_for_each_group() -> None:
    content = content_of(Build, CAN, pane="dimensions")
    assert "piston_bore" in content.names
    assert "diaphragm_rim" not in content.names
    assert "hot_bore" not in content.names
    headings = [row.heading for row in content.rows if row.field is None]
    assert headings == list(dict.fromkeys(headings))


def test_an_empty_field_shows_its_guess_and_an_assumed_range_goes_before_it() -> None:
    row = content_of(Build, CAN).row("side_clearance")
    assert row
    assert shown_text(row) == ("? 1 to 3 mm", "guess")
    row = content_of(Build, CAN, assumed={"side_clearance": "2 to 4 mm"}).row("side_clearance")
    assert row
    assert shown_text(row) == ("? 2 to 4 mm", "guess")


def test_a_text_is_shown_as_typed_and_told_how_it_is_read() -> None:
    row = content_of(Build, {**CAN, "piston_bore": "30 mm around"}).row("piston_bore")
    assert row
    assert shown_text(row) == ("30 mm around", "")
    assert reading_of(row).startswith("9.55 mm")


def test_a_word_begun_is_completed_and_a_wrong_one_is_left() -> None:
    layout = fields_of(Build)["layout"]
    assert settled_text(layout, "gam") == "gamma"
    assert settled_text(layout, "gems") == "gems"
    assert next_word(layout, "gamma", 1) == "beta"
    assert next_word(layout, "gamma", -1) == layout.choices[-1].key
    assert next_word(layout, "nonsense", 1) == layout.choices[0].key


@pytest.mark.parametrize("start", STARTS, ids=lambda start: start.label)
def test_a_start_is_read_without_a_flag(start: object) -> None:
    texts = getattr(start, "texts")  # noqa: B009
    content = content_of(Build, texts)
    assert not [row.name for row in content.rows if row.problem]
    assert set(texts) <= set(content.names)
