"""Waiting for the disk after a commit: nobody is answered before it, and one wait serves many."""

from __future__ import annotations

import os
import shutil
import sqlite3
import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from functools import partial
from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import MissingError, StoreError, UnsureError
from clubplanner.store.disk import SharedWait, reach_disk
from clubplanner.store.engine import open_store
from clubplanner.store.tables.club_tables import ClubRow

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.files
"""A server waits for its disk by itself."""


class Disk:
    """Stands for `os.fsync`: counts, and holds up whoever waits until it is let go."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.calls: list[int] = []
        self.reached = threading.Event()
        self.let_go = threading.Event()
        monkeypatch.setattr("clubplanner.store.disk.os.fsync", self)

    def __call__(self, descriptor: int) -> None:
        """Note how long the file was, and wait."""
        self.calls.append(os.fstat(descriptor).st_size)
        self.reached.set()
        assert self.let_go.wait(60)


@pytest.fixture
def kept(club_file: Path, tmp_path: Path) -> Iterator[Store]:
    """Give the invented club in a file that is waited for."""
    path = shutil.copy(club_file, tmp_path / "kept.sqlite")
    store = open_store(f"sqlite:///{path}")
    with store.read() as session:
        session.get_one(ClubRow, 1)
    yield store
    store.close()


def rename(store: Store, name: str, *, in_passing: bool = False) -> None:
    """Change something small."""
    with store.write(in_passing=in_passing) as session:
        session.get_one(ClubRow, 1).name = name


def test_a_change_is_answered_when_it_has_reached_the_disk(
    kept: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever wrote waits; the next writer does not wait for that, and its rows are kept too."""
    disk = Disk(monkeypatch)
    with ThreadPoolExecutor(2) as pool:
        first = pool.submit(rename, kept, "First")
        assert disk.reached.wait(60)
        second = pool.submit(rename, kept, "Second")
        with closing(sqlite3.connect(str(kept.engine.url.database))) as other:
            while other.execute("SELECT name FROM club").fetchone() != ("Second",):
                assert not second.done()
        assert not first.done(), "its log is not on the disk yet"
        disk.let_go.set()
        first.result(10)
        second.result(10)
    assert len(disk.calls) == 2, "the second came when the first wait was under way"


def test_who_comes_during_a_wait_shares_the_next_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ten come while the disk is at it: one wait more serves them all."""
    log = tmp_path / "log"
    disk, wait, reach = Disk(monkeypatch), SharedWait(), partial(reach_disk, log)
    log.write_bytes(b"rows")
    with ThreadPoolExecutor(11) as pool:
        first = pool.submit(wait.wait, reach)
        assert disk.reached.wait(60)
        others = [pool.submit(wait.wait, reach) for _ in range(10)]
        while len(wait._changed._waiters) < 10:  # type: ignore[attr-defined]
            assert not any(other.done() for other in others)
        disk.let_go.set()
        for done in (first, *others):
            done.result(10)
    assert len(disk.calls) == 2


@pytest.mark.parametrize(("opened_at", "calls"), [(2.0, 2), (3.0, 2), (4.0, 3)])
def test_a_connection_made_after_a_commit_does_not_vouch_for_it(
    opened_at: float, calls: int
) -> None:
    """A server that began anew may have lost it; whoever committed asks over their own."""
    wait, begun, let_go = SharedWait(), threading.Event(), threading.Event()
    reached: list[str] = []

    def reach(who: str) -> None:
        reached.append(who)
        begun.set()
        assert let_go.wait(120)

    def waits(who: str, since: float, written_at: float) -> None:
        wait.wait(partial(reach, who), same_since=since, written_at=written_at)

    with ThreadPoolExecutor(3) as pool:
        first = pool.submit(waits, "first", 1.0, 2.5)
        assert begun.wait(120)
        leader = pool.submit(waits, "leader", opened_at, 5.0)
        while len(wait._changed._waiters) < 1:  # type: ignore[attr-defined]
            assert not leader.done()
        follower = pool.submit(waits, "follower", 1.0, 3.0)
        while len(wait._changed._waiters) < 2:  # type: ignore[attr-defined]
            assert not follower.done()
        let_go.set()
        for done in (first, leader, follower):
            done.result(20)
    assert reached[0] == "first"
    assert len(reached) == calls or reached == ["first", "follower"]


def test_what_is_written_in_passing_waits_for_nobody(
    kept: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nor does a session that wrote nothing; the next one that waits keeps all before it."""
    disk = Disk(monkeypatch)
    disk.let_go.set()
    rename(kept, "In passing", in_passing=True)
    with kept.write() as session:
        session.get_one(ClubRow, 1)
    assert disk.calls == []
    rename(kept, "For good")
    assert len(disk.calls) == 1


def test_what_others_count_by_waits_for_the_disk(
    kept: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A reader of `read_kept` is done when all that it saw is kept; any other one at once."""
    disk = Disk(monkeypatch)

    def read() -> str:
        with kept.read_kept() as session:
            return session.get_one(ClubRow, 1).name

    with ThreadPoolExecutor(2) as pool:
        first = pool.submit(rename, kept, "First")
        assert disk.reached.wait(60)
        reader = pool.submit(read)
        while len(kept.disk._changed._waiters) < 1:  # type: ignore[union-attr]
            assert not reader.done()
        with kept.read() as session:
            assert session.get_one(ClubRow, 1).name == "First"
        disk.let_go.set()
        assert reader.result(10) == "First"
        first.result(10)
    assert len(disk.calls) == 2, "what it saw may have come after the first wait began"


def test_a_reader_is_told_that_the_disk_refuses(
    kept: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing goes out that may be lost; what went wrong while reading is told as it is."""

    def refuse(_descriptor: int) -> None:
        raise OSError

    monkeypatch.setattr("clubplanner.store.disk.os.fsync", refuse)
    with pytest.raises(StoreError, match="cannot be written"), kept.read_kept():
        pass
    with pytest.raises(MissingError), kept.read_kept():
        raise MissingError("No such thing.")


def test_who_may_only_read_a_file_waits_for_it_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another user's log is on the same disk."""
    there, ways = os.open, []

    def open_as_reader(path: Path, way: int) -> int:
        ways.append(way)
        if way != os.O_RDONLY:
            raise PermissionError
        return there(path, way)

    (tmp_path / "log").write_bytes(b"rows")
    monkeypatch.setattr("clubplanner.store.disk.os.open", open_as_reader)
    reach_disk(tmp_path / "log")
    assert ways == [os.O_RDWR, os.O_RDONLY]


def test_a_disk_that_refuses_is_told_in_words(kept: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever sent it learns that it is there and not safe, and the next one tries anew."""
    calls: list[int] = []

    def refuse(descriptor: int) -> None:
        calls.append(descriptor)
        if len(calls) == 1:
            raise OSError

    monkeypatch.setattr("clubplanner.store.disk.os.fsync", refuse)
    with pytest.raises(UnsureError, match="This was written"):
        rename(kept, "Lost?")
    with kept.read() as session:
        assert session.get_one(ClubRow, 1).name == "Lost?"
    rename(kept, "Kept")
    assert len(calls) == 2


def test_a_log_that_was_folded_in_needs_no_wait(tmp_path: Path) -> None:
    """Whoever folds it in waits for the file first, and then it is gone."""
    reach_disk(tmp_path / "gone")
