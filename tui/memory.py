"""Keeps the process small: what a prediction took goes back to the system at once (GNU libc; elsewhere nothing).

The allocator otherwise keeps freed arrays for later, a heap for each thread: half as much again as the notebook needs.
Called before the model is loaded.
"""

from __future__ import annotations

from typing import Any

_MMAP_THRESHOLD, _TRIM_THRESHOLD, _ARENA_MAX = -3, -1, -8
"""Parameters of mallopt(3)."""
LARGE = 128 * 1024
"""Size from which a block is the system's own, [bytes]; fixed, or it would grow with what was freed."""


def give_back() -> bool:
    """Let freed memory go back to the system; return whether the allocator took it."""
    libc = _libc()
    settings = ((_ARENA_MAX, 1), (_MMAP_THRESHOLD, LARGE), (_TRIM_THRESHOLD, LARGE))
    taken = [libc is not None and bool(libc.mallopt(name, value)) for name, value in settings]
    return all(taken)


def trim() -> bool:
    """Give back the free pages between what is in use, some 4 MB after a prediction; return whether there were any."""
    libc = _libc()
    return libc is not None and bool(libc.malloc_trim(0))


def _libc() -> Any:
    """Return the C library where it has these calls, else None."""
    import ctypes

    try:
        libc = ctypes.CDLL(None)
        return libc if libc.mallopt and libc.malloc_trim else None
    except (AttributeError, OSError):
        return None
