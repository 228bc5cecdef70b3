"""Small screens: a text to read, a choice to make, a line to write. Each fills the terminal.

`ScrolledPage` shows lines and scrolls, `TextPage` any lines; `LinesDialog` takes keys over its lines, and of these
`ChoiceDialog` returns the key of an option; `LineDialog` returns a line of text.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar, Generic, TypeVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Input

from tui.view.keys import CHOICE, LINE, PAGE, Hints, hints
from tui.view.layout import READABLE
from tui.view.lines import Line, cut, wrapped
from tui.widgets.line_input import LineInput
from tui.widgets.lines_view import LinesView
from tui.widgets.screen import KeyLine, QuietScreen, bindings, too_small

R = TypeVar("R")


class ScrolledPage(QuietScreen[None]):
    """Lines under a bar of two; arrows and pages move, Escape goes back. Subclasses say what stands in both."""

    def __init__(self, *, colour: bool) -> None:
        super().__init__()
        self.bar = LinesView(id="bar", colour=colour)
        self.view = LinesView(id="view", colour=colour)
        self.keys = KeyLine(colour=colour)

    def compose(self) -> ComposeResult:
        """Bar, lines, keys."""
        self.bar.styles.height = 2
        yield self.bar
        yield self.view
        yield self.keys

    def on_mount(self) -> None:
        """Take the keys."""
        self.view.can_focus = True
        self.view.focus()

    def on_resize(self, event: events.Resize) -> None:
        """Break the lines anew."""
        self.call_after_refresh(self.draw)

    def bar_lines(self, width: int) -> list[Line]:
        """Return what stands over the lines."""
        return []

    def page_lines(self, width: int) -> list[Line]:
        """Return all lines."""
        return []

    def draw(self, step: int = 0) -> None:
        """Show the lines, so many further down."""
        width, height = self.view.size
        if small := too_small(*self.size):
            self.bar.show_lines(wrapped(small, max(8, self.size.width)))
            self.view.show_lines([])
            return
        lines = self.page_lines(max(20, width))
        top = max(0, min(self.view.top + step, len(lines) - height))
        more = len(lines) - height - top
        self.bar.show_lines(self.bar_lines(width))
        self.view.show_lines(lines, top)
        down = (("Down", f"{more} more lines"),) if more > 0 else ()
        up = (("Up", "back up"),) if top else ()
        self.keys.show_hints((("Esc", "back"), *down, *up))

    def action_move(self, step: int) -> None:
        """Scroll."""
        self.draw(step)

    def action_close(self) -> None:
        """Go back."""
        self.dismiss(None)


class TextPage(ScrolledPage):
    """Lines to read."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(PAGE)

    def __init__(self, title: str, lines_for: Callable[[int], list[Line]], *, colour: bool) -> None:
        super().__init__(colour=colour)
        self.head = title
        self.lines_for = lines_for

    def bar_lines(self, width: int) -> list[Line]:
        """Return the title."""
        return [((cut(self.head, width), "name"),)]

    def page_lines(self, width: int) -> list[Line]:
        """Return what it was given."""
        return self.lines_for(min(width, READABLE))


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One thing that can be chosen."""

    key: str
    """What is returned; a single letter is also a key on the keyboard."""
    label: str
    help: str = ""


class LinesDialog(QuietScreen[R], Generic[R]):
    """Lines over a line of keys, which takes the keys itself. Subclasses draw."""

    def __init__(self, *, colour: bool) -> None:
        super().__init__()
        self.view = LinesView(id="view", colour=colour)
        self.keys = KeyLine(colour=colour)

    def compose(self) -> ComposeResult:
        """What is asked or told, keys."""
        yield self.view
        yield self.keys

    def on_mount(self) -> None:
        """Take the keys."""
        self.view.can_focus = True
        self.view.focus()

    def on_resize(self, event: events.Resize) -> None:
        """Break the lines anew."""
        self.call_after_refresh(self.draw)

    def draw(self) -> None:
        """Show what it says at this size; nothing here."""


def more_below(ends: Sequence[int], bottom: int) -> Hints:
    """Return the hint that says how many answers end below the screen, by the lines at which they end."""
    more = sum(end > bottom for end in ends)
    return (("Down", f"{more} more below"),) if more else ()


class ChoiceDialog(LinesDialog[str]):
    """A question with a few answers; returns the key of the answer, empty where Escape goes back."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(CHOICE)

    def __init__(self, title: str, text: str, options: tuple[Option, ...], *, colour: bool, at: int = 0) -> None:
        super().__init__(colour=colour)
        self.head, self.text, self.options, self.at = title, text, options, at

    def draw(self) -> None:
        """Show question and answers, the chosen one with its sign."""
        width, height = self.view.size
        width = max(20, min(width, READABLE))
        lines: list[Line] = [((cut(self.head, width), "name"),), ()]
        if self.text:
            lines += [*wrapped(self.text, width), ()]
        ends: list[int] = []
        for index, option in enumerate(self.options):
            here = index == self.at
            sign = f"{option.key}  " if len(option.key) == 1 else ""
            lines.append(((">" if here else " ", "here"), (f" {sign}", "key"), (option.label, "here" if here else "")))
            if option.help:
                lines += wrapped(option.help, width, role="aside", first="     ", rest="     ")
            ends.append(len(lines))
        top = max(0, ends[self.at] - height)
        self.view.show_lines(lines, top)
        self.keys.show_hints((*hints(CHOICE), *more_below(ends, top + height)))

    def on_key(self, event: events.Key) -> None:
        """Take the letter of an answer."""
        for option in self.options:
            if event.character and event.character == option.key:
                event.stop()
                self.dismiss(option.key)
                return

    def action_move(self, step: int) -> None:
        """Choose the next answer."""
        self.at = max(0, min(len(self.options) - 1, self.at + step))
        self.draw()

    def action_take(self) -> None:
        """Return the chosen answer."""
        self.dismiss(self.options[self.at].key)

    def action_close(self) -> None:
        """Go back without an answer."""
        self.dismiss("")


