"""Who is said to know of what was done, held to who should and to what reached them."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.club.told.notices import SOON
from clubplanner.services.mails.knowing import who_knows_of_changes
from tests.world.world import CONFIG, HOLDER, PARENT, differs

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.services.mails.knowing import Knowing
    from tests.world.world import News, Standing, World

AT_WORK = timedelta(hours=1)
"""Mails that wait longer may find nothing left to tell: the session would have been over."""


def hold_knowing(world: World, news: News) -> None:
    """Nobody who should know of something is missing from those told, who see it, or not reached.

    A squad is reached once one of its coaches is: the others are then not rung.
    """
    known = known_of(world, news)
    reached = [*known.by_mail, *known.by_calendar]
    heard = {one.name for one in reached}
    everybody = heard | {one.name for one in known.not_reached}
    for before, one in news.changed:
        if one.ends_at <= world.now or was_taken_back(world, one):
            continue
        coaches = {coach.name for coach in one.coaches}
        assert coaches & everybody, f"nobody is named for {one}: {known}"
        if not coaches & heard:
            assert one.coaches[0].name in everybody, f"{one.coaches[0]} is missing: {known}"
        if is_soon(before, one, news):
            silent = set(people_of(world, one)) - everybody
            assert not silent, f"{silent} of {one.name} are missing: {known}"


def hold_told(world: World, news: News) -> None:
    """Whoever is said to have been told by mail has it right in the calendar mails go to."""
    known = known_of(world, news)
    for told in known.by_mail:
        assert told.how.startswith("mailed"), f"{told} though all mails are out"
        squads = told.squads.split(", ")
        for before, one in news.changed:
            address = people_of(world, one).get(told.name)
            if one.ends_at <= world.now or one.name not in squads or address is None:
                continue
            if is_soon(before, one, news):
                now = next(each for each in world.standing() if each.number == one.number)
                entry = world.inboxes[address].entries.get(one.uid)
                if entry is None:
                    assert now.is_withdrawn or not differs_since(world, one), (
                        f"{told} has nothing of {now}"
                    )
                else:
                    assert entry.is_on is not now.is_withdrawn, f"{told}: {entry} but {now}"
    assert not any(line.why == "Nothing was mailed to them." for line in known.not_reached), (
        known.not_reached
    )


def was_taken_back(world: World, one: Standing) -> bool:
    """Tell whether a session is now what it was before the news of it, before anybody was told."""
    before = next(b for news in world.news for b, after in news.changed if after.uid == one.uid)
    return not differs(before, one)


def differs_since(world: World, one: Standing) -> bool:
    """Tell whether a session is elsewhere than it was made."""
    return world.planned[one.number] != one.spot


def known_of(world: World, news: News) -> Knowing:
    """Ask who knows of something that was done."""
    return who_knows_of_changes(world.store, CONFIG, news.numbers, world.now)


def is_soon(before: Standing | None, after: Standing, news: News) -> bool:
    """Tell whether a session was or is within a day."""
    held = [one for one in (before, after) if one is not None and not one.is_withdrawn]
    return any(one.ends_at > news.at and one.starts_at < news.at + SOON for one in held)


def people_of(world: World, one: Standing) -> dict[str, str]:
    """Return who has an address for mails about a session: name → address."""
    return dict(_people(world, one))


def _people(world: World, one: Standing) -> Iterator[tuple[str, str]]:
    now = next(each for each in world.standing() if each.number == one.number)
    for coach in now.coaches:
        if coach.email:
            yield coach.name, coach.email
    if one.squad_id == world.parents_of:
        yield HOLDER, PARENT
