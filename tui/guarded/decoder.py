"""Stray bytes on the keyboard line: shown as a replacement, never fatal."""

from __future__ import annotations

import codecs
import functools
from typing import Any


def forgive_stray_bytes() -> bool:
    """Make the input decoder replace bytes that are no UTF-8; return whether textual's driver took it."""
    try:
        import textual.drivers.linux_driver as driver
    except ImportError:
        return False
    if not hasattr(driver, "getincrementaldecoder"):
        return False

    def forgiving(encoding: str) -> Any:
        return functools.partial(codecs.getincrementaldecoder(encoding), errors="replace")

    driver.getincrementaldecoder = forgiving
    return True
