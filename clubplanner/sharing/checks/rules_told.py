"""Which rules keep an ask out, as reasons tell them: derived again, place by place.

Like `checking`, it shares nothing with the search but values. Codes of rules and their order are
written down here once more; a test holds them to the book of rules.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.checking import ground_rules, row_rules, time_rules
from clubplanner.sharing.checks.places_alone import starts_of
from clubplanner.sharing.values.facts import Facts, RuleSaid, day_names, hours_of
from clubplanner.sharing.values.outcome import Reason
from clubplanner.sharing.values.problem import Placement

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator, Sequence

    from clubplanner.sharing.checks.by_place import Sessions
    from clubplanner.sharing.checks.places_alone import PlacesAlone
    from clubplanner.sharing.values.problem import Ask, Ground, Problem

GRASS = "grass"
MOST_PLACES = 4
"""So much ground a near miss names before it counts the rest."""
PLACE_RULES = (
    "earliest start",
    "latest finish",
    "rest",
    "size",
    "floodlights",
    "surface",
    "format",
    "goal",
    "curfew",
    "light",
    "venue",
    "opening hours",
    "load",
    "held",
)
"""Codes of the rules that a place can break by itself, in the order in which they are told."""
PIN_RULES = ("curfew", "light", "opening hours", "held")
"""Those that bind pinned sessions, too."""
_TOLD_AS = {
    "too small": "size",
    "too small a share": "size",
    "no floodlights": "floodlights",
    "day before": "rest",
    "day after": "rest",
    "closed": "opening hours",
    "standing booking": "held",
}
"""Rules that the check calls by another name."""


def said(
    problem: Problem, ask: Ask, code: str, grounds: Iterable[Ground] = (), days: Iterable[int] = ()
) -> RuleSaid:
    """Return a rule with the values that it is told with.

    Args:
        problem: The problem.
        ask: Whose.
        code: Which rule.
        grounds: Ground that it is told about; empty for all.
        days: Days that it is told about.
    """
    weekly = any(len(day.dates) > 1 for day in problem.days)
    bare = RuleSaid(code, day_names(problem, list(days)), is_weekly=weekly)
    if code == "size":
        return replace(bare, area_m2=ask.least_m2 or None, part=ask.least_share)
    if code in ("earliest start", "latest finish"):
        is_late = code == "latest finish"
        return replace(bare, minute=ask.latest_finish_min if is_late else ask.earliest_start_min)
    if code in ("rest", "evenings in a row"):
        return replace(
            bare, count=ask.rest_days if code == "rest" else _most_in_a_row(problem, ask)
        )
    names = {
        "format": (ask.least_format or "",),
        "surface": tuple(sorted(ask.surfaces)),
        "load": (GRASS,) if code == "load" and _is_grass(problem, grounds) else (),
    }
    return replace(bare, names=names.get(code, ()))


def _most_in_a_row(problem: Problem, ask: Ask) -> int:
    own = [one.most_in_a_row for one in problem.asks if one.squad == ask.squad]
    return min((most for most in own if most is not None), default=0)


def _is_grass(problem: Problem, grounds: Iterable[Ground]) -> bool:
    limited = {load.pitch for load in problem.loads}
    named = {ground.pitch for ground in grounds} & limited or limited
    return {ground.surface for ground in problem.grounds if ground.pitch in named} == {GRASS}


def named(rule: RuleSaid, grounds: Sequence[Ground], most: int) -> RuleSaid:
    """Add the names of ground to a rule, and how much more there is."""
    names = tuple(ground.name for ground in grounds[:most])
    return replace(rule, spot_names=names, more=max(0, len(grounds) - most))


def barred_by(places: PlacesAlone, ask: Ask, sessions: Sessions) -> dict[str, frozenset[int]]:
    """List by rule the days on which the squad's sessions leave no room for one of an ask."""
    squad = sessions.of_squad[ask.squad]
    problem = places.by_place.of_squad(ask.squad)
    own = {item.day for item in squad if item.ask == ask.key}
    row: set[int] = set()
    for day in problem.days:
        if squad and day.dates:
            tried = Placement(ask.key, -1, squad[0].ground, day.index, 0, 0)
            found = row_rules(problem, [*squad, tried])
            if any(tried in fault.placements for fault in found):
                row.add(day.index)
    near = {
        day.index
        for day in problem.days
        if ask.rest_days and day.index not in own
        for other in own
        if _apart(problem, day.index, other) <= ask.rest_days
    }
    return {"evenings in a row": frozenset(row), "rest": frozenset(near)}


def _apart(problem: Problem, one: int, other: int) -> float:
    """Count the days from a date of one day to the nearest of another."""
    dates = [(a, b) for a in problem.days[one].dates for b in problem.days[other].dates]
    return min((abs((a - b).days) for a, b in dates), default=float("inf"))


