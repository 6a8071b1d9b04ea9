"""A stretch of the season put as a problem, and sessions of it pinned."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.domain.times.seasons import Stretch, training_dates
from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.services.problem.problem import build_problem
from clubplanner.services.problem.season_terms import with_grass_limits, with_past
from clubplanner.services.rows.club.money_rows import load_tariffs
from clubplanner.services.rows.ground.own_sizes import load_formats
from clubplanner.services.rows.seasons.squad_seasons import asks_meanwhile
from clubplanner.services.rows.seasons.stretches import stretch_range
from clubplanner.services.rows.snapshot import (
    load_asks,
    load_bookings,
    load_breaks,
    load_club,
    load_squads,
    load_venues,
)
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from clubplanner.sharing.values.problem import Placement, Problem


def load_stretch_problem(session: Session, stretch: Stretch, *, knows_past: bool = True) -> Problem:
    """Put a stretch as a problem.

    Args:
        session: A reading session.
        stretch: Which stretch.
        knows_past: Whether it says what squads had so far, which decides nothing but who is served
            first.

    Raises:
        RefusedError: If there is nothing to share out.
    """
    club = load_club(session)
    asks = asks_meanwhile(session, load_asks(session), stretch.starts_on, stretch.ends_on)
    venues = load_venues(session)
    dates = training_dates(stretch, load_breaks(session))
    if not asks:
        raise RefusedError(_("No squad asks for anything; load the squads file first."))
    if not any(venue.pitches for venue in venues):
        raise RefusedError(_("There is no pitch to share out; load a grounds file first."))
    if not dates:
        raise RefusedError(
            _(
                "%(stretch)s lies wholly in breaks; there is nothing to share out.",
                stretch=stretch.name,
            )
        )
    during = stretch_range(stretch, club.time_zone)
    bookings = load_bookings(session, during, which=BookingRow.stands())
    squads, formats = load_squads(session), load_formats(session)
    tariffs = load_tariffs(session)
    problem = build_problem(club, venues, dates, bookings, squads, asks, formats, tariffs=tariffs)
    if knows_past:
        problem = with_past(session, problem, stretch.starts_on)
    return with_grass_limits(session, problem, bookings)


def with_pins(problem: Problem, placements: Sequence[Placement]) -> Problem:
    """Return a problem in which some sessions stay where they are."""
    own: dict[str, list[Placement]] = defaultdict(list)
    for item in placements:
        own[item.ask].append(item)
    asks = (replace(ask, pinned=tuple(own.get(ask.key, ()))) for ask in problem.asks)
    return replace(problem, asks=tuple(asks))
