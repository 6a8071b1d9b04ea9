"""Bringing a club's records back from a backup: all of it in one transaction, or nothing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import delete, select

from clubplanner.errors import RefusedError, StoreError
from clubplanner.services.restoring.former import OUTSIDE, Known, load_stood
from clubplanner.services.restoring.settled import IN_CALENDARS, Found, Settled
from clubplanner.services.restoring.ways_in import WaysIn
from clubplanner.store.sqlite import file_of
from clubplanner.store.tables.base import Base
from clubplanner.store.upkeep.backups import make_backup, opened_backup
from clubplanner.store.upkeep.in_use import is_in_use
from clubplanner.store.upkeep.migrate import check_store, migrate
from clubplanner.store.upkeep.moving import copy_rows, hold_to_guard

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from sqlalchemy import Connection

    from clubplanner.store.engine import Store
    from clubplanner.store.upkeep.backups import Backup

LOOKED_BACK = timedelta(days=31)
"""How long ago a session may have ended that the backup has ahead."""
ALSO_EMPTY = frozenset({"served", "form_secret", "stand", "sign_in_try", "sent_form", "sign_in"})
"""Tables in which there is something as soon as pages of no club are served."""


@dataclass(frozen=True, slots=True)
class Wish:
    """How to bring records back.

    Attributes:
        backup: The file.
        copy: Where the records that are replaced are kept.
        ways_in: What becomes of addresses, access and passwords.
        is_replacing: Records that are there are replaced.
        is_served: Records that somebody has open are replaced.
    """

    backup: Path
    copy: Path
    ways_in: WaysIn = WaysIn.NOW
    is_replacing: bool = False
    is_served: bool = False


@dataclass(frozen=True, slots=True)
class Restored:
    """What was done.

    Attributes:
        taken_at: When the backup was made; None where it does not say.
        rows: How many rows it holds.
        copy: Where the replaced records are kept; None where there were none.
        found: What was kept and what was lost.
    """

    taken_at: datetime | None
    rows: int
    copy: Path | None
    found: Found


def restore_backup(store: Store, wish: Wish, now: datetime) -> Restored:
    """Bring a club back from a backup, an older one too.

    Killed at any point, the records are what they were, or what they are to be.

    Args:
        store: Where; nobody else has it open, unless the wish says so.
        wish: From where, and how.
        now: The present instant.

    Raises:
        MissingError: If there is no such file.
        RefusedError: If there are records and they are not to be replaced, if somebody has them
            open, or if nothing says what became of addresses and passwords since the backup.
        StoreError: If the file is no sound backup, or the records cannot be written.
    """
    with opened_backup(wish.backup) as (source, backup):
        if not wish.is_served and is_in_use(store):
            raise RefusedError(
                "The records are in use: stop the pages and the worker first, so that nobody types "
                "what would be lost. To bring the backup back while they run, say "
                "--although-served, and start them anew afterwards."
            )
        with source.read() as session:
            here = session.connection()
            _prepare(store, here, backup, wish, now)
            with store.rebuild() as there:
                done = _replace(store, here, there, backup, wish, now)
        check_store(store)
    return done


def _prepare(store: Store, here: Connection, backup: Backup, wish: Wish, now: datetime) -> None:
    """Bring the records that are there to the newest shape, or begin some."""
    file = file_of(store.engine)
    is_there = file is None or file.exists()
    if file is not None and is_there and file.samefile(wish.backup):
        raise RefusedError("The backup and the records are the same file; name another one.")
    if not is_there and wish.ways_in is WaysIn.NOW:  # before a file is begun
        raise RefusedError(_unknown(Known.load(here, now, now), backup))
    try:
        migrate(store)
    except StoreError as fault:
        raise StoreError(
            f"{fault} If it is these records that are damaged, move their file and those beside it "
            "to another place, and bring the backup back into the empty one."
        ) from fault


def _replace(
    store: Store,
    here: Connection,
    there: Connection,
    backup: Backup,
    wish: Wish,
    now: datetime,
) -> Restored:
    since = now - IN_CALENDARS
    is_there = _is_there(there)
    if is_there and not wish.is_replacing:
        raise RefusedError(
            "There are records already. To bring the backup back in their place say --replace; "
            f"they are then kept as {wish.copy}."
        )
    known, former = Known.load(here, since, now), Known.load(there, since, now)
    is_known = is_there and known.is_same_club(former)
    if wish.ways_in is WaysIn.NOW and not is_known:
        raise RefusedError(_unknown(known, backup))
    copy = None
    if is_there:
        make_backup(store, wish.copy, now)
        copy = wish.copy
    try:
        stood = load_stood(there, now - LOOKED_BACK) if is_known else {}
        _put_in(here, there)
        found = Settled(
            there, known, former, stood, is_known, wish.ways_in, backup.taken_at, now
        ).settle()
        hold_to_guard(there)
    except BaseException:
        if copy is not None:  # nothing is changed, so there is nothing to go back to
            copy.unlink(missing_ok=True)
        raise
    return Restored(backup.taken_at, sum(backup.rows.values()), copy, found)


def _is_there(there: Connection) -> bool:
    tables = [t for t in Base.metadata.sorted_tables if t.name not in ALSO_EMPTY]
    return any(there.execute(select(table).limit(1)).first() is not None for table in tables)


def _unknown(known: Known, backup: Backup) -> str:
    open_now = len(known.handed_out())
    people = sum(row["may_sign_in"] for row in known.people.values())
    when = "" if backup.taken_at is None else f" of {backup.taken_at:%Y-%m-%d %H:%M} UTC"
    return (
        f"In the backup{when}, addresses that open something: {open_now}; people who may sign in: "
        f"{people}. There are no records that say which of them have been withdrawn since. "
        "Say --ways-in backup if none has, nor a password been replaced; or --ways-in closed to "
        "withdraw all: the secretary then signs in by “clubplanner people let-in” and hands out "
        "anew."
    )


def _put_in(here: Connection, there: Connection) -> None:
    """Put the backup's rows in the place of those that are there."""
    tables = Base.metadata.sorted_tables
    for table in reversed(tables):
        there.execute(delete(table))
    copy_rows(here, there, [table for table in tables if table.name not in OUTSIDE])
