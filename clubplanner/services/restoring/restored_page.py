"""What the secretary is told after the records were brought back, until it is seen to."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.times.times import moment_in_words
from clubplanner.errors import MissingError
from clubplanner.language import _, ngettext
from clubplanner.services.journal.change_words import entry_words, hold_places
from clubplanner.services.journal.entries import read_entries
from clubplanner.services.mails.knowing import who_knows_of_changes
from clubplanner.services.restoring.settled import Found
from clubplanner.services.restoring.ways_in import WaysIn
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.tables.restored_tables import RestoredRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.config import Config
    from clubplanner.services.mails.knowing import Knowing
    from clubplanner.store.engine import Store

MOST_SESSIONS = 40
"""Sessions that are told one by one; the rest is counted."""


@dataclass(frozen=True, slots=True)
class RestoredShown:
    """The last time that the records were brought back.

    Attributes:
        number: The row's number.
        at: When, in words.
        as_of: When the backup was made, in words; blank where it does not say.
        sessions: What it means for sessions and calendars, sentences.
        one_by_one: What became of each of the first few sessions, as the journal says it.
        more: How many more there are.
        people: What it means for people, addresses and mails, sentences.
        knowing: Who knows of sessions that changed by it.
        is_seen: Whether somebody has seen to it.
    """

    number: int
    at: str
    as_of: str
    sessions: tuple[str, ...]
    one_by_one: tuple[str, ...]
    more: int
    people: tuple[str, ...]
    knowing: Knowing
    is_seen: bool


def is_unseen(store: Store) -> bool:
    """Tell whether the records were brought back and nobody has seen to it yet."""
    with store.read() as session:
        row = _latest(session)
        return row is not None and row.seen_at is None


def see_restored(store: Store, config: Config, now: datetime) -> RestoredShown | None:
    """Show what it meant that the records were brought back, the last time; None if never."""
    with store.read() as session:
        row = _latest(session)
        if row is None:
            return None
        zone = load_zone(session)
        found = _found(row)
        shown = _moments(row, zone)
        changes = [] if row.change_id is None else [row.change_id]
        one_by_one, more = _one_by_one(session, changes, zone, now)
    return RestoredShown(
        row.id,
        *shown,
        tuple(tell_about_sessions(found)),
        one_by_one,
        more,
        tuple(tell_about_people(found)),
        who_knows_of_changes(store, config, changes, now),
        row.seen_at is not None,
    )


def note_seen(store: Store, number: int, now: datetime) -> None:
    """Note that somebody has seen to it; done twice it is done once.

    Raises:
        MissingError: If there is none of that number.
    """
    with store.write() as session:
        row = session.get(RestoredRow, number)
        if row is None:
            raise MissingError(_("The records were never brought back from a backup."))
        row.seen_at = row.seen_at or now


def _latest(session: Session) -> RestoredRow | None:
    return session.scalars(select(RestoredRow).order_by(RestoredRow.id.desc()).limit(1)).first()


def _found(row: RestoredRow) -> Found:
    """Read what was kept; what a later version has added is not told by an earlier row."""
    names = {one.name for one in fields(Found)}
    return Found(**{name: value for name, value in row.found.items() if name in names})


def _one_by_one(
    session: Session, changes: Sequence[int], zone: ZoneInfo, now: datetime
) -> tuple[tuple[str, ...], int]:
    """Write what changes did to the first few bookings; how many more there are comes second."""
    lines: list[str] = []
    more = 0
    for part in read_entries(session, changes, MOST_SESSIONS, now).values():
        with hold_places(session, part.first):
            lines += [entry_words(session, entry, zone) for entry in part.first]
        more += part.count - len(part.first)
    return tuple(lines), more


def _moments(row: RestoredRow, zone: ZoneInfo) -> tuple[str, str]:
    as_of = "" if row.taken_at is None else moment_in_words(row.taken_at, zone)
    return moment_in_words(row.at, zone), as_of


def tell_about_sessions(found: Found) -> Iterator[str]:
    """Yield what it means for sessions and calendars, a sentence each."""
    if found.closures:
        yield ngettext(
            "%(num)s closure or condition of ground had been made since and is gone: close that "
            "ground again if it must not be used.",
            "%(num)s closures or conditions of ground had been made since and are gone: close that "
            "ground again if it must not be used.",
            found.closures,
        )
    if not found.is_known:
        yield _(
            "Ground that was closed after that is open here: close it again if it must not be used."
        )
        yield _(
            "What was booked or moved after that is not known. Calendars that are fetched show "
            "what is true by themselves; an entry that a mail put there stays, and a session that "
            "was made since has to be booked again."
        )
    if found.put_back:
        yield ngettext(
            "%(num)s session to come had been changed since and is again as it was then.",
            "%(num)s sessions to come had been changed since and are again as they were then.",
            found.put_back,
        )
    if found.called_off:
        yield ngettext(
            "%(num)s session to come had been made since and is called off. To have it after all, "
            "take that change back in the list of changes.",
            "%(num)s sessions to come had been made since and are called off. To have them after "
            "all, take that change back in the list of changes.",
            found.called_off,
        )
    if found.untold:
        yield ngettext(
            "%(num)s session had been made since on ground that is not known here: tell whoever "
            "was to come.",
            "%(num)s sessions had been made since on ground that is not known here: tell whoever "
            "was to come.",
            found.untold,
        )
    if found.is_known and not (found.put_back or found.called_off or found.untold):
        yield _("No session to come has changed by it.")
    yield _("Calendars take every entry anew when they are next fetched; nothing has to be done.")


def tell_about_people(found: Found) -> Iterator[str]:
    """Yield what it means for people, addresses and mails, a sentence each."""
    yield from _about_ways_in(found)
    if found.lost:
        yield ngettext(
            "%(num)s address had been made since for what is not known here; make a new one.",
            "%(num)s addresses had been made since for what is not known here; make new ones.",
            found.lost,
        )
    if found.ended and found.ways_in == WaysIn.NOW:
        yield ngettext(
            "%(num)s person's access had ended since, and has not come back.",
            "The access of %(num)s people had ended since, and has not come back.",
            found.ended,
        )
    if found.gone:
        yield ngettext(
            "%(num)s person had been noted since and is gone; add them again.",
            "%(num)s people had been noted since and are gone; add them again.",
            found.gone,
        )
    if found.unsure:
        yield ngettext(
            "%(num)s mail waited then, and whether it went out is not known. It stands among those "
            "that did not arrive; one press sends what is true now.",
            "%(num)s mails waited then, and whether they went out is not known. They stand among "
            "those that did not arrive; one press sends what is true now.",
            found.unsure,
        )
    if not found.is_known:
        yield _(
            "Everybody signs in once more, and who turned mails off or asked to be told on a phone "
            "after that has to do so again."
        )


def _about_ways_in(found: Found) -> Iterator[str]:
    if found.ways_in == WaysIn.CLOSED:
        yield _(
            "All addresses were withdrawn (%(count)s), and nobody but the secretary can sign in. "
            "Hand out new ones; or take the change back that withdrew them, if none of them had "
            "been withdrawn after that day.",
            count=found.withdrawn,
        )
    elif found.ways_in == WaysIn.BACKUP:
        yield _(
            "Addresses, access and passwords are as they were then. Whatever was withdrawn or "
            "replaced after that works again: look the people and addresses through."
        )
    else:
        yield _(
            "Addresses, access and passwords are as they were last: what had been withdrawn or "
            "replaced does not work again."
        )
