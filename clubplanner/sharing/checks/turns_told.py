"""Whether what turns claim is true: who has which place when, by which rules, and how even it is.

Like `checking`, it shares nothing with the search but values. Turns only give places of a plan to
others of its sessions on the same day; so every date is looked at with its places as they then
are, and every week for limits on use.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.believed import Believed
from clubplanner.sharing.checks.by_place import ByPlace, Sessions
from clubplanner.sharing.checks.checking import (
    UNKNOWN,
    Fault,
    check,
    ground_rules,
    load_rules,
    time_rules,
)
from clubplanner.sharing.checks.places_alone import PlacesAlone
from clubplanner.sharing.checks.turns_even import evenness_told
from clubplanner.sharing.checks.worth import wish
from clubplanner.sharing.values.problem import digest

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from clubplanner.sharing.values.problem import Placement, Problem
    from clubplanner.sharing.values.turns_taken import GroupTaken, TurnsTaken

TURNS_NOT_CHECKED = (
    Believed(
        ("$.turns[].fairest_worst", "$.turns[].is_proved"),
        "what the search found and proved about the fairest turns, where the sum of prices comes to"
        " less; and that with the worst burden the squares of all burdens are least",
    ),
    Believed(
        ("$.turns[].carried",),
        "what squads carry from the weeks that are over: it needs the bookings of those weeks",
    ),
    Believed(("$.turns[].still",), "who wished to keep a place: a wish of the run"),
    Believed(
        ("$.turns[].weights", "$.turns[].place_prices"),
        "that weights and prices are the best there are: what they prove is added up again, and"
        " others that come to the same are as good",
    ),
    Believed(
        ("$.turns",),
        "that no others could take turns, and that no order of the turns needs fewer changes",
    ),
    Believed(
        ("$.placements",),
        "that whoever takes no turns stands where it was published, and nobody is missing: that"
        " there all keep every rule is checked",
    ),
    Believed(("$.cut_short",), "what ended the search early: it tells of the run"),
)
"""Everything that is believed of every result of turns."""


def verify_turns(problem: Problem, taken: TurnsTaken) -> tuple[Fault, ...]:
    """Check turns against the problem of the plan that they begin with.

    Args:
        problem: A problem without structural faults.
        taken: What is said to be its turns.

    Returns:
        Everything that is not true; empty for true turns.
    """
    return tuple(untruths_of_turns(problem, taken))


def untruths_of_turns(problem: Problem, taken: TurnsTaken) -> Iterator[Fault]:
    """Check turns as `verify_turns` does, what is quickly seen first."""
    if taken.problem_digest != digest(problem):
        message = "The turns belong to another problem, or the problem was changed since."
        yield Fault("another problem", message, ())
        return
    plan = taken.placements
    stands = check(problem, plan)
    if any(fault.code in UNKNOWN for fault in stands):
        yield from stands
        return
    # A place that stands stays, however many dates it loses; which ones is checked.
    yield from (fault for fault in stands if fault.code != "standing booking")
    grounds = {ground.key: n for n, ground in enumerate(problem.grounds)}
    at = [(item.day, item.start_min, grounds[item.ground]) for item in plan]
    if at != sorted(at):
        yield Fault("order", "The plan is not in order of day, time and ground.", ())
    faults = [fault for group in taken.turns for fault in _shape_told(problem, plan, group)]
    yield from faults
    if faults:
        return
    if list(taken.turns) != sorted(taken.turns, key=lambda group: group.members):
        yield Fault("order", "The groups are not in order of their members.", ())
    times = Counter(number for group in taken.turns for number in group.members)
    for number, count in times.items():
        if count > 1:
            yield Fault("two groups", f"{plan[number]} is in {count} groups.", (plan[number],))
    places = PlacesAlone(problem)
    for group in taken.turns:
        yield from _burdens_told(problem, places, plan, group)
        yield from evenness_told(group)
    yield from _dates_told(problem, taken)
    yield from _weeks_told(problem, taken)


def _shape_told(problem: Problem, plan: Sequence[Placement], group: GroupTaken) -> Iterator[Fault]:
    """Check that a group's lists fit each other, its plan and its day."""
    size = len(group.members)
    if any(not 0 <= number < len(plan) for number in group.members):
        yield Fault("group", "A member of a group stands nowhere in the plan.", ())
        return
    own = tuple(plan[number] for number in group.members)
    if size < 2 or list(group.members) != sorted(set(group.members)):
        yield Fault("group", "A group's members are two or more, each once and in order.", own)
    if not 0 <= group.day < len(problem.days) or any(item.day != group.day for item in own):
        yield Fault("group", "The sessions of a group are not of its day.", own)
    elif group.dates != problem.days[group.day].dates:
        yield Fault("dates", "The turns are not on the dates of their day.", own)
    if len({item.end_min - item.start_min for item in own}) > 1:
        yield Fault("length", "The sessions of a group are not of one length.", own)
    lists = (group.still, group.carried, group.burdens, group.counts, group.totals)
    weighed = (group.weights, group.place_prices)
    rows = (*group.burdens, *group.counts)
    if any(len(one) != size for one in (*lists, *weighed, *rows)):
        yield Fault("group", "A list of a group has not an entry for each member.", own)
    if len(group.turns) != len(group.dates):
        yield Fault("turns", "A group has not one turn for each date.", own)
    for n, turn in enumerate(group.turns):
        if sorted(turn) != list(range(size)):
            message = f"In turn {n + 1} not everybody has one place of the group, each once."
            yield Fault("turns", message, own)


