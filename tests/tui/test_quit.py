"""Leaving where the disk takes nothing: what is typed is kept somewhere, or it is asked; never is it claimed."""

from __future__ import annotations

import errno
import shutil
import sys
from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path

import pytest

from model.store import encode, left_drafts, read_project
from tests.examples import few_or
from tests.store.refusing import FAULTS, refusing
from tests.tui.line import Line
from tests.tui.stage import Play, can, play
from tui.dialogs.ask_quit import QuitDialog
from tui.exits import Exit

TYPED = "Gland squeaks"


async def type_text(acts: Play) -> None:
    """Open the can and type a diary text."""
    await acts.press("home", "down", "enter")
    while "[Diary" not in acts.screen():
        await acts.press("right")
    await acts.press("a")
    await acts.write(TYPED)


def offered(folder: Path) -> None:
    """Look that the next start offers the text, and that Enter brings it into the file."""

    async def scene(acts: Play) -> None:
        await acts.press("home", "down", "enter")
        assert "Brought back" in acts.screen() and TYPED in acts.screen()
        await acts.press("enter")

    play(folder, scene)
    project = read_project(folder / "paint-tin.toml").project
    assert TYPED in [entry.text.strip() for entry in project.entries.values()]


@pytest.mark.parametrize("code", few_or([errno.ENOSPC], list(FAULTS.values())))
def test_what_a_notebook_does_not_take_is_kept_outside_it_and_comes_back(
    notebook: Path, tmp_path: Path, code: int
) -> None:
    async def scene(acts: Play) -> None:
        with refusing(code, notebook):
            await type_text(acts)
            await acts.press("ctrl+q")
            assert not isinstance(acts.app.screen, QuitDialog)
        said = acts.app.last_words
        assert said.startswith("Not saved: paint-tin.toml. It is kept as a draft in")
        assert str(tmp_path / "state") in said

    play(notebook, scene)
    assert read_project(notebook / "paint-tin.toml").project == can()
    offered(notebook)


@pytest.mark.parametrize(
    ("answer", "code"),
    [(answer, errno.ENOSPC) for answer in ("stay", "leave", "again", "again, with room")]
    + [("leave", code) for code in few_or([], list(FAULTS.values())) if code != errno.ENOSPC],
)
def test_where_nothing_is_taken_anywhere_it_is_asked_once_before_leaving(
    notebook: Path, tmp_path: Path, code: int, answer: str
) -> None:
    async def scene(acts: Play) -> None:
        with refusing(code, notebook, tmp_path / "state"):
            await type_text(acts)
            await acts.press("ctrl+q")
            assert isinstance(acts.app.screen, QuitDialog)
            assert "neither in the file nor in a draft" in acts.screen()
            await acts.press("ctrl+q")
            assert isinstance(acts.app.screen, QuitDialog)
        with refusing(code, notebook, tmp_path / "state") if answer != "again, with room" else nullcontext():
            keys = {"stay": [], "leave": ["down", "down"]}.get(answer, ["down"])
            await acts.press(*keys, "enter")
            if answer == "again":
                assert isinstance(acts.app.screen, QuitDialog)
            elif answer == "stay":
                assert not isinstance(acts.app.screen, QuitDialog) and TYPED in acts.screen()
            elif answer == "leave":
                assert acts.app.last_words.startswith("NOT KEPT: paint-tin.toml")
                assert "kept as a draft" not in acts.app.last_words
            else:
                assert acts.app.last_words == ""

    play(notebook, scene)
    in_file = TYPED in str(read_project(notebook / "paint-tin.toml").project)
    assert in_file == (answer == "again, with room")
    assert left_drafts(notebook / "paint-tin.toml") == ()


def spoil_by_removing(folder: Path) -> None:
    shutil.rmtree(folder)


def spoil_by_link(folder: Path) -> None:
    (folder / "paint-tin.toml").unlink()
    (folder / "paint-tin.toml").symlink_to("/etc/passwd")


def spoil_by_circle(folder: Path) -> None:
    (folder / "paint-tin.toml").unlink()
    (folder / "paint-tin.toml").symlink_to("paint-tin.toml")


