"""What is not known exactly of a build, in words: its range now, what it was before, where it comes from. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from model.prediction.result import Figure
from tui.text.figures import figure_text

if TYPE_CHECKING:
    from model.knowledge.result import Unknown


def unknown_text(item: Unknown) -> str:
    """Return an unknown as text: its value now, what it was before, and where it comes from."""
    now, was = (_span(item, ends) for ends in (item.after, item.before))
    origin = ", ".join(part for part in (item.origin, item.since) if part)
    return f"{now}; {'' if now == was else f'was {was}; '}{origin}"


def _span(item: Unknown, ends: tuple[float, float, float]) -> str:
    value, low, high = ends
    return figure_text(
        Figure(key=item.key, label=item.label, kind=item.kind, unit=item.unit, value=value, low=low, high=high)
    )
