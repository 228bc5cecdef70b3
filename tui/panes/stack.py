"""The panes of an open prototype, one of them shown; each is made and mounted when it is first turned to."""

from __future__ import annotations

from importlib import import_module

from textual.app import ComposeResult
from textual.containers import Container

from tui.panes.build import BuildPane
from tui.panes.pane import Pane
from tui.state.controller import ProjectController
from tui.view.panes import ALL_PANES, PaneSpec, number_after, pane_number


class PaneStack(Container):
    """Holds the panes over each other; `number` is that of the one that is shown, in `ALL_PANES`."""

    DEFAULT_CSS = f"""
    PaneStack {{ height: 1fr; layers: build {" ".join(pane.key for pane in ALL_PANES if pane.module)}; }}
    PaneStack > #build {{ layer: build; }}
    """

    def __init__(self, controller: ProjectController, number: int, *, colour: bool, plain: bool) -> None:
        super().__init__(id="panes")
        self.controller = controller
        self.colour, self.plain = colour, plain
        self.number = self.turned = number
        """The pane that is shown, and the last one without a key of its own: there the key leads back."""
        self.build = BuildPane(controller, colour=colour, plain=plain)
        self.others: dict[str, Pane] = {}
        """The panes besides the build's that were turned to, by key."""
        if ALL_PANES[number].module:
            self._load(ALL_PANES[number])
            self.build.visible = False

    def compose(self) -> ComposeResult:
        """What was loaded so far."""
        yield self.build
        yield from self.others.values()

    @property
    def shown(self) -> Pane:
        """The pane that is shown."""
        return self.others.get(ALL_PANES[self.number].key, self.build)

    def after(self, step: int | str, width: int) -> int:
        """Return the pane so many turns on, or of a key of its own; from there the same key leads back.

        `width`: of the line that names the panes.
        """
        if isinstance(step, int):
            return number_after(self.number, step, width)
        number = pane_number(step)
        return self.turned if number == self.number else number

    async def turn_to(self, number: int) -> Pane:
        """Show another pane; return the one before."""
        spec, before = ALL_PANES[number], self.shown
        if spec.module and spec.key not in self.others:
            await self.mount(self._load(spec))
        self.number = number
        self.turned = number if spec.turned else self.turned
        if before is not self.shown:
            before.visible = False
            self.shown.visible = True
        return before

    def _load(self, spec: PaneSpec) -> Pane:
        make = getattr(import_module(spec.module), spec.widget)
        pane: Pane = make(self.controller, id=spec.key, colour=self.colour, plain=self.plain)
        pane.styles.layer = spec.key
        self.others[spec.key] = pane
        return pane
