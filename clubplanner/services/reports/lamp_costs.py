"""What floodlights cost: the hours they burnt, at what an hour of them costs at their venue."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.services.reports.report_values import (
    SECONDS_AN_HOUR,
    LampCost,
    round_half_up,
)
from clubplanner.store.tables.ground_tables import VenueRow
from clubplanner.store.tables.season_tables import LampCostRow

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sqlalchemy.orm import Session

    from clubplanner.services.reports.report_values import PitchTime

HUNDREDTHS = 100


def cost_lamps(session: Session, times: Iterable[PitchTime]) -> tuple[LampCost, ...]:
    """Return what the floodlights of each pitch cost in each month in which they burnt.

    Money is rounded here and nowhere else: to a hundredth for each pitch and month.

    Args:
        session: A reading session.
        times: What became of each pitch's time.
    """
    prices = _prices(session)
    found = []
    for time in times:
        if not time.lamp_seconds:
            continue
        price, currency = prices.get(time.place.venue_key, (None, ""))
        cost = None
        if price is not None:
            cost = round_half_up(price * HUNDREDTHS * time.lamp_seconds / SECONDS_AN_HOUR)
        found.append(LampCost(time.place, time.month, time.lamp_seconds, cost, currency))
    return tuple(found)


def _prices(session: Session) -> dict[str, tuple[Fraction | None, str]]:
    """Return what an hour of a pitch's floodlights costs, by the venue's key, as it was typed."""
    rows = session.execute(
        select(VenueRow.key, LampCostRow.per_hour, LampCostRow.currency).join(
            LampCostRow, LampCostRow.venue_id == VenueRow.id
        )
    )
    return {key: (Fraction(str(price)), currency) for key, price, currency in rows}