def _burdens_told(
    problem: Problem, places: PlacesAlone, plan: Sequence[Placement], group: GroupTaken
) -> Iterator[Fault]:
    """Check which places each member can have, and by how much each is worse than the best."""
    own = [plan[number] for number in group.members]
    for n, (member, told) in enumerate(zip(own, group.burdens, strict=True)):
        scores = [_points(problem, places, member, other) for other in own]
        if scores[n] is None:  # where it stands it stays, whatever its rules are now
            scores[n] = 0
        best = max(score for score in scores if score is not None)
        true = tuple(None if score is None else best - score for score in scores)
        if told != true:
            message = f"Its places are worse by {_listed(true)}, not {_listed(told)}."
            yield Fault("burden", message, (member,))


def _points(
    problem: Problem, places: PlacesAlone, member: Placement, other: Placement
) -> int | None:
    """Score the place of another for a member; None where it cannot have it.

    Whoever counts more or less on a pitch whose use a week is limited cannot have a place there of
    somebody else, so that turns leave its use as it is.
    """
    asks = {ask.key: ask for ask in problem.asks}
    ask, ground = asks[member.ask], places.ground(other)
    there = replace(other, ask=member.ask, session=member.session)
    codes = [*ground_rules(ask, ground), *time_rules(problem, ask, there)]
    is_limited = any(load.pitch == ground.pitch for load in problem.loads)
    if codes or places.codes_there(ground, there):
        return None
    if is_limited and ask.wear_percent != asks[other.ask].wear_percent:
        return None
    here, day = places.by_place.on(ground.pitch), problem.days[other.day]
    return wish(here, ask, ground, day, other.start_min, len(other.lost_dates))


def _listed(row: Sequence[int | None]) -> str:
    return ", ".join("none" if burden is None else str(burden) for burden in row)


def plan_on(taken: TurnsTaken, when: date) -> dict[int, Placement]:
    """Return the sessions that have another's place on a date, by their number in the plan."""
    moved = {}
    for group in taken.turns:
        if when not in group.dates:
            continue
        turn = group.turns[group.dates.index(when)]
        for number, place in zip(group.members, turn, strict=True):
            here, there = taken.placements[number], taken.placements[group.members[place]]
            if there is not here:
                moved[number] = replace(there, ask=here.ask, session=here.session)
    return moved


def _dates_told(problem: Problem, taken: TurnsTaken) -> Iterator[Fault]:
    """Check the rules of each day with everybody where they are then; alike dates once."""
    by_place, sessions = ByPlace(problem), Sessions(problem, taken.placements)
    seen = set()
    for day in problem.days:
        for when in day.dates:
            moved = plan_on(taken, when)
            key = day.index, tuple(moved.items())
            if not moved or key in seen:
                continue
            seen.add(key)
            gone = {taken.placements[number] for number in moved}
            near = [item for item in sessions.near(moved.values()) if item.day == day.index]
            there = [*moved.values(), *(item for item in near if item not in gone)]
            about = replace(by_place.about(there), loads=())
            for fault in check(about, there):
                is_moved = any(item in moved.values() for item in fault.placements)
                is_pin = fault.code == "pin" and fault.placements[0] in gone
                if is_moved or is_pin:
                    yield replace(fault, message=f"On {when}: {fault.message}")


def _weeks_told(problem: Problem, taken: TurnsTaken) -> Iterator[Fault]:
    """Check limits on the use of pitches in each week."""
    if not problem.loads:
        return
    weeks = {when.isocalendar()[:2] for group in taken.turns for when in group.dates}
    for week in sorted(weeks):
        days = tuple(
            replace(day, dates=tuple(d for d in day.dates if d.isocalendar()[:2] == week))
            for day in problem.days
        )
        moved = {
            n: item for day in days for d in day.dates for n, item in plan_on(taken, d).items()
        }
        plan = [moved.get(number, item) for number, item in enumerate(taken.placements)]
        yield from load_rules(replace(problem, days=days), plan)
