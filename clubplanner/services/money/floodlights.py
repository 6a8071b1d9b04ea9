"""What floodlights burn and cost the club by the tariffs, for the page of light and reports."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from clubplanner.domain.money.charging import charge_floodlights
from clubplanner.domain.money.lines import exact_amount
from clubplanner.services.money.uses import burning_of, load_lit
from clubplanner.services.rows.club.money_rows import load_tariffs
from clubplanner.services.rows.snapshot import load_venues, load_zone

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.money.tariffs import Tariff
    from clubplanner.domain.times.times import TimeRange


@dataclass(frozen=True, slots=True)
class FloodlightCost:
    """Floodlights of one pitch on one date.

    Attributes:
        venue: Key of the venue.
        pitch: Key of the pitch.
        day: The local date.
        minutes: How long they burnt, however many were on the pitch.
        cost: In smallest units of the club's currency, exact: round sums with `rounded`, once. None
            where no tariff says what any of it costs.
    """

    venue: str
    pitch: str
    day: date
    minutes: int
    cost: Fraction | None


def floodlight_cost(
    session: Session, first: date, last: date, until: datetime, venue_key: str = ""
) -> tuple[FloodlightCost, ...]:
    """Return what floodlights burnt and cost, by date and pitch.

    Args:
        session: An open session.
        first: First local date.
        last: Last date, included.
        until: What is not over by then does not count, UTC; an instant after the last date counts
            what is booked.
        venue_key: The only venue that is asked about; blank for all.
    """
    zone = load_zone(session)
    venues = [venue for venue in load_venues(session) if venue_key in ("", venue.key)]
    held = load_lit(session, venues, (first, last), until)
    return cost_of(held, venues, load_tariffs(session), zone)


def cost_of(
    held: Mapping[tuple[str, date], Sequence[TimeRange]],
    venues: Iterable[Venue],
    tariffs: Sequence[Tariff],
    zone: ZoneInfo,
) -> tuple[FloodlightCost, ...]:
    """Return the same of who was on each lit pitch of venues on each date (`load_lit`)."""
    pitches = {pitch.key: (venue, pitch) for venue in venues for pitch in venue.pitches}
    spans = burning_of(held, pitches, zone)
    minutes: dict[tuple[date, str, str], int] = defaultdict(int)
    costs: dict[tuple[date, str, str], Fraction] = {}
    for spot, span in spans:
        day = span.starts_at.astimezone(zone).date()
        minutes[day, spot.venue, spot.pitch] += span.minutes
    for charge in charge_floodlights(spans, tariffs, zone):
        place = charge.day, charge.use.spot.venue, charge.use.spot.pitch
        costs[place] = costs.get(place, Fraction(0)) + exact_amount(charge)
    return tuple(
        FloodlightCost(venue, pitch, day, burnt, costs.get((day, venue, pitch)))
        for (day, venue, pitch), burnt in sorted(minutes.items())
    )
