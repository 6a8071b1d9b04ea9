"""Who knows of what was changed: told by mail, sees it in their calendar or page, or not reached.

Asked after every change, and again on the secretary's first page. A squad is reached once one of
those who look after it is. What happens within 24 hours is known only by mail, or by a page or
calendar that was had since; what is later also by a calendar or page that somebody has regularly.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import contains_eager

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.journal import is_same_state
from clubplanner.domain.club.told.notices import LONGEST_SETTLE, join_changes
from clubplanner.language import _, ngettext
from clubplanner.services.addresses.recipients import Recipients
from clubplanner.services.mails.evidence import Changed, Evidence, Verdict, Way
from clubplanner.services.mails.making.gathering import noted_change
from clubplanner.services.rows.own_club import is_held, own_squads
from clubplanner.store.journal.states import state_from_stored
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.hire_tables import HireDateRow, HireRow
from clubplanner.store.tables.notice_tables import NoticeRow
from clubplanner.store.tables.season_tables import ChangedBookingRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session

    from clubplanner.config import Config
    from clubplanner.store.engine import Store

AHEAD = timedelta(days=7)
"""How far ahead the first page looks for sessions whose people are not reached."""
CHANGED_WITHIN = timedelta(days=14)
"""How far back it looks for their changes."""


@dataclass(frozen=True, slots=True)
class Reached:
    """Somebody who knows, or will.

    Attributes:
        name: Who.
        squads: About whom.
        how: How they know, a clause.
    """

    name: str
    squads: str
    how: str


@dataclass(frozen=True, slots=True)
class NotReached:
    """Somebody to ring.

    Attributes:
        name: Who; of a squad that nobody is noted for, the squad.
        phone: Their number; blank for none.
        squads: About whom.
        why: Why they do not know, a sentence.
    """

    name: str
    phone: str
    squads: str
    why: str


@dataclass(frozen=True, slots=True)
class Knowing:
    """Who knows of some changes.

    Attributes:
        by_mail: Who was mailed, or is about to be.
        by_calendar: Who has seen it, or sees it in their calendar, on their page or phone.
        not_reached: Whom to ring.
    """

    by_mail: tuple[Reached, ...] = ()
    by_calendar: tuple[Reached, ...] = ()
    not_reached: tuple[NotReached, ...] = ()

    def __bool__(self) -> bool:
        """Tell whether anybody is concerned at all."""
        return bool(self.by_mail or self.by_calendar or self.not_reached)

    @property
    def counts(self) -> str:
        """How many know and how: "3 told by mail, 1 not reached"."""
        parts = (
            ngettext("%(num)s told by mail", "%(num)s told by mail", len(self.by_mail)),
            ngettext(
                "%(num)s sees it on page, calendar or phone",
                "%(num)s see it on page, calendar or phone",
                len(self.by_calendar),
            ),
            ngettext("%(num)s not reached", "%(num)s not reached", len(self.not_reached)),
        )
        groups = (self.by_mail, self.by_calendar, self.not_reached)
        return ", ".join(words for words, group in zip(parts, groups, strict=True) if group)


def who_knows_of_changes(
    store: Store, config: Config, changes: Sequence[int], now: datetime
) -> Knowing:
    """Say who knows of the changes of that number in the journal.

    Args:
        store: The database.
        config: Whether there is a mail server.
        changes: Their numbers.
        now: The present instant; sessions that are over concern nobody.
    """
    which = ChangedBookingRow.change_id.in_(changes)
    with store.read() as session:
        known = who_knows(session, config, which, now)
        others = tuple(_others(session, which, now))
    return replace(known, not_reached=(*known.not_reached, *others))


def not_reached_ahead(session: Session, config: Config, now: datetime) -> tuple[NotReached, ...]:
    """Return whom to ring about sessions of the coming week that were changed lately."""
    which = (
        (NoticeRow.changed_at > now - CHANGED_WITHIN)
        & (BookingRow.starts_at < now + AHEAD)
        & (NoticeRow.is_wanted | (NoticeRow.sequence > 0))  # new ones only where they are soon
    )
    return who_knows(session, config, which, now).not_reached


def who_knows(
    session: Session, config: Config, which: ColumnElement[bool], now: datetime
) -> Knowing:
    """Say who knows of what was noted for squads.

    Args:
        session: A reading session.
        config: Whether there is a mail server.
        which: Which notes; the condition may speak of notes, journal entries and bookings.
        now: The present instant.
    """
    changed = _changed(session, which, now)
    if not changed:
        return Knowing()
    names = {
        number: name
        for number, name in session.execute(
            select(SquadRow.id, SquadRow.name).order_by(SquadRow.position)
        )
        if number in changed
    }
    people = Recipients.load(session, now)
    evidence = Evidence.load(session, config, people, changed, now)
    heard: dict[tuple[str, str], _Heard] = {}
    silent: list[NotReached] = []
    for squad_id, name in names.items():
        verdicts = list(evidence.about(squad_id))
        for verdict in _to_show(verdicts):
            key = (verdict.name, verdict.address)
            heard.setdefault(key, _Heard(verdict.phone)).add(verdict, name)
        if not any(verdict.answers for verdict in verdicts):
            why = _("Nobody is noted for this squad.")
            silent.append(NotReached(name, "", name, why))
    return _sorted_out(heard, silent)


@dataclass(slots=True)
class _Heard:
    """What one person knows, squad by squad."""

    phone: str
    ways: dict[Way, list[tuple[str, str]]] = field(default_factory=lambda: defaultdict(list))

    def add(self, verdict: Verdict, squad: str) -> None:
        """Note what they know of a squad."""
        self.ways[verdict.way].append((squad, verdict.words))


def _to_show(verdicts: Sequence[Verdict]) -> Iterator[Verdict]:
    """Yield who knows of a squad's changes, and whom to ring if none of its own people does."""
    is_reached = any(one.answers and one.way is not Way.NONE for one in verdicts)
    for one in verdicts:
        if one.way is not Way.NONE or (one.answers and not is_reached):
            yield one


