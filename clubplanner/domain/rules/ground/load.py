"""Load: a pitch is not used more in a week than the club lets it bear.

Minutes of the whole pitch count, rounded up to a minute, or sessions; less for the young.
"""

from __future__ import annotations

import math
from collections import defaultdict
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.ground.wear import MATCH_HOURS, weigh_percent
from clubplanner.domain.rules.case import Hindrance, WeekLimit
from clubplanner.domain.rules.ground.enough_ground import share_of_pitch
from clubplanner.domain.times.times import short_day
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.sharing_rules import SharingRules
    from clubplanner.domain.club.squads import Squad
    from clubplanner.domain.ground.grounds import Area, Pitch, Venue
    from clubplanner.domain.ground.wear import WearLimit
    from clubplanner.domain.rules.case import Case

NAME = marked("load of the pitch")
FULL_PERCENT = 100


def load(case: Case) -> Hindrance | None:
    """Refuse a training with which a pitch would be used beyond a limit in that week."""
    limits = case.scene.limits.get(case.pitch.key, ())
    if not limits or not case.is_training or case.squad is None:
        return None
    percent = case.scene.percents.get(case.squad.key, FULL_PERCENT)
    if percent == 0:
        return None
    monday = case.day - timedelta(days=case.day.weekday())
    used = _of_week(case)
    minutes = sum(_minutes_of(case, one) for one in used)
    sessions = sum(_percent_of(case, one) for one in used)
    own = minutes_of_pitch(case.pitch, case.area, case.during.minutes, percent)
    for limit in limits:
        if _passes(limit, minutes + own, sessions + percent):
            return Hindrance(
                NAME,
                _(
                    "%(pitch)s would be used more than it bears in the week of %(monday)s.",
                    pitch=case.pitch.name,
                    monday=short_day(monday),
                ),
            )
    return None


def minutes_of_pitch(pitch: Pitch, area: Area, minutes: int, percent: int) -> int:
    """Return what a session counts in minutes of the whole pitch, rounded up."""
    if area.twelfths is not None:
        return -(-minutes * percent * area.twelfths // 1200)
    return math.ceil(minutes * percent * share_of_pitch(pitch, area) / 100 - 1e-6)


def limits_of_pitches(
    rules: SharingRules, grass: Mapping[str, WearLimit], venues: Iterable[Venue]
) -> dict[str, tuple[WeekLimit, ...]]:
    """Return how much each pitch may be used: by the club's settings, and by what its grass bears.

    Match equivalents become hours at 90 minutes a match (common practice, no source); of the two
    limits of grass the tighter counts, and those of the settings count beside them.

    Args:
        rules: The club's own limits, which name pitches as people do; unknown names are left out.
        grass: What pitches bear, by pitch key.
        venues: All venues.

    Returns:
        The limits by pitch key; pitches without any are left out.
    """
    found: dict[str, list[WeekLimit]] = defaultdict(list)
    for venue in venues:
        for pitch in venue.pitches:
            named = plain_name(venue.name), plain_name(pitch.name)
            found[pitch.key] += [
                WeekLimit(one.minutes, one.sessions)
                for one in rules.limits
                if (plain_name(one.venue), plain_name(one.pitch)) == named
            ]
            limit = grass.get(pitch.key)
            matches = (
                None if limit is None or limit.matches is None else limit.matches * MATCH_HOURS
            )
            hours = [h for h in (None if limit is None else limit.hours, matches) if h is not None]
            if hours:
                found[pitch.key].append(WeekLimit(most_minutes=round(60 * min(hours))))
    return {key: tuple(dict.fromkeys(limits)) for key, limits in found.items() if limits}


def percents_of_squads(
    rules: SharingRules, grass: Mapping[str, WearLimit], squads: Iterable[Squad]
) -> dict[str, int]:
    """Return how much a squad's minute counts against limits, in percent, by the squad's key.

    By the club's table of ages; where that says nothing and pitches have limits for their grass,
    as published guidance weighs the young.
    """
    found = {}
    for squad in squads:
        percent = rules.for_age(squad.age).wear_percent
        if percent == FULL_PERCENT and grass:
            percent = weigh_percent(squad.age)
        found[squad.key] = percent
    return found


def _of_week(case: Case) -> Sequence[Booking]:
    monday = case.day - timedelta(days=case.day.weekday())
    sunday = monday + timedelta(days=6)
    return [
        one
        for one in case.others_on_dates(monday, sunday)
        if one.purpose is not Purpose.CLOSED
        and monday <= one.during.starts_at.astimezone(case.zone).date() <= sunday
    ]


def _percent_of(case: Case, one: Booking) -> int:
    return case.scene.percents.get(one.squad_key or "", FULL_PERCENT)


def _minutes_of(case: Case, one: Booking) -> int:
    area = case.pitch.area(one.area_key)
    return minutes_of_pitch(case.pitch, area, one.during.minutes, _percent_of(case, one))


def _passes(limit: WeekLimit, minutes: int, percents: int) -> bool:
    return (limit.most_minutes is not None and minutes > limit.most_minutes) or (
        limit.most_sessions is not None and percents > FULL_PERCENT * limit.most_sessions
    )
