"""Moving a booking by looking: every place it could go, who would be affected, and the move."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.ground.measures import size_in_words
from clubplanner.domain.times.times import (
    TimeRange,
    clock_in_zone,
    day_in_words,
    instant_from_wall,
    minute_from_instant,
)
from clubplanner.errors import ClashError, MissingError, OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.outputs.drawings.place_plan import draw_place
from clubplanner.services.places.displaced import (
    Displaced,
    foresee_displaced,
    place_settled,
    settle_displaced,
)
from clubplanner.services.rows.booking_rows import (
    clashes_from_rows,
    find_holders,
    flush,
    load_area,
    note_change,
    refuse_clash,
)
from clubplanner.services.rows.snapshot import load_bookings, load_venues, load_zone
from clubplanner.store.journal import describe_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.ground.grounds import Area, Pitch
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """A place the booking could go.

    Attributes:
        area_id: The area's number.
        name: The area.
        size: Its size in words.
        drawing: The small plan, SVG.
        held: Who holds it then, with times; empty when it is free.
        is_closed: Whether it is closed then, and so out of question.
        is_here: Whether the booking stands there already at that time.
    """

    area_id: int
    name: str
    size: str
    drawing: str
    held: tuple[str, ...]
    is_closed: bool
    is_here: bool


@dataclass(frozen=True, slots=True)
class PitchPlaces:
    """The places of one pitch."""

    name: str
    lines: tuple[PlaceLine, ...]


@dataclass(frozen=True, slots=True)
class MovePage:
    """A booking and every place it could go at a time.

    Attributes:
        number: The booking's number.
        sequence: The change shown.
        holder: Who.
        now_words: Where and when it is now.
        day: The date looked at.
        day_words: The same in words.
        starts: Local start looked at; the length is kept.
        ends: Local end.
        pitches: The places, by pitch.
    """

    number: int
    sequence: int
    holder: str
    now_words: str
    day: date
    day_words: str
    starts: str
    ends: str
    pitches: tuple[PitchPlaces, ...]


@dataclass(frozen=True, slots=True)
class ForeseenMove:
    """A move before it is made.

    Attributes:
        number: The booking's number.
        sequence: The change shown.
        holder: Who.
        area_id: Where to.
        place: Where to, in words.
        day: The new date.
        when: Date and local times in words.
        starts: Local start.
        displaced: Who would be affected, each with the free places for them.
    """

    number: int
    sequence: int
    holder: str
    area_id: int
    place: str
    day: date
    when: str
    starts: str
    displaced: tuple[Displaced, ...]


def see_moves(store: Store, number: int, day: date | None, start_min: int | None) -> MovePage:
    """Show every place a booking could go at a time.

    Args:
        store: The database.
        number: The booking.
        day: The local date; None for its own.
        start_min: Local start; None for its own. The booking keeps its length.

    Raises:
        MissingError: If there is no such booking.
    """
    with store.read() as session:
        row = _load(session, number)
        zone = load_zone(session)
        during = _range(row, day, start_min, zone)
        venues = load_venues(session)
        known = session.execute(select(PitchRow.key, AreaRow.key, AreaRow.id).join(AreaRow.pitch))
        ids = {(pitch, area): number for pitch, area, number in known}
        others = [b for b in load_bookings(session, during) if b.number != number]
        local = during.starts_at.astimezone(zone).date()
        return MovePage(
            number=row.id,
            sequence=row.sequence,
            holder=row.holder,
            now_words=_words(row, zone),
            day=local,
            day_words=day_in_words(local),
            starts=clock_in_zone(during.starts_at, zone),
            ends=clock_in_zone(during.ends_at, zone),
            pitches=tuple(
                PitchPlaces(
                    pitch.name if len(venues) == 1 else f"{pitch.name}, {venue.name}",
                    tuple(
                        _line(row, pitch, area, ids[pitch.key, area.key], others, during, zone)
                        for area in pitch.areas
                    ),
                )
                for venue in venues
                for pitch in venue.pitches
            ),
        )


def foresee_move(
    store: Store, number: int, area_id: int, day: date | None, start_min: int | None, now: datetime
) -> ForeseenMove:
    """Say who would be affected by a move, and where they can go; nothing is changed.

    Raises:
        ClashError: If the ground is closed then.
        MissingError: If booking or area is gone.
        RefusedError: If the time has passed.
    """
    with store.read() as session:
        row = _load(session, number)
        zone = load_zone(session)
        during = _range(row, day, start_min, zone)
        _refuse_past(row, during, now)
        area = load_area(session, area_id)
        holders = _holders(session, row, area, during)
        local = during.starts_at.astimezone(zone).date()
        start = clock_in_zone(during.starts_at, zone)
        return ForeseenMove(
            number=row.id,
            sequence=row.sequence,
            holder=row.holder,
            area_id=area.id,
            place=_name(area),
            day=local,
            when=f"{day_in_words(local)}, {start}–{clock_in_zone(during.ends_at, zone)}",
            starts=start,
            displaced=foresee_displaced(
                session, holders, area.pitch.key, area.cells, during, now, leaving=(row.id,)
            ),
        )


def move_with_others(
    store: Store,
    number: int,
    sequence: int,
    area_id: int,
    day: date | None,
    start_min: int | None,
    decisions: Mapping[int, str],
    now: datetime,
) -> str:
    """Move a booking and settle everybody who has to go, in one transaction.

    Args:
        store: The database.
        number: The booking.
        sequence: The change the person was looking at.
        area_id: Where to.
        day: The local date; None for its own.
        start_min: Local start; None for its own.
        decisions: Booking number → where it goes, as `foresee_move` offered it, or withdrawn.
        now: The present instant.

    Returns:
        What was done, a sentence.

    Raises:
        ClashError: If a place has been taken in the meantime; nothing is changed.
        MissingError: If booking or area is gone, or a decision cannot be read.
        OutdatedError: If the booking has been changed, or somebody has come, since.
        RefusedError: If the time has passed.
    """
    with store.write() as session:
        row = _load(session, number)
        zone = load_zone(session)
        if row.sequence != sequence:
            raise OutdatedError(
                _(
                    "Somebody has changed this booking in the meantime: %(booking)s. Look "
                    "again before you move it.",
                    booking=_words(row, zone),
                )
            )
        during = _range(row, day, start_min, zone)
        _refuse_past(row, during, now)
        area = load_area(session, area_id)
        holders = _holders(session, row, area, during)
        row.is_withdrawn = True
        session.flush()
        settled = settle_displaced(session, holders, decisions, now)
        refuse_clash(session, area, during, besides=row.id)
        row.pitch_id, row.area_id, row.cells = area.pitch_id, area.id, area.cells
        row.starts_at, row.ends_at = during.starts_at, during.ends_at
        row.is_withdrawn, row.is_fixed = False, True
        note_change(row, now)
        flush(session)
        session.refresh(row)
        done = place_settled(session, settled)
        words = _("%(holder)s moved to %(area)s", holder=row.holder, area=_name(area))
        if settled:
            words += f"; {done.words}"
        describe_change(session, words)
        return f"{words}."


def _load(session: Session, number: int) -> BookingRow:
    row = session.get(BookingRow, number)
    if row is None or row.is_withdrawn:
        raise MissingError(_("This booking has already been withdrawn."))
    return row


def _range(row: BookingRow, day: date | None, start_min: int | None, zone: ZoneInfo) -> TimeRange:
    own_day = row.starts_at.astimezone(zone).date()
    own_min = minute_from_instant(row.starts_at, own_day, zone)
    start = instant_from_wall(day or own_day, own_min if start_min is None else start_min, zone)
    return TimeRange(start, start + (row.ends_at - row.starts_at))


def _refuse_past(row: BookingRow, during: TimeRange, now: datetime) -> None:
    if row.ends_at <= now or during.ends_at <= now:
        raise RefusedError(_("This time has passed; a booking can only be moved ahead."))


def _holders(
    session: Session, row: BookingRow, area: AreaRow, during: TimeRange
) -> list[BookingRow]:
    holders = find_holders(session, area.pitch_id, area.cells, during, besides=row.id)
    closed = [one for one in holders if one.purpose is Purpose.CLOSED]
    if closed:
        raise ClashError(
            clashes_from_rows(session, closed),
            advice=_("It is closed; open it first, or go elsewhere."),
        )
    return holders


def _line(
    row: BookingRow,
    pitch: Pitch,
    area: Area,
    area_id: int,
    others: Sequence[Booking],
    during: TimeRange,
    zone: ZoneInfo,
) -> PlaceLine:
    there = [b for b in others if b.pitch_key == pitch.key and b.cells & area.cells]
    is_closed = any(b.purpose is Purpose.CLOSED for b in there)
    same_time = (row.starts_at, row.ends_at) == (during.starts_at, during.ends_at)
    return PlaceLine(
        area_id=area_id,
        name=area.name,
        size=size_in_words(area.length_m, area.width_m),
        drawing=draw_place(
            pitch, area.polygon, _("Where %(area)s is", area=area.name), is_closed=is_closed
        ),
        held=tuple(
            f"{b.holder} {clock_in_zone(b.during.starts_at, zone)}–"
            f"{clock_in_zone(b.during.ends_at, zone)}"
            for b in there
        ),
        is_closed=is_closed,
        is_here=row.area_id == area_id and same_time,
    )


def _words(row: BookingRow, zone: ZoneInfo) -> str:
    day = day_in_words(row.starts_at.astimezone(zone).date())
    times = f"{clock_in_zone(row.starts_at, zone)}–{clock_in_zone(row.ends_at, zone)}"
    return f"{_name(row.area)}, {day}, {times}"


def _name(area: AreaRow) -> str:
    return area.name if area.cut == "whole" else f"{area.name}, {area.pitch.name}"