def _sorted_out(heard: Mapping[tuple[str, str], _Heard], silent: Sequence[NotReached]) -> Knowing:
    """Put everybody in one group: whoever lacks anything is not reached."""
    by_mail: list[Reached] = []
    by_calendar: list[Reached] = []
    not_reached = list(silent)
    for (name, address), one in heard.items():
        way = next(way for way in (Way.NONE, Way.MAIL, Way.CALENDAR) if way in one.ways)
        squads = ", ".join(dict.fromkeys(squad for squad, _unused in one.ways[way]))
        words = one.ways[way][0][1]
        if way is Way.NONE:
            not_reached.append(NotReached(name or address, one.phone, squads, words))
        else:
            group = by_mail if way is Way.MAIL else by_calendar
            group.append(Reached(name or address, squads, words))
    return Knowing(tuple(by_mail), tuple(by_calendar), tuple(not_reached))


def _changed(session: Session, which: ColumnElement[bool], now: datetime) -> dict[int, Changed]:
    """Return by squad what was changed of bookings that are not over."""
    noted = session.execute(
        select(
            NoticeRow.id,
            NoticeRow.squad_id,
            BookingRow.id,
            NoticeRow.sequence,
            NoticeRow.is_wanted,
            NoticeRow.changed_at,
        )
        .join(NoticeRow.entry)
        .join(BookingRow, BookingRow.id == ChangedBookingRow.booking_id)
        .where(which, *BookingRow.not_over(now), *own_squads(session, NoticeRow.squad_id))
    )
    rows = sorted(noted, key=lambda row: row[0])  # by us: the database would go through all notes
    nothing = _taken_back(session, {row[2] for row in rows})
    found: dict[int, Changed] = {}
    for notice, squad_id, number, sequence, is_wanted, changed_at in rows:
        if notice in nothing:
            continue
        of_squad = found.setdefault(squad_id, Changed(changed_at))
        of_squad.counts[number] = sequence
        if is_wanted:
            of_squad.wanted.add(number)
        of_squad.last_at = max(of_squad.last_at, changed_at)
    return found


def _taken_back(session: Session, numbers: Collection[int]) -> set[int]:
    """Return the notes of what was taken back before anybody was written to: none is to be told."""
    goes: dict[tuple[int, int, datetime | None], list[list[NoticeRow]]] = defaultdict(list)
    for row in session.scalars(
        select(NoticeRow)
        .join(NoticeRow.entry)
        .where(ChangedBookingRow.booking_id.in_(numbers))
        .order_by(NoticeRow.id)
        .options(contains_eager(NoticeRow.entry))
    ):
        own = goes[row.squad_id, row.entry.booking_id, row.told_at]
        if not own or row.changed_at > own[-1][0].changed_at + LONGEST_SETTLE:
            own.append([])
        own[-1].append(row)
    return {
        row.id
        for own in goes.values()
        for go in own
        if any(row.is_wanted for row in go) and not join_changes(map(noted_change, go))
        for row in go
    }


def _others(session: Session, which: ColumnElement[bool], now: datetime) -> Iterator[NotReached]:
    """Yield who holds ground without being one of the club's squads: nothing tells them."""
    if is_held(session):
        return
    rows = session.execute(
        select(ChangedBookingRow, BookingRow.written_holder, HireRow.contact, HireRow.phone)
        .join(BookingRow, BookingRow.id == ChangedBookingRow.booking_id)
        .outerjoin(HireDateRow, HireDateRow.booking_id == BookingRow.id)
        .outerjoin(HireRow, HireRow.id == HireDateRow.hire_id)
        .where(which, *BookingRow.not_over(now), BookingRow.squad_id.is_(None))
        .where(BookingRow.purpose != Purpose.CLOSED)
        .order_by(BookingRow.starts_at, BookingRow.id, HireRow.id.desc())
    )
    seen = set()
    for entry, holder, contact, phone in rows:
        before = None if entry.before is None else state_from_stored(entry.before)
        is_new = before is None or is_same_state(before, state_from_stored(entry.after))
        who = (contact or holder, phone or "")
        if not is_new and (who, holder) not in seen:
            seen.add((who, holder))
            why = _("Not one of the club's squads, so that nothing tells them by itself.")
            yield NotReached(*who, holder, why)
