"""Saving: the order of the steps, a stop at each of them, other windows, faults of the disk, links, comments."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from model.errors import (
    NewerFormat,
    NotDurable,
    ProjectChangedOnDisk,
    ProjectFormatError,
    ProjectNotFound,
    StoreError,
)
from model.record import Entry, Project
from model.store import disk_revision, encode, read_project, revision_of, save_project
from model.store.atomic import locked, read_whole

OLD = Project(name="Cup", entries={"a": Entry(key="a", text="old")})
NEW = Project(name="Cup", entries={"a": Entry(key="a", text="old"), "b": Entry(key="b", text="new\nlines")})
STEPS = ("open", "fchmod", "write", "fsync", "close", "replace")


def originals(path: Path) -> tuple[Path, ...]:
    """Return the originals that were kept beside a file, in their order."""
    return tuple(sorted(path.parent.glob("*.original-*")))


@pytest.fixture
def cup(tmp_path: Path) -> Path:
    path = tmp_path / "cup.toml"
    save_project(path, OLD, revision=None)
    return path


def _names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


class ModelCalls:
    """Records what the store asks of the system, and does `instead` at one call."""

    def __init__(self, patch: pytest.MonkeyPatch, *, at: int = -1, instead: Callable[[], None] | None = None) -> None:
        self.made: list[tuple[str, str]] = []
        self._at = at
        self._instead = instead
        self._paths: dict[int, str] = {}
        for name in STEPS:
            patch.setattr(os, name, self._wrapped(name, getattr(os, name)))

    def _wrapped(self, name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(first: Any, *rest: Any, **more: Any) -> Any:
            subject = self._paths.get(first, "?") if isinstance(first, int) else Path(os.fsdecode(first)).name
            self.made.append((name, subject))
            now = len(self.made) - 1 == self._at and self._instead is not None
            if now and name == "close":
                # close(2), Linux man-pages 6: the descriptor is released even when an error is reported.
                real(first)
            if now and self._instead is not None:
                self._instead()
            result = real(first, *rest, **more)
            if name == "open":
                self._paths[result] = subject
            return result

        return call


def _steps(calls: ModelCalls) -> list[str]:
    """Return the calls in words; the random part of the temporary file's name is taken out."""
    return [
        f"{name} {'temporary' if subject.endswith('.tmp') else subject}"
        for name, subject in calls.made
        if name != "close"
    ]


def test_a_save_returns_the_revision_of_the_bytes_that_stand_in_the_file(cup: Path) -> None:
    revision = save_project(cup, NEW, revision=revision_of(encode(OLD)))
    assert cup.read_bytes() == encode(NEW)
    assert revision == revision_of(encode(NEW)) == read_project(cup).revision == disk_revision(cup)
    assert _names(cup.parent) == [".locks", "cup.toml"]


