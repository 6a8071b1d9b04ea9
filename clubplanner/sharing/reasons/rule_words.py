"""Which rules leave an ask without any place, found as a smallest set and put into words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _, figure, marked, term
from clubplanner.sharing.ground.terrain import (
    Rule,
    ground_rules,
    own_rules,
    place_rules,
    possible_starts,
)
from clubplanner.sharing.values.outcome import Reason
from clubplanner.sharing.values.problem import merge_ranges
from clubplanner.sharing.values.words import clock, listed, repeats, shortened, span, square_metres

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.problem import Ask, Problem

MOST_PLACES = 4
"""How many places a near miss names before it counts the rest."""

_DROP_ORDER = (
    Rule.STANDING,
    Rule.LOAD,
    Rule.CLOSED,
    Rule.VENUE,
    Rule.DARK,
    Rule.GOAL,
    Rule.FORMAT,
    Rule.SURFACE,
    Rule.LIGHT,
    Rule.TOO_SMALL,
    Rule.REST,
    Rule.FINISH,
)
"""Rules are tried for dropping in this order, so that plain lasting ones remain where they do."""
_NEAR_MISSES = {
    Rule.TOO_SMALL: marked("its size"),
    Rule.FORMAT: marked("the format"),
    Rule.SURFACE: marked("its surface"),
    Rule.GOAL: marked("a goal"),
    Rule.LIGHT: "floodlights",
    Rule.VENUE: marked("the venue"),
    Rule.CLOSED: marked("opening hours"),
    Rule.DARK: marked("daylight until the end"),
    Rule.STANDING: marked("bookings that stand"),
    Rule.LOAD: marked("the limit on how much the grass may be used"),
    Rule.FINISH: marked("the latest finish"),
    Rule.REST: marked("the rest around match days"),
}


def rule_reasons(terrain: Terrain, ask: Ask, own_days: Collection[int]) -> tuple[Reason, ...]:
    """Explain an ask that has no place at all, or none on the days it has left.

    Args:
        terrain: The problem's columns.
        ask: The ask.
        own_days: Days on which it already has a session; each session needs its own day.

    Returns:
        Reasons, the first of which is a proof by itself.
    """
    problem = terrain.problem
    near = {
        day.index
        for day in problem.days
        if any(terrain.apart[day.index, own] <= ask.rest_days for own in own_days)
    }.difference(own_days)
    taken = near | set(own_days)
    days = [day for day in sorted({w.day for w in ask.possible}) if day not in taken]
    if not days:
        return (Reason("rules", _too_few_days(problem, ask, own_days), is_proved=not near),)
    bits = _broken(terrain, ask, days)
    when = _when(problem, ask, days)
    if bits.shape[1] == 0:
        text = _(
            "No possible time is as long as the session (%(minutes)s minutes): %(when)s.",
            minutes=ask.minutes,
            when=when,
        )
        return (Reason("rules", text, is_proved=True),)
    if bits.shape[0] == 0:
        return (Reason("rules", _("There is no ground to share out."), is_proved=True),)
    needed = smallest_set(bits)
    wanted = listed(
        [_wanted(problem, ask, rule) for rule in reversed(_DROP_ORDER) if rule & needed]
    )
    text = _("There is no place that %(wanted)s on %(when)s.", wanted=wanted, when=when)
    if own_days:
        text += " " + _("Each session needs its own day.")
    if near and own_days:
        text += " " + _("There must be %(rest)s between.", rest=_days_of_rest(ask))
    return (Reason("rules", text, is_proved=not near), *_near_misses(problem, bits))


def smallest_set(bits: NDArray[np.int64]) -> Rule:
    """Drop rules one at a time while every place still breaks one of the rest.

    Args:
        bits: Broken rules, by ground and start; none 0.

    Returns:
        A set of rules no part of which would keep out every place.
    """
    kept = 0
    for rule in Rule:
        kept |= rule
    for rule in _DROP_ORDER:
        if np.all(bits & (kept & ~rule)):
            kept &= ~rule
    used = Rule(0)
    for rule in _DROP_ORDER:
        if kept & rule:
            used |= rule
    return used


def _broken(terrain: Terrain, ask: Ask, days: Sequence[int]) -> NDArray[np.int64]:
    barred = ground_rules(terrain, ask)
    parts = [np.empty((len(barred), 0), dtype=np.int64)]
    for day in days:
        starts = possible_starts(terrain.problem, ask, day)
        bits, lost = place_rules(terrain, ask.minutes, day, starts)
        bits |= own_rules(terrain, ask, day, starts, lost)
        parts.append(bits | barred[:, None])
    return np.concatenate(parts, axis=1)


def _too_few_days(problem: Problem, ask: Ask, own_days: Collection[int]) -> str:
    if not own_days:
        return _("No possible days and times are given.")
    if len(problem.days) == 1:
        evening = problem.days[0].name
        return _(
            "A squad has one session of an ask an evening; only %(evening)s is shared out.",
            evening=evening,
        )
    names = listed([problem.days[day].name for day in sorted(own_days)])
    if ask.rest_days:
        rest = _days_of_rest(ask)
        return _(
            "With %(rest)s between sessions, no possible day is left beside %(names)s.",
            rest=rest,
            names=names,
        )
    return _("Each session needs its own day, and %(names)s is all that is possible.", names=names)


def _days_of_rest(ask: Ask) -> str:
    return (
        _("a day of rest")
        if ask.rest_days == 1
        else _("%(rest_days)s days of rest", rest_days=ask.rest_days)
    )


def _when(problem: Problem, ask: Ask, days: Sequence[int]) -> str:
    """Write the possible times, days with the same ones together."""
    by_times: dict[str, list[str]] = {}
    for day in days:
        ranges = merge_ranges([(w.start_min, w.end_min) for w in ask.possible if w.day == day])
        times = listed([span(start, end) for start, end in ranges], "or")
        by_times.setdefault(times, []).append(problem.days[day].name)
    return listed([f"{listed(names, 'or')} {times}" for times, names in by_times.items()], "or")


def _wanted(problem: Problem, ask: Ask, rule: Rule) -> str:
    """Write what a rule wants of a place, to follow "a place that"."""
    words = {
        Rule.FORMAT: _("holds %(least_format)s", least_format=ask.least_format),
        Rule.SURFACE: _("is of %(surfaces)s", surfaces=listed(sorted(ask.surfaces), "or")),
        Rule.GOAL: _("has a goal"),
        Rule.LIGHT: _("has floodlights"),
        Rule.VENUE: _("lies at a venue named in the ask"),
        Rule.CLOSED: _("is open"),
        Rule.DARK: _("is not dark before the end"),
        Rule.STANDING: _("is free of standing bookings"),
        Rule.LOAD: _("may be used that much more in a week"),
        Rule.REST: _("is not on the eve or the morrow of a day kept free"),
    }
    if rule is Rule.FINISH and ask.latest_finish_min is not None:
        return _(
            "is over by %(latest_finish_min)s, the latest finish",
            latest_finish_min=clock(ask.latest_finish_min),
        )
    if rule is Rule.STANDING and repeats(problem):
        return _("%(words)s on enough dates", words=words[rule])
    if rule in words:
        return words[rule]
    sizes = [square_metres(ask.least_m2)] if ask.least_m2 else []
    if ask.least_share:
        sizes.append(
            _("%(least_share)s %% of a pitch", least_share=figure(100 * ask.least_share, ".0f"))
        )
    return _("is large enough (%(sizes)s)", sizes=listed(sizes))


def _near_misses(problem: Problem, bits: NDArray[np.int64]) -> list[Reason]:
    """Name the places that a single rule keeps out."""
    found: list[Reason] = []
    for rule, what in _NEAR_MISSES.items():
        places = np.flatnonzero((bits == int(rule)).any(axis=1))
        if len(places):
            names = shortened([problem.grounds[n].name for n in places], MOST_PLACES)
            dates = (
                (" " + _("on too many of its dates"))
                if rule is Rule.STANDING and repeats(problem)
                else ""
            )
            text = _(
                "But for %(what)s%(dates)s, there would be %(names)s.",
                what=term(what),
                dates=dates,
                names=names,
            )
            found.append(Reason("rules", text, is_proved=False))
    return found
