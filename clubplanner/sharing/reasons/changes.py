"""Which single change to an ask would give it a place, everyone else staying where they are."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.reasons.held import blocked_by, free_of
from clubplanner.sharing.reasons.make_way import make_way
from clubplanner.sharing.rules.book import too_many
from clubplanner.sharing.values.facts import NOTHING_SAID, Facts, Holder, spot_of
from clubplanner.sharing.values.outcome import Change
from clubplanner.sharing.values.wants import Window

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.reasons.held import Held
    from clubplanner.sharing.reasons.make_way import Step
    from clubplanner.sharing.values.problem import Ask, Placement, Problem

MOST_SHORTER_MIN = 30
"""A session is never cut by more than this, nor below `LEAST_SESSION_MIN`."""
LEAST_SESSION_MIN = 30
WIDER_MIN = (30, 60, 90)
"""How much earlier or later a session may be tried on its own days, in minutes."""
LAST_MINUTE = 24 * 60
MOST_TRIES = 12
"""Places that two others hold are looked at in order of liking, at most so many."""


def helpful_changes(held: Held, number: int, *, may_move: bool) -> tuple[Change, ...]:
    """Try single changes to an ask that misses a session.

    Args:
        held: The plan.
        number: Which ask.
        may_move: Whether to look for one or two others that could move out of the way; pointless
            where it is proved that no plan places more.

    Returns:
        At most one change of each sort, each checked against all sessions placed; none where a
        place is free for the ask as it is.
    """
    found: list[Change] = []
    if len(_free(held, number, held.terrain.problem.asks[number])):
        return ()
    for code, facts, changed in _trials(held, number):
        if any(change.code == code for change in found):
            continue
        rows = _free(held, number, changed)
        if len(rows):
            found.append(_change(held, number, code, facts, changed, rows, np.argmax(rows.score)))
    found += [one for one in (_smaller(held, number), _less_rest(held, number)) if one is not None]
    moved = _others_move(held, number) if may_move else None
    if moved is not None:
        found.insert(0, moved)
    return tuple(found)


def _trials(held: Held, number: int) -> Iterator[tuple[str, Facts, Ask]]:
    """Yield the changes to try, by code the least first, with what is said of each."""
    problem = held.terrain.problem
    ask = problem.asks[number]
    yield from _other_times(problem, ask)
    if ask.surfaces:
        yield "other surface", NOTHING_SAID, replace(ask, surfaces=frozenset())
    if ask.needs_goal:
        yield "without goal", NOTHING_SAID, replace(ask, needs_goal=False)
    if ask.needs_light:
        yield "without light", NOTHING_SAID, replace(ask, needs_light=False)
    if ask.venues:
        yield "other venue", NOTHING_SAID, replace(ask, venues=frozenset())
    if ask.least_format is not None:
        facts = Facts(names=(ask.least_format,))
        yield "other format", facts, replace(ask, least_format=None)


def _other_times(problem: Problem, ask: Ask) -> Iterator[tuple[str, Facts, Ask]]:
    step = problem.step_minutes
    for cut in range(step, MOST_SHORTER_MIN + 1, step):
        minutes = ask.minutes - cut
        if minutes >= LEAST_SESSION_MIN:
            facts = Facts(number=minutes, asked=ask.minutes)
            yield "shorter", facts, replace(ask, minutes=minutes)
    for wider in WIDER_MIN:
        windows = tuple(
            Window(w.day, max(0, w.start_min - wider), min(LAST_MINUTE, w.end_min + wider))
            for w in ask.possible
        )
        yield "other time", Facts(number=wider), replace(ask, possible=windows)
    late, early = ask.latest_finish_min, ask.earliest_start_min
    for wider in WIDER_MIN:
        if late is not None and late + wider <= LAST_MINUTE:
            facts = Facts(number=late + wider, asked=late)
            yield "later finish", facts, replace(ask, latest_finish_min=late + wider)
        if early is not None and early >= wider:
            facts = Facts(number=early - wider, asked=early)
            yield "earlier start", facts, replace(ask, earliest_start_min=early - wider)
    if ask.no_day_before or ask.no_day_after:
        free = frozenset[int]()
        yield "free days", NOTHING_SAID, replace(ask, no_day_before=free, no_day_after=free)
    if ask.possible:
        start = min(w.start_min for w in ask.possible)
        end = max(w.end_min for w in ask.possible)
        known = {w.day for w in ask.possible}
        days = tuple(Window(d.index, start, end) for d in problem.days if d.index not in known)
        if days:
            yield "other day", NOTHING_SAID, replace(ask, possible=ask.possible + days)


def _smaller(held: Held, number: int) -> Change | None:
    """Find the largest free place among those too small."""
    terrain = held.terrain
    ask = terrain.problem.asks[number]
    if not (ask.least_m2 or ask.least_share):
        return None
    rows = _free(held, number, replace(ask, least_m2=0.0, least_share=0.0))
    if not len(rows):
        return None
    row = int(np.argmax(terrain.area_m2[rows.ground]))
    ground = rows.ground[row]
    size = float(terrain.area_m2[ground])
    facts = Facts(
        area_m2=size,
        asked_m2=ask.least_m2 or None,
        part=float(terrain.share_of_pitch[ground]),
        asked_part=ask.least_share,
    )
    changed = replace(ask, least_m2=size, least_share=0.0)
    return _change(held, number, "smaller", facts, changed, rows, row)


def _less_rest(held: Held, number: int) -> Change | None:
    """Find the most days of rest, fewer than asked for, that leave a place free."""
    terrain = held.terrain
    ask = terrain.problem.asks[number]
    if not ask.rest_days:
        return None
    rows = held.view(number).rows
    others = [n for n in range(len(held.rows)) if int(held.rows.ask[n]) != number]
    free = ~blocked_by(held, rows)[:, others].any(axis=1)
    rows = rows.take(np.flatnonzero(free))
    own = held.rows.day[held.rows.ask == number]
    apart = terrain.apart[rows.day[:, None], own[None, :]].min(axis=1, initial=LAST_MINUTE)
    for rest in range(ask.rest_days - 1, -1, -1):
        near = rows.take(np.flatnonzero(apart > rest))
        near = near.take(~too_many(terrain, near, held.rows)) if len(near) else near
        if len(near):
            facts, changed = Facts(number=rest, asked=ask.rest_days), replace(ask, rest_days=rest)
            row = int(np.argmax(near.score))
            return _change(held, number, "rest", facts, changed, near, row)
    return None


def _change(
    held: Held,
    number: int,
    code: str,
    facts: Facts,
    changed: Ask,
    rows: Candidates,
    row: np.intp | int,
) -> Change:
    problem = held.terrain.problem
    placement = placement_of(held.terrain, rows, int(row), held.next_session(number))
    said = replace(facts, spot=spot_of(problem, placement))
    if code == "other surface":
        ground = problem.grounds[int(rows.ground[int(row)])]
        said = replace(said, names=(ground.surface,))
    return Change(code, changed, placement, facts=said)


def _free(held: Held, number: int, ask: Ask) -> Candidates:
    """List the places of a changed ask that nobody is in the way of."""
    return free_of(held, held.places_of(ask, number, keep_all=True))


def _others_move(held: Held, number: int) -> Change | None:
    """Find a place that one other session holds, or two do, which could all go elsewhere."""
    rows = held.view(number).rows
    blocked = blocked_by(held, rows)
    spared = ~too_many(held.terrain, rows, held.rows)
    spared &= ~blocked[:, held.rows.ask == number].any(axis=1)
    in_way = blocked.sum(axis=1)
    for count, most in ((1, len(rows)), (2, MOST_TRIES)):
        places = np.flatnonzero((in_way == count) & spared)
        best = places[np.argsort(-rows.score[places], kind="stable")]
        for row in best[:most].tolist():
            holders = np.flatnonzero(blocked[row]).tolist()
            newcomer = rows.take(np.array([row], dtype=np.int64))
            for order in (holders, holders[::-1])[:count]:
                steps = make_way(held, newcomer, order)
                if steps is not None:
                    place = placement_of(held.terrain, rows, row, held.next_session(number))
                    return _if_they_move(held, number, place, steps)
    return None


def _if_they_move(held: Held, number: int, place: Placement, steps: Sequence[Step]) -> Change:
    problem = held.terrain.problem
    moves = tuple(Holder(step.squad_name, spot_of(problem, step.new)) for step in steps)
    facts = Facts(spot=spot_of(problem, place), moves=moves)
    fresh = tuple(step.new for step in steps)
    return Change("others move", problem.asks[number], place, fresh, facts)
