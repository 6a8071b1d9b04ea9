"""From sessions to what is charged for them: by the minute, before reductions and rounding."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

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
from clubplanner.domain.times.times import MINUTES_A_DAY, TimeRange

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

WHOLE = Fraction(1)
PER_MILLE = 1000
"""A part that is not cut into equal ones is taken as so many thousandths of its pitch."""


@dataclass(frozen=True, slots=True)
class Use:
    """Ground that somebody had, or held too long to give back in time.

    Attributes:
        number: Of its booking; 0 for floodlights of a pitch, which are of nobody's booking alone.
        spot: Venue, pitch and part.
        share: Of the whole pitch, 0 to 1.
        during: When, UTC.
        lit: When floodlights burnt for it.
        percent: How much of the price is owed: 100, or less for what was withdrawn late.
    """

    number: int
    spot: Spot
    share: Fraction
    during: TimeRange
    lit: tuple[TimeRange, ...] = ()
    percent: int = 100


@dataclass(frozen=True, slots=True)
class Charge:
    """Time, or an opening, that one tariff charges.

    Attributes:
        use: For what.
        tariff: By which.
        during: The piece of it, UTC; all of it for an opening.
        day: The local date at which `use` begins.
    """

    use: Use
    tariff: Tariff
    during: TimeRange
    day: date

    @property
    def minutes(self) -> int:
        """Minutes that really pass, on nights when the clocks change, too; 0 for an opening."""
        return 0 if self.tariff.per is Per.OPENING else self.during.minutes

    @property
    def share(self) -> Fraction:
        """Of the pitch; a part's own price and an opening are whole."""
        is_own = bool(self.tariff.spot.area) or self.tariff.per is Per.OPENING
        return WHOLE if is_own else self.use.share


def share_of(twelfths: int | None, part_m2: float, whole_m2: float) -> Fraction:
    """Return a part's share of its pitch: exact for equal parts, else to the thousandth."""
    if twelfths is not None:
        return Fraction(twelfths, 12)
    return Fraction(min(PER_MILLE, round(part_m2 / whole_m2 * PER_MILLE)), PER_MILLE)


def charge(
    uses: Iterable[Use], tariffs: Sequence[Tariff], payer: Payer, zone: ZoneInfo
) -> tuple[Charge, ...]:
    """Charge for the sessions of one payer.

    At each minute the price that holds is charged, and what adds to it. An opening is charged once
    a date for all sessions that it is for. What floodlights add for the club itself is left out:
    they burn for a whole pitch, whoever is on it, so they come as uses of their own
    (`charge_floodlights`).

    Args:
        uses: In any order.
        tariffs: All of the club's.
        payer: Who pays.
        zone: The club's time zone.

    Returns:
        By time; of one session the price first.
    """
    found: list[Charge] = []
    opened: set[tuple[date, int]] = set()
    own = [tariff for tariff in tariffs if tariff.payer is payer]
    known: dict[Spot, tuple[_Holding, ...]] = {}
    for use in sorted(uses, key=lambda one: (one.during.starts_at, one.number)) if own else ():
        if use.spot not in known:
            known[use.spot] = _holding(own, payer, use.spot)
        start = use.during.starts_at.astimezone(zone)
        day = start.date()
        for hourly, opening in known[use.spot]:
            found += [Charge(use, tariff, part, day) for tariff, part in _parts(use, hourly, zone)]
            if not opening:
                continue
            moment = Moment(day, start.hour * 60 + start.minute, _is_lit(use, use.during.starts_at))
            chosen = choose(opening, moment)
            if chosen is not None and (day, chosen.number) not in opened:
                opened.add((day, chosen.number))
                found.append(Charge(use, chosen, use.during, day))
    return tuple(found)


_Holding = tuple[tuple[Tariff, ...], tuple[Tariff, ...]]
"""Tariffs of one ground and kind: by the hour, and by the opening."""


