"""A fault in the work of one key is written down and told, and the program goes on; one after the other end it.

Textual ends the program at the first. What was typed stands in the project, which changes in one step or not at all.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable
from typing import Any

from textual import events
from textual.message_pump import MessagePump

MOST, WITHIN = 3, 10.0
"""So many faults in so many seconds are lived with; the next one ends the program."""


class Faults:
    """How many faults there were lately."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lately: deque[float] = deque(maxlen=MOST + 1)

    def bearable(self) -> bool:
        """Count one more; return whether it can be lived with."""
        now = self._clock()
        self._lately.append(now)
        return sum(now - at < WITHIN for at in self._lately) <= MOST


def keep_parts_running() -> bool:
    """Let a part of the screen live on after a fault that the app bears (`bear_fault`); return whether textual does.

    Private part used: `_dispatch_message`. What goes wrong while a part is being made still ends the program.
    """
    dispatch: Any = getattr(MessagePump, "_dispatch_message", None)
    if dispatch is None:
        return False

    async def dispatch_message(self: MessagePump, message: Any) -> None:
        try:
            await dispatch(self, message)
        except Exception as error:
            bear: Any = getattr(self.app, "bear_fault", None)
            if bear is None or isinstance(message, events.Compose | events.Mount) or not bear(error):
                raise

    MessagePump._dispatch_message = dispatch_message  # type: ignore[method-assign]
    return True
