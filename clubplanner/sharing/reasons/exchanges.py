"""Who would have to give up a session for one that has none, and would still have most left."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.candidates import join
from clubplanner.sharing.ground.terrain import asks_by_squad
from clubplanner.sharing.model.measures import shortfall_points
from clubplanner.sharing.places.alone import best_days
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.reasons.held import SquadHas, blocked_by, still_free
from clubplanner.sharing.rules.people.evenings_in_a_row import rows_of
from clubplanner.sharing.values.facts import Facts, Loss, spot_of
from clubplanner.sharing.values.outcome import Reason, Satisfaction
from clubplanner.sharing.values.points import FIRST_POINTS, SESSION_POINTS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.reasons.held import Held

EXCHANGE = "exchange"
"""Code of a reason that names the session whose end would make room, or the two."""
CROWDED = "crowded"
"""Code of a reason that says that it takes more than that."""
MOST_LOOKED_AT = 400
"""With more ways than this to make room nothing is said of any."""
MOST_TRIED = 40
"""So many of them are tried, those that leave most first."""


def first_answer(held: Held, number: int) -> Reason | None:
    """Find what it would take to make room for an ask: an exchange, or that it takes more.

    Returns:
        A reason to tell first; None where ground is free but for a rule, or where there are too
        many ways to look at.
    """
    exchange = cheapest_exchange(held, number)
    if exchange is not None:
        return exchange
    in_way = held.view(number).in_way
    least = int(in_way.min()) if len(in_way) else 0
    if least > 2:
        return Reason(CROWDED, facts=Facts(number=least))
    if least and not _ways(held, number, 1) and not _ways(held, number, 2):
        return Reason(CROWDED, facts=Facts(kind="fixed"))
    return None


def cheapest_exchange(held: Held, number: int) -> Reason | None:
    """Find who could make room by giving up a session and would still have most left.

    Args:
        held: The plan.
        number: Which ask misses a session.

    Returns:
        A reason to tell first: one session whose end leaves a place free, else two, of which the
        squad with less is the better served; None where it takes more.
    """
    for count in (1, 2):
        ways = _ways(held, number, count)
        if len(ways) > MOST_LOOKED_AT:
            return None
        left = {n: _without(held, n).left for n in {n for way in ways for n in way}}
        ways.sort(key=lambda way: (-min(left[n] for n in way), way))
        for way in ways[:MOST_TRIED]:
            free = still_free(held, number, way, join([]))
            if len(free):
                row = int(np.argmax(free.score))
                place = placement_of(held.terrain, free, row, 0)
                spot = spot_of(held.terrain.problem, place)
                facts = replace(_facts(held, number, way, int(free.score[row])), spot=spot)
                items = tuple(held.placements[n] for n in way)
                return Reason(EXCHANGE, holders=items, facts=facts)
    return None


def _ways(held: Held, number: int, count: int) -> list[tuple[int, ...]]:
    """List the sets of so many sessions of other squads that alone hold a place of an ask."""
    view, asks = held.view(number), held.terrain.problem.asks
    rows = view.rows.take(np.flatnonzero(view.in_way == count))
    if not len(rows):
        return []
    ways = {tuple(np.flatnonzero(row).tolist()) for row in blocked_by(held, rows)}
    own = asks[number].squad
    return [
        way
        for way in sorted(ways)
        if all(asks[int(held.rows.ask[n])].squad != own for n in way)
        and len({asks[int(held.rows.ask[n])].squad for n in way}) == len(way)
        and not any(_is_pinned(held, n) for n in way)
    ]


def _is_pinned(held: Held, session: int) -> bool:
    ask = held.terrain.problem.asks[int(held.rows.ask[session])]
    return any(pin.session == held.placements[session].session for pin in ask.pinned)


def squad_of(held: Held, number: int) -> SquadHas:
    """Measure the squad of an ask as it stands, once a plan."""
    ask = held.terrain.problem.asks[number]
    if ask.squad not in held.squads:
        own = asks_by_squad(held.terrain)[ask.squad]
        has = np.isin(held.rows.ask, own)
        counts = {n: int(np.count_nonzero(held.rows.ask[has] == n)) for n in own}
        best = sum(_best_alone(held, n) for n in own)
        first = held.terrain.problem.asks[own[0]]
        points = int(held.rows.score[has].sum())
        held.squads[ask.squad] = SquadHas(first.squad_name, counts, points, best, first.past)
    return held.squads[ask.squad]


def _without(held: Held, session: int) -> SquadHas:
    """Measure a squad without one of its sessions."""
    number = int(held.rows.ask[session])
    return squad_of(held, number).with_one(number, int(held.rows.score[session]), -1)


def _best_alone(held: Held, number: int) -> int:
    """Return the wish points that an ask could have with the whole club to itself."""
    ask, terrain = held.terrain.problem.asks[number], held.terrain
    here = held.rows.take(held.rows.ask == number)  # what is pinned is among no ask's places
    rows = join([held.view(number).rows, here])
    best = np.zeros(max(1, len(terrain.problem.days)), dtype=np.int64)
    np.maximum.at(best, rows.day, rows.score)
    too_long = rows_of(terrain, ask.squad)
    return best_days(best, ask.sessions, terrain.apart, ask.rest_days, too_long)


def _facts(held: Held, number: int, way: Sequence[int], points: int) -> Facts:
    """Measure an exchange and say why the plan has it the other way round."""
    lost = [squad_of(held, int(held.rows.ask[n])) for n in way]
    less = [_without(held, n) for n in way]
    own = squad_of(held, number)
    more = own.with_one(number, points, 1)
    losses = tuple(
        Loss(one.name, one.has, one.percent, other.percent)
        for one, other in zip(lost, less, strict=True)
    )
    kind, amount = _why(held, [own, *lost], [more, *less])
    gain = Loss(own.name, own.has, own.percent, more.percent)
    return Facts(kind=kind, number=amount, losses=losses, gain=gain)


def _why(held: Held, now: Sequence[SquadHas], then: Sequence[SquadHas]) -> tuple[str, int]:
    """Say by which aim the plan is better than the exchange, the squad that gains stands first."""
    problem = held.terrain.problem
    placed = sum(_placing(held, one) for one in then) - sum(_placing(held, one) for one in now)
    if placed < 0:
        if len(now) > 2:
            return "fewer", 0
        return ("only" if not then[1].has and now[0].has else "priority"), 0
    lowest = min(one.left for one in then) - min(one.left for one in now)
    if not placed and lowest < 0:
        worst = min(then[1:], key=lambda one: one.percent)
        return ("lower" if worst.percent < now[0].percent else "past"), 0
    short = shortfall_points(_served(then)) - shortfall_points(_served(now))
    if not placed and not lowest and short > 0:
        return "short", 0
    points = sum(one.points for one in then) - sum(one.points for one in now)
    if not (placed or lowest or short) and points < 0:
        return "less", -points
    if problem.pairs or problem.prices or problem.wants_compact:
        return "", 0  # these count as well, and are not weighed here
    return ("better" if placed or lowest or short or points else "even"), 0


def _placing(held: Held, squad: SquadHas) -> int:
    """Return the points that a squad's sessions bring in placing."""
    asks = held.terrain.problem.asks
    points = sum(SESSION_POINTS * asks[n].priority * count for n, count in squad.counts.items())
    return points + (FIRST_POINTS * max(asks[n].priority for n in squad.counts) if squad.has else 0)


def _served(squads: Sequence[SquadHas]) -> list[Satisfaction]:
    return [
        Satisfaction(one.name, one.name, one.points, one.best, one.percent, one.past)
        for one in squads
    ]
