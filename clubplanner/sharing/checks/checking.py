"""An independent check of a plan: every rule again, one at a time, in plain Python.

It shares nothing with the search but the values of `problem`, so that a mistake there cannot hide
here. Each rule is asked of one pitch and day, and of sessions that have such a place, an ask, a
squad or a coach in common; `by_place` only sorts them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import AREA_SLACK_M2, SHARE_SLACK
from clubplanner.sharing.checks.by_place import ByPlace, grouped, pairs_with_one_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.values.problem import Ask, Ground, Placement, Problem, Standing


@dataclass(frozen=True, slots=True)
class Fault:
    """A rule that a plan breaks.

    Attributes:
        code: Which rule, in one or two words.
        message: What is wrong, for the log and the tests.
        placements: The placements concerned.
    """

    code: str
    message: str
    placements: tuple[Placement, ...]


UNKNOWN = ("not asked for", "unknown ground", "unknown day", "length")
"""Codes of what no rule can be asked about."""


def check(problem: Problem, placements: Sequence[Placement]) -> tuple[Fault, ...]:
    """Check a plan against every rule of its problem.

    Args:
        problem: A problem without structural faults.
        placements: The plan, in any order.

    Returns:
        All faults; empty for a sound plan.
    """
    unknown = tuple(_unknown(problem, placements))
    if unknown:
        return unknown
    faults: list[Fault] = []
    asks = {ask.key: ask for ask in problem.asks}
    grounds = {ground.key: ground for ground in problem.grounds}
    places = ByPlace(problem)
    for placement in placements:
        ask, ground = asks[placement.ask], grounds[placement.ground]
        here = places.at(ground.pitch, placement.day)
        codes = list(venue_rules(here, ground, placement))
        if not _is_pin(ask, placement):
            codes += [*ground_rules(ask, ground), *time_rules(problem, ask, placement)]
        codes += date_rules(here, ground, placement)
        faults += [Fault(code, f"{placement} breaks: {code}", (placement,)) for code in codes]
    faults += _pins_kept(problem, placements)
    faults += _pairs(problem, placements)
    faults += rest_rules(problem, placements)
    faults += row_rules(problem, placements)
    faults += load_rules(problem, placements)
    return tuple(faults)


def _unknown(problem: Problem, placements: Sequence[Placement]) -> Iterator[Fault]:
    asks = {ask.key: ask for ask in problem.asks}
    grounds = {ground.key for ground in problem.grounds}
    for placement in placements:
        ask = asks.get(placement.ask)
        if ask is None or not 0 <= placement.session < ask.sessions:
            yield Fault("not asked for", f"nobody asks for {placement}", (placement,))
        elif placement.ground not in grounds:
            yield Fault("unknown ground", f"there is no {placement.ground}", (placement,))
        elif not 0 <= placement.day < len(problem.days) or not problem.days[placement.day].dates:
            yield Fault("unknown day", f"there is no day {placement.day}", (placement,))
        elif placement.end_min - placement.start_min != ask.minutes:
            yield Fault("length", f"{ask.key} asks for {ask.minutes} min", (placement,))


def _same_place(a: Placement, b: Placement) -> bool:
    return (a.session, a.ground, a.day, a.start_min, a.end_min) == (
        b.session,
        b.ground,
        b.day,
        b.start_min,
        b.end_min,
    )


def ground_rules(ask: Ask, ground: Ground) -> Iterator[str]:
    """Name the rules about ground that an ask would break there."""
    if ground.area_m2 < ask.least_m2 - AREA_SLACK_M2:
        yield "too small"
    if ground.share_of_pitch < ask.least_share - SHARE_SLACK:
        yield "too small a share"
    if ask.least_format is not None and ask.least_format not in ground.formats:
        yield "format"
    if ask.surfaces and ground.surface not in ask.surfaces:
        yield "surface"
    if ask.needs_goal and not ground.has_goal:
        yield "goal"
    if ask.needs_light and not ground.is_lit and not ground.is_indoor:
        yield "no floodlights"
    if ask.venues and ground.venue not in ask.venues:
        yield "venue"


def time_rules(problem: Problem, ask: Ask, placement: Placement) -> Iterator[str]:
    """Name the rules about times that a session of an ask breaks."""
    windows = [(w.start_min, w.end_min) for w in ask.possible if w.day == placement.day]
    if not is_covered(placement.start_min, placement.end_min, windows):
        yield "not possible then"
    on_step = placement.start_min % problem.step_minutes == 0
    if not on_step and all(placement.start_min != start for start, _ in windows):
        yield "start"
    is_school_day = problem.days[placement.day].weekday < 5
    earliest = ask.earliest_start_min if is_school_day else None
    if earliest is not None and placement.start_min < earliest:
        yield "earliest start"
    if ask.latest_finish_min is not None and placement.end_min > ask.latest_finish_min:
        yield "latest finish"
    weekday = problem.days[placement.day].weekday
    if any(weekday == (other - 1) % 7 for other in ask.no_day_before):
        yield "day before"
    if any(weekday == (other + 1) % 7 for other in ask.no_day_after):
        yield "day after"


def venue_rules(problem: Problem, ground: Ground, placement: Placement) -> Iterator[str]:
    """Name the rules of the venue that whoever is there then breaks: open, and not dark."""
    hours = [
        (opening.start_min, opening.end_min)
        for opening in problem.openings
        if opening.venue == ground.venue and opening.day == placement.day
    ]
    if not is_covered(placement.start_min, placement.end_min, hours):
        yield "closed"
    if ground.is_indoor:
        return
    dark = [
        rule
        for rule in problem.darkness
        if rule.venue == ground.venue and rule.day == placement.day
    ]
    off = [
        rule.from_min
        for rule in problem.lights_out
        if rule.venue == ground.venue
        and rule.day == placement.day
        and rule.pitch in (None, ground.pitch)
    ]
    is_early = any(placement.start_min < (rule.dawn_min or 0) for rule in dark)
    is_dark = any(placement.end_min > rule.from_min for rule in dark)
    is_off = any(placement.end_min > minute for minute in off)
    if (is_early and not ground.is_lit) or (is_dark and (is_off or not ground.is_lit)):
        yield "dark"


def is_covered(start_min: int, end_min: int, ranges: Sequence[tuple[int, int]]) -> bool:
    """Whether every minute from a start up to an end lies in one of the ranges.

    The first minute that is in none is the start, or the end of one of them.
    """
    ends = [end for _, end in ranges if start_min < end < end_min]
    return all(any(start <= minute < end for start, end in ranges) for minute in (start_min, *ends))


def date_rules(problem: Problem, ground: Ground, placement: Placement) -> list[str]:
    """Name the rules about standing bookings that whoever is there then breaks."""
    dates = problem.days[placement.day].dates
    taken = {
        booking.date
        for booking in problem.standing
        if booking.pitch == ground.pitch
        and booking.cells & ground.cells
        and placement.start_min < booking.end_min + _kept_free(problem, booking)
        and booking.start_min < placement.end_min + _kept_free(problem, booking)
    }
    lost: list[date] = [day for day in dates if day in taken]
    codes = []
    if tuple(lost) != placement.lost_dates:
        codes.append("lost dates")
    if len(lost) > problem.most_dates_lost * len(dates) or len(lost) == len(dates):
        codes.append("standing booking")
    return codes


def _kept_free(problem: Problem, booking: Standing) -> int:
    return problem.changeover_minutes if booking.needs_changeover else 0


def _pins_kept(problem: Problem, placements: Sequence[Placement]) -> Iterator[Fault]:
    own = grouped(placements, lambda item: item.ask)
    for ask in problem.asks:
        for pin in ask.pinned:
            if not any(_same_place(pin, placement) for placement in own[ask.key]):
                yield Fault("pin", f"{pin} was pinned and is not in the plan", (pin,))


def _pairs(problem: Problem, placements: Sequence[Placement]) -> Iterator[Fault]:
    asks = {ask.key: ask for ask in problem.asks}
    grounds = {ground.key: ground for ground in problem.grounds}
    neighbours = pairs_with_one_of(
        placements,
        lambda item: item.ask,
        lambda item: (asks[item.ask].squad, item.day),
        lambda item: asks[item.ask].coach and (asks[item.ask].coach, item.day),
        lambda item: (grounds[item.ground].pitch, item.day),
    )
    for a, b in neighbours:
        if a.ask == b.ask and a.session == b.session:
            yield Fault("twice", f"{a} and {b} are the same session", (a, b))
        if a.day != b.day:
            continue
        if a.ask == b.ask:
            yield Fault("same day", f"{a} and {b} are of one ask on one day", (a, b))
        ground_a, ground_b = grounds[a.ground], grounds[b.ground]
        gap = gap_between(a, b)
        shares = ground_a.pitch == ground_b.pitch and ground_a.cells & ground_b.cells
        if shares and gap < problem.changeover_minutes:
            yield Fault("clash", f"{a} and {b} share ground", (a, b))
        person = asks[a.ask].squad == asks[b.ask].squad or (
            asks[a.ask].coach is not None and asks[a.ask].coach == asks[b.ask].coach
        )
        away = ground_a.venue != ground_b.venue
        if person and gap < (problem.travel_minutes if away else 0):
            yield Fault("two places", f"{a} and {b} need one person twice", (a, b))


def gap_between(a: Placement, b: Placement) -> int:
    """Count the minutes between two sessions of a day; below 0 where they overlap."""
    return max(b.start_min - a.end_min, a.start_min - b.end_min)


def rest_rules(problem: Problem, placements: Sequence[Placement]) -> Iterator[Fault]:
    """Two sessions of a squad too few days apart, unless both are pinned."""
    asks = {ask.key: ask for ask in problem.asks}
    for a, b in pairs_with_one_of(placements, lambda item: asks[item.ask].squad):
        needed = max(asks[a.ask].rest_days, asks[b.ask].rest_days)
        if needed == 0 or all(_is_pin(asks[item.ask], item) for item in (a, b)):
            continue
        between = min(
            abs((one - other).days) - 1
            for one in problem.days[a.day].dates
            for other in problem.days[b.day].dates
        )
        if between < needed:
            yield Fault("rest", f"{a} and {b} are fewer than {needed} days apart", (a, b))


def row_rules(problem: Problem, placements: Sequence[Placement]) -> Iterator[Fault]:
    """A squad that trains on too many dates one after the other, not by pinned sessions alone.

    Each set of sessions that fills one date too many is told once, however often it comes back.
    """
    asks = {ask.key: ask for ask in problem.asks}
    by_squad = grouped(placements, lambda item: asks[item.ask].squad)
    for squad, own in grouped(problem.asks, lambda ask: ask.squad).items():
        allowed = [ask.most_in_a_row for ask in own if ask.most_in_a_row is not None]
        if not allowed:
            continue
        sessions, most = by_squad[squad], min(allowed)
        on_date: dict[int, list[Placement]] = {}
        for item in sessions:
            for when in problem.days[item.day].dates:
                on_date.setdefault(when.toordinal(), []).append(item)
        told: list[list[Placement]] = []
        length, before = 0, 0
        for last in sorted(on_date):
            length, before = (length + 1 if last == before + 1 else 1), last
            if length <= most:
                continue
            there = [on_date[when] for when in range(last - most, last + 1)]
            concerned = [item for item in sessions if any(item in items for items in there)]
            if concerned not in told and not all(_is_pin(asks[i.ask], i) for i in concerned):
                told.append(concerned)
                first = date.fromordinal(last - most)
                message = f"{squad} trains more than {most} days in a row from {first} on"
                yield Fault("evenings in a row", message, tuple(concerned))


def load_rules(problem: Problem, placements: Sequence[Placement]) -> Iterator[Fault]:
    """A week in which a pitch is used beyond its limit, unless by pinned sessions alone."""
    if not problem.loads:
        return
    asks = {ask.key: ask for ask in problem.asks}
    grounds = {ground.key: ground for ground in problem.grounds}
    by_pitch = grouped(placements, lambda item: grounds[item.ground].pitch)
    standing = grouped(problem.standing, lambda booking: booking.pitch)
    parts = grouped(problem.grounds, lambda ground: ground.pitch)
    by_day = [[(when, _week_of(when)) for when in day.dates] for day in problem.days]
    for load in problem.loads:
        weeks: dict[tuple[int, int], list[int]] = {}
        here = by_pitch[load.pitch]
        for number, item in enumerate(here):
            for when, week in by_day[item.day]:
                if when not in item.lost_dates:
                    weeks.setdefault(week, []).append(number)
        percents = [asks[item.ask].wear_percent for item in here]
        minutes = [
            _minutes(grounds[item.ground], item.end_min - item.start_min, percent)
            for item, percent in zip(here, percents, strict=True)
        ]
        matches = grouped(standing[load.pitch], lambda booking: _week_of(booking.date))
        for week, used in weeks.items():
            there = matches[week]
            lasts = sum(minutes[number] for number in used)
            lasts += sum(_standing_minutes(parts[load.pitch], booking) for booking in there)
            sessions = sum(percents[number] for number in used)
            sessions += sum(booking.wear_percent for booking in there)
            too_long = load.most_minutes is not None and lasts > load.most_minutes
            too_many = load.most_sessions is not None and sessions > 100 * load.most_sessions
            if (too_long or too_many) and any(
                percents[number] and not _is_pin(asks[here[number].ask], here[number])
                for number in used
            ):
                message = f"{load.pitch} is used beyond its limit in week {week}"
                yield Fault("load", message, tuple(here[number] for number in used))


@cache
def _week_of(day: date) -> tuple[int, int]:
    year, week, _weekday = day.isocalendar()
    return year, week


def _minutes(ground: Ground, minutes: int, percent: int) -> int:
    """What a booking counts in minutes of the whole pitch, rounded up."""
    if ground.share is None:
        return math.ceil(minutes * percent * ground.share_of_pitch / 100 - 1e-6)
    return -(-minutes * percent * ground.share // 1200)


def _standing_minutes(parts: Sequence[Ground], booking: Standing) -> int:
    around = [ground for ground in parts if ground.cells | booking.cells == ground.cells]
    length = booking.end_min - booking.start_min
    own = [_minutes(ground, length, booking.wear_percent) for ground in around]
    return min(own) if own else math.ceil(Fraction(length * booking.wear_percent, 100))


def _is_pin(ask: Ask, placement: Placement) -> bool:
    return any(_same_place(pin, placement) for pin in ask.pinned)
