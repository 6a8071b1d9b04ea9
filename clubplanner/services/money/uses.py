"""What ground was used in a time, and what was withdrawn too late: from bookings to uses."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import BigInteger, select, type_coerce

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.light_calendar import EveningLight, lamp_spans
from clubplanner.domain.money.charging import Use, share_of, withdrawn_late
from clubplanner.domain.money.tariffs import InLight, Payer, Spot
from clubplanner.domain.rules.times.light import usable_until
from clubplanner.domain.times.daylight import find_light
from clubplanner.domain.times.seconds import days_in, instant_of, range_of
from clubplanner.domain.times.times import MINUTES_A_DAY, TimeRange, instant_from_wall
from clubplanner.services.rows.club.money_rows import load_terms
from clubplanner.services.rows.snapshot import load_venues, load_zone
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence
    from datetime import date, datetime
    from fractions import Fraction
    from zoneinfo import ZoneInfo

    from sqlalchemy import Row
    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.domain.money.tariffs import Tariff

_STARTS = type_coerce(BookingRow.starts_at, BigInteger)
_ENDS = type_coerce(BookingRow.ends_at, BigInteger)


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


@dataclass(frozen=True, slots=True)
class Charged:
    """What is charged for.

    Attributes:
        tariffs: All of the club's.
        only: The only one who is asked about: who pays, and the key of the squad or venue or the
            hirer's name; None for everybody.
    """

    tariffs: Sequence[Tariff]
    only: tuple[Payer, str] | None = None

    def own_tariffs(self) -> Sequence[Tariff]:
        """Return the tariffs by which they pay."""
        return [one for one in self.tariffs if self.only is None or one.payer is self.only[0]]

    def pitches(self, places: Places) -> frozenset[str]:
        """Return the keys of the pitches of which anything has a price for them."""
        spots = {one.spot for one in self.own_tariffs()}
        priced = {(spot.venue, spot.pitch) for spot in spots}
        if self.only is not None and self.only[0] is Payer.CLUB:
            priced = {place for place in priced if place[0] == self.only[1]}
        return frozenset(
            key
            for key, (venue, _pitch) in places.pitches.items()
            if not priced.isdisjoint({(venue.key, ""), (venue.key, key)})
        )


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
    session: Session, places: Places, days: tuple[date, date], until: datetime, charged: Charged
) -> tuple[Used, ...]:
    """Return what began on some dates and took place, or was withdrawn too late, and is charged.

    What was withdrawn counts as the club's terms say, from when its booking was last changed. It
    does not where the ground was closed at that time or went to a match, nor where the same change
    gave the squad another session in its place: that was the club's doing.

    Args:
        session: An open session.
        places: The club's ground.
        days: First and last local date, included; what begins on the last counts as a whole.
        until: What is not over by then is left out, UTC.
        charged: By whose tariffs, and for whom: a council's month is read for a few of thousands.

    Returns:
        By start.
    """
    zone, terms = load_zone(session), load_terms(session)
    rows = _rows(session, day_range(*days, zone), charged.pitches(places))
    taken = [
        row
        for row in rows
        if not row.is_withdrawn and row.purpose in (Purpose.CLOSED, Purpose.MATCH)
    ]
    use_of, over = _Uses(places, zone, charged), int(until.timestamp())
    own = [
        row
        for row in rows
        if row.purpose is not Purpose.CLOSED and row.ends_at <= over and use_of.is_charged(row)
    ]
    replaced = _replaced(session, [row for row in own if row.is_withdrawn and row.squad_id])
    found: list[Used] = []
    for row in own:
        use = use_of.row(row)
        if row.is_withdrawn:
            percent = terms.percent_owed(use.during.starts_at, instant_of(row.changed_at))
            was_taken = any(_meets(row, other) for other in taken)
            if not percent or was_taken or (row.squad_id, row.changed_at) in replaced:
                continue
            use = withdrawn_late(use, percent)
        found.append(Used(use, row.purpose, row.squad or "", row.name or row.written))
    return tuple(found)


def load_lit(
    session: Session, venues: Sequence[Venue], days: tuple[date, date], until: datetime
) -> dict[tuple[str, date], list[TimeRange]]:
    """Return when somebody was on each lit pitch of venues, by its key and the local date.

    Args:
        session: An open session.
        venues: The venues asked about.
        days: First and last local date, included.
        until: What is not over by then is left out, UTC.
    """
    zone = load_zone(session)
    keys = [p.key for venue in venues for p in venue.pitches if p.is_lit and not p.is_indoor]
    during = day_range(*days, zone)
    query = (
        select(PitchRow.key, _STARTS, _ENDS)
        .join(PitchRow, PitchRow.id == BookingRow.pitch_id)
        .where(
            PitchRow.key.in_(keys),
            BookingRow.starts_at >= during.starts_at,
            BookingRow.starts_at < during.ends_at,
            BookingRow.ends_at <= until,
            BookingRow.is_withdrawn.is_(False),
            BookingRow.purpose != Purpose.CLOSED,
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
    )
    day_of, range_between = days_in(zone), cache(range_of)
    found: dict[tuple[str, date], list[TimeRange]] = defaultdict(list)
    for key, starts, ends in session.connection().execute(query) if keys else ():
        found[key, day_of(starts)].append(range_between(starts, ends))
    return found


def burning(
    used: Iterable[Used], places: Places, zone: ZoneInfo
) -> tuple[tuple[Spot, TimeRange], ...]:
    """Return when each pitch's floodlights burnt: while it was dark and anybody was on it."""
    held: dict[tuple[str, date], list[TimeRange]] = defaultdict(list)
    for one in used:
        if one.use.lit:
            day = one.use.during.starts_at.astimezone(zone).date()
            held[one.use.spot.pitch, day].append(one.use.during)
    return burning_of(held, places.pitches, zone)


