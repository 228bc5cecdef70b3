"""A queue of the newest question only, behind the open prototype's, on a thread of its own: learning, rows, changes.

A question that is asked again ends the work on the one before at its next step. Part of the `Runner`, whose bell it
shares.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace

from tui.runs.model_calls import Late, ModelRequest


class NewestQueue:
    """One thread that answers the newest question of one sort."""

    def __init__(
        self, answer: Callable[[ModelRequest, Late], None], bell: threading.Condition, first: Callable[[], bool]
    ) -> None:
        """Take what answers and posts, what wakes all queues, and whether another queue goes first."""
        self._answer, self._bell, self._first = answer, bell, first
        self._request: ModelRequest | None = None
        self._number = 0
        self._working = False
        self._stopped = False

    @property
    def busy(self) -> bool:
        """Whether anything is asked or being worked on."""
        return self._working or self._request is not None

    def ask(self, request: ModelRequest) -> int:
        """Ask: takes the place of the question before; returns its number."""
        with self._bell:
            self._number += 1
            self._request = replace(request, number=self._number)
            self._bell.notify_all()
            return self._number

    def awaits(self, number: int) -> bool:
        """Whether the question of a number is the newest, so that its answer still comes."""
        return number == self._number

    def give_up(self) -> None:
        """Let nobody wait for what was asked."""
        with self._bell:
            self._number += 1
            self._request = None

    def stop(self) -> None:
        """End the thread at its next step; call with the bell held."""
        self._stopped, self._request = True, None

    def work(self, rest: Callable[[], None]) -> None:
        """Work until `stop`; `rest` is called behind each question."""
        while True:
            with self._bell:
                self._bell.wait_for(lambda: (self._request is not None and not self._first()) or self._stopped)
                if self._stopped or self._request is None:
                    return
                request, self._request, self._working = self._request, None, True
            try:
                self._answer(request, self._late(request))
            finally:
                with self._bell:
                    self._working = False
                    self._bell.notify_all()
            rest()

    def _late(self, request: ModelRequest) -> Callable[[], bool]:
        return lambda: request.number != self._number or self._stopped
