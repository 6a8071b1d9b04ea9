"""Which squads of a plan can take turns, and what each place costs each of them.

Sessions of one day and one length can be swapped where the other's place passes every rule of the
squad's own ask. Whoever's people are needed twice that day stays where they are, so that no swap
can put anybody in two places at once. On a pitch whose use a week is limited only squads that count
as much have each other's places, so that no swap can pass the limit.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.listing import ask_candidates
from clubplanner.sharing.turns.turns import TurnGroup
from clubplanner.sharing.values.words import place_and_time

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from clubplanner.sharing.values.problem import Placement, Problem

_Place = tuple[int, str, int]
"""Day, ground and start."""


def turn_groups(
    problem: Problem, placements: Sequence[Placement], *, same_start: bool = False
) -> tuple[tuple[TurnGroup, tuple[Placement, ...]], ...]:
    """Find the groups of a plan that can take turns.

    Args:
        problem: The problem.
        placements: A sound plan.
        same_start: Whether only sessions that start at one time may be swapped.

    Returns:
        Groups of two or more squads with something to share, each with its sessions in the order of
        its squads; a squad's slot before the first turn is its own. A session is in one group.
    """
    scores = _scores(problem, placements)
    busy = _busy(problem, placements)
    pinned = {(pin.ask, pin.session) for ask in problem.asks for pin in ask.pinned}
    kinds: dict[tuple[int, int, int], list[Placement]] = {}
    for item in placements:
        if (item.ask, item.day) not in busy and (item.ask, item.session) not in pinned:
            start = item.start_min if same_start else -1
            kinds.setdefault((item.day, item.end_min - item.start_min, start), []).append(item)
    found = []
    for items in kinds.values():
        for members in _connected(items, scores):
            group = _group(problem, members, scores)
            if any(burden for row in group.burdens for burden in row):
                found.append((group, tuple(members)))
    return tuple(found)


def _scores(problem: Problem, placements: Sequence[Placement]) -> dict[str, dict[_Place, int]]:
    """Score every place that each placed ask could have of those that others have or it has."""
    terrain = survey(problem)
    placed = {item.ask for item in placements}
    limited = {load.pitch for load in problem.loads}
    is_limited = {ground.key: ground.pitch in limited for ground in problem.grounds}
    wear = {ask.key: ask.wear_percent for ask in problem.asks}
    used = {_place(item): wear[item.ask] for item in placements}
    scores: dict[str, dict[_Place, int]] = {}
    for number, ask in enumerate(problem.asks):
        if ask.key in placed:
            rows = ask_candidates(terrain, ask, number, keep_all=True)
            columns = (rows.day, rows.ground, rows.start, rows.score)
            scores[ask.key] = {
                place: score
                for day, ground, start, score in zip(
                    *(column.tolist() for column in columns), strict=True
                )
                for place in ((day, problem.grounds[ground].key, start),)
                if not is_limited[place[1]] or used.get(place) == ask.wear_percent
            }
    return scores


def _busy(problem: Problem, placements: Sequence[Placement]) -> set[tuple[str, int]]:
    """Find the sessions whose squad or coach has another one on that day."""
    asks = {ask.key: ask for ask in problem.asks}
    by_person: dict[tuple[str, str | None, int], set[tuple[str, int]]] = {}
    for item in placements:
        ask = asks[item.ask]
        for person in (("squad", ask.squad), ("coach", ask.coach)):
            if person[1] is not None:
                by_person.setdefault((*person, item.day), set()).add((item.ask, item.day))
    return {session for group in by_person.values() if len(group) > 1 for session in group}


def _connected(
    items: Sequence[Placement], scores: Mapping[str, Mapping[_Place, int]]
) -> list[list[Placement]]:
    """Split sessions so that those that can have each other's places come together."""
    rest = list(items)
    groups: list[list[Placement]] = []
    while rest:
        group = [rest.pop(0)]
        for member in group:
            near = [
                other
                for other in rest
                if _place(other) in scores[member.ask] and _place(member) in scores[other.ask]
            ]
            rest = [item for item in rest if item not in near]
            group.extend(near)
        if len(group) > 1:
            groups.append(sorted(group, key=items.index))
    return groups


def _group(
    problem: Problem, members: Sequence[Placement], scores: Mapping[str, Mapping[_Place, int]]
) -> TurnGroup:
    names = {ask.key: ask.squad_name for ask in problem.asks}
    burdens = []
    for n, member in enumerate(members):
        own: list[int | None] = [scores[member.ask].get(_place(other)) for other in members]
        if own[n] is None:  # a place by hand that its own rules would not allow
            own[n] = 0
        best = max(score for score in own if score is not None)
        burdens.append(tuple(None if score is None else best - score for score in own))
    return TurnGroup(
        squads=tuple(names[member.ask] for member in members),
        slots=tuple(place_and_time(problem, member) for member in members),
        burdens=tuple(burdens),
        before=tuple(range(len(members))),
    )


def _place(item: Placement) -> _Place:
    return item.day, item.ground, item.start_min
