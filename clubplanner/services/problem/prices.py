"""From the club's tariffs to the prices of a share-out: the same truth about what an hour costs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

from clubplanner.domain.keys import ground_key
from clubplanner.domain.money.amounts import rounded
from clubplanner.domain.money.charging import share_of
from clubplanner.domain.money.tariffs import (
    InLight,
    Moment,
    Payer,
    Per,
    Spot,
    Tariff,
    choose,
    tariffs_at,
)
from clubplanner.domain.times.daylight import LightKind, find_light
from clubplanner.domain.times.times import MINUTES_A_DAY, minute_from_instant
from clubplanner.sharing.values.wants import Price

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.sharing.values.problem import Day

LAST_MINUTE = 2 * MINUTES_A_DAY
"""Sessions begin on a day and may go on after midnight, then by the tariffs of the next."""
NEVER = LAST_MINUTE


@dataclass(frozen=True, slots=True)
class _Dates:
    """The dates of a day of the plan, each with the minute from which floodlights burn."""

    index: int
    dark_from: tuple[tuple[date, int], ...]

    def marks(self, tariffs: Sequence[Tariff]) -> list[int]:
        """Return the minutes at which another tariff may begin to hold, in order."""
        hours = {at for tariff in tariffs for at in (tariff.from_min, tariff.to_min)}
        later = {at + MINUTES_A_DAY for at in hours}
        dark = {at for _, at in self.dark_from}
        return sorted({0, LAST_MINUTE, MINUTES_A_DAY} | {m for m in hours | later | dark if m > 0})

    def moments(self, minute: int) -> Iterator[Moment]:
        """Yield that minute of each date."""
        for day, dark_from in self.dark_from:
            then = day + timedelta(days=minute // MINUTES_A_DAY)
            yield Moment(then, minute % MINUTES_A_DAY, minute >= dark_from)


def prices_of(
    tariffs: Iterable[Tariff], venues: Sequence[Venue], days: Sequence[Day], zone: ZoneInfo
) -> tuple[Price, ...]:
    """Return what the club pays for its grounds.

    What always holds is one price a place. Where tariffs go by day, hour, season, date or light,
    each day of the plan has its own windows; a day that stands for many dates costs what they
    cost on average, rounded to the smallest coin.

    Args:
        tariffs: All of the club's.
        venues: With their pitches.
        days: Those of the plan.
        zone: The club's time zone.
    """
    own = tuple(tariff for tariff in tariffs if tariff.payer is Payer.CLUB)
    found: list[Price] = []
    for venue in venues:
        here = tuple(tariff for tariff in own if tariff.spot.venue == venue.key)
        if here:
            found += _at_venue(venue, here, days, zone)
    return tuple(found)


def _at_venue(
    venue: Venue, tariffs: Sequence[Tariff], days: Sequence[Day], zone: ZoneInfo
) -> Iterator[Price]:
    if all(one.is_always and not one.adds and not one.spot.area for one in tariffs):
        yield from _always(venue, tariffs)
        return
    for pitch in venue.pitches:
        for day in days:
            dates = _Dates(
                day.index, tuple((when, _dark_from(venue, pitch, when, zone)) for when in day.dates)
            )
            if dates.dark_from:
                yield from _at_pitch(venue, pitch, tariffs, dates)
    spot = Spot(venue.key)
    for day in days:
        if day.dates:
            moments = [Moment(when, 0) for when in day.dates]
            fee = _average(tariffs, spot, Per.OPENING, moments)
            if fee:
                yield Price(venue.key, None, 0, rounded(fee), day=day.index)


def _always(venue: Venue, tariffs: Sequence[Tariff]) -> Iterator[Price]:
    """Yield the venue's price and those of its pitches, none of which ever changes."""
    at_venue = [tariff for tariff in tariffs if not tariff.spot.pitch]
    if at_venue:
        hourly, opening = (_amount(at_venue, Spot(venue.key), per) for per in Per)
        yield Price(venue.key, None, hourly, opening)
    for pitch in venue.pitches:
        if any(tariff.spot.pitch == pitch.key for tariff in tariffs):
            yield Price(
                venue.key, pitch.key, _amount(tariffs, Spot(venue.key, pitch.key), Per.HOUR)
            )


