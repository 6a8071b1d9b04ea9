"""Adding, moving and withdrawing a booking by hand."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.daylight import LightKind, find_light
from clubplanner.domain.times.times import TimeRange, clock_in_zone, day_in_words
from clubplanner.errors import ClashError, MissingError, OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.services.rows.booking_rows import (
    BookingWish,
    find_holders,
    insert_booking,
    load_area,
    note_change,
    place_booking,
)
from clubplanner.services.rows.snapshot import load_club, load_zone
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

MOST_SUGGESTIONS = 4
LATER_STEPS = 12
"""How many start steps later than asked are tried when looking for free time."""


@dataclass(frozen=True, slots=True)
class BookingDone:
    """What became of a booking.

    Attributes:
        number: The booking's number.
        cautions: What the secretary should know: darkness, a coach in two places.
    """

    number: int
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BookingShown:
    """A booking as a form shows it; local date and times.

    `is_fixed` tells whether share-outs leave it alone, `is_session` whether it is a squad's
    training that they could move.
    """

    number: int
    sequence: int
    venue_key: str
    area_id: int
    area_name: str
    pitch_name: str
    holder: str
    purpose: str
    note: str
    day: str
    day_words: str
    starts: str
    ends: str
    is_fixed: bool
    is_session: bool


def see_booking(store: Store, number: int) -> BookingShown:
    """Show one booking, withdrawn or not.

    Raises:
        MissingError: If there never was one of that number.
    """
    with store.read() as session:
        row = session.get(BookingRow, number)
        if row is None:
            raise MissingError(_("There is no booking of this number."))
        zone = load_zone(session)
        day = row.starts_at.astimezone(zone).date()
        return BookingShown(
            number=row.id,
            sequence=row.sequence,
            venue_key=row.pitch.venue.key,
            area_id=row.area_id,
            area_name=row.area.name,
            pitch_name=row.pitch.name,
            holder=row.holder,
            purpose=row.purpose.value,
            note=row.note,
            day=day.isoformat(),
            day_words=day_in_words(day),
            starts=clock_in_zone(row.starts_at, zone),
            ends=clock_in_zone(row.ends_at, zone),
            is_fixed=row.is_fixed,
            is_session=(
                row.purpose is Purpose.TRAINING
                and row.squad_id is not None
                and not row.is_withdrawn
            ),
        )


def add_booking(store: Store, wish: BookingWish, now: datetime) -> BookingDone:
    """Book ground.

    Raises:
        ClashError: Naming who holds the ground and what is free nearby.
        MissingError: If area or squad is gone.
        RefusedError: If it lies in the past or lasts more than a day.
    """
    with store.write() as session:
        if wish.during.ends_at <= now:
            raise RefusedError(_("This time has passed; choose a later one."))
        if wish.squad_id is not None:
            squad = session.get(SquadRow, wish.squad_id)
            if squad is None:
                raise MissingError(_("This squad no longer exists; choose another one."))
            wish = replace(wish, holder=squad.name)
        try:
            row = insert_booking(session, wish, now)
        except ClashError as clash:
            raise _with_free_ground(session, clash, wish.area_id, wish.during) from clash
        return BookingDone(row.id, _cautions(session, row))


def move_booking(
    store: Store, number: int, sequence: int, area_id: int, during: TimeRange, now: datetime
) -> BookingDone:
    """Move a booking to other ground or another time.

    Args:
        store: The database.
        number: The booking's number.
        sequence: The change the person was looking at; a later one stands.
        area_id: Where to.
        during: When.
        now: The present instant.

    Raises:
        ClashError: Naming who holds the ground and what is free nearby.
        MissingError: If booking or area is gone.
        OutdatedError: If somebody changed the booking in the meantime.
        RefusedError: If it is over, or would lie in the past.
    """
    with store.write() as session:
        row = _load_booking(session, number, sequence)
        if row.ends_at <= now or during.ends_at <= now:
            raise RefusedError(_("This time has passed; a booking can only be moved ahead."))
        area = load_area(session, area_id)
        if (row.area_id, row.starts_at, row.ends_at) == (area.id, during.starts_at, during.ends_at):
            return BookingDone(row.id, ())
        try:
            place_booking(session, row, area, during)
        except ClashError as clash:
            raise _with_free_ground(session, clash, area.id, during, besides=row.id) from clash
        row.is_fixed = True  # moved by hand: a later share-out leaves it there
        note_change(row, now)
        session.flush()
        session.refresh(row)
        return BookingDone(row.id, _cautions(session, row))


def withdraw_booking(store: Store, number: int, sequence: int, now: datetime) -> None:
    """Give a booking's ground back; in calendars it stays, marked, until its time has passed.

    Raises:
        MissingError: If the booking is gone.
        OutdatedError: If somebody changed it in the meantime.
    """
    with store.write() as session:
        row = _load_booking(session, number, sequence)
        row.is_withdrawn = True
        note_change(row, now)


def _load_booking(session: Session, number: int, sequence: int) -> BookingRow:
    row = session.get(BookingRow, number)
    if row is None or row.is_withdrawn:
        raise MissingError(_("This booking has already been withdrawn."))
    if row.sequence != sequence:
        zone = load_zone(session)
        raise OutdatedError(
            _(
                "Somebody has changed this booking in the meantime: %(holder)s now has "
                "%(area)s %(starts_at)s–%(ends_at)s. Look again before you change it.",
                holder=row.holder,
                area=row.area.name,
                starts_at=clock_in_zone(row.starts_at, zone),
                ends_at=clock_in_zone(row.ends_at, zone),
            )
        )
    return row


def _with_free_ground(
    session: Session,
    clash: ClashError,
    area_id: int,
    during: TimeRange,
    besides: int | None = None,
) -> ClashError:
    """Return the clash again with what is free nearby: as large, or the same ground later."""
    if not clash.clashes:  # the guard refused; its refusal must be taken back before looking on
        session.rollback()
    area = load_area(session, area_id)
    zone = load_zone(session)
    free = _free_at_that_time(session, area, during, besides)
    later = _free_later(session, area, during, besides, zone)
    return ClashError(clash.clashes, (*free, *later)[:MOST_SUGGESTIONS])


def _free_at_that_time(
    session: Session, area: AreaRow, during: TimeRange, besides: int | None
) -> list[str]:
    pitches = session.scalars(
        select(PitchRow).where(PitchRow.venue_id == area.pitch.venue_id).order_by(PitchRow.position)
    )
    wanted_m2 = area.polygon.area
    found: list[tuple[bool, float, str]] = []
    for pitch in pitches:
        held = 0
        for row in find_holders(session, pitch.id, -1, during, besides):
            held |= row.cells
        found.extend(
            (pitch.id != area.pitch_id, abs(a.polygon.area - wanted_m2), f"{a.name}, {pitch.name}")
            for a in pitch.areas
            if not a.cells & held and 0.75 <= a.polygon.area / wanted_m2 <= 1.6
        )
    return [name for _unused, _other, name in sorted(found)[: MOST_SUGGESTIONS - 1]]


def _free_later(
    session: Session, area: AreaRow, during: TimeRange, besides: int | None, zone: ZoneInfo
) -> list[str]:
    step = timedelta(minutes=load_club(session).step_minutes)
    for count in range(1, LATER_STEPS + 1):
        shifted = TimeRange(during.starts_at + count * step, during.ends_at + count * step)
        if not find_holders(session, area.pitch_id, area.cells, shifted, besides):
            return [
                _(
                    "%(area)s from %(starts_at)s",
                    area=area.name,
                    starts_at=clock_in_zone(shifted.starts_at, zone),
                )
            ]
    return []


def _cautions(session: Session, row: BookingRow) -> tuple[str, ...]:
    if row.purpose is Purpose.CLOSED:
        return ()
    zone = load_zone(session)
    return (*_dark(row, zone), *_elsewhere(session, row, zone))


def _dark(row: BookingRow, zone: ZoneInfo) -> list[str]:
    pitch = row.pitch
    if pitch.is_lit or pitch.is_indoor:
        return []
    venue = pitch.venue
    day = row.starts_at.astimezone(zone).date()
    light = find_light(day, venue.lon, venue.lat, zone)
    if light.kind is LightKind.NONE:
        return [
            _("%(pitch)s has no lights, and the sun does not rise on that day.", pitch=pitch.name)
        ]
    until = light.usable_until(venue.dusk_margin_minutes)
    if until is not None and until < row.ends_at:
        return [
            _(
                "%(pitch)s has no lights; it is too dark from %(until)s.",
                pitch=pitch.name,
                until=clock_in_zone(until, zone),
            )
        ]
    return []


def _elsewhere(session: Session, row: BookingRow, zone: ZoneInfo) -> list[str]:
    """Say where the same squad or coach is booked at the same time."""
    if row.squad is None:
        return []
    coach = row.squad.coach
    others = session.scalars(
        select(BookingRow)
        .join(BookingRow.squad)
        .where(
            BookingRow.id != row.id,
            BookingRow.is_withdrawn.is_(False),
            BookingRow.starts_at < row.ends_at,
            BookingRow.ends_at > row.starts_at,
        )
    )
    lines = []
    for other in others:
        times = f"{clock_in_zone(other.starts_at, zone)}–{clock_in_zone(other.ends_at, zone)}"
        if other.squad_id == row.squad_id:
            lines.append(
                _(
                    "%(holder)s also have %(area)s %(times)s.",
                    holder=row.holder,
                    area=other.area.name,
                    times=times,
                )
            )
        elif coach and other.squad is not None and other.squad.coach == coach:
            lines.append(
                _(
                    "%(coach)s is also with %(holder)s on %(area)s %(times)s.",
                    coach=coach,
                    holder=other.holder,
                    area=other.area.name,
                    times=times,
                )
            )
    return lines
