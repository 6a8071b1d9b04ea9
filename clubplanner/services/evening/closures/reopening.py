"""Opening closed ground again, and bringing back who had to go."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.times.times import (
    END_OF_DAY,
    MINUTES_A_DAY,
    TimeRange,
    end_clock_in_zone,
    range_from_wall,
)
from clubplanner.errors import MissingError, OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.services.evening.closures.closing import LONGEST_DAYS
from clubplanner.services.giving.waiting_list import serve_waiting
from clubplanner.services.places.away import closed_numbers
from clubplanner.services.places.closure_list import (
    closure_in_words,
    is_in_force,
    span_in_words,
)
from clubplanner.services.places.coming_back import (
    Return,
    bring_back,
    bring_back_ticked,
    can_come,
    choose_returns,
    count_words,
    foresee_returns,
)
from clubplanner.services.rows.bookings.booking_rows import note_change, place_booking
from clubplanner.services.rows.snapshot import booking_from_row, load_zone
from clubplanner.services.showing.states.conditions import place_name
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow
from clubplanner.store.tables.season_tables import (
    ChangedRecordRow,
    ChangeRow,
    ClosureDayRow,
    ClosureRow,
)

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class ClosurePage:
    """A closure with what can be done about it.

    Attributes:
        number: The closure's number.
        place: The ground in words.
        area_id: The number of that ground.
        venue_key: The venue's key.
        day: The local date on which it begins.
        when: From when to when.
        words: Condition and reason, a sentence.
        condition: How far it is closed.
        reason: Why, in words.
        allowed: What is allowed, for a condition of another kind.
        until_date: The local date of its end; an end at midnight belongs to the day before.
        until: The local clock time of its end, "24:00" at midnight.
        is_in_force: Whether it still holds, now or ahead.
        returns: Who had to go and is not back, with the closure out of the way.
        history: What was done about it, oldest first: instant, by whom, words.
    """

    number: int
    place: str
    area_id: int
    venue_key: str
    day: date
    when: str
    words: str
    condition: Condition
    reason: str
    allowed: str
    until_date: date
    until: str
    is_in_force: bool
    returns: tuple[Return, ...]
    history: tuple[tuple[datetime, str, str], ...]

    @property
    def can_bring_back(self) -> bool:
        """Whether anybody could come back."""
        return can_come(self.returns)


@dataclass(frozen=True, slots=True)
class ClosureHint:
    """What the evening page says of a closure.

    Attributes:
        number: The closure's number.
        pitch_name: The pitch.
        words: Condition and reason, a sentence.
        is_in_force: Whether it still holds.
        away_count: How many of its sessions of that day could come back.
    """

    number: int
    pitch_name: str
    words: str
    is_in_force: bool
    away_count: int


def see_closure(store: Store, number: int, now: datetime) -> ClosurePage:
    """Show a closure: what it is, and who comes back when its ground is opened.

    Raises:
        MissingError: If there is no such closure.
    """
    with store.read() as session:
        row = load_closure(session, number)
        zone = load_zone(session)
        end = row.ends_at.astimezone(zone)
        last, until = end.date(), end_clock_in_zone(row.ends_at, zone)
        if until == END_OF_DAY:
            last -= timedelta(days=1)
        return ClosurePage(
            number=row.id,
            place=place_name(row.area),
            area_id=row.area_id,
            venue_key=row.area.pitch.venue.key,
            day=row.starts_at.astimezone(zone).date(),
            when=span_in_words(TimeRange(row.starts_at, row.ends_at), zone),
            words=closure_in_words(row),
            condition=Condition(row.condition),
            reason=row.reason,
            allowed=row.words,
            until_date=last,
            until=until,
            is_in_force=is_in_force(row, now),
            returns=foresee_returns(session, closed_numbers(session, row), (), now),
            history=_history(session, row),
        )


def reopen_ground(
    store: Store,
    number: int,
    now: datetime,
    back: Mapping[int, int] | None = None,
    *,
    stand: str | None = None,
) -> str:
    """Open ground again from now on; what is left of the closure is withdrawn.

    Sessions that had to go come back in the same transaction if they are named, before whoever
    waits for such ground is served.

    Args:
        store: The database.
        number: The closure's number.
        now: The present instant.
        back: The sessions that come back to where they were, of those `see_closure` lists:
            booking number → the change shown.
        stand: What was seen of it, by `stand_of`; None where that is not asked.

    Returns:
        What was done, a sentence or more.

    Raises:
        HinderedError: If a rule keeps one of them away; nothing is changed.
        MissingError: If there is no such closure.
        OutdatedError: If one of them cannot come back any more; nothing is changed.
        RefusedError: If it is over or the ground is open again already.
    """
    with store.write() as session:
        row = closure_in_force(session, number, now)
        refuse_changed(row, stand)
        chosen = choose_returns(session, closed_numbers(session, row), back or {})
        row.lifted_at = now
        for day in row.days:
            end_day(session, day.booking, now)
        session.flush()
        came = bring_back(session, chosen, now)
        place = place_name(row.area)
        words = _("%(area)s is open again.", area=place)
        done = _("opened %(area)s again", area=place)
        describe_change(session, _with_count(done, came))
    return " ".join(filter(None, [words, count_words(came), *serve_waiting(store, now)]))


def bring_back_sessions(store: Store, number: int, now: datetime, back: Mapping[int, int]) -> str:
    """Bring sessions back to ground that is open again already.

    Returns:
        What was done, a sentence.

    Raises:
        HinderedError: If a rule keeps one of them away; nothing is changed.
        MissingError: If there is no such closure.
        OutdatedError: If one of them cannot come back any more; nothing is changed.
        RefusedError: If nobody is named.
    """
    with store.write() as session:
        row = load_closure(session, number)
        came = bring_back_ticked(session, closed_numbers(session, row), back, now)
        place = place_name(row.area)
        describe_change(session, _with_count(_("brought back to %(area)s", area=place), came))
    return count_words(came)


def closures_of_day(
    store: Store, venue_key: str, during: TimeRange, now: datetime
) -> tuple[ClosureHint, ...]:
    """Return the closures of a venue's day that stand, or that have sessions to bring back."""
    with store.read() as session:
        rows = _touching(session, during, venue_key)
        hints = []
        for row in rows:
            stands = is_in_force(row, now) and row.ends_at > during.starts_at
            count = len(_still_offered(session, row, during, now))
            if stands or count:
                words = closure_in_words(row)
                hints.append(ClosureHint(row.id, row.area.pitch.name, words, stands, count))
        return tuple(hints)


