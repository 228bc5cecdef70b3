"""A line that stalls holds up nothing: what is to be drawn waits, keys and saves go on.

Textual's event loop stops when thirty writes wait for the terminal; typing would then be neither taken nor drafted.
With no bound the loop goes on; what waits grows only with what is typed, since nothing is drawn while nothing changes.
"""

from __future__ import annotations


def never_wait_for_the_line() -> bool:
    """Let any number of writes wait for the terminal; return whether textual's driver took it."""
    try:
        import textual.drivers._writer_thread as writer
    except ImportError:
        return False
    if not hasattr(writer, "MAX_QUEUED_WRITES"):
        return False
    setattr(writer, "MAX_QUEUED_WRITES", 0)  # noqa: B010  (declared final there)
    return True


def line_waits(app: object) -> bool:
    """Whether something that was drawn still waits for the terminal: a slow line, or nobody reads it.

    Private parts used: `_driver`, `_writer_thread`, `_queue`; without them nothing is said to wait.
    """
    thread = getattr(getattr(app, "_driver", None), "_writer_thread", None)
    queue = getattr(thread, "_queue", None)
    return queue is not None and hasattr(queue, "qsize") and queue.qsize() > 0
