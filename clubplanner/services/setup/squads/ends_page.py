"""What the end of a squad would take along, told before anything is changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.waiting import AskState
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.times.times import clock_in_zone, end_clock_in_zone, short_day
from clubplanner.language import _, weekday_in_words
from clubplanner.services.addresses.recipients import Recipients
from clubplanner.services.rows.named import find_squad
from clubplanner.services.rows.own_club import own_squads
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.setup.squads.ends import (
    digest_of,
    find_coming,
    find_matches,
    refuse_end,
)
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.services.showing.states.squad_endings import ending_of
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.season_tables import WaitingAskRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store
    from clubplanner.store.tables.booking_tables import BookingRow


@dataclass(frozen=True, slots=True)
class HabitGone:
    """Sessions at one weekday, time and place that go.

    Attributes:
        words: Weekday, times and ground.
        count: How many.
        last_day: The date of the last one, short.
    """

    words: str
    count: int
    last_day: str


@dataclass(frozen=True, slots=True)
class ForeseenEnd:
    """What would go.

    Attributes:
        from_day: The first date without the squad.
        habits: Its sessions that would be withdrawn, those alike together.
        sessions: How many these are.
        matches: Its matches from that date on, in words.
        asks: How many of its asks wait for that date or later.
        people: How many mail addresses would be written to.
        links: How many addresses of its own go on opening.
        seen: Digest of all that, for the form that does it.
    """

    from_day: date
    habits: tuple[HabitGone, ...]
    sessions: int
    matches: tuple[str, ...]
    asks: int
    people: int
    links: int
    seen: str


@dataclass(frozen=True, slots=True)
class EndPage:
    """A squad that is to end.

    Attributes:
        key: The squad.
        name: The same in words.
        ending: That it ends already, in words; blank else.
        others: The squads that it could go on in.
        foreseen: What would go; None before a date is chosen.
    """

    key: str
    name: str
    ending: str
    others: tuple[Choice, ...]
    foreseen: ForeseenEnd | None


def see_squad_end(store: Store, squad_key: str, from_day: date | None, now: datetime) -> EndPage:
    """Show what the end of a squad would take along; nothing is changed.

    Args:
        store: The database.
        squad_key: Which squad.
        from_day: The first date without it; None before one is chosen.
        now: The present instant.

    Raises:
        MissingError: If there is no such squad.
        RefusedError: If it cannot end on that date.
    """
    with store.read() as session:
        squad = find_squad(session, squad_key)
        ending = ending_of(session, squad)
        foreseen = None
        if from_day is not None:
            refuse_end(session, squad, from_day, now, None)
            foreseen = _foresee(session, squad, from_day, now)
        others = session.execute(
            select(SquadRow.key, SquadRow.name)
            .where(SquadRow.id != squad.id, *own_squads(session))
            .order_by(SquadRow.position, SquadRow.id)
        )
        return EndPage(
            squad.key,
            squad.name,
            ending,
            tuple(Choice(key, name) for key, name in others),
            foreseen,
        )


def foresee_squad_end(store: Store, squad_key: str, from_day: date, now: datetime) -> ForeseenEnd:
    """Say what the end of a squad would take along, as `see_squad_end` shows it.

    Raises:
        MissingError: If there is no such squad.
        RefusedError: If it cannot end on that date.
    """
    with store.read() as session:
        squad = find_squad(session, squad_key)
        refuse_end(session, squad, from_day, now, None)
        return _foresee(session, squad, from_day, now)


def _foresee(session: Session, squad: SquadRow, from_day: date, now: datetime) -> ForeseenEnd:
    zone = load_zone(session)
    going = [
        row
        for row in find_coming(session, squad, from_day, now)
        if row.purpose is not Purpose.MATCH
    ]
    waiting = select(func.count(WaitingAskRow.id)).where(
        WaitingAskRow.squad_id == squad.id,
        WaitingAskRow.day >= from_day,
        WaitingAskRow.state == AskState.WAITING.value,
    )
    own_links = select(func.count(LinkRow.id)).where(
        LinkRow.squad_id == squad.id, LinkRow.revoked_at.is_(None), LinkRow.mail_id.is_(None)
    )
    people = Recipients.load(session, now).told_about(squad.id)
    return ForeseenEnd(
        from_day=from_day,
        habits=tuple(habits_of(going, zone)),
        sessions=len(going),
        matches=tuple(
            _("%(day)s against %(opponent)s", day=short_day(row.day), opponent=row.opponent)
            for row in find_matches(session, squad, from_day)
        ),
        asks=session.scalar(waiting) or 0,
        people=sum(1 for _one in people),
        links=session.scalar(own_links) or 0,
        seen=digest_of(session, squad, from_day, now),
    )


def habits_of(rows: Iterable[BookingRow], zone: ZoneInfo) -> Iterable[HabitGone]:
    """Put sessions that are alike week by week together, in the order of the first of each."""
    alike: dict[str, list[date]] = {}
    for row in rows:
        day = row.starts_at.astimezone(zone).date()
        alike.setdefault(_habit(row, day, zone), []).append(day)
    for words, days in alike.items():
        yield HabitGone(words, len(days), short_day(max(days)))


def _habit(row: BookingRow, day: date, zone: ZoneInfo) -> str:
    times = f"{clock_in_zone(row.starts_at, zone)}–{end_clock_in_zone(row.ends_at, zone)}"
    place = part_in_words(row.area, row.pitch.name)
    return f"{weekday_in_words(day.weekday())} {times}, {place}"
