"""Keys in their order: one is carried out whole before the next is handed on."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from textual import events

from tui.textual_patches.key_order import KeyOrder, Typed


def name_of(event: Typed) -> str:
    return event.key if isinstance(event, events.Key) else "paste"


def handed_on(*typed: Typed, carried_out: Callable[[list[str]], bool] = lambda handed: True) -> list[str]:
    """Put all at once; return what was handed on and, between them, what was done later by a task of its own."""
    log: list[str] = []

    async def later(name: str) -> None:
        for _ in range(5):
            await asyncio.sleep(0)
        log.append(f"{name} done")

    async def hand_on(event: Typed) -> None:
        log.append(name_of(event))
        tasks.append(asyncio.create_task(later(name_of(event))))

    async def go() -> None:
        order = KeyOrder(hand_on, lambda: carried_out(log))
        for event in typed:
            order.put(event)
        assert not order.idle
        running = asyncio.create_task(order.run())
        while not order.idle:
            await asyncio.sleep(0.001)
        running.cancel()

    tasks: list[asyncio.Task[None]] = []
    asyncio.run(go())
    return log


def keys(*names: str) -> list[Typed]:
    return [events.Key(name, None) for name in names]


def test_keys_that_wait_are_handed_on_as_they_were_typed_each_when_the_one_before_is_done() -> None:
    assert handed_on(*keys("a", "b", "c")) == ["a", "a done", "b", "b done", "c", "c done"]


def test_a_paste_between_keys_keeps_its_place() -> None:
    typed = [*keys("down"), events.Paste("11 mm"), *keys("enter")]
    assert handed_on(*typed)[::2] == ["down", "paste", "enter"]


def test_a_key_waits_for_work_that_the_loop_does_not_do_by_itself() -> None:
    """Such as a worker on a thread: it is asked for until it says that it has ended."""
    asked: list[str] = []

    def carried_out(handed: list[str]) -> bool:
        asked.append(handed[-1])
        return len(asked) % 3 == 0

    assert handed_on(*keys("a", "b"), carried_out=carried_out)[::2] == ["a", "b"]
    assert asked[:6] == ["a done"] * 3 + ["b done"] * 3  # the end asks once more whether all is done


def test_it_is_known_which_keys_wait() -> None:
    order = KeyOrder(lambda event: asyncio.sleep(0), lambda: True)
    for event in (*keys("left"), events.Paste("escape")):
        order.put(event)
    assert order.waits("left")
    assert not order.waits("escape")
