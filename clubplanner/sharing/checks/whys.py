"""Why an ask misses sessions, derived again: who holds its places, and whom it would need twice.

Like `checking`, it shares nothing with the search but values.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.checking import (
    Fault,
    check,
    gap_between,
    load_rules,
    near_sessions,
    rest_rules,
    row_rules,
)
from clubplanner.sharing.checks.said import reason_said
from clubplanner.sharing.checks.worth import lost_dates
from clubplanner.sharing.values.outcome import LEFT_OUT
from clubplanner.sharing.values.problem import Placement

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.checks.certified import PlacesAlone
    from clubplanner.sharing.values.outcome import Outcome, Reason, Refusal
    from clubplanner.sharing.values.problem import Ask, Ground, Problem

CODES = (
    "exchange",
    "crowded",
    "rules",
    "held",
    "limit",
    "person",
    "proof",
    "open",
    LEFT_OUT,
)
"""Every code that a refusal's reason has."""
MOST_EXCHANGED = 2

_Place = tuple[Placement, "Ground"]


class Whys:
    """Why asks of a plan miss sessions."""

    def __init__(self, problem: Problem, outcome: Outcome, places: PlacesAlone) -> None:
        self._problem = problem
        self._outcome = outcome
        self._plan = outcome.placements
        self._places = places
        self._asks = {ask.key: ask for ask in problem.asks}
        self._grounds = {ground.key: ground for ground in problem.grounds}
        is_proved = bool(outcome.levels) and outcome.levels[0].is_proved
        self._last = "proof" if is_proved else "open"

    def told(self, ask: Ask, refusal: Refusal) -> Iterator[Fault]:
        """Check the reasons of a refusal.

        Args:
            ask: Whose it is.
            refusal: With reasons and changes as they are told.
        """
        start = f"Ask {ask.key}:"
        if not refusal.reasons:
            yield Fault("reason", f"{start} it goes without and no reason is told.", ())
            return
        for reason in refusal.reasons:
            if reason.code not in CODES:
                yield Fault("reason", f"{start} there is no reason “{reason.code}”.", ())
                return
            yield from reason_said(self._problem, ask, reason, self._outcome)
        if max(Counter(refusal.reasons).values()) > 1:
            yield Fault("reason", f"{start} a reason stands twice.", ())
            return
        reasons = list(refusal.reasons)
        if reasons[-1].code == LEFT_OUT:
            if reasons.pop().is_proved or refusal.changes:
                yield Fault("reason", f"{start} nothing is left out, or nothing proved by it.", ())
            if not reasons:
                return
        yield from self._reasons(ask, reasons)

    def _reasons(self, ask: Ask, reasons: list[Reason]) -> Iterator[Fault]:
        own_days = {item.day for item in self._plan if item.ask == ask.key}
        barred = self._barred(ask) - own_days
        free = [
            (place, ground)
            for place, ground in self._places.of(ask)
            if place.day not in own_days | barred and self._is_light(place, ground)
        ]
        found = [(reason.code, reason.holders, reason.is_proved) for reason in reasons]
        if free:
            if reasons[0].code == "exchange":
                yield from self._exchange(ask, reasons[0])
                found.pop(0)
            wanted = [*self._by_ground(free), *self._by_people(ask, free)]
            rules = found[len(wanted) : -1]
            wanted += [("rules", (), False)] * len(rules)
            wanted.append((self._last, (), self._last == "proof"))
        else:
            is_proof = not barred
            rules = found if is_proof else found[:-1]
            wanted = [("rules", (), is_proof and not n) for n in range(max(1, len(rules)))]
            wanted += [] if is_proof else [(self._last, (), self._last == "proof")]
        for told, true in zip([*found, None], [*wanted, None], strict=False):
            if told != true:
                holders = tuple(told[1]) if told else ()
                what = f"“{true[0]}” about {len(true[1])} sessions" if true else "no more of them"
                yield Fault("reason", f"Ask {ask.key}: its reasons should say {what}.", holders)
                return

    def _is_light(self, place: Placement, ground: Ground) -> bool:
        """Whether a place would not by itself use a pitch beyond its limit."""
        if all(load.pitch != ground.pitch for load in self._problem.loads):
            return True
        return not any(load_rules(self._problem, [self._with_lost(place, ground)]))

    def _with_lost(self, place: Placement, ground: Ground) -> Placement:
        day = self._problem.days[place.day]
        lost = lost_dates(self._problem, ground, day, place.start_min, place.end_min)
        return replace(place, lost_dates=lost)

    def _barred(self, ask: Ask) -> set[int]:
        """List the days on which its squad's sessions leave no room for one of an ask."""
        squad = [item for item in self._plan if self._asks[item.ask].squad == ask.squad]
        if not squad:
            return set()
        found = set()
        for day in self._problem.days:
            if not day.dates:
                continue
            tried = Placement(ask.key, -1, squad[0].ground, day.index, 0, 0)
            faults = (
                *rest_rules(self._problem, [*squad, tried]),
                *row_rules(self._problem, [*squad, tried]),
            )
            if any(tried in fault.placements for fault in faults):
                found.add(day.index)
        return found

    def _by_ground(
        self, free: Sequence[_Place]
    ) -> Iterator[tuple[str, tuple[Placement, ...], bool]]:
        """List day by day the sessions that have ground of a place."""
        for day in sorted({place.day for place, _ in free}):
            here = [(place, ground) for place, ground in free if place.day == day]
            holders = tuple(
                item
                for item in self._plan
                if item.day == day and any(self._has_ground(item, *where) for where in here)
            )
            if holders:
                yield "held", holders, False

    def _by_people(
        self, ask: Ask, free: Sequence[_Place]
    ) -> Iterator[tuple[str, tuple[Placement, ...], bool]]:
        """List the sessions of other asks that need somebody who is needed at a place."""
        holders = tuple(
            item
            for item in self._plan
            if item.ask != ask.key
            and _share_person(ask, self._asks[item.ask])
            and any(self._is_away(item, place, ground) for place, ground in free)
        )
        if holders:
            yield "person", holders, False

    def _has_ground(self, item: Placement, place: Placement, ground: Ground) -> bool:
        other = self._grounds[item.ground]
        shares = other.pitch == ground.pitch and other.cells & ground.cells
        return bool(shares) and gap_between(item, place) < self._problem.changeover_minutes

    def _is_away(self, item: Placement, place: Placement, ground: Ground) -> bool:
        is_far = self._grounds[item.ground].venue != ground.venue
        needed = self._problem.travel_minutes if is_far else 0
        return item.day == place.day and gap_between(item, place) < needed

    def _exchange(self, ask: Ask, reason: Reason) -> Iterator[Fault]:
        """Check that one session is named, or two, whose end makes room, and not that of one."""
        named = reason.holders
        squads = [self._asks[item.ask].squad for item in named if item.ask in self._asks]
        pins = [pin for other in self._problem.asks for pin in other.pinned]
        is_pinned = any((pin.ask, pin.session) == (i.ask, i.session) for pin in pins for i in named)
        is_sound = (
            1 <= len(named) <= MOST_EXCHANGED
            and len(set(squads) - {ask.squad}) == len(named)
            and set(named) <= set(self._plan)
            and not is_pinned
            and not reason.is_proved
        )
        if not is_sound or not self._makes_room(ask, named):
            message = f"Ask {ask.key}: without these there is no room either, or they cannot go."
            yield Fault("reason", message, named)
        elif len(named) > 1 and any(self._makes_room(ask, (one,)) for one in named):
            yield Fault("reason", f"Ask {ask.key}: one of these alone makes room.", named)

    def _makes_room(self, ask: Ask, gone: Sequence[Placement]) -> bool:
        """Whether the plan has a place for the ask when some sessions end."""
        rest = [item for item in self._plan if item not in gone]
        session = next_session(ask, rest)
        for place, ground in self._places.of(ask):
            tried = replace(self._with_lost(place, ground), session=session)
            found = check(self._problem, [*near_sessions(self._problem, [tried], rest), tried])
            if not any(tried in fault.placements for fault in found):
                return True
        return False


def next_session(ask: Ask, plan: Sequence[Placement]) -> int:
    """Return the first number that no session of an ask has."""
    used = {item.session for item in plan if item.ask == ask.key}
    return next(n for n in range(len(used) + 1) if n not in used)


def _share_person(ask: Ask, other: Ask) -> bool:
    return ask.squad == other.squad or (ask.coach is not None and ask.coach == other.coach)
