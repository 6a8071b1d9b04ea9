"""Single changes of an ask to try: really made, one at a time.

Which of them are worth a try is read from the rules that places break: less ground helps where
nothing but the size is wrong.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _, term
from clubplanner.sharing.reasons.alone import look_alone
from clubplanner.sharing.reasons.beforehand.trying import Trial
from clubplanner.sharing.reasons.changes import (
    LAST_MINUTE,
    LEAST_SESSION_MIN,
    MOST_SHORTER_MIN,
    WIDER_MIN,
)
from clubplanner.sharing.rules.book import bit_of
from clubplanner.sharing.rules.ground import enough_ground, floodlights, goal, surface, venue
from clubplanner.sharing.rules.people import rest
from clubplanner.sharing.rules.times import earliest_start, latest_finish
from clubplanner.sharing.values.wants import Window
from clubplanner.sharing.values.words import clock, listed, part_of_pitch, square_metres

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.sharing.reasons.beforehand.trying import Case
    from clubplanner.sharing.values.problem import Ask


def try_smaller(case: Case) -> Iterator[Trial]:
    """Try the largest ground among those that are only too small."""
    found = np.flatnonzero(case.but_for(bit_of(enough_ground.SIZE)))
    if not len(found):
        return
    ask, terrain = case.ask, case.terrain
    by = terrain.area_m2 if ask.least_m2 else terrain.share_of_pitch
    number = int(found[np.argmax(by[found])])
    area, share = float(terrain.area_m2[number]), float(terrain.share_of_pitch[number])
    changed = replace(
        ask,
        least_m2=min(ask.least_m2, area),
        least_share=min(ask.least_share, share),
    )
    yield Trial(
        "smaller",
        _("Ask for %(part)s instead of %(asked)s", part=_size(changed), asked=_size(ask)),
        ask=changed,
    )


def _size(ask: Ask) -> str:
    sizes = [square_metres(ask.least_m2)] if ask.least_m2 else []
    if ask.least_share:
        sizes.append(part_of_pitch(ask.least_share))
    return listed(sizes)


def try_finish_and_start(case: Case) -> Iterator[Trial]:
    """Try the least later finish, and the least earlier start, with a place."""
    late, early = (case.minutes_but_for(one.RULE) for one in (latest_finish, earliest_start))
    if len(late):
        until = int(late[:, 1].min())
        yield Trial(
            "later finish",
            _("Let it end at %(until)s, after the latest finish", until=clock(until)),
            ask=replace(case.ask, latest_finish_min=until),
        )
    if len(early):
        start = int(early[:, 0].max())
        yield Trial(
            "earlier start",
            _("Let it start at %(start)s, before the earliest start", start=clock(start)),
            ask=replace(case.ask, earliest_start_min=start),
        )


def try_days_kept_free(case: Case) -> Iterator[Trial]:
    """Try to give up days without training, one sort of them at a time."""
    ask, problem = case.ask, case.terrain.problem
    if case.but_for(bit_of(rest.RULE)).any():
        yield Trial(
            "free days",
            _("Do without the day kept free before or after"),
            ask=replace(ask, no_day_before=frozenset(), no_day_after=frozenset()),
        )
    if ask.rest_days:
        yield Trial(
            "rest",
            _("Do without days of rest between the sessions"),
            ask=replace(ask, rest_days=0),
        )
    if ask.most_in_a_row is not None:
        asks = tuple(
            replace(one, most_in_a_row=None) if one.squad == ask.squad else one
            for one in problem.asks
        )
        yield Trial(
            "in a row",
            _("Allow more evenings in a row"),
            replace(problem, asks=asks),
            replace(ask, most_in_a_row=None),
        )


def try_other_times(case: Case) -> Iterator[Trial]:
    """Try the smallest step out of the possible times, earlier or later."""
    ask = case.ask
    for wider in WIDER_MIN:
        steps = _steps(case, wider)
        if not steps:
            continue
        early, late = min(steps, key=lambda step: (sum(step), step[1]))
        windows = tuple(
            Window(w.day, max(0, w.start_min - early), min(LAST_MINUTE, w.end_min + late))
            for w in ask.possible
        )
        yield Trial(
            "other time",
            _say_time(ask, early, late),
            ask=replace(ask, possible=windows),
        )
        return


def _steps(case: Case, wider: int) -> set[tuple[int, int]]:
    """List by how much earlier or later sessions with a place would be than is possible now."""
    around = tuple(
        Window(w.day, max(0, w.start_min - wider), min(LAST_MINUTE, w.end_min + wider))
        for w in case.ask.possible
    )
    seen = look_alone(case.terrain, replace(case.ask, possible=around), case.known)
    found: set[tuple[int, int]] = set()
    for day in seen.days:
        if day.stays.day in case.alone.free_days:
            continue
        for start in day.stays.starts[(day.broken == 0).any(axis=0)].tolist():
            for w in case.ask.possible:
                early, late = w.start_min - start, start + case.ask.minutes - w.end_min
                if w.day == day.stays.day and max(early, late) > 0 >= min(early, late):
                    found.add((max(0, early), max(0, late)))
    return found


def _say_time(ask: Ask, early: int, late: int) -> str:
    """Say when it would have to start or end: the hour, where it is the same on all days."""
    starts, ends = {w.start_min for w in ask.possible}, {w.end_min for w in ask.possible}
    if early and len(starts) == 1:
        return _("Let it start at %(start)s already", start=clock(max(0, starts.pop() - early)))
    if early:
        return _("Let it start %(minutes)s minutes earlier", minutes=early)
    if len(ends) == 1:
        return _("Let it go on until %(end)s", end=clock(min(LAST_MINUTE, ends.pop() + late)))
    return _("Let it go on %(minutes)s minutes longer", minutes=late)


def try_other_days(case: Case) -> Iterator[Trial]:
    """Try each day on which nothing is possible now, at the hours that are possible on others."""
    if not case.ask.possible:
        return
    start = min(w.start_min for w in case.ask.possible)
    end = max(w.end_min for w in case.ask.possible)
    known = {w.day for w in case.ask.possible}
    for day in case.terrain.problem.days:
        if day.index not in known:
            yield Trial(
                "other day",
                _("Allow %(day)s, too", day=day.name),
                ask=replace(case.ask, possible=(*case.ask.possible, Window(day.index, start, end))),
            )


def try_other_ground(case: Case) -> Iterator[Trial]:
    """Try one more surface, and one more venue, than those named."""
    ask, grounds = case.ask, case.terrain.problem.grounds
    found = np.flatnonzero(case.but_for(bit_of(surface.RULE))).tolist()
    for kind in dict.fromkeys(grounds[number].surface for number in found):
        text = _("Allow %(surface)s, too", surface=term(kind))
        yield Trial("other surface", text, ask=replace(ask, surfaces=ask.surfaces | {kind}))
    found = np.flatnonzero(case.but_for(bit_of(venue.RULE))).tolist()
    for key in dict.fromkeys(grounds[number].venue for number in found):
        text = _("Allow %(venue)s, too", venue=case.venue_name(key))
        yield Trial("other venue", text, ask=replace(ask, venues=ask.venues | {key}))


def try_without(case: Case) -> Iterator[Trial]:
    """Try to do without something that the ask needs."""
    ask = case.ask
    if ask.least_format and case.but_for(bit_of(enough_ground.FORMAT)).any():
        yield Trial(
            "other format",
            _("Do without room for %(least_format)s", least_format=ask.least_format),
            ask=replace(ask, least_format=None),
        )
    if ask.needs_goal and case.but_for(bit_of(goal.RULE)).any():
        yield Trial(
            "without goal",
            _("Do without a goal"),
            ask=replace(ask, needs_goal=False),
        )
    if ask.needs_light and case.but_for(bit_of(floodlights.RULE)).any():
        yield Trial(
            "without light",
            _("Do without floodlights"),
            ask=replace(ask, needs_light=False),
        )


def try_shorter(case: Case) -> Iterator[Trial]:
    """Try shorter sessions, a step at a time."""
    ask, step = case.ask, case.terrain.problem.step_minutes
    for cut in range(step, MOST_SHORTER_MIN + 1, step):
        if ask.minutes - cut >= LEAST_SESSION_MIN:
            yield Trial(
                "shorter",
                _(
                    "Ask for %(minutes)s minutes instead of %(asked)s",
                    minutes=ask.minutes - cut,
                    asked=ask.minutes,
                ),
                ask=replace(ask, minutes=ask.minutes - cut),
            )
