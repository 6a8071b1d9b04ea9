"""One evening as it was said to be: who comes, when, and how much ground their numbers need.

What was said for a date (`domain.club.turnouts`) goes before what squads ask for every week. It
holds for share-outs of that evening alone, by whichever page or command.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.squads import Ask as ClubAsk
from clubplanner.domain.club.squads import LeastGround
from clubplanner.domain.times.times import MINUTES_A_DAY
from clubplanner.domain.times.times import Window as ClubWindow
from clubplanner.fitting.games.sizes import usual_m2
from clubplanner.services.rows.ground.known_sizes import published_bands
from clubplanner.services.rows.people.turnouts import load_turnouts, with_turnout
from clubplanner.services.rows.seasons.squad_seasons import squads_out_of_season
from clubplanner.services.rows.snapshot import load_zone

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.squads import Squad
    from clubplanner.domain.club.turnouts import Turnout
    from clubplanner.sharing.values.problem import Ask, Placement, Problem

USUAL_MINUTES = 75
"""Length of a session of a squad that asks for nothing, where none is said."""
FIRST_NUMBER = -1000
"""Asks made for one evening are numbered downward from here by the squads' order."""


@dataclass(frozen=True, slots=True)
class Felt:
    """A problem in which numbers count.

    Attributes:
        problem: With more ground for the asks in `asked_m2`.
        asked_m2: What these asked for by themselves, square metres, by their keys.
    """

    problem: Problem
    asked_m2: Mapping[str, float]

    def eased(self, part: float, keys: Collection[str]) -> Felt:
        """Let asks do with a part of what their numbers need, never less than they ask for.

        Args:
            part: Of the ground needed, 0 to 1.
            keys: Which asks.
        """
        asks = tuple(
            replace(ask, least_m2=max(self.asked_m2[ask.key], part * ask.least_m2))
            if ask.key in keys and ask.key in self.asked_m2
            else ask
            for ask in self.problem.asks
        )
        return replace(self, problem=replace(self.problem, asks=asks))


@dataclass(frozen=True, slots=True)
class Said:
    """What holds for one evening.

    Attributes:
        asks: The asks that hold for it, with their numbers.
        away: Keys of squads that stay away.
        trains: Keys of squads that have a training on it, fixed by hand or not.
    """

    asks: Sequence[tuple[int, ClubAsk]]
    away: frozenset[str]
    trains: frozenset[str]


def evening_as_said(
    session: Session,
    day: date,
    asks: Sequence[tuple[int, ClubAsk]],
    squads: Sequence[Squad],
    booked: Iterable[Booking],
) -> Said:
    """Put what was said of an evening together with the asks of its week.

    Args:
        session: An open session.
        day: The local date.
        asks: Of the week, with their numbers.
        squads: All squads, in the club's order.
        booked: What is booked around that date.
    """
    zone = load_zone(session)
    trains = frozenset(
        b.squad_key
        for b in booked
        if b.purpose is Purpose.TRAINING
        and b.squad_key
        and b.during.starts_at.astimezone(zone).date() == day
    )
    said = load_turnouts(session, day)
    out = squads_out_of_season(session, day)
    held = asks_for_tonight(asks, squads, said, day.weekday(), trains)
    return Said(
        asks=[(number, ask) for number, ask in held if ask.squad_key not in out],
        away=frozenset(key for key, one in said.items() if one.is_coming is False),
        trains=trains,
    )


def asks_for_tonight(
    asks: Sequence[tuple[int, ClubAsk]],
    squads: Sequence[Squad],
    said: Mapping[str, Turnout],
    weekday: int,
    trains: Collection[str],
) -> list[tuple[int, ClubAsk]]:
    """Change the asks of a week for what was said of one of its evenings.

    Args:
        asks: With their numbers.
        squads: All squads, in the club's order.
        said: By squad key.
        weekday: Of the evening, Monday 0.
        trains: Keys of squads that have a training that evening already.

    Returns:
        The asks, and one more for each squad that comes though nothing stands for it.
    """
    found = []
    for number, ask in asks:
        one = said.get(ask.squad_key)
        if one is not None:
            ask = _as_said(ask, one, weekday, is_new=ask.squad_key not in trains)
        found.append((number, ask))
    for position, squad in enumerate(squads):
        one = said.get(squad.key)
        if one is not None and one.is_coming and squad.key not in trains:
            own = [ask for _unused, ask in asks if ask.squad_key == squad.key]
            extra = _as_said(_on_top(squad.key, own, weekday), one, weekday, is_new=True)
            found.append((FIRST_NUMBER - position, extra))
    return found


