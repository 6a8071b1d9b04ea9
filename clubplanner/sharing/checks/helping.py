"""Whether what is said to help a refused ask is of its sort and gives it a place, derived again.

Like `checking`, it shares nothing with the search but values.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.checking import (
    Fault,
    check,
    ground_rules,
    rest_rules,
    time_rules,
)
from clubplanner.sharing.checks.exchanging import next_session
from clubplanner.sharing.checks.said import change_said
from clubplanner.sharing.values.wants import Window

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.checks.by_place import ByPlace, Sessions
    from clubplanner.sharing.values.outcome import Change, Refusal
    from clubplanner.sharing.values.problem import Ask, Placement, Problem

LAST_MINUTE = 24 * 60
MOVE = "others move"
CHANGED = {
    "shorter": "minutes",
    "other time": "possible",
    "other day": "possible",
    "later finish": "latest_finish_min",
    "earlier start": "earliest_start_min",
    "rest": "rest_days",
    "free days": "no_day_before no_day_after",
    "other surface": "surfaces",
    "without goal": "needs_goal",
    "without light": "needs_light",
    "other venue": "venues",
    "other format": "least_format",
    "smaller": "least_m2 least_share",
    MOVE: "",
}
"""By code of a change, the fields of the ask that it changes."""


def changes_told(
    problem: Problem, by_place: ByPlace, ask: Ask, refusal: Refusal, sessions: Sessions
) -> Iterator[Fault]:
    """Check the changes of a refusal, each once and each by itself."""
    plan = sessions.plan
    codes = [change.code for change in refusal.changes]
    if len(set(codes)) < len(codes):
        yield Fault("change", f"Ask {ask.key}: a change of one sort stands twice.", ())
    for change in refusal.changes:
        found = [*_sort_of_change(problem, ask, change, plan), *change_said(problem, ask, change)]
        yield from found or _gives_place(by_place, ask, change, sessions)


def _sort_of_change(
    problem: Problem, ask: Ask, change: Change, plan: Sequence[Placement]
) -> Iterator[Fault]:
    """Check that a change is of its sort: it changes only what its code says, and does so."""
    start = f"Ask {ask.key}, “{change.code}”:"
    if change.code not in CHANGED:
        yield Fault("change", f"{start} there is no such change.", ())
        return
    fields = CHANGED[change.code].split()
    as_before = replace(change.ask, **{name: getattr(ask, name) for name in fields})
    if as_before != ask or change.placement.ask != ask.key:
        yield Fault("change", f"{start} it changes something else as well.", ())
        return
    is_known = change.placement.ground in {ground.key for ground in problem.grounds}
    if not is_known or not 0 <= change.placement.day < len(problem.days):
        yield Fault("change", f"{start} there is no such place.", (change.placement,))
        return
    if fields and change.ask == ask:
        yield Fault("change", f"{start} it changes nothing.", ())
    if fields and not _is_mild(problem, ask, change):
        yield Fault("change", f"{start} it asks for something else, not for less.", ())
    if fields and not _needs(problem, ask, change.placement, plan):
        yield Fault("change", f"{start} the place needs no change.", (change.placement,))
    yield from _moves_told(start, ask, change, plan)


def _moves_told(start: str, ask: Ask, change: Change, plan: Sequence[Placement]) -> Iterator[Fault]:
    if bool(change.moves) != (change.code == MOVE):
        yield Fault("change", f"{start} who moves does not fit.", change.moves)
    if not change.moves:
        return
    sessions = {(item.ask, item.session): item for item in plan if item.ask != ask.key}
    moved = [(item.ask, item.session) for item in change.moves]
    if not sessions.keys() >= set(moved) or len(set(moved)) < len(moved):
        yield Fault("change", f"{start} sessions move that are not in the plan.", change.moves)
    elif any(item in plan for item in change.moves):
        yield Fault("change", f"{start} some that move stay where they are.", change.moves)


def _is_mild(problem: Problem, ask: Ask, change: Change) -> bool:
    """Whether a changed ask asks for less than before, as the code says."""
    new, place = change.ask, change.placement
    ground = next(item for item in problem.grounds if item.key == place.ground)
    if change.code == "other time":
        wider = change.facts.number
        return new.possible == _wider(ask, wider) if wider > 0 else _is_wider(ask, new)
    if change.code == "other day":
        added = _other_days(problem, ask)
        if change.text:
            added = new.possible[len(ask.possible) :]
        is_added = place.day in {window.day for window in added}
        return is_added and new.possible == (*ask.possible, *added)
    mild = {
        "shorter": new.minutes < ask.minutes,
        "later finish": _is_more(new.latest_finish_min, ask.latest_finish_min),
        "earlier start": _is_more(ask.earliest_start_min, new.earliest_start_min),
        "rest": 0 <= new.rest_days < ask.rest_days,
        "free days": not new.no_day_before and not new.no_day_after,
        "other surface": not new.surfaces or new.surfaces > ask.surfaces,
        "other venue": not new.venues or new.venues > ask.venues,
        "without goal": not new.needs_goal,
        "without light": not new.needs_light,
        "other format": new.least_format is None,
        "smaller": new.least_m2 in (ask.least_m2, ground.area_m2)
        and new.least_share in (0.0, ask.least_share, ground.share_of_pitch),
    }
    return mild[change.code]


def _is_more(one: int | None, other: int | None) -> bool:
    return one is not None and other is not None and one > other


def _wider(ask: Ask, minutes: int) -> tuple[Window, ...]:
    return tuple(
        Window(w.day, max(0, w.start_min - minutes), min(LAST_MINUTE, w.end_min + minutes))
        for w in ask.possible
    )


def _is_wider(ask: Ask, new: Ask) -> bool:
    """Whether times are wider by any minutes, as words that were kept say."""
    return len(new.possible) == len(ask.possible) and all(
        one.day == was.day and one.start_min <= was.start_min and one.end_min >= was.end_min
        for one, was in zip(new.possible, ask.possible, strict=True)
    )


def _other_days(problem: Problem, ask: Ask) -> tuple[Window, ...]:
    """List every day that an ask does not name, from its earliest to its latest time."""
    known = {window.day for window in ask.possible}
    if not known:
        return ()
    start = min(window.start_min for window in ask.possible)
    end = max(window.end_min for window in ask.possible)
    return tuple(Window(d.index, start, end) for d in problem.days if d.index not in known)


def _needs(problem: Problem, ask: Ask, place: Placement, plan: Sequence[Placement]) -> bool:
    """Whether a place is none for an ask as it is."""
    ground = next(item for item in problem.grounds if item.key == place.ground)
    is_long = place.end_min - place.start_min == ask.minutes
    own = [item for item in plan if item.ask == ask.key]
    broken = (
        *ground_rules(ask, ground),
        *time_rules(problem, ask, place),
        *(fault for item in own for fault in rest_rules(problem, [item, place])),
    )
    return bool(broken) or not is_long


def _gives_place(
    by_place: ByPlace, ask: Ask, change: Change, sessions: Sessions
) -> Iterator[Fault]:
    """Check that a change gives the session its place with everyone else where they are."""
    own = [item for item in sessions.of_squad[ask.squad] if item.ask == ask.key]
    place = change.placement
    if place.day in {item.day for item in own} or place.session != next_session(ask, own):
        message = f"Ask {ask.key} has that day or session already, or not those before it."
        yield Fault("change", message, (place,))
        return
    fresh = [place, *change.moves]
    moved = {(item.ask, item.session) for item in fresh}
    near = [item for item in sessions.near(fresh) if (item.ask, item.session) not in moved]
    about = by_place.about([*near, *fresh])
    found = check(*_as_changed(about, change, [*near, *fresh], place))
    concerned = [
        fault
        for fault in found
        if fault.code != "pin" and any(item in fresh for item in fault.placements)
    ]
    for fault in concerned[:1]:
        message = f"Ask {ask.key}, “{change.code}”: {fault.message}."
        yield Fault("change", message, fault.placements)


def _as_changed(
    problem: Problem, change: Change, plan: Sequence[Placement], place: Placement
) -> tuple[Problem, list[Placement]]:
    """Give the changed ask its new session, and those it has already to an ask as it was."""
    before = f"{change.ask.key} as it was"
    asks: list[Ask] = []
    for ask in problem.asks:
        if ask.key == change.ask.key:
            pins = tuple(replace(pin, ask=before) for pin in ask.pinned)
            rest = change.ask.rest_days if change.code == "rest" else ask.rest_days
            asks += [change.ask, replace(ask, key=before, pinned=pins, rest_days=rest)]
        else:
            asks.append(ask)
    items = [
        replace(item, ask=before) if item.ask == change.ask.key and item != place else item
        for item in plan
    ]
    return replace(problem, asks=tuple(asks)), items
