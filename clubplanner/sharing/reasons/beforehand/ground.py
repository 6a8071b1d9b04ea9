"""Single changes to what is recorded of the ground to try: really made, one at a time."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.domain.times.times import MINUTES_A_DAY
from clubplanner.language import _
from clubplanner.sharing.reasons.beforehand.trying import Trial
from clubplanner.sharing.rules.book import bit_of
from clubplanner.sharing.rules.ground import floodlights, goal, held_ground, load
from clubplanner.sharing.rules.times import curfew, light, opening_hours
from clubplanner.sharing.rules.times.asked_times import times_in_words
from clubplanner.sharing.values.problem import LightsOut, Opening
from clubplanner.sharing.values.words import clock, shortened

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from clubplanner.sharing.reasons.beforehand.trying import Case
    from clubplanner.sharing.values.problem import Problem

MOST_LABELS = 2
_BITS = {
    "goal": bit_of(goal.RULE),
    "lit": bit_of(floodlights.RULE) | bit_of(light.RULE),
    "booked": bit_of(held_ground.RULE),
    "limit": bit_of(load.RULE),
}
"""Rules that a change of what is recorded of a pitch takes away, by its code."""


def with_change(problem: Problem, code: str, pitch: str, venue: str) -> Problem:
    """Return a problem in which one thing about a pitch or a venue is different.

    Args:
        problem: The problem.
        code: As in `Remedy`: "goal", "lit", "booked", "limit" of a pitch; "opening" (open at all
            hours) or "lights" (on at all hours) of a venue.
        pitch: Key of the pitch.
        venue: Key of the venue.
    """
    if code == "goal":
        grounds = (replace(g, has_goal=g.has_goal or g.pitch == pitch) for g in problem.grounds)
        return replace(problem, grounds=tuple(grounds))
    if code == "lit":
        grounds = (replace(g, is_lit=g.is_lit or g.pitch == pitch) for g in problem.grounds)
        return replace(problem, grounds=tuple(grounds))
    if code == "booked":
        standing = (one for one in problem.standing if one.pitch != pitch)
        return replace(problem, standing=tuple(standing))
    if code == "limit":
        return replace(problem, loads=tuple(one for one in problem.loads if one.pitch != pitch))
    if code == "opening":
        always = (Opening(venue, day.index, 0, MINUTES_A_DAY) for day in problem.days)
        return replace(problem, openings=(*problem.openings, *always))
    kept = (one for one in problem.lights_out if one.venue != venue)
    return replace(problem, lights_out=tuple(kept))


def change_in_words(
    problem: Problem, code: str, pitch: str, venue: str, names: Mapping[str, str]
) -> str:
    """Say what is to be done, whoever it helps; arguments as for `with_change`."""
    if code == "opening":
        return _("Open %(venue)s for longer", venue=names.get(venue, venue))
    if code == "lights":
        return _("Leave the floodlights at %(venue)s on for longer", venue=names.get(venue, venue))
    name = names.get(pitch, pitch)
    if code == "goal":
        return _("Draw or confirm the goals on %(pitch)s", pitch=name)
    if code == "lit":
        return _("Say that %(pitch)s has floodlights, if it has", pitch=name)
    if code == "limit":
        return _("Allow %(pitch)s more use a week", pitch=name)
    labels = tuple(dict.fromkeys(one.label for one in problem.standing if one.pitch == pitch))
    return _(
        "Free %(pitch)s of what stands there: %(labels)s",
        pitch=name,
        labels=shortened(labels, MOST_LABELS),
    )


def try_pitches(case: Case, code: str) -> Iterator[Trial]:
    """Try one sort of change on each pitch where nothing else keeps the ask out."""
    problem = case.terrain.problem
    for number in np.unique(case.terrain.pitch[case.but_for(_BITS[code])]).tolist():
        pitch = case.terrain.pitches[number]
        text = change_in_words(problem, code, pitch, "", case.names)
        yield Trial(
            code,
            text,
            with_change(problem, code, pitch, ""),
            pitch=pitch,
        )


def try_opening(case: Case) -> Iterator[Trial]:
    """Try each venue open at the ask's own hours, on days on which nothing else keeps it out."""
    problem, bits = case.terrain.problem, bit_of(opening_hours.RULE)
    for number in np.unique(case.terrain.venue[case.but_for(bits)]).tolist():
        venue = case.terrain.venues[number]
        days = case.days_but_for(bits, case.terrain.venue == number)
        more = tuple(
            Opening(venue, w.day, w.start_min, w.end_min)
            for w in case.ask.possible
            if w.day in days
        )
        when = times_in_words(problem, case.ask, days)
        yield Trial(
            "opening",
            _("Open %(venue)s on %(when)s", venue=case.venue_name(venue), when=when),
            replace(problem, openings=problem.openings + more),
            venue=venue,
        )


def try_lights_out(case: Case) -> Iterator[Trial]:
    """Try the floodlights of each venue on for as long as the first session would need."""
    problem, rule = case.terrain.problem, curfew.RULE
    for number in np.unique(case.terrain.venue[case.but_for(bit_of(rule))]).tolist():
        venue = case.terrain.venues[number]
        until = int(case.minutes_but_for(rule)[:, 1].min())
        changed = tuple(
            LightsOut(one.venue, one.pitch, one.day, max(one.from_min, until))
            if one.venue == venue
            else one
            for one in problem.lights_out
        )
        yield Trial(
            "lights",
            _(
                "Leave the floodlights at %(venue)s on until %(until)s",
                venue=case.venue_name(venue),
                until=clock(until),
            ),
            replace(problem, lights_out=changed),
            venue=venue,
        )
