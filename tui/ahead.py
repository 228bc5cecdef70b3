"""Keys that are typed ahead of the screen that takes them: the part that has the keys must not take them for its own.

A key goes to the widget in focus first and climbs to the app from there, one part after the other. A burst such as
``n``, a text and Enter would reach the widget whole before the first of it had climbed and opened the line to write.
"""

from __future__ import annotations

from textual import events
from textual.widget import Widget


async def stands_aside(widget: Widget, event: events.Key) -> bool:
    """Do what a key opens at once, where the screen says so; return whether the widget has to leave the key alone.

    The screen's ``AT_ONCE`` names those keys and their actions. While another screen covers that of the widget, its
    keys climb on to the app untouched, which hands them to the line that was opened.
    """
    screen = widget.screen
    if widget.app.screen is not screen:
        return True
    action = getattr(screen, "AT_ONCE", {}).get(event.key)
    if action is None:
        return False
    event.stop()
    event.prevent_default()
    await widget.app.run_action(action)
    return True
