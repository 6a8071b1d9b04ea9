"""Backups: one file of one moment, sound, for its owner alone; or none."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import create_engine, func, select, text

from clubplanner.errors import MissingError, RefusedError, StoreError
from clubplanner.store.engine import open_file
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.upkeep import backups
from clubplanner.store.upkeep.backups import make_backup, opened_backup
from clubplanner.store.upkeep.migrate import check_store, migrate
from tests.builders import NOW
from tests.records import place_of
from tests.store.earlier import put_earlier, rows_of
from tests.stores import count_rows, make_wish, put_booking

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from clubplanner.store.engine import Store


HIRES = 3
"""Bookings that the invented club begins with."""


@pytest.fixture
def backup(club_store: Store, tmp_path: Path) -> Path:
    """Give a backup of the invented club with a booking."""
    put_booking(club_store, make_wish(club_store))
    path = tmp_path / "backups" / "club.backup"
    path.parent.mkdir()
    make_backup(club_store, path, NOW)
    return path


def test_a_backup_holds_every_row_and_says_when_it_was_made(
    backup: Path, club_store: Store
) -> None:
    """As any database does that is read past our code."""
    with opened_backup(backup) as (store, noted):
        assert count_rows(store) == noted.rows == count_rows(club_store)
        assert noted.taken_at == NOW.replace(microsecond=0)
    assert len(rows_of(backup)["booking"]) == HIRES + 1


def test_a_backup_is_one_file_that_its_owner_alone_can_read(
    club_store: Store, tmp_path: Path
) -> None:
    """Whatever is set for new files; nothing lies beside it."""
    folder = tmp_path / "backups"
    folder.mkdir()
    before = os.umask(0)
    try:
        make_backup(club_store, folder / "club.backup", NOW)
    finally:
        os.umask(before)
    assert [one.name for one in folder.iterdir()] == ["club.backup"]
    assert (folder / "club.backup").stat().st_mode & 0o777 == 0o600


def test_nothing_is_written_over(backup: Path, club_store: Store) -> None:
    """A backup of yesterday stays, whatever it is called."""
    before = backup.read_bytes()
    with pytest.raises(RefusedError, match="name a new one"):
        make_backup(club_store, backup, NOW)
    assert backup.read_bytes() == before


def test_where_nothing_can_be_written_it_is_said(club_store: Store, tmp_path: Path) -> None:
    """A folder that is not there, or a file in its place."""
    with pytest.raises(StoreError, match="No file can be begun"):
        make_backup(club_store, tmp_path / "nowhere" / "club.backup", NOW)


def test_a_full_disk_leaves_no_half_a_backup(
    club_store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nor what it was called before."""

    def full(_path: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backups, "_bring_to_disk", full)
    folder = tmp_path / "backups"
    folder.mkdir()
    with pytest.raises(StoreError, match=r"No space left .* as they were"):
        make_backup(club_store, folder / "club.backup", NOW)
    assert list(folder.iterdir()) == []


