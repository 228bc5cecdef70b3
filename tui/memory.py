"""Keeps the process small: what a prediction took goes back to the system at once (GNU libc; elsewhere nothing).

The allocator otherwise keeps freed arrays for later, a heap for each thread: half as much again as the notebook needs.
Called before the model is loaded.
"""

from __future__ import annotations

_MMAP_THRESHOLD, _TRIM_THRESHOLD, _ARENA_MAX = -3, -1, -8
"""Parameters of mallopt(3)."""
LARGE = 128 * 1024
"""Size from which a block is the system's own, [bytes]; fixed, or it would grow with what was freed."""


def give_back() -> bool:
    """Let freed memory go back to the system; return whether the allocator took it."""
    import ctypes

    try:
        mallopt = ctypes.CDLL(None).mallopt
    except (AttributeError, OSError):
        return False
    settings = ((_ARENA_MAX, 1), (_MMAP_THRESHOLD, LARGE), (_TRIM_THRESHOLD, LARGE))
    taken = [bool(mallopt(name, value)) for name, value in settings]
    return all(taken)
