"""What the running season adds to a share-out: limits of grass, and what squads had so far."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.ground.wear import MATCH_HOURS, weigh_percent
from clubplanner.services.history.past import past_balances
from clubplanner.services.rows.snapshot import load_squads
from clubplanner.services.rows.wear_limits import load_wear_limits
from clubplanner.sharing.values.validating import MOST_PAST
from clubplanner.sharing.values.wants import LoadLimit

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.sharing.values.problem import Problem

FULL_WEIGHT = 100
"""Percent: what a session of grown-ups wears."""


def with_grass_limits(session: Session, problem: Problem, bookings: Iterable[Booking]) -> Problem:
    """Let a share-out keep to what each pitch bears in a week.

    Match equivalents become hours at 90 minutes a match (common practice, no source); the
    tighter of the two limits counts, and limits from the club's settings count beside them. The
    young weigh less, by the club's own weights where it has set any; matches and hires that stand
    count.

    Args:
        session: A reading session.
        problem: The problem as built from the club's records.
        bookings: Those of its dates, for what already stands.
    """
    limits = load_wear_limits(session)
    keys = {ground.pitch for ground in problem.grounds}
    loads = []
    for key, limit in limits.items():
        hours = [h for h in (limit.hours, _hours(limit.matches)) if h is not None]
        if key in keys and hours:
            loads.append(LoadLimit(key, most_minutes=round(60 * min(hours))))
    if not loads:
        return problem
    percents = {squad.key: weigh_percent(squad.age) for squad in load_squads(session)}
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
    asks = tuple(
        ask
        if ask.wear_percent != FULL_WEIGHT
        else replace(ask, wear_percent=percents.get(ask.squad, FULL_WEIGHT))
        for ask in problem.asks
    )
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


def _hours(matches: float | None) -> float | None:
    return None if matches is None else matches * MATCH_HOURS
