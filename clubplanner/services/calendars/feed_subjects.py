"""What an address is about: a squad, a coach or a pitch; and which bookings it shows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import and_, or_, select
from sqlalchemy.orm import aliased, object_session, selectinload

from clubplanner.domain.keys import key_from_name
from clubplanner.domain.times.times import TimeRange, instant_from_wall
from clubplanner.services.rows.snapshot import WITH_NAMES, booking_from_row, load_zone
from clubplanner.services.showing.states.squad_endings import steps_on
from clubplanner.store.journal.states import state_from_stored
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.people_tables import SquadCoachRow
from clubplanner.store.tables.season_tables import ChangedBookingRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.turn_tables import earlier_name

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.booked.journal import BookingState
    from clubplanner.store.tables.ground_tables import PitchRow
    from clubplanner.store.tables.link_tables import LinkRow


@dataclass(frozen=True, slots=True)
class FeedSubject:
    """What an address is about.

    Attributes:
        name: In words.
        stem: Of the calendar file's name.
        page: Path of the page without the secret part.
        file: Name of the calendar behind the address.
        squad_id: The squad; None for others.
        person_id: The coach; None for others.
        pitch_id: The pitch; None for others.
        goes_on: Squads that the squad goes on in once it has ended, each from an instant on.
    """

    name: str
    stem: str
    page: str
    file: str
    squad_id: int | None = None
    person_id: int | None = None
    pitch_id: int | None = None
    goes_on: tuple[tuple[int, datetime], ...] = ()

    @property
    def uid_prefix(self) -> str:
        """Put before uids: in a pitch's calendar an event is a booking *on that pitch*.

        A booking that moves to another pitch is withdrawn in one pitch's calendar and new in the
        other's, so the two must not share a uid.
        """
        return "" if self.pitch_id is None else f"pitch-{self.pitch_id}-"

    @property
    def condition(self) -> ColumnElement[bool]:
        """Which booking rows it is about."""
        if self.squad_id is not None:
            later = (
                and_(BookingRow.squad_id == number, BookingRow.starts_at >= since)
                for number, since in self.goes_on
            )
            return or_(BookingRow.squad_id == self.squad_id, *later)
        if self.pitch_id is not None:
            return BookingRow.pitch_id == self.pitch_id
        return BookingRow.squad_id.in_(
            select(SquadCoachRow.squad_id).where(
                SquadCoachRow.person_id == self.person_id, SquadCoachRow.ended_at.is_(None)
            )
        )

    def covers(self, row: BookingRow) -> bool:
        """Tell whether a booking is among those it is about."""
        if self.squad_id is not None:
            return row.squad_id == self.squad_id or any(
                row.squad_id == number and row.starts_at >= since for number, since in self.goes_on
            )
        if self.pitch_id is not None:
            return row.pitch_id == self.pitch_id
        coaches = () if row.squad is None else row.squad.coaches
        return any(one.person_id == self.person_id for one in coaches)


def subject_of(link: LinkRow) -> FeedSubject:
    """Return what an address is about."""
    if link.squad is not None:
        return subject_of_squad(link.squad)
    if link.pitch is not None:
        return subject_of_pitch(link.pitch)
    return subject_of_coach(link.person_id, "" if link.person is None else link.person.name)


def subject_of_pitch(pitch: PitchRow) -> FeedSubject:
    """Return what an address of a pitch is about."""
    name = f"{pitch.name}, {pitch.venue.name}"
    return FeedSubject(name, pitch.key, "calendar", "bookings.ics", pitch_id=pitch.id)


def subject_of_coach(number: int | None, name: str) -> FeedSubject:
    """Return what an address of a coach is about."""
    stem = key_from_name(name) or "coach"
    return FeedSubject(name, stem, "calendar", "bookings.ics", person_id=number)


def subject_of_squad(squad: SquadRow) -> FeedSubject:
    """Return what an address of a squad is about."""
    session = object_session(squad)
    later = () if session is None else tuple(_goes_on(session, squad))
    return FeedSubject(
        squad.name, squad.key, "ground", "sessions.ics", squad_id=squad.id, goes_on=later
    )


def _goes_on(session: Session, squad: SquadRow) -> Iterator[tuple[int, datetime]]:
    """Yield the squads that a squad goes on in, each with the first midnight from which it does."""
    steps = list(steps_on(session, squad))
    if steps:
        zone = load_zone(session)
        for other, day in steps:
            yield other.id, instant_from_wall(day, 0, zone)


@dataclass(frozen=True, slots=True)
class Entry:
    """A booking as a calendar has it.

    Attributes:
        booking: As it is shown: withdrawn where it has left this calendar.
        elsewhere: As it stands now, of one that has left this pitch for another; None else.
        is_left: Whether it goes on without whoever reads this calendar.
    """

    booking: Booking
    elsewhere: Booking | None = None
    is_left: bool = False

    @property
    def now(self) -> Booking:
        """The booking as it stands now."""
        return self.elsewhere or self.booking


def entries_of(
    session: Session, subject: FeedSubject, since: datetime, withdrawn_since: datetime
) -> list[Entry]:
    """Return the bookings a subject's calendar shows.

    Args:
        session: A reading session.
        subject: Whose calendar.
        since: Earlier bookings are left out.
        withdrawn_since: Bookings that are withdrawn are left out if they ended by then.
    """
    rows = session.scalars(
        select(BookingRow)
        .where(subject.condition, *BookingRow.not_over(since))
        .where(BookingRow.is_withdrawn.is_(False) | (BookingRow.ends_at > withdrawn_since))
        .options(*WITH_NAMES)
    )
    found = [Entry(booking_from_row(row)) for row in rows]
    if subject.pitch_id is not None:
        found += _moved_away(session, subject.pitch_id, withdrawn_since)
    if subject.person_id is not None:
        found += _passed_on(session, subject.person_id, since, withdrawn_since)
    return found


def load_followers(
    session: Session, condition: ColumnElement[bool], since: datetime
) -> dict[int, list[Booking]]:
    """Return who else comes on the pitch while bookings run, by the bookings' numbers.

    Args:
        session: A reading session.
        condition: Which bookings.
        since: Earlier bookings are left out.
    """
    later = aliased(BookingRow)
    rows = session.execute(
        select(BookingRow.id, later)
        .join(
            later,
            (later.pitch_id == BookingRow.pitch_id)
            & (later.starts_at > BookingRow.starts_at)
            & (later.starts_at < BookingRow.ends_at),
        )
        .where(condition, *BookingRow.not_over(since))
        .where(BookingRow.is_withdrawn.is_(False), later.is_withdrawn.is_(False))
        .order_by(later.starts_at, later.id)
        .options(selectinload(later.pitch), selectinload(later.area), selectinload(later.squad))
    )
    found: dict[int, list[Booking]] = {}
    for number, row in rows:
        found.setdefault(number, []).append(booking_from_row(row))
    return found


def _passed_on(
    session: Session, person_id: int, since: datetime, withdrawn_since: datetime
) -> list[Entry]:
    """Return bookings of squads that a coach has passed on or left.

    What took place before stays as it was. What was still to come is withdrawn for them, as long
    as what is withdrawn is shown.
    """
    ended = session.scalars(
        select(SquadCoachRow)
        .where(SquadCoachRow.person_id == person_id, SquadCoachRow.ended_at.is_not(None))
        .where(
            SquadCoachRow.squad_id.not_in(
                select(SquadCoachRow.squad_id).where(
                    SquadCoachRow.person_id == person_id, SquadCoachRow.ended_at.is_(None)
                )
            )
        )
        .order_by(SquadCoachRow.ended_at)
    )
    left = {row.squad_id: row.ended_at for row in ended if row.ended_at is not None}
    rows = session.scalars(
        select(BookingRow)
        .where(BookingRow.squad_id.in_(left), *BookingRow.not_over(since))
        .options(*WITH_NAMES)
    )
    found = []
    for row in rows:
        at = left[row.squad_id or 0]
        booking = booking_from_row(row)
        if row.ends_at <= at and not row.is_withdrawn:
            found.append(Entry(booking))
        elif row.ends_at > max(at, withdrawn_since) and row.created_at <= at:
            gone = replace(booking, is_withdrawn=True)
            found.append(Entry(gone, is_left=not row.is_withdrawn))
    return found


def _moved_away(session: Session, pitch_id: int, since: datetime) -> list[Entry]:
    """Return bookings that have left a pitch, withdrawn, as they last stood on it."""
    entries = session.scalars(
        select(ChangedBookingRow)
        .join(AreaRow, ChangedBookingRow.area_id == AreaRow.id)
        .join(BookingRow, ChangedBookingRow.booking_id == BookingRow.id)
        .where(AreaRow.pitch_id == pitch_id, BookingRow.pitch_id != pitch_id)
        .order_by(ChangedBookingRow.id)
    )
    last: dict[int, Entry] = {}
    for entry in entries:
        state = state_from_stored(entry.before or entry.after)
        row = session.get_one(BookingRow, entry.booking_id, options=WITH_NAMES)
        area = session.get_one(AreaRow, state.area_id, options=[selectinload(AreaRow.pitch)])
        if state.is_withdrawn or state.ends_at <= since:
            last.pop(row.id, None)
            continue
        now = booking_from_row(row)
        shown = replace(
            now,
            pitch_key=area.pitch.key,
            area_key=area.key,
            during=TimeRange(state.starts_at, state.ends_at),
            holder=_name_now(session, state),
            is_withdrawn=True,
        )
        last[row.id] = Entry(shown, elsewhere=now)
    return list(last.values())


def _name_now(session: Session, state: BookingState) -> str:
    squad = None if state.squad_id is None else session.get(SquadRow, state.squad_id)
    if squad is None:
        return state.holder
    return earlier_name(session, squad.id, state.starts_at) or squad.name