def _amount(tariffs: Sequence[Tariff], spot: Spot, per: Per) -> int:
    own = tariffs_at(tariffs, Payer.CLUB, spot, per, adds=False)
    chosen = max(own, key=lambda tariff: tariff.rank, default=None)
    return 0 if chosen is None else chosen.amount


def _at_pitch(
    venue: Venue, pitch: Pitch, tariffs: Sequence[Tariff], dates: _Dates
) -> Iterator[Price]:
    spot = Spot(venue.key, pitch.key)
    whole_m2 = pitch.areas[0].area_m2
    for since, until, rate in _windows(tariffs, spot, dates):
        yield Price(venue.key, pitch.key, rate, 0, None, dates.index, since, until)
    for since, until, rate in _windows(tariffs, spot, dates, for_floodlights=True):
        if rate:
            yield Price(
                venue.key, pitch.key, rate, 0, None, dates.index, since, until, for_floodlights=True
            )
    for area in pitch.areas:
        part = Spot(venue.key, pitch.key, area.key)
        if any(tariff.spot.area == area.key and tariff.spot.covers(part) for tariff in tariffs):
            share = share_of(area.twelfths, area.area_m2, whole_m2)
            key = ground_key(pitch.key, area.key)
            for since, until, rate in _windows(tariffs, part, dates, share):
                yield Price(venue.key, pitch.key, rate, 0, key, dates.index, since, until)


def _windows(
    tariffs: Sequence[Tariff],
    spot: Spot,
    dates: _Dates,
    share: Fraction = Fraction(1),
    *,
    for_floodlights: bool = False,
) -> Iterator[tuple[int, int, int]]:
    """Yield from which minute up to which an hour costs what, on average over the dates."""
    last: tuple[int, int, int] | None = None
    for since, until in pairwise(dates.marks(tariffs)):
        moments = tuple(dates.moments(since))
        exact = _average(tariffs, spot, Per.HOUR, moments, share, for_floodlights=for_floodlights)
        rate = rounded(exact)
        if last is not None and last[2] == rate:
            last = (last[0], until, rate)
            continue
        if last is not None:
            yield last
        last = (since, until, rate)
    if last is not None:
        yield last


def _average(
    tariffs: Sequence[Tariff],
    spot: Spot,
    per: Per,
    moments: Sequence[Moment],
    share: Fraction = Fraction(1),
    *,
    for_floodlights: bool = False,
) -> Fraction:
    """Return what is paid at some moments on average: a part's own price whole, others' share."""
    kinds = []
    for adds in (False, True):
        known = tariffs_at(tariffs, Payer.CLUB, spot, per, adds=adds)
        lamps = tuple(one for one in known if adds and one.light is InLight.FLOODLIGHT)
        others = tuple(one for one in known if one not in lamps)
        kinds.append(lamps if for_floodlights else others)
    total = Fraction(0)
    for moment in moments:
        for kind in kinds:
            chosen = choose(kind, moment)
            if chosen is not None:
                total += chosen.amount * (1 if chosen.spot.area else share)
    return total / len(moments)


def _dark_from(venue: Venue, pitch: Pitch, day: date, zone: ZoneInfo) -> int:
    """Return the minute of a date from which a pitch's floodlights burn."""
    if not pitch.is_lit or pitch.is_indoor:
        return NEVER
    light = find_light(day, venue.lon, venue.lat, zone)
    if light.kind is LightKind.NONE:
        return 0
    until = light.usable_until(venue.dusk_margin_minutes)
    return NEVER if until is None else max(0, minute_from_instant(until, day, zone))
