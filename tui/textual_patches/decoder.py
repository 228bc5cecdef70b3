"""The keyboard line: stray bytes are shown as a replacement, never fatal; a line that has ended is a line hung up."""

from __future__ import annotations

import codecs
import os
import signal
from collections.abc import Callable
from typing import Any


def _hang_up() -> None:
    """Do as a terminal that is closed does, also where the system sends no signal (no controlling terminal)."""
    os.kill(os.getpid(), signal.SIGHUP)


def forgiving(encoding: str, ended: Callable[[], None]) -> Callable[[], codecs.IncrementalDecoder]:
    """Return a maker of decoders that replace what is no text of the encoding and tell once when nothing more comes."""
    base: Any = codecs.getincrementaldecoder(encoding)
    told: list[bool] = []

    class Line(base):  # type: ignore[misc]
        """Decoder of one keyboard line."""

        def __init__(self) -> None:
            super().__init__(errors="replace")

        def decode(self, data: bytes, final: bool = False) -> str:
            """Decode bytes; an empty read before the end means that the other side has gone."""
            if not data and not final and not told:
                told.append(True)
                ended()
            return str(super().decode(data, final))

    return Line


def forgive_stray_bytes() -> bool:
    """Give textual's driver our decoder of the keyboard line; return whether it took it."""
    try:
        import textual.drivers.linux_driver as driver
    except ImportError:
        return False
    if not hasattr(driver, "getincrementaldecoder"):
        return False
    driver.getincrementaldecoder = lambda encoding: forgiving(encoding, _hang_up)
    return True
