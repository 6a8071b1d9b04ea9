"""Which single change to an ask would give it a place, everyone else staying where they are."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _, sentence
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.reasons.held import blocked_by, count_in_way
from clubplanner.sharing.reasons.make_way import make_way
from clubplanner.sharing.rules.book import too_many
from clubplanner.sharing.values.outcome import Change
from clubplanner.sharing.values.wants import Window
from clubplanner.sharing.values.words import listed, place_and_time, square_metres

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
        At most one change of each sort, each checked against all sessions placed.
    """
    ask = held.terrain.problem.asks[number]
    found: list[Change] = []
    for code, what, changed in _trials(held.terrain.problem, ask):
        if any(change.code == code for change in found):
            continue
        change = _try(held, number, code, what, changed)
        if change is not None:
            found.append(change)
    smaller = _smaller(held, number)
    if smaller is not None:
        found.append(smaller)
    moved = _others_move(held, number) if may_move else None
    if moved is not None:
        found.insert(0, moved)
    return tuple(found)


def _trials(problem: Problem, ask: Ask) -> Iterator[tuple[str, str, Ask]]:
    step = problem.step_minutes
    for cut in range(step, MOST_SHORTER_MIN + 1, step):
        if ask.minutes - cut >= LEAST_SESSION_MIN:
            yield (
                "shorter",
                _("%(cut)s minutes shorter", cut=cut),
                replace(ask, minutes=ask.minutes - cut),
            )
    for wider in WIDER_MIN:
        windows = tuple(
            Window(w.day, max(0, w.start_min - wider), min(LAST_MINUTE, w.end_min + wider))
            for w in ask.possible
        )
        yield (
            "other time",
            _("up to %(wider)s minutes earlier or later", wider=wider),
            replace(ask, possible=windows),
        )
    if ask.possible:
        start = min(w.start_min for w in ask.possible)
        end = max(w.end_min for w in ask.possible)
        known = {w.day for w in ask.possible}
        days = tuple(Window(d.index, start, end) for d in problem.days if d.index not in known)
        yield "other day", _("on another day"), replace(ask, possible=ask.possible + days)
    if ask.surfaces:
        yield "other surface", _("on another surface"), replace(ask, surfaces=frozenset())
    if ask.needs_goal:
        yield "without goal", _("without a goal"), replace(ask, needs_goal=False)
    if ask.needs_light:
        yield "without light", _("without floodlights"), replace(ask, needs_light=False)
    if ask.venues:
        yield "other venue", _("at another venue"), replace(ask, venues=frozenset())
    if ask.least_format is not None:
        yield (
            "other format",
            _("without room for %(least_format)s", least_format=ask.least_format),
            replace(ask, least_format=None),
        )


def _try(held: Held, number: int, code: str, what: str, changed: Ask) -> Change | None:
    rows = _free(held, number, changed)
    if not len(rows):
        return None
    return _change(held, number, code, what, changed, rows, int(np.argmax(rows.score)))


def _smaller(held: Held, number: int) -> Change | None:
    """Find the largest free place among those too small."""
    ask = held.terrain.problem.asks[number]
    if not (ask.least_m2 or ask.least_share):
        return None
    rows = _free(held, number, replace(ask, least_m2=0.0, least_share=0.0))
    if not len(rows):
        return None
    row = int(np.argmax(held.terrain.area_m2[rows.ground]))
    size = float(held.terrain.area_m2[rows.ground[row]])
    changed = replace(ask, least_m2=size, least_share=0.0)
    return _change(
        held, number, "smaller", _("with %(size)s", size=square_metres(size)), changed, rows, row
    )


def _change(
    held: Held, number: int, code: str, what: str, changed: Ask, rows: Candidates, row: int
) -> Change:
    placement = placement_of(held.terrain, rows, row, _next_session(held, number))
    where = place_and_time(held.terrain.problem, placement)
    text = _(
        "%(what)s there is room: %(where)s, with everyone else where they are.",
        what=sentence(what),
        where=where,
    )
    return Change(code, text, changed, placement)


def _next_session(held: Held, number: int) -> int:
    used = {item.session for item, ask in zip(held.placements, held.rows.ask) if ask == number}  # noqa: B905
    return next(n for n in range(len(used) + 1) if n not in used)


def _free(held: Held, number: int, ask: Ask) -> Candidates:
    """List the places of a changed ask that nobody is in the way of."""
    rows = held.places_of(ask, number, keep_all=True)
    rows = rows.take(count_in_way(held, rows) == 0)
    return rows.take(~too_many(held.terrain, rows, held.rows)) if len(rows) else rows


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
                    place = placement_of(held.terrain, rows, row, _next_session(held, number))
                    return _if_they_move(held, number, place, steps)
    return None


def _if_they_move(held: Held, number: int, place: Placement, steps: Sequence[Step]) -> Change:
    problem = held.terrain.problem
    moves = [
        _(
            "%(squad_name)s moves to %(place_and_time)s",
            squad_name=step.squad_name,
            place_and_time=place_and_time(problem, step.new),
        )
        for step in steps
    ]
    text = _(
        "There is room on %(place)s if %(moves)s.",
        place=place_and_time(problem, place),
        moves=listed(moves),
    )
    fresh = tuple(step.new for step in steps)
    return Change("others move", text, problem.asks[number], place, fresh)
