"""What a certificate proves, by addition alone: no search, no solver, plain Python.

Places that break no rule by themselves are listed once more here; leaving a rule out could only
prove less, never too much.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.checking import (
    Fault,
    date_rules,
    ground_rules,
    time_rules,
    venue_rules,
)
from clubplanner.sharing.checks.worth import starts_of
from clubplanner.sharing.values.points import FIRST_POINTS, SESSION_POINTS
from clubplanner.sharing.values.problem import Placement

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.sharing.values.certificate import Certificate
    from clubplanner.sharing.values.outcome import Outcome
    from clubplanner.sharing.values.problem import Ask, Ground, Problem

PLACING = "placing sessions"


def most_at_prices(problem: Problem, certificate: Certificate) -> int:
    """Add up what a certificate's prices prove, whatever it says that they do.

    Args:
        problem: A problem without structural faults.
        certificate: Prices that are not negative; its own `most` is not looked at.

    Returns:
        Points in placing sessions that no plan passes.
    """
    total = sum(_all_prices(certificate))
    prices = _Prices(problem, certificate)
    gains: dict[str, list[int]] = defaultdict(list)
    tops: dict[str, int] = defaultdict(int)
    places = PlacesAlone(problem)
    for ask in problem.asks:
        points = SESSION_POINTS * ask.priority * certificate.parts
        cheapest: dict[int, int] = {}
        for place, ground in places.of(ask):
            cost = prices.of(ask, ground, place)
            cheapest[place.day] = min(cost, cheapest.get(place.day, cost))
        best = sorted((points - cost for cost in cheapest.values()), reverse=True)
        gains[ask.squad] += best[: ask.sessions]
        tops[ask.squad] = max(tops[ask.squad], ask.priority)
    for squad, found in gains.items():
        first = FIRST_POINTS * tops[squad] * certificate.parts
        total += _most_gained(sorted(found, reverse=True), first)
    return total // certificate.parts


def _all_prices(certificate: Certificate) -> list[int]:
    ground = [at.price for at in certificate.ground_prices]
    return ground + [of.price for of in certificate.person_prices]


def _most_gained(gains: list[int], first: int) -> int:
    """Take sessions as long as they gain, one at least where that pays for the first's points."""
    if not gains:
        return 0
    return max(0, gains[0] + first + sum(gain for gain in gains[1:] if gain > 0))


class _Prices:
    """The prices of a certificate, by where and whose."""

    def __init__(self, problem: Problem, certificate: Certificate) -> None:
        self._gap = problem.changeover_minutes
        self._ground: dict[tuple[str, int], list[tuple[int, int, int]]] = defaultdict(list)
        for at in certificate.ground_prices:
            self._ground[at.pitch, at.day].append((at.cells, at.minute, at.price))
        self._people: dict[tuple[str, str, int], list[tuple[int, int]]] = defaultdict(list)
        for of in certificate.person_prices:
            for kind, key in (("squad", of.squad), ("coach", of.coach)):
                if key is not None:
                    self._people[kind, key, of.day].append((of.minute, of.price))

    def of(self, ask: Ask, ground: Ground, place: Placement) -> int:
        """Add up what a place costs an ask."""
        cost = sum(
            price
            for cells, minute, price in self._ground.get((ground.pitch, place.day), ())
            if cells & ground.cells and place.start_min <= minute < place.end_min + self._gap
        )
        for kind, key in (("squad", ask.squad), ("coach", ask.coach or "")):
            cost += sum(
                price
                for minute, price in self._people.get((kind, key, place.day), ())
                if place.start_min <= minute < place.end_min
            )
        return cost


class PlacesAlone:
    """The places of a problem that break no rule by themselves; pinned sessions have theirs."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self._grounds = {ground.key: ground for ground in problem.grounds}
        self._by_pitch = {
            pitch: replace(
                problem, standing=tuple(one for one in problem.standing if one.pitch == pitch)
            )
            for pitch in dict.fromkeys(ground.pitch for ground in problem.grounds)
        }
        self._is_open: dict[tuple[str, int, int, int], bool] = {}

    def of(self, ask: Ask) -> Iterator[tuple[Placement, Ground]]:
        """List the places of an ask, each as a session 0."""
        for pin in ask.pinned:
            yield pin, self._grounds[pin.ground]
        fit = [ground for ground in self._problem.grounds if not any(ground_rules(ask, ground))]
        for day in self._problem.days:
            if not day.dates:
                continue
            for start in starts_of(self._problem, ask, day.index):
                end = start + ask.minutes
                tried = Placement(ask.key, 0, "", day.index, start, end)
                if any(time_rules(self._problem, ask, tried)):
                    continue
                for ground in fit:
                    if self._may_be_there(ground, tried):
                        yield replace(tried, ground=ground.key), ground

    def _may_be_there(self, ground: Ground, tried: Placement) -> bool:
        where = (ground.key, tried.day, tried.start_min, tried.end_min)
        if where not in self._is_open:
            problem = self._by_pitch[ground.pitch]
            is_open = not any(venue_rules(problem, ground, tried))
            taken = "standing booking" in date_rules(problem, ground, tried)
            self._is_open[where] = is_open and not taken
        return self._is_open[where]


def certificate_told(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    """Check that a certificate proves what it says, and that nothing in the result passes it."""
    certificate = outcome.certificate
    if certificate is None:
        return
    if certificate.parts < 1 or min(_all_prices(certificate), default=0) < 0:
        yield Fault("certificate", "A price of the certificate is below 0.", ())
        return
    most = most_at_prices(problem, certificate)
    if certificate.most < most:
        message = f"The certificate's prices prove {most} points at most, not {certificate.most}."
        yield Fault("certificate", message, ())
    for level in outcome.levels:
        if level.name == PLACING and level.value > most:
            message = f"The plan's {level.value} points pass the {most} that prices allow."
            yield Fault("certificate", message, ())


def is_certified(outcome: Outcome) -> bool:
    """Tell whether the bound on placing sessions rests on a certificate alone."""
    certificate = outcome.certificate
    return certificate is not None and any(
        level.name == PLACING and level.bound >= certificate.most for level in outcome.levels
    )