def barred_said(problem: Problem, ask: Ask, barred: dict[str, frozenset[int]]) -> list[RuleSaid]:
    """Tell of the possible days that are barred, rule by rule."""
    possible = {window.day for window in ask.possible}
    return [
        said(problem, ask, code, days=sorted(possible & days))
        for code, days in barred.items()
        if possible & days
    ]


def pin_rules(
    places: PlacesAlone, problem: Problem, ask: Ask, ground: Ground, pin: Placement
) -> tuple[RuleSaid, ...]:
    """Tell of the rules that a pinned session breaks by itself."""
    codes = _as_told(places.codes_there(ground, pin), ground)
    return tuple(said(problem, ask, code) for code in PIN_RULES if code in codes)


def _as_told(codes: Iterable[str], ground: Ground) -> set[str]:
    dark = "curfew" if ground.is_lit else "light"
    return {dark if code == "dark" else _TOLD_AS.get(code, code) for code in codes}


def no_place(
    problem: Problem,
    places: PlacesAlone,
    ask: Ask,
    own_days: Collection[int],
    barred: dict[str, frozenset[int]],
) -> Iterator[Reason]:
    """Tell why an ask has no place at all, or none on the days that are left."""
    near = frozenset().union(*barred.values()) - set(own_days)
    days = sorted({w.day for w in ask.possible} - near - set(own_days))
    rules = barred_said(problem, ask, barred)
    others = tuple(one for one in rules if one.rule != "rest")
    if not days:
        yield Reason("rules", is_proved=not near, facts=_no_days(problem, ask, own_days, others))
        return
    hours = hours_of(problem, ask, days)
    starts = [(day, start) for day in days for start in _fitting(problem, ask, day)]
    if not starts:
        facts = Facts(kind="too long", number=ask.minutes, hours=hours)
        yield Reason("rules", is_proved=True, facts=facts)
        return
    if not problem.grounds:
        yield Reason("rules", is_proved=True, facts=Facts(kind="no ground"))
        return
    broken = [_broken(problem, places, ask, ground, starts) for ground in problem.grounds]
    wanted = _smallest([codes for row in broken for codes in row])
    facts = Facts(
        kind="no place",
        rules=(*(said(problem, ask, code) for code in wanted), *others),
        hours=hours,
        days=day_names(problem, own_days),
        number=ask.rest_days if own_days and barred["rest"] else 0,
    )
    yield Reason("rules", is_proved=not near, facts=facts)
    for code in PLACE_RULES:
        only = [
            ground for ground, row in zip(problem.grounds, broken, strict=True) if {code} in row
        ]
        if only:
            rule = named(said(problem, ask, code, only), only, MOST_PLACES)
            yield Reason("rules", facts=Facts(kind="near miss", rules=(rule,)))


def _no_days(
    problem: Problem, ask: Ask, own_days: Collection[int], rules: tuple[RuleSaid, ...]
) -> Facts:
    if not own_days:
        return Facts(kind="barred", rules=rules) if rules else Facts(kind="no times")
    if len(problem.days) == 1:
        return Facts(kind="one evening", days=day_names(problem, [0]))
    days = day_names(problem, own_days)
    return Facts(kind="no day left", days=days, number=ask.rest_days, rules=rules)


def _fitting(problem: Problem, ask: Ask, day: int) -> list[int]:
    """List the starts from which a session lies wholly within the possible times."""
    return [
        start
        for start in starts_of(problem, ask, day)
        if "not possible then"
        not in time_rules(problem, ask, Placement(ask.key, 0, "", day, start, start + ask.minutes))
    ]


def _broken(
    problem: Problem,
    places: PlacesAlone,
    ask: Ask,
    ground: Ground,
    starts: Sequence[tuple[int, int]],
) -> list[set[str]]:
    """Name the rules that places on a ground, by day and start, break by themselves."""
    found = []
    for day, start in starts:
        place = Placement(ask.key, -1, ground.key, day, start, start + ask.minutes)
        codes = [*ground_rules(ask, ground), *time_rules(problem, ask, place)]
        codes += places.codes_there(ground, place) if problem.days[day].dates else ["closed"]
        if not places.is_light(ask, ground, place):
            codes.append("load")
        found.append(_as_told(codes, ground))
    return found


def _smallest(broken: Sequence[set[str]]) -> list[str]:
    """Drop rules one at a time, from the last, while every place still breaks one."""
    kept = list(PLACE_RULES)
    different = {frozenset(codes) for codes in broken}
    for code in reversed(PLACE_RULES):
        others = [other for other in kept if other != code]
        if all(codes.intersection(others) for codes in different):
            kept = others
    return kept
