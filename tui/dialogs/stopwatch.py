"""A stopwatch with a key tapped once a turn: turns and time with their spread, as texts for a reading.

Nothing runs on the screen: it is drawn at each tap alone, so that a slow line is not kept busy. A tap counts from when
its key came in, not from when it was handled; what the line holds it back by stands in the spread.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from textual import events

from model.bench.kinds import Mode
from tui.dialogs.base import LinesDialog
from tui.host.terminal import is_remote
from tui.view.layout import READABLE
from tui.view.lines import Line, cut, wrapped

HAND = 0.1
"""Half-width of what the hand adds to a time, [s]; common practice, no source."""
LINE = 0.2
"""The same for what a line to another computer holds keys back by, one more and one less, [s]; no source."""
TOO_CLOSE = 0.06
"""Taps nearer than this are not of a hand: a key held down, or keys that the line held back, [s]."""


_HOW: Mapping[Mode, str] = {
    Mode.TURNS: "Tap Space each time the stripe comes past, the first time too; Enter after the last. If it turns too "
    "fast to tap, press 2 to 9 first and tap once in so many turns.",
    Mode.COAST: "Flick it. Tap Space each time the stripe comes past, the first time too; Enter when it stands still.",
    Mode.SPAN: "Space when it begins, Space or Enter when it ends.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """What was timed, as texts of a reading."""

    turns: str
    """Empty where no turns were counted."""
    time: str
    note: str = ""
    """The time of each turn."""


def line_delay(environ: Mapping[str, str]) -> float:
    """Return what the line may hold a key back by, [s]: nothing at the computer itself.

    Examples
    --------
    >>> line_delay({}), line_delay({"SSH_CONNECTION": "192.0.2.1 50000 192.0.2.2 22"})
    (0.0, 0.2)
    """
    return LINE if is_remote(environ) else 0.0


def timed(taps: Sequence[float], end: float, *, mode: Mode, each: int = 1, delay: float = 0.0) -> Timed | None:
    """Return turns and time with their spread; None where there is too little to tell.

    Parameters
    ----------
    taps : sequence of float
        When the key was tapped, [s].
    end : float
        When Enter was pressed, [s].
    mode : Mode
        What is timed.
    each : int
        Turns of one tap, [-].
    delay : float
        What the line may hold a key back by, [s].

    Notes
    -----
    A coast stops somewhere within its last turn: half a turn is added, and half a turn is its spread.

    Examples
    --------
    >>> timed([0.0, 1.0, 2.1, 3.4], 5.0, mode=Mode.TURNS, delay=0.2)
    Timed(turns='3 +-0', time='3.4 s +-0.3', note='turn times 1.0, 1.1, 1.3 s')
    >>> timed([0.0, 1.0, 2.1, 3.4], 5.0, mode=Mode.COAST).turns
    '3.5 +-0.5'
    """
    if (mode is Mode.TURNS and len(taps) < 2) or not taps:
        return None
    last = taps[-1] if mode is Mode.TURNS else end
    if mode is Mode.SPAN and len(taps) > 1:
        last = taps[1]
    spent = last - taps[0]
    if spent < 0.05:
        return None
    counted = {Mode.TURNS: f"{(len(taps) - 1) * each} +-0", Mode.COAST: f"{len(taps) - 0.5} +-0.5"}.get(mode, "")
    steps = [b - a for a, b in pairwise(taps)]
    note = "" if mode is Mode.SPAN or not steps else f"turn times {', '.join(f'{s:.1f}' for s in steps[:20])} s"
    if each > 1:
        note = f"tapped once in {each} turns"
    return Timed(turns=counted, time=f"{spent:.1f} s +-{HAND + delay:.1f}", note=note)


class Stopwatch(LinesDialog["Timed | None"]):
    """Counts taps of Space; returns what was timed when the builder says so, else None."""

    def __init__(
        self,
        title: str,
        mode: Mode,
        *,
        colour: bool,
        clock: Callable[[events.Key], float] = lambda event: event.time,
        delay: float | None = None,
    ) -> None:
        super().__init__(colour=colour)
        self.head, self.mode, self.clock = title, mode, clock
        self.delay = line_delay(os.environ) if delay is None else delay
        self.taps: list[float] = []
        self.each = 1
        self.ended: float | None = None
        """When it was ended; None while it counts."""
        self.result: Timed | None = None

    def draw(self) -> None:
        """Show what was counted so far, or what it came to."""
        width = max(20, min(READABLE, self.view.size.width))
        line = f" and {self.delay:.1f} s of the line to this computer" if self.delay else ""
        spread = f"The spread is +-{HAND + self.delay:.1f} s: {HAND:.1f} s of the hand{line}."
        lines: list[Line] = [((cut(self.head, width), "name"),), (), *wrapped(_HOW[self.mode], width)]
        lines += [*wrapped(spread, width), ()]
        self.view.show_lines([*lines, *self._state(width)])
        if self.ended is None:
            count = (("Space", "begin" if not self.taps else "end" if self.mode is Mode.SPAN else "a turn"),)
            self.keys.show_hints((*count, *((("Enter", "end"),) if self.taps else ()), ("Esc", "back")))
        else:
            use = (("Enter", "write it down"),) if self.result else ()
            self.keys.show_hints((*use, ("Space", "begin anew"), ("Esc", "back without it")))

    def _state(self, width: int) -> list[Line]:
        if self.ended is not None:
            return self._outcome(width)
        each = f"A tap is {self.each} turns. " if self.each > 1 else ""
        if not self.taps:
            return wrapped(f"{each}It has not begun.", width, role="strong")
        count = (len(self.taps) - 1) * self.each
        count_text = "It runs." if self.mode is Mode.SPAN or not count else f"Turns: {count}"
        lines = wrapped(each + count_text, width, role="strong")
        if len(self.taps) > 1:
            step, whole = self.taps[-1] - self.taps[-2], self.taps[-1] - self.taps[0]
            lines += wrapped(f"The last took {step:.1f} s; {whole:.1f} s in all.", width)
        return [*lines, *self._doubt(width)]

    def _outcome(self, width: int) -> list[Line]:
        if self.result is None:
            wanted = "two taps" if self.mode is Mode.TURNS else "one tap, and some time until Enter"
            return wrapped(f"Too little to tell: it needs {wanted}.", width, role="strong")
        lines: list[Line] = []
        if self.result.turns:
            lines += wrapped(self.result.turns, width, role="strong", first="Turns  ")
        lines += wrapped(self.result.time, width, role="strong", first="Time   ")
        lines += wrapped(self.result.note, width, first="Remark ", rest="       ") if self.result.note else []
        lines += self._doubt(width)
        return [*lines, (), *wrapped("Enter writes this down; every text can be changed afterwards.", width)]

    def _doubt(self, width: int) -> list[Line]:
        close = any(b - a < TOO_CLOSE for a, b in pairwise(self.taps))
        text = "! Some taps came together: a key held down, or a line that held keys back. Better begin anew."
        return wrapped(text, width, role="flag", rest="  ") if close else []

    def on_key(self, event: events.Key) -> None:
        """Tap, end, write down, begin anew or go back."""
        key = event.key
        if key == "space":
            self._tap(self.clock(event))
        elif key == "enter":
            if self.ended is None and self.taps:
                self._end(self.clock(event))
            elif self.result is not None:
                event.stop()
                self.dismiss(self.result)
                return
        elif key == "escape":
            if self.ended is None and self.taps:
                self._end(self.clock(event))
            else:
                event.stop()
                self.dismiss(None)
                return
        elif key in "23456789" and len(key) == 1 and self.mode is Mode.TURNS and not self.taps:
            self.each = int(key)
        else:
            return
        event.stop()
        event.prevent_default()
        self.draw()

    def _tap(self, now: float) -> None:
        if self.ended is not None:
            self.taps, self.ended, self.result = [], None, None
            return
        self.taps.append(now)
        if self.mode is Mode.SPAN and len(self.taps) == 2:
            self._end(now)

    def _end(self, now: float) -> None:
        self.ended = now
        self.result = timed(self.taps, now, mode=self.mode, each=self.each, delay=self.delay)
