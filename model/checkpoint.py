"""Between the steps of long work: whoever has it done may end it there, let others go first, and is told how far it is.

Nothing is done there by default. A thread that runs the model may set what is, for itself alone: `set_checkpoint`;
what is called may raise, and the work ends with that.
"""

from __future__ import annotations

from collections.abc import Callable
from contextvars import ContextVar


def _on() -> None:
    """Go straight on."""


Progress = Callable[[float], None]
"""Told the share of the work that is done, 0 to 1."""


def silent(share: float) -> None:
    """Tell nobody how far it is."""


_between: ContextVar[Callable[[], None]] = ContextVar("between_steps", default=_on)


def set_checkpoint(between: Callable[[], None]) -> None:
    """Set what the work of this thread does between its steps: a tenth of a second apart at most on a server."""
    _between.set(between)


def checkpoint() -> None:
    """Do it. Called by whatever takes long, between its steps."""
    _between.get()()