def closures_to_finish(store: Store, now: datetime) -> tuple[ClosureHint, ...]:
    """Return the closures that were opened again, or changed, and have sessions to bring back."""
    with store.read() as session:
        today = now.astimezone(load_zone(session)).date()
        morning = range_from_wall(today, 0, MINUTES_A_DAY, load_zone(session)).starts_at
        during = TimeRange(morning, now + timedelta(days=LONGEST_DAYS))
        hints = []
        for row in _touching(session, during, None):
            count = len(_still_offered(session, row, during, now))
            if count:
                words = closure_in_words(row)
                stands = is_in_force(row, now)
                hints.append(ClosureHint(row.id, row.area.pitch.name, words, stands, count))
        return tuple(hints)


def load_closure(session: Session, number: int) -> ClosureRow:
    """Return a closure.

    Raises:
        MissingError: If there is none of that number.
    """
    row = session.get(ClosureRow, number)
    if row is None:
        raise MissingError(
            _("There is no closure %(number)s; look at the list of closures.", number=number)
        )
    return row


def closure_in_force(session: Session, number: int, now: datetime) -> ClosureRow:
    """Return a closure that still holds.

    Raises:
        MissingError: If there is none of that number.
        RefusedError: If it is over or the ground is open again already.
    """
    row = load_closure(session, number)
    if not is_in_force(row, now):
        raise RefusedError(_("%(area)s is open again already.", area=place_name(row.area)))
    return row


def stand_of(row: ClosureRow) -> str:
    """Return what stands of a closure: something else once anything of it is changed."""
    ends, lifted = row.ends_at.timestamp(), row.lifted_at
    days = [(day.booking_id, day.booking.sequence, day.booking.is_withdrawn) for day in row.days]
    return repr((row.area_id, ends, row.condition, row.reason, row.words, lifted, days))


def refuse_changed(row: ClosureRow, stand: str | None) -> None:
    """Refuse a change of somebody who saw a closure before it was changed.

    Raises:
        OutdatedError: If it is not as they saw it.
    """
    if stand is not None and stand != stand_of(row):
        raise OutdatedError(
            _("Somebody has changed this closure in the meantime; look at it again.")
        )


def end_day(session: Session, booking: BookingRow, now: datetime) -> None:
    """Free closed ground from now on; what has passed of it stays in the records."""
    if booking.is_withdrawn or booking.ends_at <= now:
        return
    whole = now.replace(second=0, microsecond=0)
    if booking.starts_at < whole:
        place_booking(session, booking, booking.area, TimeRange(booking.starts_at, whole))
    else:
        booking.is_withdrawn = True
    note_change(booking, now)


def _with_count(done: str, came: int) -> str:
    if not came:
        return done
    return f"{done}; {count_words(came).rstrip('.')}"


def _still_offered(
    session: Session, row: ClosureRow, during: TimeRange, now: datetime
) -> list[int]:
    """Return the sessions of a range that could come back while the closure is as it is."""
    live = (day.booking for day in row.days if not day.booking.is_withdrawn)
    closed = [booking_from_row(booking) for booking in live if booking.ends_at > now]
    found = foresee_returns(session, closed_numbers(session, row), closed, now)
    return [
        one.number
        for one in found
        if one.can and during.starts_at <= one.starts_at < during.ends_at
    ]


def _touching(session: Session, during: TimeRange, venue_key: str | None) -> list[ClosureRow]:
    """Return the closures that touch a range, or held ground in it before they were changed."""
    held = (
        select(ClosureDayRow.closure_id)
        .join(BookingRow, BookingRow.id == ClosureDayRow.booking_id)
        .where(*BookingRow.running_between(during.starts_at, during.ends_at))
    )
    stands = select(ClosureRow.id).where(
        ClosureRow.starts_at < during.ends_at, ClosureRow.ends_at > during.starts_at
    )
    with_days = selectinload(ClosureRow.days).selectinload(ClosureDayRow.booking)
    query = select(ClosureRow).where(ClosureRow.id.in_(stands.union(held))).options(with_days)
    if venue_key is not None:
        query = (
            query.join(AreaRow, AreaRow.id == ClosureRow.area_id)
            .join(PitchRow, PitchRow.id == AreaRow.pitch_id)
            .join(VenueRow, VenueRow.id == PitchRow.venue_id)
            .where(VenueRow.key == venue_key)
        )
    return list(session.scalars(query.order_by(ClosureRow.starts_at, ClosureRow.id)))


def _history(session: Session, row: ClosureRow) -> tuple[tuple[datetime, str, str], ...]:
    changes = session.scalars(
        select(ChangeRow)
        .join(ChangedRecordRow, ChangedRecordRow.change_id == ChangeRow.id)
        .where(ChangedRecordRow.sort == "closure", ChangedRecordRow.number == str(row.id))
        .order_by(ChangeRow.id)
    )
    return tuple((one.at, one.by, one.words) for one in changes)
