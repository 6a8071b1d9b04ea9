"""Who would have to give up a session for one that has none, and would still have most left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.domain.club.fair import percent_served
from clubplanner.language import _
from clubplanner.sharing.ground.candidates import join
from clubplanner.sharing.places.alone import best_days
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.reasons.held import blocked_by, still_free
from clubplanner.sharing.rules.people.evenings_in_a_row import rows_of
from clubplanner.sharing.values.outcome import Reason
from clubplanner.sharing.values.words import listed, place_and_time

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.reasons.held import Held

EXCHANGE = "exchange"
"""Code of a reason that names the session whose end would make room, or the two."""
MOST_LOOKED_AT = 40
"""With more ways than this to make room nothing is said of any."""


@dataclass(frozen=True, slots=True)
class _Loss:
    """What it would mean for a squad to lose a session of the plan.

    Attributes:
        session: Number of the session in the plan.
        sessions: How many the squad has now.
        before: Percent of what it could have alone that it has now.
        after: The same without the session.
        left: After, with what it had more or less than others in earlier stretches.
    """

    session: int
    sessions: int
    before: int
    after: int
    left: int


def cheapest_exchange(held: Held, number: int) -> Reason | None:
    """Find who could make room by giving up a session and would still have most left.

    Args:
        held: The plan.
        number: Which ask misses a session.

    Returns:
        A reason to tell first: one session whose end leaves a place free, else two, of which the
        squad with less is the better served; None where it takes more.
    """
    losses: dict[int, _Loss] = {}
    for count in (1, 2):
        ways = _ways(held, number, count)
        if len(ways) > MOST_LOOKED_AT:
            return None
        for session in {session for way in ways for session in way}:
            losses.setdefault(session, _loss(held, session))
        for way in sorted(ways, key=lambda way: (-min(losses[n].left for n in way), way)):
            free = still_free(held, number, way, join([]))
            if len(free):
                place = placement_of(held.terrain, free, int(np.argmax(free.score)), 0)
                where = place_and_time(held.terrain.problem, place)
                return _told(held, [losses[session] for session in way], where)
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


def _loss(held: Held, session: int) -> _Loss:
    """Measure a squad with and without one of its sessions."""
    asks = held.terrain.problem.asks
    squad = asks[int(held.rows.ask[session])].squad
    own = [n for n, ask in enumerate(asks) if ask.squad == squad]
    has = np.isin(held.rows.ask, own)
    points, best = int(held.rows.score[has].sum()), sum(_best_alone(held, n) for n in own)
    before = percent_served(points, best)
    after = percent_served(points - int(held.rows.score[session]), best)
    return _Loss(session, int(has.sum()), before, after, after + asks[own[0]].past)


def _best_alone(held: Held, number: int) -> int:
    """Return the wish points that an ask could have with the whole club to itself."""
    ask, terrain = held.terrain.problem.asks[number], held.terrain
    here = held.rows.take(held.rows.ask == number)  # what is pinned is among no ask's places
    rows = join([held.view(number).rows, here])
    best = np.zeros(max(1, len(terrain.problem.days)), dtype=np.int64)
    np.maximum.at(best, rows.day, rows.score)
    too_long = rows_of(terrain, ask.squad)
    return best_days(best, ask.sessions, terrain.apart, ask.rest_days, too_long)


def _told(held: Held, losses: Sequence[_Loss], place: str) -> Reason:
    items = tuple(held.placements[loss.session] for loss in losses)
    names = {ask.key: ask.squad_name for ask in held.terrain.problem.asks}
    first = losses[0]
    words = {"place": place, "squad": names[items[0].ask]}
    if len(losses) > 1:
        text = _(
            "%(place)s would be free if %(losses)s each lost a session, and not if one of them "
            "did; no two who could make room would have more left.",
            place=place,
            losses=listed([_fall(names[i.ask], o) for i, o in zip(items, losses, strict=True)]),
        )
    elif first.sessions == 1:
        text = _(
            "%(place)s would be free if %(squad)s lost their only session; nobody who could make "
            "room alone would have more left.",
            **words,
        )
    else:
        text = _(
            "%(place)s would be free if %(squad)s lost one of %(count)s sessions and fell from "
            "%(before)s to %(after)s %% of what they could have; nobody who could make room alone "
            "would have more left.",
            count=first.sessions,
            before=first.before,
            after=first.after,
            **words,
        )
    return Reason(EXCHANGE, text, is_proved=False, holders=items)


def _fall(name: str, loss: _Loss) -> str:
    """Write who would fall how far: "U13 Kites (from 70 to 50 %)"."""
    return _(
        "%(squad)s (from %(before)s to %(after)s %%)",
        squad=name,
        before=loss.before,
        after=loss.after,
    )