def spoil_by_folder(folder: Path) -> None:
    (folder / "paint-tin.toml").unlink()
    (folder / "paint-tin.toml").mkdir()


SPOILT = [spoil_by_link, spoil_by_folder, spoil_by_removing, spoil_by_circle]


@pytest.mark.parametrize("spoil", few_or(SPOILT[:2], SPOILT))
def test_a_file_or_folder_that_is_taken_away_while_one_types_leaves_all_of_it_to_the_next_start(
    notebook: Path, spoil: Callable[[Path], None]
) -> None:
    async def scene(acts: Play) -> None:
        await type_text(acts)
        spoil(notebook)
        await acts.write(" when hot")
        acts.send("ctrl+q")
        await acts.pilot.pause()
        assert not isinstance(acts.app.screen, QuitDialog)
        assert "It is kept as a draft" in acts.app.last_words

    play(notebook, scene)
    passwd = Path("/etc/passwd").read_bytes()
    if spoil is spoil_by_removing:
        notebook.mkdir()
    else:
        path = notebook / "paint-tin.toml"
        path.rmdir() if path.is_dir() else path.unlink()

    async def later(acts: Play) -> None:
        assert "Paint tin" in acts.screen()
        await acts.press("home")
        while "Paint tin" not in next(row for row in acts.screen().split("\n") if row.startswith(">")):
            await acts.press("down")
        await acts.press("enter")
        await acts.press("enter")

    play(notebook, later)
    project = read_project(notebook / "paint-tin.toml").project
    assert f"{TYPED} when hot" in [entry.text.strip() for entry in project.entries.values()]
    assert project.marks == can().marks
    assert Path("/etc/passwd").read_bytes() == passwd


def test_a_project_that_grew_too_large_for_its_file_is_kept_as_a_draft(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("home", "down", "enter")
        controller = acts.app.controller
        entry = controller.session.prototype.project.entries["k7f3m2"]
        controller.put(
            controller.session.prototype.project.with_entry(type(entry)(key="zzzzzz", text="word " * 500_000))
        )
        controller.save()
        await acts.quiet()
        await acts.press("ctrl+q")
        assert acts.app.last_words == "Not saved: paint-tin.toml. It is kept as a draft and comes back."

    play(notebook, scene)
    (draft,) = left_drafts(notebook / "paint-tin.toml")
    assert draft.project is not None and draft.project.entries["zzzzzz"].text == "word " * 500_000
    assert (notebook / "paint-tin.toml").read_bytes() == encode(can())


@pytest.mark.parametrize("kept", few_or([True], [True, False]))
def test_the_shell_is_told_where_it_is_kept_and_gets_the_code_for_a_file_not_written(
    notebook: Path, tmp_path: Path, kept: bool
) -> None:
    full = [notebook] if kept else [notebook, tmp_path / "state"]
    code = (
        "import sys\nfrom pathlib import Path\nfrom tests.store.refusing import refusing\n"
        "from tests.tui.with_stand_in import main\n"
        f"with refusing({errno.ENOSPC}, *map(Path, {[str(each) for each in full]})):\n    sys.exit(main())\n"
    )
    line = Line(notebook, command=[sys.executable, "-c", code, str(notebook)])
    try:
        line.wait_for("Paint tin[\\s\\S]*Rocker")
        line.press("down", "n")
        line.wait_for("Note for Paint tin")
        line.press(TYPED, "enter")
        line.wait_for("NOT SAVED")
        line.press("ctrl+q")
        if not kept:
            line.wait_for("neither in the file nor in a draft")
            line.press("down", "down", "enter")
        assert line.wait_for_end() == Exit.CANNOT_WRITE
    finally:
        line.close()
    told = "Not saved: paint-tin.toml. It is kept as a draft in" if kept else "NOT KEPT: paint-tin.toml."
    assert told.encode() in line.wrote
    if kept:
        assert any(TYPED in file.read_text() for file in (tmp_path / "state").rglob("*.draft"))