class LineDialog(QuietScreen[tuple[str, bool]]):
    """A line to write; returns the text and whether it is to be used (Escape: not now)."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(LINE)
    DEFAULT_CSS = """
    LineDialog > Input { height: 1; border: none; padding: 0; background: ansi_default; color: ansi_default;
                      text-style: reverse; }
    LineDialog > Input:focus { border: none; background: ansi_default; color: ansi_default; text-style: reverse; }
    LineDialog > Input > .input--cursor { text-style: underline; background: ansi_default; color: ansi_default; }
    LineDialog > Input > .input--selection { text-style: underline; background: ansi_default; color: ansi_default; }
    """

    def __init__(
        self,
        title: str,
        text: str,
        value: str,
        *,
        colour: bool,
        proposed: bool = False,
        hold: Callable[[str], None] | None = None,
        keeps: bool = True,
    ) -> None:
        super().__init__()
        self.head, self.text = title, text
        self.hold = hold
        """Is given the text at every change, to be held where no kill takes it away."""
        self.keeps_text = keeps
        """Whether the caller keeps the text that Escape leaves."""
        self.proposed = proposed
        """Whether what is typed takes the place of the value."""
        self.view = LinesView(id="view", colour=colour)
        self.view.styles.height = 5
        self.input = LineInput(value, compact=True, select_on_focus=False, max_length=2000)
        self.input.cursor_blink = False
        self.rest = LinesView(id="rest", colour=colour)
        self.keys = KeyLine(colour=colour)

    def compose(self) -> ComposeResult:
        """Question, line, keys."""
        yield self.view
        yield self.input
        yield self.rest
        yield self.keys

    def on_mount(self) -> None:
        """Take the keys."""
        self.input.focus()
        self.input.cursor_position = len(self.input.value)
        if self.proposed:
            self.input.action_select_all()

    def on_resize(self, event: events.Resize) -> None:
        """Break the lines anew."""
        self.call_after_refresh(self.draw)

    def draw(self) -> None:
        """Show the question."""
        width = max(20, min(READABLE, self.view.size.width))
        self.view.show_lines([((cut(self.head, width), "name"),), (), *wrapped(self.text, width)])
        back = "back, the text is kept for the next time" if self.keeps_text else "back"
        self.keys.show_hints((("Enter", "done"), ("Esc", back)))

    def on_input_changed(self, event: Input.Changed) -> None:
        """Hold what is typed."""
        event.stop()
        if self.hold is not None:
            self.hold(event.value)

    def on_line_input_shortened(self, event: LineInput.Shortened) -> None:
        """Say that a paste did not fit."""
        event.stop()
        text = f"! A line holds {self.input.max_length} characters: the end of what was pasted is left out."
        self.rest.show_lines([(), *wrapped(text, max(20, min(READABLE, self.rest.size.width)), role="flag", rest="  ")])

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Return the text for use."""
        event.stop()
        self.dismiss((event.value, True))

    def action_close(self) -> None:
        """Go back; the text is kept."""
        self.dismiss((self.input.value, False))
