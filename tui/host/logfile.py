"""Where the details of an error in the program are written, so that the screen needs one line only."""

from __future__ import annotations

import os
import time
import traceback
from pathlib import Path

from tui.text.sanitise import sanitise

SAFE = "What you typed is safe."
_LIMIT = 200_000


def log_path() -> Path:
    """Return the log file: ``$XDG_STATE_HOME/quarterturn/faults.log``, else under ``~/.local/state``."""
    named = os.environ.get("XDG_STATE_HOME", "")
    base = Path(named) if named and Path(named).is_absolute() else Path("~/.local/state").expanduser()
    return base / "quarterturn" / "faults.log"


def write_fault(error: BaseException) -> str:
    """Write an error with its trace to the log; return one line for the screen that names it and the file."""
    what = sanitise(f"{type(error).__name__}: {error}")[:200]
    trace = "".join(traceback.format_exception(error))
    path = log_path()
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if path.exists() and path.stat().st_size > _LIMIT:
            path.replace(path.with_suffix(".old"))
        with path.open("a", encoding="utf-8", errors="replace") as file:
            file.write(f"{time.strftime('%Y-%m-%d %H:%M:%S')}\n{sanitise(trace, lines=True)}\n")
    except OSError as trouble:
        return f"Error in the program ({what}); the log {path} cannot be written: {sanitise(trouble)}."
    return f"Error in the program ({what}); details are in {path}. {SAFE}"
