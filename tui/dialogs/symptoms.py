"""Symptoms in the builder's own words: what is typed is searched at once; what it points to, the test, the caution.

Returns the key of the test of the symptom under the cursor, and whether it is to be written down.
"""

from __future__ import annotations

from typing import ClassVar

from textual.binding import BindingType
from textual.widgets import Input

from model.explain.symptoms import Symptom, search
from tui.dialogs.base import LineDialog
from tui.text.probabilities import NOT_COUNTED
from tui.view.diagnosis import labelled_lines
from tui.view.keys import SYMPTOMS
from tui.view.layout import READABLE
from tui.view.lines import Line, cut, wrapped
from tui.widgets.screen import bindings

EXAMPLES = "Such as: stops at the top; smokes; only turns backwards; no bounce; runs a minute, then fades."
HOW_OFTEN = {3: "usually", 2: "often", 1: "also met"}


class SymptomScreen(LineDialog):
    """A line to write; below it the symptoms that fit, the one under the cursor in full."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(SYMPTOMS)

    def __init__(self, *, colour: bool) -> None:
        super().__init__("What does it do?", EXAMPLES, "", colour=colour)
        self.view.styles.height = 4
        self.matches: tuple[Symptom, ...] = ()
        self.at = 0

    @property
    def chosen(self) -> Symptom | None:
        """The symptom under the cursor."""
        return self.matches[self.at] if self.matches else None

    def draw(self) -> None:
        """Show the question, and what was found."""
        super().draw()
        width = max(20, min(READABLE, self.view.size.width))
        if self.matches:
            lines = [_title(symptom, width, here=index == self.at) for index, symptom in enumerate(self.matches)]
            self.rest.show_lines([(), *lines, (), *symptom_lines(self.matches[self.at], width)])
        else:
            text = "Nothing is known of that. Say what it does, or when." if self.input.value.strip() else ""
            self.rest.show_lines([(), *wrapped(text, width, role="aside")])
        use = (("Enter", "write down its test"), ("Up Down", "another")) if self.matches else ()
        self.keys.show_hints((*use, ("Esc", "back")))

    def on_input_changed(self, event: Input.Changed) -> None:
        """Search what is typed."""
        event.stop()
        self.matches, self.at = search(event.value[:200]), 0
        self.draw()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Return the test of the symptom under the cursor, not the text."""
        event.stop()
        event.prevent_default()
        self.dismiss((self.chosen.test, True) if self.chosen else ("", False))

    def action_move(self, step: int) -> None:
        """Choose another symptom."""
        self.at = max(0, min(len(self.matches) - 1, self.at + step))
        self.draw()

    def action_close(self) -> None:
        """Go back without a test."""
        self.dismiss(("", False))


def _title(symptom: Symptom, width: int, *, here: bool) -> Line:
    return ((">" if here else " ", "here"), (" " + cut(symptom.title, width - 2), "here" if here else ""))


def symptom_lines(symptom: Symptom, width: int) -> list[Line]:
    """Return a symptom: what it means, what it points to, the test to do with its cautions beside it."""
    from model.explain.diagnosis.bench_tests import bench_test, caution_of
    from model.explain.diagnosis.causes import by_key

    test = bench_test(symptom.test)
    order = sorted(symptom.points, key=lambda key: -symptom.points[key])
    points = ", ".join(f"{by_key(key).label.lower()} ({HOW_OFTEN[symptom.points[key]]})" for key in order)
    lines = wrapped(symptom.meaning, width)
    lines += labelled_lines("Points", f"to {points}", width, role="strong")
    lines += labelled_lines("Test", f"{test.label}. {test.how}", width)
    lines += labelled_lines("Odds", NOT_COUNTED, width)
    lines += labelled_lines("(!)", symptom.caution, width, role="flag") if symptom.caution else []
    if test.caution and test.caution != symptom.caution:
        lines += labelled_lines(
            "(!)" if test.sharp else "Mind", caution_of(test), width, role="flag" if test.sharp else "aside"
        )
    lines += labelled_lines("Needs", test.needs, width) if test.needs else []
    return [*lines, *labelled_lines("Source", symptom.source, width, role="aside")]
