"""Screens that do not repaint themselves when the focus moves, and the line of keys at their foot."""

from __future__ import annotations

import ast
from collections.abc import Callable
from functools import partial
from typing import Any, Generic, TypeVar

from textual.await_complete import AwaitComplete
from textual.binding import Binding, BindingType
from textual.errors import NoWidget
from textual.geometry import Offset
from textual.reactive import Reactive
from textual.screen import Screen
from textual.widget import Widget

from tui.view.keys import Hints, Keys
from tui.view.layout import LEAST_HEIGHT, LEAST_WIDTH
from tui.view.lines import Line, cut
from tui.widgets.lines_view import LinesView

R = TypeVar("R")

HELP = ("?", "keys")
"""The key that shows all others."""


class QuietScreen(Screen[R], Generic[R]):
    """Base of every screen: a change of focus paints the two widgets only (stock: the whole screen)."""

    focused: Reactive[Widget | None] = Reactive(None, repaint=False)
    AUTO_FOCUS = ""

    live = False
    """Whether it shows what store and model say: drawn when something came back, and when it is on top again."""

    def take_worker_result(self) -> None:
        """Something came back from the store or the model: draw it where it is shown. Most screens show none of it."""
        if self.live:
            self.draw()

    def on_screen_resume(self) -> None:
        """Draw what changed meanwhile."""
        if self.live:
            self.call_after_refresh(self.draw)

    def draw(self) -> None:
        """Draw everything that changed; the screen's own."""

    def say(self, text: str) -> None:
        """Say something in the place of the keys; nothing brings them back."""
        for line in self.query(KeyLine):
            line.say(text)

    def cursor_place(self) -> Offset:
        """Return where the terminal's own cursor belongs, which readers and magnifiers follow: where a text is being
        written, else on the row under the cursor, else at the first cell."""
        focused = self.focused
        if focused is not None and hasattr(focused, "cursor_screen_offset") and _in_sight(self, focused):
            written: Offset = focused.cursor_screen_offset  # of an input or a text area; neither is loaded for it
            past_end = getattr(focused, "cursor_at_end", False)  # an input counts the cell behind its cursor
            return written - Offset(1, 0) if past_end else written
        for view in self.query(LinesView):
            row = view.marked if _in_sight(self, view) else None
            if row is not None:
                return view.region.offset + Offset(0, row)
        return Offset(0, 0)

    def dismiss(self, result: R | None = None) -> AwaitComplete:
        """Close the screen, once: what comes again while it goes closes nothing else."""
        if self.app.screen is not self:
            return AwaitComplete()
        return super().dismiss(result)


def _in_sight(screen: Screen[Any], part: Widget) -> bool:
    """Whether a part of a screen is shown."""
    try:
        return part.visible and bool(screen.find_widget(part).visible_region)
    except NoWidget:
        return False


def bindings(*tables: Keys) -> list[BindingType]:
    """Return textual's bindings of some tables."""
    return [
        Binding(key.keys, key.action, show=False, priority=key.priority)
        for table in tables
        for key in table
        if key.keys
    ]


def own_keys(table: Keys, owner: object) -> dict[str, Callable[[], object]]:
    """Return what an owner does at each key of a table, by its methods ``action_NAME``."""
    done: dict[str, Callable[[], object]] = {}
    for key in table:
        name, _, argument = key.action.removesuffix(")").partition("(")
        method = getattr(owner, f"action_{name}", None)
        if key.keys and method is not None:
            for one in key.keys.split(","):
                done[one] = partial(method, ast.literal_eval(argument)) if argument else method
    return done


def too_small(width: int, height: int) -> str:
    """Return what to say where the terminal is too small; empty where it is not.

    Examples
    --------
    >>> too_small(40, 12)
    'This screen is 40 by 12. The notebook needs 60 by 20. Nothing is lost. ctrl+q quits.'
    """
    if width >= LEAST_WIDTH and height >= LEAST_HEIGHT:
        return ""
    needs = f"The notebook needs {LEAST_WIDTH} by {LEAST_HEIGHT}."
    return f"This screen is {width} by {height}. {needs} Nothing is lost. ctrl+q quits."


def hint_line(hints: Hints, width: int) -> Line:
    """Return the keys that fit into one line; they stand closer where more of them fit so.

    The key that shows all keys takes the place of the last one that fits, where it does not fit itself.

    Examples
    --------
    >>> line = hint_line((("Enter", "open"), ("a", "add"), ("c", "copy"), ("?", "keys")), 30)
    >>> "".join(text for text, _ in line)
    ' Enter open   a add   ? keys'
    """
    fitting = [(_fitting(hints, width, gap), gap) for gap in (3, 2)]
    count, gap = max(fitting)
    shown_hints = hints[:count]
    for last in range(count, 0, -1) if HELP in hints[count:] else ():
        shown_hints = (*hints[: last - 1], HELP)
        if _fitting(shown_hints, width, gap) == last:
            break
    line: list[tuple[str, str]] = []
    for key, meaning in shown_hints:
        line += [(" " * gap if line else " ", ""), (key, "key"), (" " + meaning, "")]
    return tuple(line)


def _fitting(hints: Hints, width: int, gap: int) -> int:
    """Return how many keys fit into a line, so many cells apart."""
    used = 1 - gap
    for count, (key, meaning) in enumerate(hints):
        used += gap + len(key) + 1 + len(meaning)
        if used > width:
            return count
    return len(hints)


class KeyLine(LinesView):
    """The last line: the keys of the moment, or what has to be said until the next key."""

    DEFAULT_CSS = "KeyLine { height: 1; }"
    hints: Hints = ()
    status = ""

    def show_hints(self, hints: Hints) -> None:
        """Show these keys."""
        self.hints = hints
        width = self.size.width or 80
        if too_small(*self.app.size):
            self.show_lines([((cut(f"{LEAST_WIDTH} by {LEAST_HEIGHT} needed; ctrl+q quits", width), "flag"),)])
        elif self.status:
            self.show_lines([((cut(self.status, width), "flag"),)])
        else:
            self.show_lines([hint_line(hints, width)])

    def say(self, text: str) -> None:
        """Say something in the place of the keys; nothing brings them back."""
        if text != self.status:
            self.status = text
            self.show_hints(self.hints)

    def on_resize(self) -> None:
        """Fit the keys to the new width."""
        self.show_hints(self.hints)
