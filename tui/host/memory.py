"""Keeps the process small: what a prediction took goes back to the system (GNU libc; elsewhere nothing).

The allocator otherwise keeps freed arrays for later, a heap for each thread: half as much again as the notebook needs.
Given back at once from 128 kB on, though, every array is fetched from the system anew, page by page, and a prediction
takes three times as long; from four megabytes on, a tenth longer. `trim` gives back the rest once nothing is asked.
"""

from __future__ import annotations

from typing import Any

_MMAP_THRESHOLD, _TRIM_THRESHOLD, _ARENA_MAX = -3, -1, -8
"""Parameters of mallopt(3)."""
LARGE = 4 * 2**20
"""Size from which a block is the system's own, and free memory at the heap's end from which it is cut, [bytes]."""


def give_back() -> bool:
    """Set the allocator so that `trim` gives back most of what is freed; return whether it took that. Call early."""
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
