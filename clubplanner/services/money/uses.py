"""What ground was used in a time, and what was withdrawn too late: from bookings to uses."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.light_calendar import EveningLight, lamp_spans
from clubplanner.domain.money.charging import Use, share_of, withdrawn_late
from clubplanner.domain.money.tariffs import Spot
from clubplanner.domain.rules.times.light import usable_until
from clubplanner.domain.times.daylight import LightKind, find_light
from clubplanner.domain.times.times import MINUTES_A_DAY, TimeRange, instant_from_wall
from clubplanner.services.rows.money_rows import load_terms
from clubplanner.services.rows.snapshot import load_venues, load_zone
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date, datetime
    from fractions import Fraction
    from zoneinfo import ZoneInfo

    from sqlalchemy import Row
    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Pitch, Venue

NO_LIGHT_NEEDED = (LightKind.ALL_DAY, LightKind.UNKNOWN)


@dataclass(frozen=True, slots=True)
class Used:
    """A use with what lines tell of it.

    Attributes:
        use: What is charged.
        purpose: Training, match or hire.
        squad_key: Whose; blank for a hirer's.
        holder: Who, as written then.
    """

    use: Use
    purpose: Purpose
    squad_key: str
    holder: str


@dataclass(frozen=True, slots=True)
class Places:
    """The club's ground as uses need it.

    Attributes:
        pitches: Venue and pitch by the pitch's key.
        shares: The share of each part by its pitch's key and its own.
        names: What each part is called, with its pitch, by the same.
    """

    pitches: Mapping[str, tuple[Venue, Pitch]]
    shares: Mapping[tuple[str, str], Fraction]
    names: Mapping[tuple[str, str], str]


def load_places(session: Session) -> Places:
    """Return the ground of all venues."""
    venues = load_venues(session)
    pitches = {pitch.key: (venue, pitch) for venue in venues for pitch in venue.pitches}
    shares, names = {}, {}
    for pitch in (pitch for _venue, pitch in pitches.values()):
        whole_m2 = pitch.areas[0].area_m2
        for area in pitch.areas:
            place = pitch.key, area.key
            shares[place] = share_of(area.twelfths, area.area_m2, whole_m2)
            names[place] = pitch.name if area.cut == "whole" else f"{area.name}, {pitch.name}"
    return Places(pitches, shares, names)


def day_range(first: date, last: date, zone: ZoneInfo) -> TimeRange:
    """Return the instants from the start of a local date to the end of another."""
    return TimeRange(
        instant_from_wall(first, 0, zone), instant_from_wall(last, MINUTES_A_DAY, zone)
    )


def load_used(
    session: Session,
    places: Places,
    first: date,
    last: date,
    until: datetime,
    venue_key: str = "",
) -> tuple[Used, ...]:
    """Return what began on some dates and took place, or was withdrawn too late.

    What was withdrawn counts as the club's terms say, from when its booking was last changed. It
    does not where the ground was closed at that time or went to a match, nor where the same change
    gave the squad another session in its place: that was the club's doing.

    Args:
        session: An open session.
        places: The club's ground.
        first: First local date.
        last: Last date, included; what begins on it counts as a whole.
        until: What is not over by then is left out, UTC.
        venue_key: The only venue that is asked about; blank for all.

    Returns:
        By start.
    """
    zone, terms = load_zone(session), load_terms(session)
    rows = _rows(session, day_range(first, last, zone), venue_key)
    taken = [
        row
        for row in rows
        if not row.is_withdrawn and row.purpose in (Purpose.CLOSED, Purpose.MATCH)
    ]
    replaced = _replaced(session, [row for row in rows if row.is_withdrawn and row.squad_id])
    found: list[Used] = []
    use_of = _Uses(places, zone)
    for row in rows:
        if row.purpose is Purpose.CLOSED or row.ends_at > until or row.pitch not in places.pitches:
            continue
        use = use_of.row(row)
        if row.is_withdrawn:
            percent = terms.percent_owed(row.starts_at, row.changed_at)
            was_taken = any(_meets(row, other) for other in taken)
            if not percent or was_taken or (row.squad_id, row.changed_at) in replaced:
                continue
            use = withdrawn_late(use, percent)
        found.append(Used(use, row.purpose, row.squad or "", row.name or row.written))
    return tuple(found)


def burning(
    used: Iterable[Used], places: Places, zone: ZoneInfo
) -> tuple[tuple[Spot, TimeRange], ...]:
    """Return when each pitch's floodlights burnt: while it was dark and anybody was on it."""
    held: dict[tuple[str, date], list[TimeRange]] = defaultdict(list)
    for one in used:
        if one.use.lit:
            day = one.use.during.starts_at.astimezone(zone).date()
            held[one.use.spot.pitch, day].append(one.use.during)
    found: list[tuple[Spot, TimeRange]] = []
    for (pitch_key, day), ranges in held.items():
        venue, pitch = places.pitches[pitch_key]
        spans = _lit(venue, pitch, ranges, day, zone)
        found += [(Spot(venue.key, pitch_key), span) for span in spans]
    return tuple(found)


