"""What the pages of a squad and of a coach have to say, held to the books."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING
from unittest.mock import patch

from clubplanner.domain.club.people import Person, Role
from clubplanner.services.coach import ground_page
from clubplanner.services.coach.coach_pages import see_coach, see_weeks
from clubplanner.services.coach.ground_page import see_ground
from tests.builders import LONDON

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date, datetime

    from clubplanner.services.showing.states.ahead import Missed
    from clubplanner.services.showing.states.state_shown import StateShown
    from tests.world.world import Follower, Standing, World


@contextmanager
def nothing_drawn() -> Iterator[None]:
    """Leave drawings out of pages: they take most of the time and say no state."""
    with patch.object(ground_page, "draw_ground_plan", lambda _plan: ""):
        yield


def hold_squad_page(world: World, follower: Follower) -> None:
    """Hold a squad's page to the books: the next date that had anything, and the list behind it."""
    with nothing_drawn():
        page = see_ground(world.store, follower.secret, None, world.now)
    own = [one for one in world.ahead() if follower.follows(one)]
    own.sort(key=lambda one: (one.starts_at, one.number))
    listed = [(one.day, one.times, outcome(one.state)) for one in page.coming]
    expected = [(date_of(one.starts_at), times(one.spot), world.state_of(one)) for one in own]
    assert listed == expected, f"{page.squad.name}: the list"
    dates = {date_of(one.starts_at) for one in own if not one.is_withdrawn}
    dates |= {date_of(starts_at) for _area, starts_at, _ends in missed(world, own)}
    if dates:
        assert page.day == min(dates), f"{page.squad.name}: the next date"
    hold_missed(world, page.missed, own, page.day)
    for session in page.sessions:
        one = next((one for one in own if one.number == session.number), None)
        if one is not None:
            assert outcome(session.state) == world.state_of(one), f"{one} on its page"


def hold_coach_page(world: World) -> None:
    """Hold the page of somebody who looks after all squads to the books."""
    own = world.ahead()
    keys = frozenset(one.squad for one in world.standing())
    kim = Person(1, "Kim", Role.COACH, "", keys)
    with nothing_drawn():
        page = see_coach(world.store, kim, world.now)
    lines = [line for week in see_weeks(world.store, kim, world.now).weeks for line in week.lines]
    listed = {line.number: outcome(line.state) for line in lines}
    assert listed == {one.number: world.state_of(one) for one in own}, "the coach's list"
    live = [one for one in own if not one.is_withdrawn]
    if live:
        first = min(date_of(one.starts_at) for one in live)
        shown = {ground.number: outcome(ground.state) for ground in page.sessions}
        there = [one for one in live if date_of(one.starts_at) == first]
        assert shown == {one.number: world.state_of(one) for one in there}, "the next grounds"
    gone = missed(world, own)
    dates = {date_of(one.starts_at) for one in live} | {date_of(start) for _a, start, _e in gone}
    if dates:
        hold_missed(world, page.missed, own, min(dates))


def hold_missed(
    world: World, shown: tuple[Missed, ...], own: list[Standing], day: date | None
) -> None:
    """Hold the banner of what is off or on another date to the books."""
    expected = {
        (date_of(spot[1]), times(spot)) for spot in missed(world, own) if date_of(spot[1]) == day
    }
    assert {(one.day, one.times) for one in shown} == expected, "the banner"
    by_number = {one.number: one for one in own}
    for line in shown:
        assert outcome(line.state) == world.state_of(by_number[line.number]), f"{line}"


def missed(world: World, own: list[Standing]) -> list[tuple[int, datetime, datetime]]:
    """Return where and when nobody has to set out for sessions that they know of, until then.

    What is off is told where it stood last, and on the date for which it was made.
    """
    return [spot for one in own for spot in _missed(world, one)]


def _missed(world: World, one: Standing) -> Iterator[tuple[int, datetime, datetime]]:
    told: set[date] = set()
    for spot in (one.spot, world.planned[one.number]):
        day = date_of(spot[1])
        is_told = one.is_withdrawn or day != date_of(one.starts_at)
        if is_told and spot[2] > world.now and day not in told:
            told.add(day)
            yield spot


def outcome(state: StateShown | None) -> str:
    """Return in a word what a page says of a session."""
    return "on" if state is None else state.outcome


def date_of(instant: datetime) -> date:
    """Return the date on the club's wall calendar."""
    return instant.astimezone(LONDON).date()


def times(spot: tuple[int, datetime, datetime]) -> str:
    """Write local times as pages do."""
    return "–".join(f"{instant.astimezone(LONDON):%H:%M}" for instant in spot[1:])
