"""The asks of an evening or a week as they are booked: who has what, and who lacks a session."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from functools import cache, partial
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.keys import ground_key
from clubplanner.domain.times.times import MINUTES_A_DAY, minute_from_instant
from clubplanner.services.problem.standing_people import Span, does_stand, without
from clubplanner.sharing.values.problem import Ask, Placement
from clubplanner.sharing.values.wants import Window

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.times.times import TimeRange
    from clubplanner.sharing.values.problem import Problem

_Busy = dict[str, list[Span]]
"""By squad, when it or its coach is elsewhere."""


@dataclass(frozen=True, slots=True)
class AsBooked:
    """Asks, and where their sessions are."""

    asks: tuple[Ask, ...]
    placements: tuple[Placement, ...]


@dataclass(frozen=True, slots=True)
class _Spot:
    """A booking of the week: where, and on which day of the plan if on one."""

    booking: Booking
    date: date
    day: int | None
    start_min: int
    end_min: int

    @property
    def minutes(self) -> int:
        return self.end_min - self.start_min

    @property
    def is_movable(self) -> bool:
        return self.day is not None and not does_stand(self.booking)


def asks_as_booked(
    problem: Problem,
    booked: Sequence[Booking],
    dropped: frozenset[str],
    zone: ZoneInfo,
    *,
    fills: bool,
    one: bool,
) -> AsBooked:
    """Turn the asks of a week into asks for the days of a plan.

    Args:
        problem: The plan, a day a date, with the asks of a whole week.
        booked: All bookings of the week; training that is not fixed may be moved.
        dropped: Squads that need no sessions; their asks are left out.
        zone: The club's time zone.
        fills: Whether sessions that squads lack in this week are asked for as well.
        one: Whether at most one of them an ask.

    Returns:
        An ask for each that has a session on these days or lacks one, no longer possible while
        its squad or coach is elsewhere, and the places booked.
    """
    spots = _spots(problem, booked, zone)
    coaches = {ask.squad: ask.coach for ask in problem.asks}
    busy = _busy(spots, coaches)
    training = [spot for spot in spots if spot.booking.purpose is Purpose.TRAINING]
    left: dict[str | None, list[_Spot]] = defaultdict(list)
    for spot in training:
        left[spot.booking.squad_key].append(spot)
    asks: list[Ask] = []
    placements: list[Placement] = []
    for ask in problem.asks:
        own = _own_spots(ask, left[ask.squad])
        left[ask.squad] = [spot for spot in left[ask.squad] if spot not in own]
        movable = [spot for spot in own if spot.is_movable]
        lacking = max(0, ask.sessions - len(own)) if fills and ask.possible else 0
        sessions = len(movable) + (min(lacking, 1 - bool(movable)) if one else lacking)
        if ask.squad not in dropped and sessions > 0:
            asks.append(replace(without(ask, busy.get(ask.squad, [])), sessions=sessions))
            placements += [_placement(ask.key, n, spot) for n, spot in enumerate(movable)]
    for spot in training:
        if spot not in left[spot.booking.squad_key]:
            continue
        if spot.is_movable and spot.booking.squad_key not in dropped:
            extra = _ask_of(problem, spot, coaches)
            extra = without(extra, busy.get(extra.squad, []))
            asks.append(extra)
            placements.append(_placement(extra.key, 0, spot))
    return AsBooked(tuple(asks), tuple(placements))


def _spots(problem: Problem, booked: Iterable[Booking], zone: ZoneInfo) -> list[_Spot]:
    days = {when: day.index for day in problem.days for when in day.dates}
    local = cache(partial(_local, zone=zone))  # many are at the same time
    found = []
    for booking in booked:
        if not booking.squad_key or booking.is_withdrawn:
            continue
        when, start, end = local(booking.during)
        found.append(_Spot(booking, when, days.get(when), start, end))
    return found


def _local(during: TimeRange, zone: ZoneInfo) -> tuple[date, int, int]:
    """Return on which date something begins, and its first minute and the one after its last."""
    when = during.starts_at.astimezone(zone).date()
    start = minute_from_instant(during.starts_at, when, zone)
    return when, start, minute_from_instant(during.ends_at, when, zone)


def _busy(spots: Iterable[_Spot], coaches: dict[str, str | None]) -> _Busy:
    """List by squad when it or its coach is somewhere that stays."""
    busy: _Busy = defaultdict(list)
    coached: dict[str, set[str]] = defaultdict(set)
    for squad, name in coaches.items():
        if name is not None:
            coached[name].add(squad)
    for spot in spots:
        if spot.day is None or spot.is_movable:
            continue
        own = spot.booking.squad_key or ""
        coach = coaches.get(own)
        for squad in {own} | (coached[coach] if coach is not None else set()):
            busy[squad].append((spot.day, spot.start_min, spot.end_min))
    return busy


def _own_spots(ask: Ask, spots: Iterable[_Spot]) -> list[_Spot]:
    """Choose among a squad's bookings those that serve an ask: of its length, one a date."""
    own: list[_Spot] = []
    for spot in spots:
        if (
            spot.minutes == ask.minutes
            and len(own) < ask.sessions
            and spot.date not in {o.date for o in own}
        ):
            own.append(spot)
    return own


def _ask_of(problem: Problem, spot: _Spot, coaches: dict[str, str | None]) -> Ask:
    """Make an ask for a session that no ask of its squad speaks of: that day, as much ground."""
    booking, day = spot.booking, spot.day or 0
    key = ground_key(booking.pitch_key, booking.area_key)
    ground = next((ground for ground in problem.grounds if ground.key == key), None)
    own = [ask for ask in problem.asks if ask.squad == booking.squad_key]
    windows = (Window(day, 0, MINUTES_A_DAY),)
    like = own[0] if own else None
    return Ask(
        key=f"booking-{booking.number}",
        squad=booking.squad_key or "",
        squad_name=booking.holder,
        coach=coaches.get(booking.squad_key or ""),
        sessions=1,
        minutes=spot.minutes,
        possible=windows if like is None else like.possible or windows,
        least_m2=0.0 if ground is None else ground.area_m2,
    )


def _placement(ask: str, session: int, spot: _Spot) -> Placement:
    ground = ground_key(spot.booking.pitch_key, spot.booking.area_key)
    return Placement(ask, session, ground, spot.day or 0, spot.start_min, spot.end_min)
