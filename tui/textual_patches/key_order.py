"""Keys in their order: one is carried out whole before the next is handed on, to the screen that is on top then.

A slow line or a busy computer delivers keys in bursts. Textual hands each to the widget in focus at once; it climbs to
the app from there, and what it opens or closes is mounted in several steps more. The second of two keys would reach a
part, or a screen, that the first was about to close.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Awaitable, Callable

from textual import events

Typed = events.Key | events.Paste
"""What comes from the keyboard."""
TICK = 0.002
"""How long is waited between two looks, [s]."""
LONGEST = 2500
"""Looks after which a key is taken for carried out although something of it goes on: a disk that does not answer."""
ROUNDS = 2000
"""Turns of the loop between two looks, where it never comes to rest."""


class KeyOrder:
    """The queue of what was typed, and the task that hands it on."""

    def __init__(self, hand_on: Callable[[Typed], Awaitable[None]], carried_out: Callable[[], bool]) -> None:
        self._hand_on = hand_on
        self._carried_out = carried_out
        """Whether nothing is left of a key's work that the loop does not do by itself."""
        self._waiting: deque[Typed] = deque()
        self._came = asyncio.Event()
        self._busy = False

    @property
    def idle(self) -> bool:
        """Whether all that was typed is carried out, and nothing else goes on."""
        return not (self._busy or self._waiting) and self._carried_out()

    def waits(self, key: str) -> bool:
        """Whether a key of this name is behind what is being carried out."""
        return any(isinstance(event, events.Key) and event.key == key for event in self._waiting)

    def put(self, event: Typed) -> None:
        """Take what was typed; it is handed on in its turn."""
        self._waiting.append(event)
        self._came.set()

    async def run(self) -> None:
        """Hand on what comes, until cancelled."""
        while True:
            await self._came.wait()
            self._came.clear()
            self._busy = True
            while self._waiting:
                await self._hand_on(self._waiting.popleft())
                await self._rest()
            self._busy = False

    async def _rest(self) -> None:
        """Wait until what was handed on is carried out."""
        for _ in range(LONGEST):
            for _ in range(ROUNDS):
                if not _something_to_do():
                    break
                await asyncio.sleep(0)
            if self._carried_out():
                return
            await asyncio.sleep(TICK)


def _something_to_do() -> bool:
    """Whether the loop has more to do at once (private part used: `_ready`; without it, it is taken for busy)."""
    return bool(getattr(asyncio.get_running_loop(), "_ready", True))
