"""A club, from its files or from its records."""

from __future__ import annotations

import csv
import io
import weakref
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Self

from clubplanner.errors import MissingError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.library.grounds import read_bytes
from clubplanner.services.problem.stretch_problem import load_stretch_problem
from clubplanner.services.rows.seasons.stretches import find_stretch
from clubplanner.services.rows.snapshot import load_club, load_squads, load_stretches, load_venues
from clubplanner.services.setup.loading import load_files
from clubplanner.store.engine import open_file, open_store
from clubplanner.store.upkeep.migrate import check_store, migrate

if TYPE_CHECKING:
    import os
    from collections.abc import Iterable, Mapping

    from clubplanner.domain.club.squads import Squad
    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.sharing.values.problem import Problem
    from clubplanner.store.engine import Store


class Club:
    """A club that is read from and never changed; close it, or use it in a `with` block.

    Attributes:
        name: As the club calls itself.
        venues: With their pitches.
        squads: By name.
        stretches: Of the season, by date.
    """

    def __init__(self, store: Store, folder: TemporaryDirectory[str] | None = None) -> None:
        self._store = store
        self._finish = weakref.finalize(self, _close, store, folder)
        with store.read() as session:
            self.name = load_club(session).name
            self.venues: tuple[Venue, ...] = tuple(load_venues(session))
            self.squads: tuple[Squad, ...] = tuple(load_squads(session))
            self.stretches: tuple[Stretch, ...] = tuple(load_stretches(session))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_unused: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the records."""
        self._finish()

    @property
    def pitches(self) -> tuple[Pitch, ...]:
        """Return the pitches of all venues."""
        return tuple(pitch for venue in self.venues for pitch in venue.pitches)

    def pitch(self, name: str) -> Pitch:
        """Return a pitch by its name or key.

        Raises:
            MissingError: If there is none, or there are several of that name.
        """
        found = [pitch for pitch in self.pitches if name in (pitch.name, pitch.key)]
        if len(found) == 1:
            return found[0]
        if found:
            keys = ", ".join(pitch.key for pitch in found)
            raise MissingError(f"Several pitches are called “{name}”; write a key: {keys}.")
        names = ", ".join(pitch.name for pitch in self.pitches) or "none yet"
        raise MissingError(f"There is no pitch “{name}”; there are: {names}.")

    def problem(self, stretch: str) -> Problem:
        """Put what the club has to share out in a stretch of its season.

        Args:
            stretch: Its name or key.

        Raises:
            MissingError: If there is no such stretch.
            RefusedError: If there is nothing to share out.
        """
        with self._store.read() as session:
            return load_stretch_problem(session, find_stretch(session, stretch))


def read_club(*paths: str | os.PathLike[str], squads: Iterable[Mapping[str, object]] = ()) -> Club:
    """Read a club from the files that its page “Files” takes in.

    Args:
        paths: Settings (.toml), grounds (.geojson), squads and own sizes (.csv), in any order.
        squads: A squads table as rows, in place of a file: by the same column names; True and
            False for yes and no, None for a blank cell.

    Returns:
        The club, in temporary records of its own that go with it.

    Raises:
        FaultyInputError: With every fault of every file.
        MissingError: If a file cannot be read.
    """
    files = [ClubFile(Path(path).name, read_bytes(Path(path))) for path in paths]
    rows = [dict(row) for row in squads]
    if rows:
        files.append(ClubFile("squads.csv", _table(rows)))
    folder = TemporaryDirectory(prefix="clubplanner-", ignore_cleanup_errors=True)
    store = open_file(Path(folder.name) / "club.db")
    try:
        migrate(store)
        load_files(store, files, datetime.now(UTC))
        return Club(store, folder)
    except BaseException:
        _close(store, folder)
        raise


def open_club(database: str | os.PathLike[str]) -> Club:
    """Open a club's records, of the version of this program; nothing in them is changed.

    Args:
        database: The database's address, or the path of a file.

    Raises:
        StoreError: If there is no such database, or it is of another version.
        NoClubError: If no club has been loaded.
    """
    words = str(database)
    store = open_store(words) if "://" in words else open_file(Path(words))
    try:
        check_store(store)
        return Club(store)
    except BaseException:
        store.close()
        raise


def _table(rows: list[dict[str, object]]) -> bytes:
    columns = list(dict.fromkeys(column for row in rows for column in row))
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, columns, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows({column: _cell(row[column]) for column in row} for row in rows)
    return text.getvalue().encode()


def _cell(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else str(value)


def _close(store: Store, folder: TemporaryDirectory[str] | None) -> None:
    store.close()
    if folder is not None:
        folder.cleanup()
