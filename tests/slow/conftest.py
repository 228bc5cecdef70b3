"""The notebook of the screens' tests, for walks that take long."""

from __future__ import annotations

from tests.tui.conftest import notebook, quick

__all__ = ["notebook", "quick"]