def _rows(session: Session, during: TimeRange, venue_key: str) -> Sequence[Row[*tuple[Any, ...]]]:
    query = (
        select(
            BookingRow.id,
            BookingRow.pitch_id,
            BookingRow.cells,
            BookingRow.starts_at,
            BookingRow.ends_at,
            BookingRow.purpose,
            BookingRow.squad_id,
            BookingRow.is_withdrawn,
            BookingRow.changed_at,
            PitchRow.key.label("pitch"),
            AreaRow.key.label("area"),
            SquadRow.key.label("squad"),
            SquadRow.name.label("name"),
            BookingRow.written_holder.label("written"),
        )
        .join(PitchRow, PitchRow.id == BookingRow.pitch_id)
        .join(AreaRow, AreaRow.id == BookingRow.area_id)
        .outerjoin(SquadRow, SquadRow.id == BookingRow.squad_id)
        .where(BookingRow.starts_at >= during.starts_at, BookingRow.starts_at < during.ends_at)
        .order_by(BookingRow.starts_at, BookingRow.id)
    )
    if venue_key:
        own = select(PitchRow.id).join(PitchRow.venue).where(VenueRow.key == venue_key)
        query = query.where(BookingRow.pitch_id.in_(own))
    return session.connection().execute(query).all()  # past the mapper: a month has thousands


def _replaced(
    session: Session, withdrawn: Sequence[Row[*tuple[Any, ...]]]
) -> set[tuple[int, datetime]]:
    """Return whose sessions were made in the same changes that withdrew others of theirs."""
    if not withdrawn:
        return set()
    query = select(BookingRow.squad_id, BookingRow.created_at).where(
        BookingRow.squad_id.in_({row.squad_id for row in withdrawn}),
        BookingRow.created_at.in_({row.changed_at for row in withdrawn}),
        BookingRow.is_withdrawn.is_(False),
    )
    return {(squad, at) for squad, at in session.execute(query) if squad is not None}


def _meets(one: Row[*tuple[Any, ...]], other: Row[*tuple[Any, ...]]) -> bool:
    return (
        one.pitch_id == other.pitch_id
        and bool(one.cells & other.cells)
        and one.starts_at < other.ends_at
        and other.starts_at < one.ends_at
    )


class _Uses:
    """Makes uses of rows: hundreds are on the same ground, and thousands at the same time."""

    def __init__(self, places: Places, zone: ZoneInfo) -> None:
        self._places = places
        self._zone = zone
        self._spots: dict[tuple[str, str], Spot] = {}
        self._lit: dict[tuple[object, ...], tuple[TimeRange, ...]] = {}

    def row(self, row: Row[*tuple[Any, ...]]) -> Use:
        """Return the use of a booking."""
        place = row.pitch, row.area
        venue, pitch = self._places.pitches[row.pitch]
        if place not in self._spots:
            self._spots[place] = Spot(venue.key, *place)
        during = TimeRange(row.starts_at, row.ends_at)
        return Use(
            number=row.id,
            spot=self._spots[place],
            share=self._places.shares[place],
            during=during,
            lit=() if row.is_withdrawn else self._lit_during(venue, pitch, during),
        )

    def _lit_during(self, venue: Venue, pitch: Pitch, during: TimeRange) -> tuple[TimeRange, ...]:
        alike = venue.key, pitch.is_lit, pitch.is_indoor, during
        if alike not in self._lit:
            day = during.starts_at.astimezone(self._zone).date()
            self._lit[alike] = _lit(venue, pitch, [during], day, self._zone)
        return self._lit[alike]


def _lit(
    venue: Venue, pitch: Pitch, held: Sequence[TimeRange], day: date, zone: ZoneInfo
) -> tuple[TimeRange, ...]:
    if not pitch.is_lit or pitch.is_indoor:
        return ()
    light = find_light(day, venue.lon, venue.lat, zone)
    if light.kind in NO_LIGHT_NEEDED:
        return ()
    evening = EveningLight(day, light, light.usable_until(venue.dusk_margin_minutes))
    out = usable_until(pitch, venue, day, zone)
    return lamp_spans(held, evening, day_range(day, day, zone), out)
