"""Real ``git merge`` with the merge driver, and the driver by itself: nothing is lost, everything can be read."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from model.errors import StoreError
from model.record import Entry, Project
from model.store import decode, encode, merge_files
from tests.store.gitmerge import ROOT, History, Repository, run
from tui.__main__ import main
from tui.exits import Exit

BASE = Project(name="Cup", entries={"k": Entry(key="k", text="old")})
OURS = BASE.with_entry(Entry(key="a", text="ours"))
THEIRS = BASE.with_entry(Entry(key="b", text="theirs"))


def three(folder: Path, *sides: Project | bytes) -> list[Path]:
    paths = [folder / name for name in ("base", "ours", "theirs")]
    for path, side in zip(paths, sides, strict=True):
        path.write_bytes(encode(side) if isinstance(side, Project) else side)
    return paths


def test_git_with_the_driver_loses_nothing_and_leaves_only_true_clashes(tmp_path: Path) -> None:
    """Twenty random histories; ``python -m tests.store.gitmerge 400`` does more."""
    driven, alone, clashing = run(tmp_path, 20, seed=3)
    assert driven["merged"] == 20 - clashing
    assert driven["clash kept"] == clashing
    assert alone["conflict marks"] > clashing


def test_two_sides_that_added_merge_without_a_word(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    base, ours, theirs = three(tmp_path, BASE, OURS, THEIRS)
    ours.chmod(0o640)
    assert main(["merge", str(base), str(ours), str(theirs)]) == Exit.OK
    assert capsys.readouterr().out == ""
    assert list(decode(ours.read_bytes(), path="p").project.entries) == ["k", "a", "b"]
    assert ours.stat().st_mode & 0o777 == 0o640
    assert base.read_bytes() == encode(BASE) and theirs.read_bytes() == encode(THEIRS)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["base", "ours", "theirs"]


def test_a_clash_ends_in_one_and_both_texts_stand_in_the_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sides = [BASE.with_entry(replace(BASE.entries["k"], text=text)) for text in ("mine\x1b[2J", "yours")]
    base, ours, theirs = three(tmp_path, BASE, *sides)
    assert main(["merge", str(base), str(ours), str(theirs)]) == Exit.PROBLEMS
    said = capsys.readouterr().out
    assert "entry.k.text" in said and "yours" in said and "\x1b" not in said
    text = decode(ours.read_bytes(), path="p").project.entries["k"].text
    assert "mine" in text and "yours" in text


def test_two_files_that_were_begun_apart_are_joined(tmp_path: Path) -> None:
    """Git gives an empty file for the base when both sides added the file."""
    base, ours, theirs = three(tmp_path, b"", OURS, THEIRS)
    assert merge_files(base, ours, theirs) == ()
    assert list(decode(ours.read_bytes(), path="p").project.entries) == ["k", "a", "b"]


@pytest.mark.parametrize("page", [b"[project]\nversion = '1'\n", b"\xff\0", b'format = 9\nname = "x"\n', b""])
@pytest.mark.parametrize("which", [1, 2])
def test_what_is_no_project_is_kept_whole_between_conflict_marks(tmp_path: Path, page: bytes, which: int) -> None:
    sides: list[Project | bytes] = [BASE, OURS, THEIRS]
    sides[which] = page
    base, ours, theirs = three(tmp_path, *sides)
    left, right = ours.read_bytes(), theirs.read_bytes()
    with pytest.raises(StoreError, match="not merged"):
        merge_files(base, ours, theirs)
    found = ours.read_bytes()
    assert found.startswith(b"<<<<<<< ours\n" + left) and right in found and found.endswith(b">>>>>>> theirs\n")


def test_the_command_tells_what_it_could_not_merge_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    base, ours, theirs = three(tmp_path, BASE, OURS, b"\xff")
    assert main(["merge", str(base), str(ours), str(theirs)]) == Exit.PROBLEMS
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize("wrong", ["missing", "folder", "pipe"])
@pytest.mark.parametrize("which", [0, 1, 2])
def test_a_mistyped_file_leaves_all_three_as_they_were(
    tmp_path: Path, which: int, wrong: str, capsys: pytest.CaptureFixture[str]
) -> None:
    paths = three(tmp_path, BASE, OURS, THEIRS)
    before = {path: path.read_bytes() for path in paths}
    mistyped = tmp_path / "none.toml"
    if wrong == "folder":
        mistyped.mkdir()
    elif wrong == "pipe":
        os.mkfifo(mistyped)
    named = [mistyped if number == which else path for number, path in enumerate(paths)]
    assert main(["merge", *map(str, named)]) == Exit.CANNOT_READ
    assert "none.toml" in capsys.readouterr().err
    assert {path: path.read_bytes() for path in paths} == before


def test_a_merge_that_cannot_be_written_leaves_ours_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    base, ours, theirs = three(tmp_path, BASE, OURS, THEIRS)
    before = ours.read_bytes()

    def refuse(*_: object) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(os, "write", refuse)
    code = main(["merge", str(base), str(ours), str(theirs)])
    monkeypatch.undo()
    assert code == Exit.CANNOT_WRITE
    assert "disk is full" in capsys.readouterr().err
    assert ours.read_bytes() == before


def test_the_setup_that_help_prints_makes_git_merge_where_the_command_is_on_no_search_path(tmp_path: Path) -> None:
    """As after the README's install: the command stands in an environment of its own, here in a folder with a space."""
    home = tmp_path / "my programs"
    home.symlink_to(sys.prefix)
    told = subprocess.run(
        [home / "bin" / "python", "-m", "tui", "merge", "--help"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout
    setup = [line.strip() for line in told.splitlines() if line.startswith("  git config ")]
    assert len(setup) == 2
    repository = Repository(tmp_path / "notebook", [History(base=BASE, ours=OURS, theirs=THEIRS)], driver=False)
    (repository.folder / ".gitattributes").write_text("*.toml merge=quarterturn\n")
    bare = {"PATH": os.defpath, "HOME": str(tmp_path)}
    for line in setup:
        subprocess.run(["sh", "-c", line], cwd=repository.folder, env=bare, check=True)
    names = {f"GIT_{who}_{what}": "b@example.org" for who in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")}
    done = subprocess.run(
        ["git", "merge", "-m", "both", "theirs"],
        cwd=repository.folder,
        env={**bare, **names},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert list(decode(repository.path(0).read_bytes(), path="p").project.entries) == ["k", "a", "b"]


def test_a_base_that_cannot_be_read_counts_as_empty(tmp_path: Path) -> None:
    base, ours, theirs = three(tmp_path, b"\xff", OURS, THEIRS)
    merge_files(base, ours, theirs)
    assert set(decode(ours.read_bytes(), path="p").project.entries) == {"k", "a", "b"}


def test_a_side_that_brings_nothing_leaves_the_bytes_written_by_hand(tmp_path: Path) -> None:
    page = b'name = "Cup"\nformat = 1\n# my own words\n[entry.k]\ntext = "old"\n[entry.a]\ntext = "ours"\n'
    base, ours, theirs = three(tmp_path, BASE, page, BASE)
    assert merge_files(base, ours, theirs) == ()
    assert ours.read_bytes() == page
