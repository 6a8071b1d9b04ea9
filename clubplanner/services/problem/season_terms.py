"""What the running season adds to a share-out: limits of grass, and what squads had so far."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.ground.load import limits_of_pitches, percents_of_squads
from clubplanner.services.history.past import past_balances
from clubplanner.services.rows.ground.wear_limits import load_wear_limits
from clubplanner.services.rows.snapshot import load_club, load_squads, load_venues
from clubplanner.sharing.values.validating import MOST_PAST
from clubplanner.sharing.values.wants import LoadLimit

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.sharing.values.problem import Problem


def with_grass_limits(session: Session, problem: Problem, bookings: Iterable[Booking]) -> Problem:
    """Let a share-out keep to what each pitch bears in a week.

    The limits and weights are those of the rule book (`domain/rules/ground/load.py`); matches and
    hires that stand count.

    Args:
        session: A reading session.
        problem: The problem as built from the club's records.
        bookings: Those of its dates, for what already stands.
    """
    club, squads, grass = load_club(session), load_squads(session), load_wear_limits(session)
    keys = {ground.pitch for ground in problem.grounds}
    loads = [
        LoadLimit(key, limit.most_minutes, limit.most_sessions)
        for key, found in limits_of_pitches(club.rules, grass, load_venues(session)).items()
        for limit in found
        if key in keys
    ]
    if not loads:
        return problem
    percents = percents_of_squads(club.rules, grass, squads)
    closed = {(b.pitch_key, b.cells, b.holder) for b in bookings if b.purpose is Purpose.CLOSED}
    weights = {b.holder: percents.get(b.squad_key or "", 100) for b in bookings}
    standing = tuple(
        replace(
            one,
            wear_percent=0
            if (one.pitch, one.cells, one.label) in closed
            else weights.get(one.label, 100),
        )
        for one in problem.standing
    )
    asks = tuple(replace(ask, wear_percent=percents[ask.squad]) for ask in problem.asks)
    every = tuple(dict.fromkeys((*problem.loads, *loads)))
    return replace(problem, loads=every, standing=standing, asks=asks)


def with_past(session: Session, problem: Problem, before: date) -> Problem:
    """Let a share-out make good what squads had too little of in earlier stretches.

    Args:
        session: A reading session.
        problem: The problem as built from the club's records.
        before: First date of the stretch that is shared out.
    """
    past = past_balances(session, before)
    if not past:
        return problem
    return replace(
        problem,
        asks=tuple(replace(ask, past=_points(past.get(ask.squad, 0.0))) for ask in problem.asks),
    )


def _points(balance: float) -> int:
    return max(-MOST_PAST, min(MOST_PAST, round(balance)))
