"""What a certificate proves, by addition alone: no search, no solver, plain Python.

Places that break no rule by themselves are listed once more here; leaving a rule out could only
prove less, never too much.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.by_place import grouped
from clubplanner.sharing.checks.checking import Fault
from clubplanner.sharing.checks.places_alone import PlacesAlone
from clubplanner.sharing.values.points import FIRST_POINTS, SESSION_POINTS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.values.certificate import Certificate
    from clubplanner.sharing.values.outcome import Outcome
    from clubplanner.sharing.values.problem import Ask, Ground, Placement, Problem

PLACING = "placing sessions"


@dataclass(frozen=True, slots=True)
class Taken:
    """A place that a squad takes at the prices, whoever else wants it.

    Attributes:
        placement: Where and when; the cheapest place of its ask on that day.
        points: What a session of the ask counts, in parts of a point.
        price: What the place costs, in parts of a point.
    """

    placement: Placement
    points: int
    price: int

    @property
    def gain(self) -> int:
        """What is left of the points."""
        return self.points - self.price


@dataclass(frozen=True, slots=True)
class Gain:
    """What a squad gains at most at the prices.

    Attributes:
        squad_name: As people say it.
        taken: What it takes, the best first; empty where nothing is worth its price.
        first: What the first session counts besides, in parts of a point; 0 where there is none.
    """

    squad_name: str
    taken: tuple[Taken, ...]
    first: int

    @property
    def gained(self) -> int:
        """All of it, in parts of a point; never below 0."""
        return self.first + sum(one.gain for one in self.taken)


def most_at_prices(problem: Problem, certificate: Certificate) -> int:
    """Add up what a certificate's prices prove, whatever it says that they do.

    Args:
        problem: A problem without structural faults.
        certificate: Prices that are not negative, each for one cell or one person; its own `most`
            is not looked at.

    Returns:
        Points in placing sessions that no plan passes.
    """
    gained = sum(gain.gained for gain in gains_at_prices(problem, certificate))
    return (all_prices(certificate) + gained) // certificate.parts


def all_prices(certificate: Certificate) -> int:
    """Add up every price once, in parts of a point."""
    return sum(_all_prices(certificate))


def gains_at_prices(problem: Problem, certificate: Certificate) -> Iterator[Gain]:
    """Tell squad by squad what it gains at most when it takes what it likes best.

    Args:
        problem: A problem without structural faults.
        certificate: As for `most_at_prices`.

    Yields:
        The gain of each squad, in the order of the asks.
    """
    prices, places = _Prices(problem, certificate), PlacesAlone(problem)
    for own in grouped(problem.asks, lambda ask: ask.squad).values():
        best: list[Taken] = []
        for ask in own:
            points = SESSION_POINTS * ask.priority * certificate.parts
            cheapest: dict[int, Taken] = {}
            for place, price in prices.of_places(ask, places):
                if place.day not in cheapest or price < cheapest[place.day].price:
                    cheapest[place.day] = Taken(place, points, price)
            best += sorted(cheapest.values(), key=_most_first)[: ask.sessions]
        first = FIRST_POINTS * max(ask.priority for ask in own) * certificate.parts
        yield _gain(own[0].squad_name, sorted(best, key=_most_first), first)


def _most_first(one: Taken) -> int:
    return -one.gain


def _gain(squad_name: str, best: Sequence[Taken], first: int) -> Gain:
    """Take sessions as long as they gain, one at least where that pays for the first's points."""
    found = Gain(squad_name, (*best[:1], *(one for one in best[1:] if one.gain > 0)), first)
    return found if best and found.gained > 0 else Gain(squad_name, (), 0)


def _all_prices(certificate: Certificate) -> list[int]:
    ground = [at.price for at in certificate.ground_prices]
    return ground + [of.price for of in certificate.person_prices]


class _Prices:
    """The prices of a certificate, by where and whose."""

    def __init__(self, problem: Problem, certificate: Certificate) -> None:
        self._days = problem.days
        self._gap = problem.changeover_minutes
        self._known: dict[tuple[str, int, int, int], int] = {}
        self._ground: dict[tuple[str, int], list[tuple[int, int, int]]] = defaultdict(list)
        for at in certificate.ground_prices:
            self._ground[at.pitch, at.day].append((at.cells, at.minute, at.price))
        self._people: dict[tuple[str, str, int], list[tuple[int, int]]] = defaultdict(list)
        for of in certificate.person_prices:
            for kind, key in (("squad", of.squad), ("coach", of.coach)):
                if key is not None:
                    self._people[kind, key, of.day].append((of.minute, of.price))

    def of_places(self, ask: Ask, places: PlacesAlone) -> Iterator[tuple[Placement, int]]:
        """Add up what its pinned sessions cost an ask, and at each time its cheapest ground."""
        for pin in ask.pinned:
            yield pin, self._of_ground(places.ground(pin), pin) + self._of_people(ask, pin)
        for day in self._days:
            for tried in places.times(ask, day):
                ground = min(
                    places.grounds_at(ask, tried),
                    key=lambda ground, tried=tried: self._of_ground(ground, tried),  # type: ignore[misc]
                    default=None,
                )
                if ground is not None:
                    price = self._of_ground(ground, tried) + self._of_people(ask, tried)
                    yield replace(tried, ground=ground.key), price

    def _of_ground(self, ground: Ground, place: Placement) -> int:
        """Add up what ground costs whoever is there then."""
        where = (ground.key, place.day, place.start_min, place.end_min)
        if where not in self._known:
            self._known[where] = sum(
                price
                for cells, minute, price in self._ground.get((ground.pitch, place.day), ())
                if cells & ground.cells and place.start_min <= minute < place.end_min + self._gap
            )
        return self._known[where]

    def _of_people(self, ask: Ask, place: Placement) -> int:
        """Add up what a squad and its coach cost then."""
        return sum(
            price
            for kind, key in (("squad", ask.squad), ("coach", ask.coach or ""))
            for minute, price in self._people.get((kind, key, place.day), ())
            if place.start_min <= minute < place.end_min
        )


def certificate_told(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    """Check that a certificate proves what it says, and that nothing in the result passes it."""
    certificate = outcome.certificate
    if certificate is None:
        return
    if not outcome.levels:
        yield Fault("certificate", "There is a certificate, but no aim that it bounds.", ())
        return
    wrong = next(_unsound(certificate), None)
    if wrong is not None:
        yield Fault("certificate", wrong, ())
        return
    most = most_at_prices(problem, certificate)
    if certificate.most != most:
        message = f"The certificate's prices prove {most} points at most, not {certificate.most}."
        yield Fault("certificate", message, ())
    for level in outcome.levels:
        if level.name == PLACING and level.value > most:
            message = f"The plan's {level.value} points pass the {most} that prices allow."
            yield Fault("certificate", message, ())


def _unsound(certificate: Certificate) -> Iterator[str]:
    """Say why prices prove nothing: what two sessions could have at once must not be one price."""
    if certificate.parts < 1 or min(_all_prices(certificate), default=0) < 0:
        yield "A price of the certificate is below 0, or a point has no parts."
    if any(at.cells.bit_count() != 1 for at in certificate.ground_prices):
        yield "A price is for more than one cell, which two sessions could have at once."
    if any((of.squad is None) == (of.coach is None) for of in certificate.person_prices):
        yield "A price is for a squad and a coach, or for nobody."


def is_certified(outcome: Outcome) -> bool:
    """Tell whether the bound on placing sessions rests on a certificate alone."""
    certificate = outcome.certificate
    return certificate is not None and any(
        level.name == PLACING and level.bound >= certificate.most for level in outcome.levels
    )