def test_a_save_writes_syncs_renames_and_syncs_the_folder_in_this_order(
    cup: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls = ModelCalls(monkeypatch)
    save_project(cup, NEW, revision=revision_of(encode(OLD)))
    assert _steps(calls) == [
        "open cup.toml.lock",
        "open cup.toml",
        "open temporary",
        "fchmod temporary",
        "write temporary",
        "fsync temporary",
        "replace temporary",
        f"open {cup.parent.name}",
        f"fsync {cup.parent.name}",
    ]


class Killed(BaseException):
    """Stands for the end of the program."""


def _count_of_calls(folder: Path) -> int:
    path = folder / "count.toml"
    save_project(path, OLD, revision=None)
    with pytest.MonkeyPatch.context() as patch:
        calls = ModelCalls(patch)
        save_project(path, NEW, revision=revision_of(encode(OLD)))
    return len(calls.made)


def test_a_stop_at_any_step_leaves_the_old_file_or_the_new_one_whole(tmp_path: Path) -> None:
    seen = set()
    for step in range(_count_of_calls(tmp_path)):
        folder = tmp_path / f"step{step}"
        folder.mkdir()
        path = folder / "cup.toml"
        revision = save_project(path, OLD, revision=None)

        def stop() -> None:
            raise Killed

        with pytest.MonkeyPatch.context() as patch:
            calls = ModelCalls(patch, at=step, instead=stop)
            with pytest.raises(Killed):
                save_project(path, NEW, revision=revision)
        after = path.read_bytes()
        assert after in (encode(OLD), encode(NEW)), calls.made[-1]
        seen.add(after)
        assert not [n for n in _names(folder) if n.endswith(".tmp")], calls.made[-1]
        save_project(path, NEW, revision=revision_of(after))
        assert read_project(path).project == NEW
    assert len(seen) == 2


KILLED_CHILD = """
import os, signal, sys
from pathlib import Path
from model.record import Entry, Project
from model.store import read_project, save_project
path, name, at = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
real, count = getattr(os, name), 0
def call(*given, **more):
    global count
    count += 1
    if count == at:
        if name == "write":
            real(given[0], bytes(given[1])[:7])
        os.kill(os.getpid(), signal.SIGKILL)
    return real(*given, **more)
stored = read_project(path)
setattr(os, name, call)
save_project(path, Project(name="Cup", about="n" * 5000), revision=stored.revision)
"""


@pytest.mark.parametrize(("call", "at"), [("open", 3), ("write", 1), ("fsync", 1), ("replace", 1), ("fsync", 2)])
def test_a_killed_process_leaves_a_whole_file_and_the_next_save_removes_its_leftovers(
    cup: Path, call: str, at: int
) -> None:
    child = subprocess.run(
        [sys.executable, "-c", KILLED_CHILD, str(cup), call, str(at)], cwd=Path(__file__).parents[2], check=False
    )
    assert child.returncode == -9
    found = read_project(cup)
    assert found.project == OLD if (call, at) != ("fsync", 2) else found.project.about == "n" * 5000
    save_project(cup, NEW, revision=found.revision)
    assert _names(cup.parent) == [".locks", "cup.toml"]
    assert read_project(cup).project == NEW


FAULTS = [
    (errno.ENOSPC, "disk is full"),
    (errno.EDQUOT, "quota"),
    (errno.EROFS, "only be read"),
    (errno.EACCES, "permission"),
    (errno.EIO, "does not answer"),
]


@pytest.mark.parametrize(("code", "words"), FAULTS, ids=[errno.errorcode[f[0]] for f in FAULTS])
def test_a_fault_at_any_step_keeps_a_whole_file_and_says_what_to_do(tmp_path: Path, code: int, words: str) -> None:
    outcomes = set()
    for step in range(_count_of_calls(tmp_path)):
        folder = tmp_path / f"step{step}"
        folder.mkdir()
        path = folder / "cup.toml"
        revision = save_project(path, OLD, revision=None)

        def refuse() -> None:
            raise OSError(code, os.strerror(code))

        with pytest.MonkeyPatch.context() as patch:
            calls = ModelCalls(patch, at=step, instead=refuse)
            try:
                revision = save_project(path, NEW, revision=revision)
                outcomes.add("saved")
                held_on = calls.made[step][0] == "fchmod" and code == errno.EACCES
                assert held_on or calls.made[step] == ("close", "cup.toml.lock")
            except NotDurable as error:
                outcomes.add("not durable")
                assert words in str(error) and error.hint
                assert path.read_bytes() == encode(NEW)
                revision = error.revision
            except StoreError as error:
                outcomes.add("refused")
                assert words in str(error) and error.hint and "cup.toml" in str(error)
                assert path.read_bytes() == encode(OLD), calls.made
        assert not [n for n in _names(folder) if n.endswith(".tmp")]
        later = replace(NEW, about="typed meanwhile")
        save_project(path, later, revision=revision)
        assert read_project(path).project == later
    assert outcomes == {"refused", "not durable", "saved"}


def test_a_write_in_small_pieces_is_written_to_the_end(cup: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.write
    monkeypatch.setattr(os, "write", lambda fd, data: real(fd, bytes(data)[:7]))
    save_project(cup, NEW, revision=revision_of(encode(OLD)))
    assert cup.read_bytes() == encode(NEW)


def test_a_save_refuses_a_file_changed_by_someone_else(cup: Path) -> None:
    revision = read_project(cup).revision
    cup.write_bytes(encode(replace(OLD, about="theirs")))
    with pytest.raises(ProjectChangedOnDisk):
        save_project(cup, NEW, revision=revision)
    assert read_project(cup).project.about == "theirs"


def test_a_new_project_never_lands_on_a_file_that_is_there(cup: Path) -> None:
    with pytest.raises(ProjectChangedOnDisk, match="there already"):
        save_project(cup, NEW, revision=None)
    assert cup.read_bytes() == encode(OLD)


def test_a_save_says_when_the_file_is_gone(cup: Path) -> None:
    cup.unlink()
    with pytest.raises(ProjectChangedOnDisk, match="gone"):
        save_project(cup, NEW, revision=revision_of(encode(OLD)))
    assert not cup.exists()


def test_another_who_wrote_just_the_same_is_no_conflict(cup: Path) -> None:
    cup.write_bytes(encode(NEW))
    assert save_project(cup, NEW, revision=revision_of(encode(OLD))) == revision_of(encode(NEW))


def test_saving_what_stands_there_already_writes_nothing(cup: Path) -> None:
    before = cup.stat()
    save_project(cup, OLD, revision=revision_of(encode(OLD)))
    assert (cup.stat().st_ino, cup.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def test_many_windows_at_once_lose_nothing_that_was_called_saved(cup: Path) -> None:
    """Each window adds entries of its own and, when it is refused, reads and tries again: all are there at the end."""
    failures: list[BaseException] = []

    def window(number: int) -> None:
        try:
            for turn in range(6):
                key = f"w{number}t{turn}"
                while True:
                    stored = read_project(cup)
                    try:
                        save_project(
                            cup, stored.project.with_entry(Entry(key=key)), revision=stored.revision, timeout=60
                        )
                    except ProjectChangedOnDisk:
                        continue
                    break
        except BaseException as error:
            failures.append(error)

    threads = [threading.Thread(target=window, args=(n,)) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert set(read_project(cup).project.entries) == {"a"} | {f"w{n}t{t}" for n in range(4) for t in range(6)}


HOLDER = """
import fcntl, os, sys
fd = os.open(sys.argv[1], os.O_RDWR | os.O_CREAT)
fcntl.flock(fd, fcntl.LOCK_EX)
print("held", flush=True)
sys.stdin.read()
"""


@pytest.fixture
def held(cup: Path) -> Iterator[subprocess.Popen[str]]:
    lock = cup.parent / ".locks" / "cup.toml.lock"
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(lock)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        yield holder


def test_a_lock_that_another_process_holds_stops_the_save_with_a_sentence(
    cup: Path, held: subprocess.Popen[str]
) -> None:
    with pytest.raises(StoreError, match="another window"):
        save_project(cup, NEW, revision=revision_of(encode(OLD)), timeout=0)
    assert cup.read_bytes() == encode(OLD)


def test_a_save_goes_on_once_the_other_lets_go(cup: Path, held: subprocess.Popen[str]) -> None:
    held.communicate()
    save_project(cup, NEW, revision=revision_of(encode(OLD)), timeout=0)
    assert cup.read_bytes() == encode(NEW)


def test_a_disk_without_locks_is_still_saved_to_and_leftovers_stay(cup: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a lock a temporary file may be another's that is being written."""

    def refuse(*_: object) -> None:
        raise OSError(errno.ENOLCK, "no locks")

    monkeypatch.setattr("fcntl.flock", refuse)
    other = cup.with_name(".cup.toml.0123abcd.tmp")
    other.write_bytes(b"half")
    save_project(cup, NEW, revision=revision_of(encode(OLD)))
    assert cup.read_bytes() == encode(NEW)
    assert other.exists()
    with locked(cup) as alone:
        assert not alone


def test_only_leftovers_of_this_very_file_are_removed(cup: Path) -> None:
    strangers = [".cup.toml.tmp", ".cup.toml.xyz.tmp", ".cap.toml.0123abcd.tmp", ".sync.cup.toml.0123abcd.tmp", "a.tmp"]
    for name in strangers:
        cup.with_name(name).write_bytes(b"")
    cup.with_name(".cup.toml.0123abcd.tmp").write_bytes(b"half")
    save_project(cup, NEW, revision=revision_of(encode(OLD)))
    assert _names(cup.parent) == sorted([".locks", "cup.toml", *strangers])


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o444 | 0o200])
def test_permission_bits_are_kept(cup: Path, mode: int) -> None:
    cup.chmod(mode)
    save_project(cup, NEW, revision=revision_of(encode(OLD)))
    assert stat.S_IMODE(cup.stat().st_mode) == mode


def test_a_write_protected_file_is_not_replaced(cup: Path) -> None:
    cup.write_bytes(COMMENTED)
    cup.chmod(0o444)
    with pytest.raises(StoreError, match="write-protected"):
        save_project(cup, NEW, revision=revision_of(COMMENTED))
    assert cup.read_bytes() == COMMENTED
    assert originals(cup) == ()
    assert stat.S_IMODE(cup.stat().st_mode) == 0o444


def test_a_card_without_permission_bits_is_saved_to(cup: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(errno.EPERM, "no permission bits here")

    monkeypatch.setattr(os, "fchmod", refuse)
    save_project(cup, NEW, revision=revision_of(encode(OLD)))
    assert cup.read_bytes() == encode(NEW)
    assert stat.S_IMODE(cup.stat().st_mode) == 0o600


def test_a_folder_that_cannot_be_synced_does_not_fail_the_save(cup: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Some file systems refuse fsync on a folder with EINVAL (fsync(2), Linux man-pages 6: "does not support")."""
    real = os.fsync

    def sync(fd: int) -> None:
        if stat.S_ISDIR(os.fstat(fd).st_mode):
            raise OSError(errno.EINVAL, "not here")
        real(fd)

    monkeypatch.setattr(os, "fsync", sync)
    assert save_project(cup, NEW, revision=revision_of(encode(OLD))) == revision_of(encode(NEW))


def test_a_save_that_the_folder_did_not_confirm_is_confirmed_by_the_next(
    cup: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.fsync
    refused: list[bool] = [True]
    synced: list[bool] = []

    def sync(fd: int) -> None:
        folder = stat.S_ISDIR(os.fstat(fd).st_mode)
        if folder and refused[0]:
            raise OSError(errno.EIO, "no answer")
        real(fd)
        synced.append(folder)

    monkeypatch.setattr(os, "fsync", sync)
    with pytest.raises(NotDurable) as caught:
        save_project(cup, NEW, revision=revision_of(encode(OLD)))
    refused[0] = False
    save_project(cup, NEW, revision=caught.value.revision)
    assert synced[-1]


COMMENTED = b'# my own words\nformat = 1\nname = "Cup" # the paper one\n'


def test_the_original_of_a_file_with_comments_is_kept_beside_it_before_the_first_rewrite(cup: Path) -> None:
    cup.write_bytes(COMMENTED)
    cup.chmod(0o640)
    stored = read_project(cup)
    assert stored.decoded.has_comments
    revision = save_project(cup, replace(stored.project, about="mine"), revision=stored.revision)
    kept = cup.with_name("cup.toml.original-1")
    assert originals(cup) == (kept,)
    assert kept.read_bytes() == COMMENTED
    assert stat.S_IMODE(kept.stat().st_mode) == 0o640
    save_project(cup, replace(stored.project, about="again"), revision=revision)
    assert originals(cup) == (kept,)


def test_the_original_is_on_the_disk_before_the_file_is_replaced(cup: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cup.write_bytes(COMMENTED)
    revision = read_project(cup).revision
    calls = ModelCalls(monkeypatch)
    save_project(cup, NEW, revision=revision)
    steps = _steps(calls)
    assert steps.count("fsync cup.toml.original-1") == 1
    assert steps.index("write cup.toml.original-1") < steps.index("fsync cup.toml.original-1")
    assert steps.index("fsync cup.toml.original-1") < steps.index("replace temporary")


def test_a_file_of_ours_that_was_given_a_comment_later_is_kept_too(cup: Path) -> None:
    cup.write_bytes(encode(OLD) + b"# added by hand\n")
    save_project(cup, NEW, revision=read_project(cup).revision)
    assert originals(cup)[0].read_bytes().endswith(b"# added by hand\n")


def test_an_original_is_never_overwritten(cup: Path) -> None:
    cup.with_name("cup.toml.original-1").write_bytes(b"older")
    cup.with_name("cup.toml.original-2").symlink_to("nowhere")
    cup.write_bytes(COMMENTED)
    save_project(cup, NEW, revision=read_project(cup).revision)
    assert cup.with_name("cup.toml.original-1").read_bytes() == b"older"
    assert cup.with_name("cup.toml.original-3").read_bytes() == COMMENTED
    assert not cup.with_name("nowhere").exists()


def test_saves_that_fail_do_not_pile_up_originals(cup: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cup.write_bytes(COMMENTED)
    revision = read_project(cup).revision

    def refuse(*_: object) -> None:
        raise OSError(errno.ENOSPC, "full")

    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", refuse)
        for _ in range(3):
            with pytest.raises(StoreError):
                save_project(cup, NEW, revision=revision)
    assert cup.read_bytes() == COMMENTED
    save_project(cup, NEW, revision=revision)
    assert len(originals(cup)) == 1


def test_no_rewrite_happens_while_the_original_cannot_be_kept(cup: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cup.write_bytes(COMMENTED)
    revision = read_project(cup).revision

    def refuse(*_: object) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(os, "write", refuse)
    with pytest.raises(StoreError, match="full"):
        save_project(cup, NEW, revision=revision)
    assert cup.read_bytes() == COMMENTED
    assert originals(cup) == ()


@pytest.mark.parametrize(
    "page", [COMMENTED, b'name = "Cup"\r\nformat = 1\r\n', b'\xef\xbb\xbfformat = 1\nname="Cup"\n']
)
def test_saving_a_hand_edited_file_without_a_change_leaves_its_bytes_alone(cup: Path, page: bytes) -> None:
    cup.write_bytes(page)
    stored = read_project(cup)
    assert save_project(cup, stored.project, revision=stored.revision) == stored.revision
    assert cup.read_bytes() == page
    assert originals(cup) == ()


@pytest.mark.parametrize("page", [b'format = 2\nname = "Cup"\n', b'name = "Cup"\n'])
def test_a_file_that_is_open_for_reading_only_is_not_written(cup: Path, page: bytes) -> None:
    cup.write_bytes(page)
    stored = read_project(cup)
    assert stored.read_only
    with pytest.raises(NewerFormat, match="reading only"):
        save_project(cup, NEW, revision=stored.revision)
    assert cup.read_bytes() == page


def test_a_link_inside_the_notebook_is_followed_and_stays_a_link(cup: Path) -> None:
    link = cup.with_name("link.toml")
    link.symlink_to("cup.toml")
    save_project(link, NEW, revision=read_project(link).revision)
    assert link.is_symlink()
    assert cup.read_bytes() == encode(NEW)


@pytest.mark.parametrize("absolute", [True, False])
def test_a_link_out_of_the_notebook_is_read_and_never_written(tmp_path: Path, absolute: bool) -> None:
    outside = tmp_path / "outside.toml"
    outside.write_bytes(encode(OLD))
    book = tmp_path / "book"
    book.mkdir()
    link = book / "cup.toml"
    link.symlink_to(outside if absolute else Path("..") / "outside.toml")
    stored = read_project(link)
    assert stored.project == OLD and stored.read_only
    assert "link out of the notebook" in stored.decoded.notice and str(outside) in stored.decoded.notice
    assert disk_revision(link) == stored.revision
    assert stored.revision != revision_of(encode(OLD)), "a file that is replaced by a link to its twin has changed"
    for revision in (stored.revision, revision_of(encode(OLD)), None):
        with pytest.raises(StoreError, match="out of the notebook"):
            save_project(link, NEW, revision=revision)
    assert outside.read_bytes() == encode(OLD)
    assert _names(tmp_path) == ["book", "outside.toml"]
    assert _names(book) == ["cup.toml"]


def test_a_dangling_link_out_of_the_notebook_makes_no_file(tmp_path: Path) -> None:
    book = tmp_path / "book"
    book.mkdir()
    link = book / "cup.toml"
    link.symlink_to(tmp_path / "new.toml")
    with pytest.raises(StoreError):
        save_project(link, NEW, revision=None)
    assert _names(tmp_path) == ["book"]


def test_a_circle_of_links_is_named(tmp_path: Path) -> None:
    (tmp_path / "a.toml").symlink_to("b.toml")
    (tmp_path / "b.toml").symlink_to("a.toml")
    with pytest.raises(StoreError, match="circle"):
        read_project(tmp_path / "a.toml")


def test_a_lock_file_that_is_a_link_is_refused(cup: Path) -> None:
    lock = cup.parent / ".locks" / "cup.toml.lock"
    lock.unlink()
    lock.symlink_to("victim")
    with pytest.raises(StoreError, match="link"):
        save_project(cup, NEW, revision=revision_of(encode(OLD)))
    assert not lock.with_name("victim").exists()


def test_a_notebook_reached_through_a_link_is_as_good_as_any(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "book").symlink_to("real")
    save_project(tmp_path / "book" / "cup.toml", OLD, revision=None)
    assert read_project(tmp_path / "real" / "cup.toml").project == OLD


def test_a_pipe_a_folder_and_a_device_are_refused_at_once(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "folder.toml").mkdir()
    for name in ("pipe.toml", "folder.toml"):
        with pytest.raises(ProjectFormatError, match="plain file"):
            read_project(tmp_path / name)
    with pytest.raises(ProjectFormatError, match="plain file"):
        read_whole(Path("/dev/zero"), limit=10)


def test_a_huge_file_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.toml"
    with path.open("wb") as file:
        file.truncate(50 * 10**6)
    with pytest.raises(ProjectFormatError, match="50000000 bytes"):
        read_project(path)


def test_what_is_not_there_is_said_to_be_missing(tmp_path: Path) -> None:
    with pytest.raises(ProjectNotFound):
        read_project(tmp_path / "none.toml")
    with pytest.raises(ProjectNotFound, match="folder"):
        save_project(tmp_path / "none" / "cup.toml", OLD, revision=None)
    assert disk_revision(tmp_path / "none.toml") is None
    assert _names(tmp_path) == []


def test_a_zero_byte_in_a_name_is_refused_with_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="zero byte"):
        read_project(tmp_path / "a\0b.toml")


def test_a_name_as_long_as_the_disk_allows_is_saved(tmp_path: Path) -> None:
    path = tmp_path / ("n" * 250 + ".toml")
    revision = save_project(path, OLD, revision=None)
    save_project(path, NEW, revision=revision)
    assert read_project(path).project == NEW
    path.write_bytes(COMMENTED)
    save_project(path, OLD, revision=read_project(path).revision)
    assert originals(path)[0].read_bytes() == COMMENTED
    with pytest.raises(StoreError, match="too long"):
        save_project(tmp_path / ("n" * 300 + ".toml"), OLD, revision=None)


def test_no_name_of_a_file_reaches_a_sentence_as_a_control_sequence(tmp_path: Path) -> None:
    path = tmp_path / "\x1b[2J\u202e.toml"
    path.write_bytes(b"\xff")
    with pytest.raises(ProjectFormatError) as caught:
        read_project(path)
    assert str(caught.value).isprintable()
    assert "\\x1b[2J" in str(caught.value)
