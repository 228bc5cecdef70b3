"""The keyboard line: keys and pastes as they come, stray bytes shown as a replacement, an end that is a line hung up.

A paste is text to its last character, whatever stands in it; one whose end never comes is ended when nothing more
comes. Escape is told from a sequence as soon as its time is over. A program that ends is not brought back by a signal.
"""

from __future__ import annotations

import asyncio
import codecs
import os
import select
import signal
import termios
import time
from collections.abc import Callable, Iterator
from typing import Any

from textual import constants, events
from textual._xterm_parser import BRACKETED_PASTE_END, BRACKETED_PASTE_START, XTermParser
from textual.drivers.linux_driver import LinuxDriver
from textual.message import Message

from tui.textual_patches.background import ASK_BACKGROUND, BEGIN, BackgroundTold, told

LOOK = 0.1
"""How often it is looked whether the program ends, [s]."""
NEAR, FAR = 1.0, 10.0
"""How long nothing comes until a paste without an end is ended, [s]: at the computer, on a line to another."""


SEQUENCES = "[O]P_^X"
"""What follows Escape in what a terminal sends by itself; with anything else behind it, Escape is a key."""
LONGEST = 40
"""Characters of the longest sequence, and some."""


class KeyStream:
    """Makes keys and pastes of what a terminal sends."""

    def __init__(self, *, patience: float, clock: Callable[[], float] = time.monotonic) -> None:
        self.patience = patience
        self._clock = clock
        self._parser = XTermParser()
        self._last = ""
        """The last characters, as far as they may begin a paste."""
        self._escape = False
        """Whether an Escape waits for what comes behind it."""
        self._pasted: list[str] | None = None
        """What was pasted so far; None while nothing is."""
        self._told: str | None = None
        """What a terminal has told of itself so far; None while it tells nothing."""
        self._until: float | None = None
        """When to look again although nothing came."""

    @property
    def wait(self) -> float:
        """How long may be waited for more, [s]."""
        return LOOK if self._until is None else max(0.0, min(LOOK, self._until - self._clock()))

    def feed(self, text: str) -> Iterator[Message]:
        """Return what a text holds."""
        for character in text:
            if self._pasted is not None:
                yield from self._paste(self._pasted, character)
                continue
            if self._told is not None:
                yield from self._take_told(self._told + character)
                continue
            if self._escape:
                self._escape = False
                if character == "]":
                    self._told = character
                    continue
                if character in SEQUENCES:
                    yield from self._parser.feed("\x1b")
                else:
                    yield events.Key("escape", "\x1b")
            self._last = (self._last + character)[-LONGEST:]
            if character == "\x1b":
                self._escape = True
                continue
            yield from self._parser.feed(character)
            if self._last.endswith(BRACKETED_PASTE_START):
                self._pasted, self._last = [], ""
        waits = self._pasted is not None or (self._told or "").startswith(BEGIN)
        patience = self.patience if waits else constants.ESCAPE_DELAY
        begun = self._pasted is not None or self._told is not None or "\x1b" in self._last
        self._until = self._clock() + patience if begun else None

    def tick(self) -> Iterator[Message]:
        """Return what is to be taken for whole because nothing more came."""
        if self._until is None or self._clock() < self._until:
            return
        if self._pasted is not None:
            yield from self._end_paste()
        elif self._escape:
            self._escape = False
            yield events.Key("escape", "\x1b")
        elif self._told is not None:  # keys; or an answer that broke off: what is left of it is not typed into a field
            text, self._told = self._told, None
            if not text.startswith(BEGIN):
                yield from self._parser.feed("\x1b" + text)
            self._until = self._clock() + constants.ESCAPE_DELAY
            return
        else:
            yield from self._parser.tick()
        self._last, self._until = "", None

    def _take_told(self, text: str) -> Iterator[Message]:
        """Take what a terminal tells of itself so far; what is no answer goes on as it came."""
        answer = told(text)
        self._told = text if answer is True else None
        if isinstance(answer, BackgroundTold):
            self._last = ""
            yield answer
        elif answer is None:
            yield from self._parser.feed("\x1b" + text)

    def _paste(self, pasted: list[str], character: str) -> Iterator[Message]:
        pasted.append(character)
        length = len(BRACKETED_PASTE_END)
        if character == BRACKETED_PASTE_END[-1] and "".join(pasted[-length:]) == BRACKETED_PASTE_END:
            del pasted[-length:]
            yield from self._end_paste()

    def _end_paste(self) -> Iterator[Message]:
        text, self._pasted = "".join(self._pasted or ()), None
        for message in self._parser.feed(BRACKETED_PASTE_END):  # it saw the beginning alone
            if not isinstance(message, events.Paste):
                yield message
        yield events.Paste(text.replace("\x00", ""))


class Keyboard(LinuxDriver):
    """Textual's terminal, with a keyboard line and an end of ours."""

    def __init__(self, *args: Any, **named: Any) -> None:
        self._on_screen = self._suspended = False
        super().__init__(*args, **named)

    def run_input_thread(self) -> None:
        """Read what is typed until the screens end."""
        terminal = getattr(getattr(self, "_app", None), "terminal", None)
        stream = KeyStream(patience=FAR if terminal is not None and terminal.remote else NEAR)
        decode = codecs.getincrementaldecoder("utf-8")(errors="replace").decode
        while not self.exit_event.is_set():
            ready, _, _ = select.select([self.fileno], [], [], stream.wait)
            if ready:
                data = _read(self.fileno)
                if not data:
                    _hang_up()
                    self.exit_event.wait()
                    return
                for message in stream.feed(decode(data)):
                    self.process_message(message)
            for message in stream.tick():
                self.process_message(message)

    def start_application_mode(self) -> None:
        """Take the terminal."""
        super().start_application_mode()  # type: ignore[no-untyped-call]
        self._on_screen = True
        terminal = getattr(getattr(self, "_app", None), "terminal", None)
        if terminal is not None and terminal.colour and terminal.many and not (terminal.plain or terminal.background):
            self.write(ASK_BACKGROUND)

    def stop_application_mode(self) -> None:
        """Give the terminal back."""
        self._on_screen = False
        super().stop_application_mode()

    def _sigtstp_application(self, *_: object) -> None:
        if self._on_screen and getattr(self, "_auto_restart", True):
            self._suspended = True
            super()._sigtstp_application()
        else:
            os.kill(os.getpid(), signal.SIGSTOP)

    def _sigcont_application(self, *_: object) -> None:
        """Take the terminal again where it was given back, or where a shell had it meanwhile; not while it ends."""
        try:
            asyncio.get_running_loop()
        except RuntimeError:
            return
        if self._suspended:
            self._suspended = False
            super()._sigcont_application()
        elif self._on_screen and self._taken_away():
            self.suspend_application_mode()
            self._must_signal_resume = True
            self.resume_application_mode()

    def _taken_away(self) -> bool:
        """Whether somebody else set the terminal so that it echoes or collects lines."""
        try:
            return bool(termios.tcgetattr(self.fileno)[3] & (termios.ECHO | termios.ICANON))
        except termios.error:
            return False


def _read(fileno: int) -> bytes:
    """Return what is there; nothing where the line has ended."""
    try:
        return os.read(fileno, 4096)
    except OSError:
        return b""


def _hang_up() -> None:
    """Do as a terminal that is closed does, also where the system sends no signal (no controlling terminal)."""
    os.kill(os.getpid(), signal.SIGHUP)
