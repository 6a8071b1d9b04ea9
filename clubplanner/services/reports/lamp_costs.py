"""What floodlights cost: the hours they burnt, by the club's tariffs for them."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from clubplanner.domain.money.amounts import rounded
from clubplanner.domain.money.charging import charge_floodlights
from clubplanner.domain.money.lines import exact_amount
from clubplanner.domain.money.tariffs import Spot
from clubplanner.services.reports.report_values import LampCost
from clubplanner.services.rows.money_rows import load_tariffs, load_terms

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.services.reports.pitch_times import Lit, Measured


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
    """Return what tariffs say of each pitch and month, exact; none where no tariff says any."""
    months: dict[tuple[str, int], date] = {}
    spans = []
    for one in lit:
        months[one.place.pitch_key, int(one.during.starts_at.timestamp())] = one.month
        spans.append((Spot(one.place.venue_key, one.place.pitch_key), one.during))
    costs: dict[tuple[str, date], Fraction] = {}
    for charge in charge_floodlights(spans, load_tariffs(session), zone):
        pitch = charge.use.spot.pitch
        month = months[pitch, int(charge.use.during.starts_at.timestamp())]
        costs[pitch, month] = costs.get((pitch, month), Fraction(0)) + exact_amount(charge)
    return costs
