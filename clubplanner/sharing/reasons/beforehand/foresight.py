"""Asks that no ground satisfies, found before anything is shared out, and what would change it.

An ask is looked at with the whole club to itself, by the rules of the share-out: what it misses
then it misses in every plan. Each change that is told was made and the same question asked again.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import ngettext
from clubplanner.sharing.ground.candidates import join
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.reasons.alone import look_alone
from clubplanner.sharing.reasons.beforehand.asks import (
    try_days_kept_free,
    try_finish_and_start,
    try_other_days,
    try_other_ground,
    try_other_times,
    try_shorter,
    try_smaller,
    try_without,
)
from clubplanner.sharing.reasons.beforehand.ground import (
    change_in_words,
    try_lights_out,
    try_opening,
    try_pitches,
    with_change,
)
from clubplanner.sharing.reasons.beforehand.supply import shape_of, weigh_supply
from clubplanner.sharing.reasons.beforehand.trying import Case
from clubplanner.sharing.reasons.rule_words import rule_reasons
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.rules.people.evenings_in_a_row import most_by_squad
from clubplanner.sharing.values.foreseen import Common, Remedy, Trouble
from clubplanner.sharing.values.problem import Placement
from clubplanner.sharing.values.words import place_and_time

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.places.placements import Known
    from clubplanner.sharing.reasons.alone import Alone
    from clubplanner.sharing.reasons.beforehand.trying import Trial
    from clubplanner.sharing.values.foreseen import Supply
    from clubplanner.sharing.values.problem import Ask, Problem

MOST_REMEDIES = 3
MOST_COMMON = 3


class Foresight:
    """A problem looked at before it is worked on."""

    def __init__(self, problem: Problem, names: Mapping[str, str]) -> None:
        """Survey a problem.

        Args:
            problem: The problem; sessions that are pinned are looked at as if they were not.
            names: What its venues and pitches are called, by key.
        """
        self._terrain = survey(problem)
        self._names = names
        self._asks = {ask.key: ask for ask in problem.asks}
        self._known: Known = {}
        self._changed: dict[tuple[object, ...], tuple[Terrain, Known]] = {}
        self._alike: dict[tuple[object, ...], Alone] = {}

    def troubles(self) -> tuple[Trouble, ...]:
        """List the asks with too little ground, without cause and remedies, in their order."""
        found: list[Trouble] = []
        for ask in self._terrain.problem.asks:
            missing = ask.sessions - self._alone(ask).sessions
            if missing:
                found.append(Trouble(ask.key, ask.squad, ask.squad_name, ask.sessions, missing))
        return tuple(found)

    def explained(
        self, troubles: Iterable[Trouble], most: int | None = None
    ) -> tuple[Trouble, ...]:
        """Add cause and best remedies; squads that ask for the same are explained together.

        Args:
            troubles: Those found.
            most: How many explanations may be worked out; None for all. Troubles that would need
                one more are returned as they are.
        """
        known: dict[tuple[object, ...], tuple[str, tuple[Remedy, ...]]] = {}
        found: list[Trouble] = []
        for trouble in troubles:
            ask = self._ask(trouble)
            alike = self._alike_to(ask)
            if alike not in known and (most is None or len(known) < most):
                alone = self._alone(ask)
                reasons = rule_reasons(self._terrain, ask, alone.free_days, join([]))
                known[alike] = tell_reason(reasons[0]), self._remedies(ask, alone)
            text, remedies = known.get(alike, ("", ()))
            found.append(replace(trouble, text=text, remedies=remedies))
        return tuple(found)

    def common(self, troubles: Sequence[Trouble]) -> tuple[Common, ...]:
        """Find records of the ground whose change would help several squads, the best ones first.

        Args:
            troubles: All troubles; what to change is taken from those that are explained.
        """
        offered = dict.fromkeys(
            (remedy.code, remedy.pitch, remedy.venue)
            for trouble in troubles
            for remedy in trouble.remedies
            if not remedy.is_of_ask
        )
        found: list[Common] = []
        for code, pitch, venue in offered:
            changed = with_change(self._terrain.problem, code, pitch, venue)
            terrain, known = self._survey((code, pitch, venue), changed)
            seen: dict[tuple[object, ...], int] = {}
            squads: dict[str, None] = {}
            for one in troubles:
                ask = self._ask(one)
                alike = self._alike_to(ask)
                if alike not in seen:
                    seen[alike] = look_alone(terrain, ask, known).sessions
                if seen[alike] > one.sessions - one.missing:
                    squads[one.squad] = None
            if len(squads) > 1:
                text = change_in_words(self._terrain.problem, code, pitch, venue, self._names)
                found.append(Common(code, text, tuple(squads), pitch, venue))
        found.sort(key=lambda one: -len(one.squads))
        return tuple(found[:MOST_COMMON])

    def _ask(self, trouble: Trouble) -> Ask:
        return self._asks[trouble.ask]

    def _alone(self, ask: Ask) -> Alone:
        """Look at an ask, once for all that ask for the same."""
        alike = self._alike_to(ask)
        if alike not in self._alike:
            self._alike[alike] = look_alone(self._terrain, ask, self._known)
        return self._alike[alike]

    def _alike_to(self, ask: Ask) -> tuple[object, ...]:
        """Return what is the same for all asks that find the same ground."""
        most = most_by_squad(self._terrain).get(ask.squad)
        return shape_of(ask), ask.sessions, ask.rest_days, most

    def supply(self) -> Supply:
        """Weigh what is asked for against the ground that there is."""
        return weigh_supply(self._terrain, self._known)

    def _survey(self, key: tuple[object, ...], problem: Problem) -> tuple[Terrain, Known]:
        """Survey a changed problem, once."""
        if key not in self._changed:
            self._changed[key] = survey(problem), {}
        return self._changed[key]

    def _remedies(self, ask: Ask, alone: Alone) -> tuple[Remedy, ...]:
        missing = ask.sessions - alone.sessions
        case = Case(self._terrain, ask, alone, self._names, self._known)
        found: list[Remedy] = []
        for trials in _trials(case):
            if sum(one.gained == missing for one in found) == MOST_REMEDIES:
                break
            for trial in trials:
                remedy = self._try(trial, ask, alone)
                if remedy is not None:
                    found.append(remedy)
                    if remedy.gained == missing:
                        break
        found.sort(key=lambda one: -one.gained)
        if alone.sessions:
            found = [*found[: MOST_REMEDIES - 1], self._fewer(ask, alone)]
        return tuple(found[:MOST_REMEDIES])

    def _try(self, trial: Trial, ask: Ask, alone: Alone) -> Remedy | None:
        """Make a change and ask again; None where it gives no session more."""
        terrain, known = self._terrain, self._known
        if trial.problem is not None:
            changed = trial.problem
            key = (trial.code, trial.pitch, changed.openings, changed.lights_out, trial.ask)
            terrain, known = self._survey(key, changed)
        ask = trial.ask or ask
        seen = look_alone(terrain, ask, known)
        gained = seen.sessions - alone.sessions
        if gained <= 0:
            return None
        place = _place(terrain, ask, seen, alone.free_days)
        return Remedy(
            trial.code,
            trial.text,
            place_and_time(terrain.problem, place),
            gained,
            trial.pitch,
            trial.venue,
        )

    def _fewer(self, ask: Ask, alone: Alone) -> Remedy:
        text = ngettext(
            "Ask for %(num)s session instead of %(asked)s",
            "Ask for %(num)s sessions instead of %(asked)s",
            alone.sessions,
            asked=ask.sessions,
        )
        return Remedy("fewer", text, "", ask.sessions - alone.sessions)


def _trials(case: Case) -> tuple[Iterator[Trial], ...]:
    """Return the trials worth a try, by sort, what is likeliest to have been forgotten first."""
    return (
        try_pitches(case, "goal"),
        try_pitches(case, "lit"),
        try_smaller(case),
        try_opening(case),
        try_lights_out(case),
        try_finish_and_start(case),
        try_other_times(case),
        try_other_ground(case),
        try_pitches(case, "booked"),
        try_pitches(case, "limit"),
        try_days_kept_free(case),
        try_without(case),
        try_other_days(case),
        try_shorter(case),
    )


def _place(terrain: Terrain, ask: Ask, seen: Alone, had: frozenset[int]) -> Placement:
    """Choose a place to tell: on a day that had none if there is one, small, early."""
    grounds = terrain.problem.grounds
    days = [day for day in seen.days if day.is_free]
    day = next((day for day in days if day.stays.day not in had), days[-1])
    free = day.broken == 0
    ground = min(
        np.flatnonzero(free.any(axis=1)).tolist(), key=lambda n: (grounds[n].share_of_pitch, n)
    )
    start = int(day.stays.starts[free[ground]][0])
    return Placement(ask.key, 0, grounds[ground].key, day.stays.day, start, start + ask.minutes)
