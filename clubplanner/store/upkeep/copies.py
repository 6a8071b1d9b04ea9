"""A copy of the database beside it, made before an upgrade changes anything."""

from __future__ import annotations

import glob
import shutil
import sqlite3
from contextlib import closing
from itertools import count
from typing import TYPE_CHECKING

from clubplanner.errors import StoreError

if TYPE_CHECKING:
    from pathlib import Path


BACKUP_NOTE = "backup_note"
"""The table that a backup has besides those of the club: what was backed up, and when."""


def keep_copy(database: Path, step: str) -> Path:
    """Copy a SQLite database as it stands, and return where the copy is.

    The copy is called by the step that comes next: "club.before-0002.sqlite". A file that is there
    already is left alone. Whoever calls keeps writers out meanwhile.

    Args:
        database: The file.
        step: The number of the step that is about to be taken.

    Raises:
        StoreError: If there is no room or no right to keep it.
    """
    copy = free_name(database, step)
    try:
        copy.touch(0o600, exist_ok=False)  # for its owner alone, until it is as the original is
        with closing(sqlite3.connect(database)) as source, closing(sqlite3.connect(copy)) as target:
            source.backup(target, pages=-1)
        shutil.copymode(database, copy)
    except (OSError, sqlite3.Error) as fault:
        copy.unlink(missing_ok=True)
        raise StoreError(
            f"No copy of the database could be kept as {copy} ({fault}), so nothing was changed. "
            "Make room there, then run “clubplanner init” again."
        ) from fault
    return copy


def copies_beside(database: Path) -> list[str]:
    """List the names of the copies that stand beside a database, made before upgrades."""
    pattern = f"{glob.escape(database.stem)}.before-*{glob.escape(database.suffix)}"
    return sorted(copy.name for copy in database.parent.glob(pattern))


def free_name(database: Path, step: str) -> Path:
    """Return a name beside a database that is not taken: "club.before-0002.sqlite"."""
    for number in count(1):
        suffix = "" if number == 1 else f"-{number}"
        copy = database.with_name(f"{database.stem}.before-{step}{suffix}{database.suffix}")
        if not copy.exists():
            return copy
    raise AssertionError  # pragma: no cover - counting does not end