def test_a_backup_is_not_served(backup: Path) -> None:
    """What has happened since has to be settled first; nothing of it is changed."""
    before = backup.read_bytes()
    with closing(open_file(backup)) as store:
        for use in (check_store, migrate):
            with pytest.raises(
                StoreError, match=r"This is a backup .*“clubplanner records restore”"
            ):
                use(store)
    with closing(sqlite3.connect(backup)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert len(backup.read_bytes()) == len(before)


def test_it_is_of_one_moment_while_others_write(club_store: Store, tmp_path: Path) -> None:
    """Each backup has the bookings up to one, with the journal and the outbox of each."""
    place = place_of(club_store)
    program = [sys.executable, "-m", "tests.store.writer_process", str(place), "Writer", "60"]
    with subprocess.Popen(program, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as writer:
        assert writer.stdin is not None
        assert writer.stdout is not None
        assert writer.stdout.readline() == b"ready\n"
        writer.stdin.write(b"go\n")
        writer.stdin.flush()
        writer.stdout.readline()
        counts = []
        for turn in range(3):
            path = tmp_path / f"{turn}.backup"
            make_backup(club_store, path, NOW)
            with opened_backup(path) as (store, noted):
                counts.append(noted.rows["booking"])
                assert noted.rows["changed_booking"] == noted.rows["booking"]
                with store.read() as session:
                    assert session.scalar(select(func.max(BookingRow.id))) == counts[-1]
        writer.stdin.close()
        writer.stdout.read()
    assert counts == sorted(counts)
    assert counts[0] >= 1


DAMAGES: dict[str, Callable[[bytes], bytes]] = {
    "cut off": lambda data: data[: len(data) // 2],
    "empty": lambda _data: b"",
    "something else": lambda _data: b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n" * 100,
    "a page of zeros": lambda data: data[:8192] + bytes(4096) + data[12288:],
}


@pytest.mark.files
@pytest.mark.parametrize("how", DAMAGES)
def test_a_damaged_backup_is_refused(backup: Path, how: str) -> None:
    """In plain words, before anything is touched."""
    damaged = backup.with_name("damaged.backup")
    damaged.write_bytes(DAMAGES[how](backup.read_bytes()))
    with (
        pytest.raises(StoreError, match=r"damaged.backup (cannot be|is)"),
        opened_backup(damaged),
    ):
        pass


@pytest.mark.files
def test_rows_that_went_missing_are_noticed(backup: Path) -> None:
    """A file can be sound as a file and not be what was written."""
    with closing(sqlite3.connect(backup)) as connection, connection:
        connection.execute("DELETE FROM training_break")
    with pytest.raises(StoreError, match="as many records"), opened_backup(backup):
        pass


@pytest.mark.files
def test_a_file_that_is_not_there_or_anothers_is_told(tmp_path: Path) -> None:
    """Another program's database holds no club."""
    with pytest.raises(MissingError, match="name of the backup"), opened_backup(tmp_path / "a"):
        pass
    other = tmp_path / "other.sqlite"
    engine = create_engine(f"sqlite:///{other}")
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE notes (words TEXT)"))
    engine.dispose()
    with pytest.raises(StoreError, match="another program's"), opened_backup(other):
        pass


@pytest.mark.files
def test_an_earlier_version_is_backed_up_as_it_is(earlier: Store, earlier_path: Path) -> None:
    """Before an upgrade, by the new program; opened, it is of the newest shape."""
    put_earlier(earlier_path, "0005")
    made = make_backup(earlier, earlier_path.with_name("club.backup"), NOW)
    assert made.version == "0005"
    with opened_backup(earlier_path.with_name("club.backup")) as (store, noted):
        check_store(store)
        assert noted.version == "0005"
        assert count_rows(store)["booking"] == made.rows["booking"]
    assert rows_of(earlier_path)["alembic_version"] == [{"version_num": "0005"}]


@pytest.mark.files
def test_a_copy_with_its_log_beside_it_is_taken_as_it_is(club_store: Store, tmp_path: Path) -> None:
    """Whoever copied the files of records in use has the last changes in the log."""
    put_booking(club_store, make_wish(club_store))
    source = str(club_store.engine.url.database)
    copy = tmp_path / "copied"
    for suffix in ("", "-wal"):
        shutil.copy(f"{source}{suffix}", f"{copy}{suffix}")
    with opened_backup(copy) as (store, noted):
        assert noted.taken_at is None
        assert count_rows(store)["booking"] == HIRES + 1


def test_the_note_is_plain(backup: Path) -> None:
    """Whoever finds a file years later reads by any SQLite program what it is."""
    with closing(sqlite3.connect(backup)) as connection:
        taken_at, version, rows = connection.execute("SELECT * FROM backup_note").fetchone()
    assert taken_at == int(NOW.timestamp())
    assert version.isdecimal()
    assert json.loads(rows)["booking"] == HIRES + 1
