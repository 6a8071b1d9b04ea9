"""Whether an exchange that is told makes room, and whether its numbers and its why are true.

Like `checking`, it shares nothing with the search but values.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.checking import Fault, check
from clubplanner.sharing.checks.worth import Served, placing, shortfall, wish
from clubplanner.sharing.values.facts import Facts, Loss

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.checks.by_place import Sessions
    from clubplanner.sharing.checks.in_way import InWay
    from clubplanner.sharing.checks.places_alone import PlacesAlone
    from clubplanner.sharing.values.facts import Spot
    from clubplanner.sharing.values.outcome import Outcome, Reason
    from clubplanner.sharing.values.problem import Ask, Placement, Problem

MOST_EXCHANGED = 2


@dataclass(frozen=True, slots=True)
class _Stand:
    """How a squad stands: how many sessions, their wish points, and as `Served`."""

    name: str
    has: int
    served: Served

    @property
    def left(self) -> int:
        return self.served.percent + self.served.past


class Exchanges:
    """Looks at the exchanges that are told of a plan."""

    def __init__(
        self,
        problem: Problem,
        outcome: Outcome,
        sessions: Sessions,
        places: PlacesAlone,
        in_way: InWay,
    ) -> None:
        self._problem = problem
        self._known = set(outcome.placements)
        self._sessions = sessions
        self._places = places
        self._in_way = in_way
        self._asks = {ask.key: ask for ask in problem.asks}
        self._grounds = {ground.key: ground for ground in problem.grounds}
        self._served = {item.squad: item for item in outcome.satisfactions}

    def is_pinned(self, item: Placement) -> bool:
        """Tell whether a session of the plan is pinned."""
        return any(pin.session == item.session for pin in self._asks[item.ask].pinned)

    def may_go(self, ask: Ask, items: Sequence[Placement]) -> bool:
        """Tell whether sessions are of others, of a squad each, and not pinned."""
        squads = {self._asks[item.ask].squad for item in items} - {ask.squad}
        return (
            1 <= len(items) <= MOST_EXCHANGED
            and len(squads) == len(items)
            and not any(self.is_pinned(item) for item in items)
        )

    def told(self, ask: Ask, reason: Reason) -> Iterator[Fault]:
        """Check that the sessions named make room when they end, and not one of two alone."""
        gone, start = reason.holders, f"Ask {ask.key}, “exchange”:"
        is_sound = set(gone) <= self._known and self.may_go(ask, gone)
        if not is_sound or reason.is_proved or next(self._rooms(ask, gone), None) is None:
            yield Fault("reason", f"{start} without these there is no room, or they stay.", gone)
        elif len(gone) > 1 and any(next(self._rooms(ask, (one,)), None) for one in gone):
            yield Fault("reason", f"{start} one of these alone makes room.", gone)
        elif not reason.text and reason.facts not in self._facts(ask, gone, reason.facts.spot):
            yield Fault("reason", f"{start} where and at what price is not as it says.", gone)

    def _rooms(
        self, ask: Ask, gone: Sequence[Placement], spot: Spot | None = None
    ) -> Iterator[Placement]:
        """List the places that the ask could have when some sessions end, or that at a spot.

        Only those are looked at that nobody else is in the way of, and each by every rule.
        """
        own = [item for item in self._sessions.of_squad[ask.squad] if item not in gone]
        session, ends = next_session(ask, own), set(gone)
        for one in self._in_way.of(ask):
            is_there = spot is None or one.is_at(self._problem, spot)
            if not is_there or not one.is_free_without(ends):
                continue
            tried = replace(self._places.with_lost(one.ground, one.place), session=session)
            near = [item for item in self._sessions.near([tried]) if item not in gone]
            found = check(self._places.by_place.about([*near, tried]), [*near, tried])
            if not any(tried in fault.placements for fault in found):
                yield tried

    def _facts(self, ask: Ask, gone: Sequence[Placement], spot: Spot | None) -> Iterator[Facts]:
        """Tell for each place at a spot what the exchange would come to."""
        if spot is None:
            return
        losers = [self._asks[item.ask] for item in gone]
        now = [self._stand(one, self._sessions.of_squad[one.squad]) for one in (ask, *losers)]
        for place in self._rooms(ask, gone, spot):
            then = [self._stand(one, self._then(one, gone, place)) for one in (ask, *losers)]
            told = [
                Loss(one.name, one.has, one.served.percent, other.served.percent)
                for one, other in zip(now, then, strict=True)
            ]
            kind, number = self._why(self._placing(losers, gone, place), now, then)
            yield Facts(kind=kind, spot=spot, losses=tuple(told[1:]), gain=told[0], number=number)

    def _placing(self, losers: Sequence[Ask], gone: Sequence[Placement], place: Placement) -> int:
        """Count how much more sessions by priority come to after an exchange."""
        squads = dict.fromkeys(one.squad for one in (self._asks[place.ask], *losers))
        about = self._places.by_place.about([*gone, place])
        before = [item for squad in squads for item in self._sessions.of_squad[squad]]
        then = [*(item for item in before if item not in gone), place]
        return placing(about, then) - placing(about, before)

    def _then(self, ask: Ask, gone: Sequence[Placement], place: Placement) -> list[Placement]:
        """List the sessions of an ask's squad after an exchange."""
        squad = ask.squad
        own = [item for item in self._sessions.of_squad[squad] if item not in gone]
        return [*own, place] if self._asks[place.ask].squad == squad else own

    def _stand(self, ask: Ask, own: Sequence[Placement]) -> _Stand:
        points = sum(self._points(item) for item in own)
        known = self._served.get(ask.squad)
        best, past = (known.best_alone, known.past) if known else (0, ask.past)
        percent = 100 * points // best if best else 100 * (points > 0)
        name = known.squad_name if known else ask.squad_name
        return _Stand(name, len(own), Served(ask.squad, points, best, percent, past))

    def _points(self, item: Placement) -> int:
        ask, day = self._asks[item.ask], self._problem.days[item.day]
        ground = self._grounds[item.ground]
        here = self._places.by_place.on(ground.pitch)
        return wish(here, ask, ground, day, item.start_min, len(item.lost_dates))

    def _why(self, placed: int, now: Sequence[_Stand], then: Sequence[_Stand]) -> tuple[str, int]:
        """Tell by which aim the plan is better than an exchange; who gains stands first."""
        problem = self._problem
        if placed < 0 and len(now) > MOST_EXCHANGED:
            return "fewer", 0
        if placed < 0:
            return ("only" if not then[1].has and now[0].has else "priority"), 0
        lowest = min(one.left for one in then) - min(one.left for one in now)
        if not placed and lowest < 0:
            worst = min(one.served.percent for one in then[1:])
            return ("lower" if worst < now[0].served.percent else "past"), 0
        short = _short(then) - _short(now)
        if not placed and not lowest and short > 0:
            return "short", 0
        points = sum(one.served.score for one in then) - sum(one.served.score for one in now)
        if not (placed or lowest or short) and points < 0:
            return "less", -points
        if problem.pairs or problem.prices or problem.wants_compact:
            return "", 0
        return ("better" if placed or lowest or short or points else "even"), 0


def _short(stands: Sequence[_Stand]) -> int:
    return shortfall([one.served for one in stands])


def next_session(ask: Ask, plan: Sequence[Placement]) -> int:
    """Return the first number that no session of an ask has."""
    used = {item.session for item in plan if item.ask == ask.key}
    return next(n for n in range(len(used) + 1) if n not in used)