def burning_of(
    held: Mapping[tuple[str, date], Sequence[TimeRange]],
    pitches: Mapping[str, tuple[Venue, Pitch]],
    zone: ZoneInfo,
) -> tuple[tuple[Spot, TimeRange], ...]:
    """Return the same of who was on each pitch on each date, as `load_lit` tells."""
    found: list[tuple[Spot, TimeRange]] = []
    for (pitch_key, day), ranges in held.items():
        venue, pitch = pitches[pitch_key]
        spans = _lit(venue, pitch, ranges, day, zone)
        found += [(Spot(venue.key, pitch_key), span) for span in spans]
    return tuple(found)


def _rows(
    session: Session, during: TimeRange, pitches: Collection[str]
) -> Sequence[Row[*tuple[Any, ...]]]:
    query = (
        select(
            BookingRow.id,
            BookingRow.pitch_id,
            BookingRow.cells,
            _STARTS.label("starts_at"),
            _ENDS.label("ends_at"),
            BookingRow.purpose,
            BookingRow.squad_id,
            BookingRow.is_withdrawn,
            type_coerce(BookingRow.changed_at, BigInteger).label("changed_at"),
            PitchRow.key.label("pitch"),
            AreaRow.key.label("area"),
            SquadRow.key.label("squad"),
            SquadRow.name.label("name"),
            BookingRow.written_holder.label("written"),
        )
        .join(PitchRow, PitchRow.id == BookingRow.pitch_id)
        .join(AreaRow, AreaRow.id == BookingRow.area_id)
        .outerjoin(SquadRow, SquadRow.id == BookingRow.squad_id)
        .where(
            PitchRow.key.in_(pitches),
            BookingRow.starts_at >= during.starts_at,
            BookingRow.starts_at < during.ends_at,
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
    )
    return session.connection().execute(query).all() if pitches else ()  # past the mapper


def _replaced(session: Session, withdrawn: Sequence[Row[*tuple[Any, ...]]]) -> set[tuple[int, int]]:
    """Return whose sessions were made in the same changes that withdrew others of theirs."""
    if not withdrawn:
        return set()
    query = select(BookingRow.squad_id, type_coerce(BookingRow.created_at, BigInteger)).where(
        BookingRow.squad_id.in_({row.squad_id for row in withdrawn}),
        BookingRow.created_at.in_({instant_of(row.changed_at) for row in withdrawn}),
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

    def __init__(self, places: Places, zone: ZoneInfo, charged: Charged) -> None:
        self._places = places
        self._zone = zone
        self._charged = charged
        self._only = charged.only
        self._own: dict[tuple[str, str], tuple[Spot, frozenset[Payer], bool]] = {}
        self._lit: dict[tuple[object, ...], tuple[TimeRange, ...]] = {}
        self._during = cache(range_of)

    def is_charged(self, row: Row[*tuple[Any, ...]]) -> bool:
        """Tell whether anything is charged for a booking."""
        if row.pitch not in self._places.pitches:
            return False
        spot, payers, _by_light = self._about(row)
        is_hirers = row.squad is None and row.purpose is Purpose.HIRE
        own = (
            (Payer.CLUB, spot.venue),
            (Payer.SQUAD, row.squad),
            (Payer.HIRER, (row.name or row.written) if is_hirers else None),
        )
        return any(
            key is not None and payer in payers and self._only in (None, (payer, key))
            for payer, key in own
        )

    def row(self, row: Row[*tuple[Any, ...]]) -> Use:
        """Return the use of a booking; its light only where a price depends on it."""
        venue, pitch = self._places.pitches[row.pitch]
        spot, _payers, by_light = self._about(row)
        during = self._during(row.starts_at, row.ends_at)
        is_asked = by_light and not row.is_withdrawn
        return Use(
            number=row.id,
            spot=spot,
            share=self._places.shares[row.pitch, row.area],
            during=during,
            lit=self._lit_during(venue, pitch, during) if is_asked else (),
        )

    def _about(self, row: Row[*tuple[Any, ...]]) -> tuple[Spot, frozenset[Payer], bool]:
        """Return the ground of a booking, who pays for it, and whether by its light."""
        place = row.pitch, row.area
        if place not in self._own:
            venue, _pitch = self._places.pitches[row.pitch]
            spot = Spot(venue.key, *place)
            held = [one for one in self._charged.own_tariffs() if one.spot.covers(spot)]
            by_light = any(one.light is not InLight.ANY for one in held)
            self._own[place] = spot, frozenset(one.payer for one in held), by_light
        return self._own[place]

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
    evening = EveningLight(day, light, light.usable_until(venue.dusk_margin_minutes))
    out = usable_until(pitch, venue, day, zone)
    return lamp_spans(held, evening, day_range(day, day, zone), out)
