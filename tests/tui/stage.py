"""What the tests of the screens share: a model that answers at once, and a way to drive the app and read its screen."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Coroutine, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any
from unittest import mock

from textual import events
from textual._compositor import Compositor

from model.fields import Build
from model.prediction.result import CurvePoint, Figure, Gap, Need, Prediction, Verdict, Why
from model.quantities.units import Kind
from model.record import Entry, Mark, Project, Reading
from tests.examples import few_or
from tests.tui.waiting import read_folder, wait_until_idle
from tui.host.terminal import Terminal
from tui.notebook import NotebookApp
from tui.runs.model_api import Answer, EngineQuestion, Question, default_changes
from tui.runs.runner import Runner
from tui.storage.persistence import Persistence

if TYPE_CHECKING:
    from model.explain.diagnosis.allowances import Allowance
    from model.explain.diagnosis.diagnose import Diagnosis

W = "A stand-in for the tests"
SIZES, TERMINALS = ((60, 20), (80, 24), (130, 40)), (Terminal(), Terminal(colour=False, plain=True))
SHAPES = [(size, terminal) for size in SIZES for terminal in few_or((TERMINALS[size == SIZES[0]],), TERMINALS)]
"""Sizes and kinds of terminal in which everything has to fit: the smallest in plain characters, all with all where more
is asked for."""
LOOK = 0.001
"""Pause between two looks whether the app has come to rest, [s]."""
LONGEST_PAUSE = 0.05
"""The same where something slow is waited for, [s]."""
SOON = 0.05
"""A timer that strikes within so long belongs to what is being drawn, [s]."""
MANY = 2000
"""Looks after which a timer that strikes for ever is waited for no longer."""
PATIENCE = 120.0
"""How long the app may take to come to rest on a slow machine before the test gives up, [s]; nothing is timed."""
LONGEST = 400.0
"""How long a whole scene may take, [s]: one that looks for what never comes ends too."""
CAN = {
    "layout": "gamma",
    "piston_kind": "piston",
    "piston_bore": "3/8 in +-0.1 mm measured",
    "piston_throw": "5 mm",
    "displacer_bore": "72 mm",
    "displacer_throw": "10 mm",
    "heat_source": "candle",
    "cold_side": "air",
}
ROCKER = {"layout": "rocking", "piston_bore": "20 mm"}


SHORTER = {**CAN, "piston_throw": "4 mm"}


def can() -> Project:
    """A prototype with two marks; the first has a reading."""
    texts = {"tachometer": "300 rpm", "force_tight": "10 g", "radius": "20 mm"}
    entry = Entry(
        key="k7f3m2",
        day="2026-11-25",
        mark=1,
        text="Turned free at last.",
        ticks=("runs_ten",),
        readings={"a": Reading(key="a", kind="brake", texts=texts)},
    )
    return Project(
        name="Paint tin",
        about="Invented for the tests.",
        marks={1: Mark(number=1, build=CAN), 2: Mark(number=2, reason="Shorter throw", build=SHORTER)},
        entries={"k7f3m2": entry},
    )


def figure(key: str, label: str, kind: Kind, unit: str, value: float | None, *, spread: bool = True) -> Figure:
    """Return a figure whose interval is a half to twice its value."""
    known = value is not None and spread
    return Figure(
        key=key,
        label=label,
        kind=kind,
        unit=unit,
        value=value,
        low=min(value / 2, value * 2) if known and value is not None else None,
        high=max(value / 2, value * 2) if known and value is not None else None,
        why=Why(formula=f"{label} = 1 x 2", inputs=(("Bore", "9.5 mm"),), source=W, note="Holds in the tests."),
    )


def stand_in(project: Project, *, mark: int, build: Build) -> Iterator[Prediction]:
    """Answer as the model would: the value, then its interval."""
    for spread in (False, True):
        yield predicted(build, spread=spread)


def predicted(build: Build, *, spread: bool) -> Prediction:
    """Return an answer: power grows with the throw, nothing for a layout without a crank."""
    if build.layout == "rocking":
        return Prediction(verdict=Verdict.NO_PREDICTION, reason="No crank moves the displacer.")
    throw = build.piston_throw.value if build.piston_throw else 0.001
    runs = throw < 0.02
    figures = (
        figure("shaft_power", "Best shaft power", Kind.POWER, "mW", throw if runs else None, spread=spread),
        figure(
            "speed_at_best_power", "Speed at best power", Kind.ROTATION, "rpm", 31.4 if runs else None, spread=spread
        ),
        figure("free_running_speed", "Free-running speed", Kind.ROTATION, "rpm", 62.8 if runs else None, spread=spread),
        figure("indicated_power", "Indicated power", Kind.POWER, "mW", 2 * throw, spread=spread),
    )
    wants = Need(
        key="temperature_difference", label="Temperature difference", kind=Kind.NUMBER, unit="", wants=45.0, has=20.0,
        met=runs, why=Why(formula="torque left over is nil", source=W),
    )  # fmt: skip
    return Prediction(
        verdict=Verdict.RUNS if runs else Verdict.DOES_NOT_RUN,
        run_probability=(0.9 if runs else 0.1) if spread else None,
        figures={f.key: f for f in figures},
        at_speed=31.4,
        curve=tuple(CurvePoint(speed=s, indicated=throw * 2, shaft=throw * (1 - s / 60)) for s in range(5, 70, 5)),
        needs=(wants,),
        assumed={"side_clearance": "1 to 3 mm"},
        widest=(("Heat that gets in", 0.6), ("Friction", 0.2)) if spread else (),
        warnings=("A correlation is used beyond its range.",),
        has_interval=spread,
    )


def stand_in_gaps(project: Project, *, mark: int | None, samples: int) -> tuple[Gap, ...]:
    """Answer as the gap would."""
    return tuple(
        Gap(
            entry=entry.key, reading=reading.key, mark=mark, day=entry.day, quantity="shaft_power",
            measured=figure("measured", "Measured", Kind.POWER, "mW", 0.003),
            predicted=figure("predicted", "Predicted", Kind.POWER, "mW", 0.005),
            gap=figure("gap", "Gap", Kind.POWER, "mW", -0.002),
        )
        for entry, reading in project.readings_of(mark or 1)
    )  # fmt: skip


def stand_in_diagnosis(
    project: Project, *, mark: int, progress: Callable[[float], None] = lambda share: None
) -> Diagnosis:
    """Answer as the weighing of causes would."""
    from tests.tui.causes import diagnosis

    return diagnosis(project, mark=mark, progress=progress)


def stand_in_allowances(project: Project, *, mark: int) -> tuple[Allowance, ...]:
    """Answer as the allowances would."""
    from tests.tui.causes import allowances

    return allowances(project, mark=mark)


def engine_alone(
    project: Project, *, mark: int, question: Question, progress: Callable[[float], None]
) -> Iterator[Answer]:
    """Answer what an engine looks like, as the model does, and nothing else."""
    if isinstance(question, EngineQuestion):
        yield from default_changes(project, mark=mark, question=question, progress=progress)


def make_runner(post: Callable[..., None]) -> Runner:
    """Return a runner of the stand-ins."""
    return Runner(
        post, predict=stand_in, gaps=stand_in_gaps, diagnose=stand_in_diagnosis, allowances=stand_in_allowances,
        changes=engine_alone,
    )  # fmt: skip


async def settle(soon: float = SOON, ended: Callable[[], bool] = lambda: False) -> None:
    """Wait until no task of the loop can go on and no timer of the drawing is about to strike, or it has ended.

    It looks between pauses, not between turns of the loop: the order of keys looks whether the loop has anything to do,
    and two that keep the loop busy by looking would wait for each other.
    """
    loop: Any = asyncio.get_running_loop()
    for _ in range(MANY):
        await asyncio.sleep(LOOK)
        if ended():  # the key that quits is never done, and the order of keys looks for ever whether it is
            return
        until = loop.time() + soon
        if not loop._ready and not any(timer.when() < until for timer in loop._scheduled if not timer.cancelled()):
            return


class Play:
    """Drives the app without a terminal."""

    def __init__(self, app: NotebookApp, pilot: Any) -> None:
        self.app = app
        self.pilot = pilot

    def send(self, key: str) -> None:
        """Send one key, named or a character."""
        names = {" ": "space", ".": "full_stop", "-": "minus", "!": "exclamation_mark", "?": "question_mark"}
        character = key if len(key) == 1 else next((c for c, name in names.items() if name == key), None)
        self.app.post_message(events.Key(names.get(key, key), character))

    async def press(self, *keys: str) -> None:
        """Press keys, each when all is quiet after the one before."""
        for key in keys:
            self.send(key)
            await self.quiet()

    async def write(self, text: str) -> None:
        """Type a text in one burst."""
        for character in text:
            self.send(character)
        await self.quiet()

    async def quiet(self) -> None:
        """Wait until every run and every save is done and drawn."""
        end = time.monotonic() + PATIENCE
        ended = lambda: self.app._exit  # noqa: E731
        while True:
            await settle(ended=ended)
            keys_done = self.app.typed.idle or ended()
            if keys_done and self.app.runner.idle and wait_until_idle(self.app.persistence, 0):
                break
            assert time.monotonic() < end, f"it does not come to rest:\n{self.screen()}"
            await asyncio.sleep(LOOK)
        await settle(ended=ended)

    async def until(self, true: Callable[[], bool]) -> None:
        """Wait until something is true, while runs and saves may go on."""
        end, pause = time.monotonic() + PATIENCE, LOOK
        while not true():
            assert time.monotonic() < end, self.screen()
            await asyncio.sleep(pause)
            pause = min(
                2 * pause, LONGEST_PAUSE
            )  # a look draws the screen: looked at all the time it costs a processor
            await settle(ended=lambda: self.app._exit)

    def screen(self) -> str:
        """Return the screen as text."""
        strips = self.app.screen._compositor.render_strips()
        return "\n".join(strip.text.rstrip() for strip in strips)


def unseen(compositor: Compositor, full: bool = False, screen_stack: Any = None, simplify: bool = False) -> None:
    """Take what is to be drawn for drawn: without a terminal nobody sees it, and `Play.screen` draws the whole anew."""
    compositor._dirty_regions.clear()


def play(
    folder: Path,
    scene: Callable[[Play], Coroutine[Any, Any, None]],
    *,
    size: tuple[int, int] = (80, 24),
    terminal: Terminal | None = None,
    runner: Callable[..., Runner] = make_runner,
) -> None:
    """Open a notebook and play a scene in it."""

    async def go() -> None:
        app = NotebookApp(folder, terminal or Terminal(), runner=runner, today=lambda: "2026-11-26")
        app.notebook = read_folder(app.persistence, folder)
        async with app.run_test(size=size) as pilot:
            acts = Play(app, pilot)
            try:
                async with asyncio.timeout(LONGEST):
                    await acts.quiet()
                    await scene(acts)
            finally:
                app.runner.stop()
                app.persistence.close()

    with mock.patch.object(Compositor, "render_update", unseen):
        asyncio.run(go())


def silent_persistence() -> tuple[Persistence, list[Any]]:
    """Return a persistence and the list that its news go to."""
    news: list[Any] = []
    return Persistence(news.append), news
