"""From an older format to the one that is written now: one step for each number, on the plain document. Pure.

A step takes the document of its format and returns that of the next. Nothing older than format 1 was ever released, so
the table is empty; the first step is added together with format 2. `files` keeps the original before the first rewrite.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from model.store.document import FORMAT, Document

Migration = Callable[[Document], Document]

STEPS: Mapping[int, Migration] = MappingProxyType({})
"""Number of a format -> the step from it to the next."""


def oldest() -> int:
    """Return the oldest format that can be read."""
    number = FORMAT
    while number - 1 in STEPS:
        number -= 1
    return number


def migrated(document: Document) -> tuple[Document, bool]:
    """Return a document in the format of now, and whether it was in an older one that is known."""
    number = document.get("format")
    if isinstance(number, bool) or not isinstance(number, int) or not oldest() <= number < FORMAT:
        return document, False
    for step in range(number, FORMAT):
        document = {**STEPS[step](document), "format": step + 1}
    return document, True
