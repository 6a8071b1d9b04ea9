"""Structural faults of a problem: things that make it meaningless rather than hard."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from clubplanner.sharing.values.prices import is_window, twice_priced
from clubplanner.sharing.values.wants import HIGHEST_GRADE, LOWEST_GRADE

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from clubplanner.sharing.values.problem import Ask, Problem
    from clubplanner.sharing.values.wants import Window

MOST_CELLS = 63
MOST_DATES = 63
MOST_PRIORITY = 9
MOST_REST_DAYS = 30
MOST_IN_A_ROW = 6
MOST_WEAR_PERCENT = 1_000
MOST_PAST = 100
MOST_WISHES = 20
MOST_PRICE = 10**7


class ProblemError(ValueError):
    """A problem has structural faults and was not worked on.

    Attributes:
        faults: What is wrong, one message each.
    """

    def __init__(self, faults: tuple[str, ...]) -> None:
        super().__init__(" ".join(faults))
        self.faults = faults

    def __reduce__(self) -> tuple[type[ProblemError], tuple[tuple[str, ...]]]:
        """Keep the faults on the way between processes."""
        return type(self), (self.faults,)


def validate(problem: Problem) -> tuple[str, ...]:
    """List the structural faults of a problem.

    Args:
        problem: Any problem.

    Returns:
        One message a fault; empty when the problem can be solved.
    """
    faults: list[str] = []
    for rule in (_numbers, _grounds, _days, _rules, _standing, _loads, _pairs, _prices):
        faults.extend(rule(problem))
    keys = Counter(ask.key for ask in problem.asks)
    faults.extend(f"There are two asks {key}; give each its own key." for key in _twice(keys))
    for ask in problem.asks:
        faults.extend(f"Ask {ask.key} {fault}." for fault in _ask(problem, ask))
        faults.extend(f"Ask {ask.key} {fault}." for fault in _pins(problem, ask))
    return tuple(faults)


def _twice(keys: Counter[str]) -> list[str]:
    return [key for key, count in keys.items() if count > 1]


def _numbers(problem: Problem) -> Iterator[str]:
    if problem.step_minutes < 1:
        yield "The step between starts must be at least one minute."
    if problem.changeover_minutes < 0 or problem.travel_minutes < 0:
        yield "Changeover and travel times must not be negative."
    if not 0 <= problem.most_dates_lost <= 1:
        yield "The part of dates that may be lost must be between 0 and 1."


def _grounds(problem: Problem) -> Iterator[str]:
    keys = Counter(ground.key for ground in problem.grounds)
    yield from (f"There are two grounds {key}; give each its own key." for key in _twice(keys))
    venues: dict[str, str] = {}
    for ground in problem.grounds:
        if not 0 < ground.cells < 1 << MOST_CELLS:
            yield f"Ground {ground.key} needs between 1 and {MOST_CELLS} cells."
        if ground.share is not None and not 1 <= ground.share <= 12:
            yield f"Ground {ground.key} must be 1 to 12 twelfths of its pitch, or have no share."
        if ground.area_m2 <= 0 or not 0 < ground.share_of_pitch <= 1.001:
            yield f"Ground {ground.key} needs a size above 0 and at most that of its pitch."
        if venues.setdefault(ground.pitch, ground.venue) != ground.venue:
            yield f"Pitch {ground.pitch} lies at two venues; it can lie at one only."


def _days(problem: Problem) -> Iterator[str]:
    seen: set[object] = set()
    for place, day in enumerate(problem.days):
        if day.index != place:
            yield f"{day.name} has number {day.index} but stands at {place}; number days in order."
        if len(day.dates) > MOST_DATES:
            yield f"{day.name} has more than {MOST_DATES} dates; share out a shorter stretch."
        if list(day.dates) != sorted(set(day.dates)):
            yield f"The dates of {day.name} must be in order, each once."
        if seen & set(day.dates):
            yield f"A date of {day.name} belongs to another day as well."
        seen |= set(day.dates)


def _rules(problem: Problem) -> Iterator[str]:
    for opening in problem.openings:
        if not _is_range(problem, opening.day, opening.start_min, opening.end_min):
            yield f"An opening of {opening.venue} names no day of the plan or ends too early."
    lights = [(rule.venue, rule.day) for rule in problem.lights_out]
    for venue, day in [(rule.venue, rule.day) for rule in problem.darkness] + lights:
        if not 0 <= day < len(problem.days):
            yield f"A rule about light at {venue} names no day of the plan."


def _standing(problem: Problem) -> Iterator[str]:
    pitches = {ground.pitch for ground in problem.grounds}
    for booking in problem.standing:
        if booking.pitch not in pitches:
            yield f"The booking {booking.label} is on {booking.pitch}, which has no ground here."
        if booking.end_min <= booking.start_min or booking.cells <= 0:
            yield f"The booking {booking.label} takes no ground or ends before it starts."


def _loads(problem: Problem) -> Iterator[str]:
    pitches = {ground.pitch for ground in problem.grounds}
    for load in problem.loads:
        if load.pitch not in pitches:
            yield f"A load limit is on {load.pitch}, which has no ground here."
        if (load.most_minutes or 0) < 0 or (load.most_sessions or 0) < 0:
            yield f"The load limit of {load.pitch} must not be negative."


def _pairs(problem: Problem) -> Iterator[str]:
    squads = {ask.squad for ask in problem.asks}
    for pair in problem.pairs:
        if not {pair.squad, pair.other} <= squads or pair.squad == pair.other:
            yield f"A wish about {pair.squad} and {pair.other} needs two squads that ask."
        if not LOWEST_GRADE <= pair.grade <= HIGHEST_GRADE:
            yield f"A wish about {pair.squad} needs a grade from {LOWEST_GRADE} to {HIGHEST_GRADE}."


def _prices(problem: Problem) -> Iterator[str]:
    places = {(ground.venue, pitch) for ground in problem.grounds for pitch in (None, ground.pitch)}
    grounds = {(ground.venue, ground.pitch, ground.key) for ground in problem.grounds}
    for price in problem.prices:
        name = price.ground or price.pitch or price.venue
        is_known = price.ground is None or (price.venue, price.pitch, price.ground) in grounds
        if (price.venue, price.pitch) not in places or not is_known:
            yield f"A price is for {name}, which is not among the grounds."
        if min(price.per_hour, price.per_opening) < 0 or (price.pitch and price.per_opening):
            yield f"The price of {name} is negative, or a pitch has a price for opening."
        if price.day is not None and not 0 <= price.day < len(problem.days):
            yield f"A price of {name} is for a day that is not in the plan."
        if not is_window(price):
            yield f"A price of {name} has a window without a day, or that ends before it starts."
    for price in twice_priced(problem.prices):
        name = price.ground or price.pitch or price.venue
        yield f"There are two prices for {name} at one time; keep one."


def _ask(problem: Problem, ask: Ask) -> Iterator[str]:
    yield from _ask_wants(problem, ask)
    if ask.sessions < 1 or ask.minutes < 1:
        yield "needs at least one session of at least one minute"
    if not 1 <= ask.priority <= MOST_PRIORITY:
        yield f"needs a priority from 1 to {MOST_PRIORITY}"
    if ask.least_m2 < 0 or not 0 <= ask.least_share <= 1:
        yield "asks for less than no ground or for more than a whole pitch"
    if not _are_windows(problem, (*ask.possible, *ask.preferred)):
        yield "has a window on no day of the plan, or one that ends before it starts"


def _ask_wants(problem: Problem, ask: Ask) -> Iterator[str]:
    yield from _ask_limits(ask)
    if not 0 <= ask.wear_percent <= MOST_WEAR_PERCENT or not -MOST_PAST <= ask.past <= MOST_PAST:
        yield "counts for too much wear or has a past beyond 100 percent points"
    venues = {ground.venue for ground in problem.grounds}
    keys = {ground.key for ground in problem.grounds}
    for wish in ask.wishes:
        if not LOWEST_GRADE <= wish.grade <= HIGHEST_GRADE:
            yield f"has a wish without a grade from {LOWEST_GRADE} to {HIGHEST_GRADE}"
        if not wish.venues <= venues or not wish.grounds <= keys:
            yield "wishes for a venue or ground that is not there"
        if not wish.days <= set(range(len(problem.days))):
            yield "wishes for a day that is not in the plan"
        if not _are_windows(problem, wish.windows):
            yield "wishes for a window on no day of the plan, or one that ends before it starts"


def _ask_limits(ask: Ask) -> Iterator[str]:
    if not 0 <= ask.rest_days <= MOST_REST_DAYS:
        yield f"needs days of rest from 0 to {MOST_REST_DAYS}"
    if not ask.no_day_before | ask.no_day_after <= set(range(7)):
        yield "names a weekday beyond 0 (Monday) to 6 (Sunday)"
    if ask.earliest_start_min is not None and ask.earliest_start_min < 0:
        yield "has an earliest start before midnight"
    if ask.most_in_a_row is not None and not 1 <= ask.most_in_a_row <= MOST_IN_A_ROW:
        yield f"needs 1 to {MOST_IN_A_ROW} evenings in a row, or no such limit"


def _pins(problem: Problem, ask: Ask) -> Iterator[str]:
    keys = {ground.key for ground in problem.grounds}
    numbers = [pin.session for pin in ask.pinned]
    if len(set(numbers)) < len(numbers) or any(not 0 <= n < ask.sessions for n in numbers):
        yield "has a pinned session twice or one it does not ask for"
    for pin in ask.pinned:
        if pin.ask != ask.key or pin.ground not in keys:
            yield "has a pinned session that names another ask or unknown ground"
        if not 0 <= pin.day < len(problem.days) or not problem.days[pin.day].dates:
            yield "has a pinned session on a day that is not in the plan"
        if pin.end_min - pin.start_min != ask.minutes:
            yield "has a pinned session of another length than the ask"


def _are_windows(problem: Problem, windows: Iterable[Window]) -> bool:
    return all(_is_range(problem, w.day, w.start_min, w.end_min) for w in windows)


def _is_range(problem: Problem, day: int, start_min: int, end_min: int) -> bool:
    return 0 <= day < len(problem.days) and 0 <= start_min < end_min