def one_new_each(
    asks: Sequence[Ask], placements: Sequence[Placement], trains: Collection[str]
) -> tuple[Ask, ...]:
    """Leave out what would give a squad a second session on one evening."""
    placed = {place.ask for place in placements}
    served = {ask.squad for ask in asks if ask.key in placed} | set(trains)
    kept = []
    for ask in asks:
        if ask.key in placed or ask.squad not in served:
            kept.append(ask)
            served.add(ask.squad)
    return tuple(kept)


def with_numbers(
    problem: Problem,
    placements: Sequence[Placement],
    said: Mapping[str, Turnout],
    squads: Sequence[Squad],
) -> Felt:
    """Give every squad about as much ground as its numbers need, and never less than it asks for.

    A number that was said counts for everybody. The usual number of a squad counts only where it
    has no place yet and asks for no ground of a size: a plan that stands was made with the usual
    numbers in mind. Nobody needs more than the largest ground that is any good to them.

    Args:
        problem: An evening.
        placements: Where sessions stand.
        said: What was said of the evening, by squad key.
        squads: All squads.
    """
    by_key = {squad.key: squad for squad in squads}
    placed = {place.ask for place in placements}
    asks, asked = [], {}
    for ask in problem.asks:
        one, squad = said.get(ask.squad), by_key.get(ask.squad)
        is_said = one is not None and one.players is not None
        says_nothing = not (ask.least_m2 or ask.least_share or ask.least_format)
        if squad is not None and (is_said or (says_nothing and ask.key not in placed)):
            here = with_turnout(squad, one) if one is not None else squad
            needed = usual_m2(published_bands(), here.players, here.goalkeepers)
            needed = min(needed, _largest_m2(problem, ask))
            if needed > ask.least_m2:
                asked[ask.key] = ask.least_m2
                ask = replace(ask, least_m2=needed)
        asks.append(ask)
    return Felt(replace(problem, asks=tuple(asks)), asked)


def _as_said(ask: ClubAsk, said: Turnout, weekday: int, *, is_new: bool) -> ClubAsk:
    if said.window is not None:
        ask = replace(ask, possible=(ClubWindow(weekday, *said.window),), preferred=())
    if said.minutes is not None and is_new:
        ask = replace(ask, minutes=said.minutes)
    return ask


def _on_top(squad_key: str, own: Sequence[ClubAsk], weekday: int) -> ClubAsk:
    """Make an ask for a squad that comes on a day it does not ask for: like its first one."""
    windows = [window for ask in own for window in ask.possible]
    start = min((window.start_min for window in windows), default=0)
    end = max((window.end_min for window in windows), default=MINUTES_A_DAY)
    possible = (ClubWindow(weekday, start, end),)
    if own:
        return replace(own[0], sessions=1, possible=possible, preferred=())
    return ClubAsk(
        squad_key=squad_key,
        sessions=1,
        minutes=USUAL_MINUTES,
        possible=possible,
        preferred=(),
        least_ground=LeastGround(),
        surfaces=frozenset(),
        needs_goal=False,
        needs_light=False,
    )


def _largest_m2(problem: Problem, ask: Ask) -> float:
    """Return the size of the largest ground that an ask does not rule out, square metres."""
    return max(
        (
            ground.area_m2
            for ground in problem.grounds
            if (not ask.surfaces or ground.surface in ask.surfaces)
            and (not ask.venues or ground.venue in ask.venues)
            and (not ask.needs_goal or ground.has_goal)
            and (not ask.needs_light or ground.is_lit or ground.is_indoor)
            and (ask.least_format is None or ask.least_format in ground.formats)
        ),
        default=0.0,
    )
