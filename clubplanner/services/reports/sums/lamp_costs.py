"""What floodlights cost: the hours they burnt, by the club's tariffs for them."""

from __future__ import annotations

from datetime import UTC, datetime
from fractions import Fraction
from typing import TYPE_CHECKING

from clubplanner.domain.money.amounts import rounded
from clubplanner.domain.money.charging import charge_floodlights, floodlight_tariffs
from clubplanner.domain.money.lines import exact_amount
from clubplanner.domain.money.tariffs import Spot
from clubplanner.domain.times.times import TimeRange
from clubplanner.services.reports.sums.report_values import LampCost
from clubplanner.services.rows.club.money_rows import load_tariffs, load_terms

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.money.tariffs import Tariff
    from clubplanner.services.reports.sums.pitch_times import Lit, Measured

NOTHING = Fraction(0)


def cost_lamps(session: Session, measured: Measured, zone: ZoneInfo) -> tuple[LampCost, ...]:
    """Return what the floodlights of each pitch cost in each month in which they burnt.

    Money is rounded here and nowhere else: to a smallest unit for each pitch and month.

    Args:
        session: A reading session.
        measured: What became of each pitch's time, and when floodlights burnt.
        zone: The club's time zone.
    """
    currency = load_terms(session).currency
    costs = _costs(session, measured.lit, zone)
    found = []
    for time in measured.times:
        if not time.lamp_seconds:
            continue
        cost = costs.get((time.place.pitch_key, time.month))
        units = None if cost is None else rounded(cost)
        found.append(LampCost(time.place, time.month, time.lamp_seconds, units, currency))
    return tuple(found)


def _costs(
    session: Session, lit: Iterable[Lit], zone: ZoneInfo
) -> dict[tuple[str, date], Fraction]:
    """Return what tariffs say of each pitch and month, exact; none where no tariff says any.

    Many pitches burn for the same time by the same tariffs, which is charged once.
    """
    tariffs = load_tariffs(session)
    known: dict[tuple[tuple[Tariff, ...], int, int], Fraction | None] = {}
    costs: dict[tuple[str, date], Fraction] = {}
    for one in lit:
        spot = Spot(one.place.venue_key, one.place.pitch_key)
        holding = floodlight_tariffs(spot, tariffs)
        for starts, ends in one.spans if holding else ():
            burnt = holding, starts, ends
            if burnt not in known:
                known[burnt] = _charged(spot, *burnt, zone)
            cost = known[burnt]
            if cost is not None:
                month = spot.pitch, one.month
                costs[month] = costs.get(month, NOTHING) + cost
    return costs


def _charged(
    spot: Spot, tariffs: Sequence[Tariff], starts: int, ends: int, zone: ZoneInfo
) -> Fraction | None:
    """Return what is charged from one second to another; None where no tariff says any of it."""
    span = TimeRange(datetime.fromtimestamp(starts, UTC), datetime.fromtimestamp(ends, UTC))
    charges = charge_floodlights([(spot, span)], tariffs, zone)
    return sum(map(exact_amount, charges), NOTHING) if charges else None
