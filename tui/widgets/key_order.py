"""Keys that are typed ahead of the screen that takes them: the part that has the keys must not take them for its own.

A key goes to the widget in focus first and climbs to the app from there, one part after the other. A burst such as
``n``, a text and Enter would reach the widget whole before the first of it had climbed and opened the line to write.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from textual import events
from textual.binding import Binding
from textual.widget import Widget


async def stands_aside(widget: Widget, event: events.Key, *, typed: bool = False) -> bool:
    """Do what a key opens at once, where the screen says so; return whether the widget has to leave the key alone.

    The screen's ``AT_ONCE`` names those keys and their actions. While another screen covers that of the widget, its
    keys climb on to the app untouched, which hands them to the line that was opened; a key behind one that turned the
    leaf is for the part that has the keys now. `typed`: the key is a letter to the widget, whatever the screen says.
    """
    screen = widget.screen
    if widget.app.screen is not screen:
        return True
    now = screen.focused
    if now is not None and now is not widget:
        event.stop()
        event.prevent_default()
        now.post_message(events.Key(event.key, event.character))
        return True
    action = None if typed else getattr(screen, "AT_ONCE", {}).get(event.key)
    if action is None:
        return False
    event.stop()
    event.prevent_default()
    await widget.app.run_action(action)
    return True


@cache
def own_keys(kind: type[Widget]) -> dict[str, str]:
    """Return the keys that a kind of widget declares itself, and their actions."""
    declared = [binding for binding in kind.BINDINGS if isinstance(binding, Binding)]
    return {key.strip(): binding.action for binding in declared for key in binding.key.split(",")}


async def edits_at_once(widget: Widget, event: events.Key, kind: type[Widget]) -> bool:
    """Do what a key does in a widget to write in (backspace, arrows), at once; return whether it is one of those.

    Textual puts letters in at once and leaves such keys to the app, so that in a burst letters overtake a backspace.
    """
    action = own_keys(kind).get(event.key)
    if action is None:
        return False
    event.stop()
    event.prevent_default()
    await widget.run_action(action)
    return True


class Waiting:
    """Keys that wait for what they are meant for."""

    def __init__(self) -> None:
        self._keys: list[events.Key] = []

    @property
    def any(self) -> bool:
        """Whether any waits."""
        return bool(self._keys)

    def keep(self, event: events.Key) -> None:
        """Keep a key; it may have gone through another screen already."""
        self._keys.append(event)

    def hand_on(self, post: Callable[[events.Key], object]) -> None:
        """Hand all of them on in the order in which they were pressed, each as a new event: an old one would stop."""
        waited, self._keys = sorted(self._keys, key=lambda event: event.time), []
        for key in waited:
            post(events.Key(key.key, key.character))
