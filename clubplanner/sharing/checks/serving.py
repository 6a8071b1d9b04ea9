"""How well each squad is served, and what it could have with the whole club to itself.

Like `checking`, it shares nothing with the search but values and named points. Asks that want the
same are looked at once.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.by_place import grouped
from clubplanner.sharing.checks.checking import row_rules
from clubplanner.sharing.checks.places_alone import PlacesAlone
from clubplanner.sharing.checks.worth import Served, is_wished_there, wish

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.values.problem import Ask, Day, Ground, Placement, Problem


def serve(problem: Problem, plan: Sequence[Placement]) -> tuple[Served, ...]:
    """Measure how well each squad is served, in the order of the asks."""
    days, grounds = problem.days, {ground.key: ground for ground in problem.grounds}
    by_ask = {ask.key: ask for ask in problem.asks}
    best = BestAlone(problem)
    scores: dict[str, int] = {}
    for item in plan:
        ask, ground = by_ask[item.ask], grounds[item.ground]
        here = best.places.by_place.on(ground.pitch)
        points = wish(here, ask, ground, days[item.day], item.start_min, len(item.lost_dates))
        scores[ask.squad] = scores.get(ask.squad, 0) + points
    alone: dict[str, int] = {}
    past: dict[str, int] = {}
    for ask in problem.asks:
        alone[ask.squad] = alone.get(ask.squad, 0) + best.of(ask)
        past.setdefault(ask.squad, ask.past)
    return tuple(
        Served(
            squad,
            scores.get(squad, 0),
            most,
            100 * scores.get(squad, 0) // most if most else 100 * (scores.get(squad, 0) > 0),
            past[squad],
        )
        for squad, most in alone.items()
    )


class BestAlone:
    """The most wish points that each ask could have if there were nobody else.

    Attributes:
        places: The places without anybody else.
    """

    def __init__(self, problem: Problem) -> None:
        self.places = PlacesAlone(problem)
        self._problem = problem
        self._squads = grouped(problem.asks, lambda ask: ask.squad)
        self._by_wants: dict[Ask, list[int]] = {}

    def of(self, ask: Ask) -> int:
        """Add up the best places on days far enough apart, for as many sessions as asked."""
        best = self._by_day(ask)
        row = self._most_in_a_row(ask)
        if not ask.rest_days and row is None:
            return sum(sorted(best, reverse=True)[: ask.sessions])
        return self._most_apart(ask, row, best, 0, ())

    def _most_in_a_row(self, ask: Ask) -> int | None:
        """Return the smallest number of evenings in a row that the squad's asks allow."""
        own = [other.most_in_a_row for other in self._squads[ask.squad]]
        return min((most for most in own if most is not None), default=None)

    def _most_apart(
        self, ask: Ask, row: int | None, best: Sequence[int], at: int, taken: tuple[int, ...]
    ) -> int:
        """Take a day or leave it, one after the other."""
        if at == len(best) or len(taken) == ask.sessions:
            return 0
        most = self._most_apart(ask, row, best, at + 1, taken)
        if best[at] and not self._is_near(ask, at, taken) and not self._is_too_long(row, taken, at):
            rest = self._most_apart(ask, row, best, at + 1, (*taken, at))
            most = max(most, best[at] + rest)
        return most

    def _is_near(self, ask: Ask, at: int, taken: Sequence[int]) -> bool:
        """Whether a day is too near one that is taken."""
        return any(
            abs((one - other).days) <= ask.rest_days
            for day in taken
            for one in self._problem.days[day].dates
            for other in self._problem.days[at].dates
        )

    def _is_too_long(self, row: int | None, taken: Sequence[int], at: int) -> bool:
        """Whether the dates of some days hold more in a row than the squad may have."""
        days = [self._problem.days[day] for day in (*taken, at)]
        dates = sorted(when.toordinal() for day in days for when in day.dates)
        length = 0
        for n, when in enumerate(dates):
            length = length + 1 if n and when == dates[n - 1] + 1 else 1
            if row is not None and length > row:
                return True
        return False

    def _by_day(self, ask: Ask) -> list[int]:
        """Score the best place of each day; squads that want the same could have the same."""
        wants = replace(ask, key="", squad="", squad_name="", coach=None, priority=1, past=0)
        if wants not in self._by_wants:
            sorts = self._sorts(ask)
            self._by_wants[wants] = [
                self._best_of_day(ask, day, sorts) for day in self._problem.days
            ]
        return self._by_wants[wants]

    def _sorts(self, ask: Ask) -> list[list[Ground]]:
        """Sort the ground that is fit by what the points of an ask depend on."""

        def looks(ground: Ground) -> tuple[object, ...]:
            here = self.places.by_place.on(ground.pitch)
            wished = tuple(is_wished_there(here, item, ground) for item in ask.wishes)
            return ground.area_m2, ground.share_of_pitch, wished

        return list(grouped(self.places.fit(ask), looks).values())

    def _best_of_day(self, ask: Ask, day: Day, sorts: Sequence[Sequence[Ground]]) -> int:
        """Score the best place of a day: the likeliest places first, until none can be better."""
        best = 0
        for pin in ask.pinned:
            if pin.day == day.index:
                lost = self.places.with_lost(self.places.ground(pin), pin).lost_dates
                best = max(best, self._points(ask, self.places.ground(pin), pin, len(lost)))
        likely = [
            (self._points(ask, grounds[0], tried, 0), tried.start_min, n, tried)
            for tried in self.places.times(ask, day)
            for n, grounds in enumerate(sorts)
        ]
        for points, _, n, tried in sorted(likely, key=lambda one: one[:3], reverse=True):
            if points <= best:
                break
            for ground in sorts[n]:
                best = max(best, self._points_there(ask, ground, tried, best))
                if best == points:
                    break
        return best

    def _points(self, ask: Ask, ground: Ground, place: Placement, lost: int) -> int:
        here, day = self.places.by_place.on(ground.pitch), self._problem.days[place.day]
        return wish(here, ask, ground, day, place.start_min, lost)

    def _points_there(self, ask: Ask, ground: Ground, tried: Placement, best: int) -> int:
        """Score a place with the dates it loses; 0 where it breaks a rule or is not better."""
        if self.places.codes_there(ground, tried):
            return 0
        place = self.places.with_lost(ground, replace(tried, ground=ground.key))
        points = self._points(ask, ground, place, len(place.lost_dates))
        if points <= best:
            return 0
        return points if self._stands_alone(ask, ground, place) else 0

    def _stands_alone(self, ask: Ask, ground: Ground, place: Placement) -> bool:
        """Whether a place at which nothing is in the way keeps limits on use and on rows of dates.

        No other rule looks at a single session that is where its ask, the venue and bookings let
        it be.
        """
        if not self.places.is_light(ask, ground, place):
            return False
        if ask.most_in_a_row is None:
            return True
        alone = replace(self._problem, asks=(replace(ask, pinned=()),))
        return not any(row_rules(alone, [place]))