def _holding(tariffs: Sequence[Tariff], payer: Payer, spot: Spot) -> tuple[_Holding, ...]:
    """Return what holds for some ground: the price, and what adds to it."""
    found = []
    for adds in (False, True):
        hourly = tariffs_at(tariffs, payer, spot, Per.HOUR, adds=adds)
        if payer is Payer.CLUB and adds:
            hourly = tuple(one for one in hourly if one.light is not InLight.FLOODLIGHT)
        found.append((hourly, tariffs_at(tariffs, payer, spot, Per.OPENING, adds=adds)))
    return tuple(found)


def charge_floodlights(
    spans: Iterable[tuple[Spot, TimeRange]], tariffs: Sequence[Tariff], zone: ZoneInfo
) -> tuple[Charge, ...]:
    """Charge the club for what floodlights of its pitches burn.

    Args:
        spans: A pitch and when its floodlights burnt, however many squads were on it.
        tariffs: All of the club's; those for floodlights that add to the price count.
        zone: The club's time zone.
    """
    found: list[Charge] = []
    for spot, span in sorted(spans, key=lambda one: (one[1].starts_at, one[0].pitch)):
        lamps = floodlight_tariffs(spot, tariffs)
        use = Use(0, spot, WHOLE, span, (span,))
        day = span.starts_at.astimezone(zone).date()
        found += [Charge(use, tariff, part, day) for tariff, part in _parts(use, lamps, zone)]
    return tuple(found)


def floodlight_tariffs(spot: Spot, tariffs: Iterable[Tariff]) -> tuple[Tariff, ...]:
    """Return the tariffs by which the club pays for the floodlights of a pitch."""
    hourly = tariffs_at(tariffs, Payer.CLUB, spot, Per.HOUR, adds=True)
    return tuple(one for one in hourly if one.light is InLight.FLOODLIGHT)


def _parts(
    use: Use, tariffs: Sequence[Tariff], zone: ZoneInfo
) -> Iterator[tuple[Tariff, TimeRange]]:
    """Yield which tariff holds from when to when; times without any are left out."""
    if not tariffs:
        return
    current: Tariff | None = None
    since = use.during.starts_at
    for instant, until in pairwise(_cuts(use, tariffs, zone)):
        local = instant.astimezone(zone)
        minute = local.hour * 60 + local.minute
        chosen = choose(tariffs, Moment(local.date(), minute, _is_lit(use, instant)))
        if chosen is not current:
            if current is not None:
                yield current, TimeRange(since, instant)
            current, since = chosen, instant
        if until == use.during.ends_at and current is not None:
            yield current, TimeRange(since, until)


def _cuts(use: Use, tariffs: Sequence[Tariff], zone: ZoneInfo) -> list[datetime]:
    """Return when another tariff may begin to hold, the ends of the use included, in order.

    Where the clocks change meanwhile, which they do on two nights a year, every minute may.
    """
    start, end = use.during.starts_at, use.during.ends_at
    local, until = start.astimezone(zone), end.astimezone(zone)
    minutes = range(1, use.during.minutes + 1)
    if local.utcoffset() == until.utcoffset():
        marks = {0, *(mark for one in tariffs for mark in (one.from_min, one.to_min))}
        midnight = local.hour * 60 + local.minute
        minutes_of = {mark + day * MINUTES_A_DAY - midnight for mark in marks for day in range(3)}
        cuts = {start + timedelta(minutes=after) for after in minutes_of}
    else:
        cuts = {start + timedelta(minutes=after) for after in minutes}
    cuts |= {at for span in use.lit for at in (span.starts_at, span.ends_at)}
    return [start, *sorted(at for at in cuts if start < at < end), end]


def _is_lit(use: Use, instant: datetime) -> bool:
    return any(span.contains(instant) for span in use.lit)


def withdrawn_late(use: Use, percent: int) -> Use:
    """Return what is owed of ground that was withdrawn late: so much of it, and no floodlights."""
    return replace(use, lit=(), percent=percent)
