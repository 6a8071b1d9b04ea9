"""Bookings as a list: of a range of days, of a squad, of a pitch."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import and_, true

from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    clock_in_zone,
    day_in_words,
    end_clock_in_zone,
    instant_from_wall,
)
from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.services.rows.named import find_area, find_pitch, find_squad
from clubplanner.services.rows.snapshot import load_bookings, load_venues, load_zone
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from datetime import date, datetime

    from sqlalchemy import ColumnElement

    from clubplanner.store.engine import Store

MOST_DAYS = 400
"""Days of one list: a year and a month."""


@dataclass(frozen=True, slots=True)
class BookingLine:
    """A booking in a list.

    Attributes:
        number: Its number.
        sequence: Its count of changes; whoever changes it says which one they looked at.
        starts_at: With the club's offset.
        ends_at: Likewise; the booking does not hold this instant any more.
        when: The same in words.
        holder: Who has it, or why it is closed.
        squad: Key of the squad; None for nobody of ours.
        venue: Its name.
        pitch: Key of the pitch.
        pitch_name: Its name.
        area: Key of the part.
        area_name: Its name.
        purpose: What for.
        note: May be blank.
        is_fixed: Whether share-outs leave it alone.
    """

    number: int
    sequence: int
    starts_at: datetime
    ends_at: datetime
    when: str
    holder: str
    squad: str | None
    venue: str
    pitch: str
    pitch_name: str
    area: str
    area_name: str
    purpose: str
    note: str
    is_fixed: bool


def list_bookings(
    store: Store, first: date, last: date, *, squad: str = "", pitch: str = ""
) -> tuple[BookingLine, ...]:
    """List what is booked from a date to another, both included, by start.

    Args:
        store: The database.
        first: The first date.
        last: The last date.
        squad: Only of this one, by key or name; blank for all.
        pitch: Only on this one, by key or name; blank for all.

    Raises:
        MissingError: If there is no such squad or pitch; naming those there are.
        RefusedError: If the dates are the wrong way round, or too far apart.
    """
    if not 0 <= (last - first).days <= MOST_DAYS:
        raise RefusedError(
            _(
                "Choose a last date that is not before the first one, and at most "
                "%(longest_days)s days after it.",
                longest_days=MOST_DAYS,
            )
        )
    with store.read() as session:
        zone = load_zone(session)
        wanted: list[ColumnElement[bool]] = [true()]
        if squad:
            wanted.append(BookingRow.squad_id == find_squad(session, squad).id)
        if pitch:
            wanted.append(BookingRow.pitch_id == find_area(session, pitch).pitch_id)
        during = TimeRange(
            instant_from_wall(first, 0, zone), instant_from_wall(last, MINUTES_A_DAY, zone)
        )
        venues = load_venues(session)
        lines = []
        for one in load_bookings(session, during, which=and_(*wanted)):
            venue, ground = find_pitch(venues, one.pitch_key)
            starts, ends = (
                at.astimezone(zone) for at in (one.during.starts_at, one.during.ends_at)
            )
            area = ground.area(one.area_key)
            times = f"{clock_in_zone(starts, zone)}–{end_clock_in_zone(ends, zone)}"
            lines.append(
                BookingLine(
                    number=one.number,
                    sequence=one.sequence,
                    starts_at=starts,
                    ends_at=ends,
                    when=f"{day_in_words(starts.date())}, {times}",
                    holder=one.holder,
                    squad=one.squad_key,
                    venue=venue.name,
                    pitch=ground.key,
                    pitch_name=ground.name,
                    area=area.key,
                    area_name=area.name,
                    purpose=one.purpose.value,
                    note=one.note,
                    is_fixed=one.is_fixed,
                )
            )
        return tuple(lines)
