"""Whether an ask can be had at all, whoever hands back what; and if not, why.

Nobody is to wait for what cannot come: a place at night, on a day without opening hours, in a
break, on ground that is closed or does not suit. What somebody holds may be handed back, so it
stands in nobody's way here.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.squads import LeastGround
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.times import TimeRange, clock_from_minute, day_in_words
from clubplanner.domain.times.windows import told_days, write_windows
from clubplanner.language import _
from clubplanner.services.giving.needs import need_of_ask, scene_of_ask
from clubplanner.services.places.places import find_places, is_open, starts_of
from clubplanner.services.rows.snapshot import load_breaks

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.places.places import Need, Scene
    from clubplanner.store.tables.season_tables import WaitingAskRow


def why_never(session: Session, row: WaitingAskRow, now: datetime) -> Problem | None:
    """Say why an ask cannot be had even if everybody handed back what they have.

    Args:
        session: An open session.
        row: The ask, written down.
        now: The present instant.

    Returns:
        The fault, at the field of the form that asks; None while there is hope.
    """
    gap = next((g for g in load_breaks(session) if g.holds(row.day)), None)
    if gap is not None and not row.wants_more:
        words = _(
            "%(name)s, %(first)s to %(last)s: there is no training then; choose another date.",
            name=gap.name,
            first=day_in_words(gap.starts_on),
            last=day_in_words(gap.ends_on),
        )
        return Problem("date", "break", words)
    need = need_of_ask(session, row, now)
    if need is None:
        words = _("What is left of this time is too short; choose a later one.")
        return Problem("from", "passed", words)
    scene = scene_of_ask(session, row)
    closed = [b for b in scene.bookings if b.purpose is Purpose.CLOSED]
    if find_places(replace(scene, bookings=closed), need, most=1):
        return None
    return _not_open(scene, need, row) or _does_not_suit(scene, need, closed, row)


def _not_open(scene: Scene, need: Need, row: WaitingAskRow) -> Problem | None:
    length = timedelta(minutes=row.minutes)
    ranges = [TimeRange(start, start + length) for start in starts_of(scene.club, need)]
    zone = scene.club.time_zone
    if any(is_open(venue, during, zone) for venue in scene.venues for during in ranges):
        return None
    if not any(w.weekday == row.day.weekday() for v in scene.venues for w in v.opening):
        words = _(
            "No venue is open on %(day)s; choose another date. Open: %(hours)s.",
            day=day_in_words(row.day),
            hours=_hours(scene.venues),
        )
        return Problem("date", "closed", words)
    between = f"{clock_from_minute(row.from_min)}–{clock_from_minute(row.to_min)}"
    words = _(
        "No venue is open for %(minutes)s minutes between %(between)s; choose other times. "
        "Open that day: %(hours)s.",
        minutes=row.minutes,
        between=between,
        hours=_hours_on(scene.venues, row.day),
    )
    return Problem("from", "closed", words)


def _does_not_suit(
    scene: Scene, need: Need, closed: Sequence[Booking], row: WaitingAskRow
) -> Problem:
    """Say what keeps a session off all ground that is open then: closures, size, kind or light."""
    empty = replace(scene, bookings=())
    if find_places(empty, need, most=1):
        words = _(
            "All ground that would do is closed then: %(reasons)s. Choose another time.",
            reasons=", ".join(dict.fromkeys(booking.holder for booking in closed)),
        )
        return Problem("date", "closed", words)
    ask = need.ask
    any_size = None if ask is None else replace(ask, least_ground=LeastGround())
    if find_places(empty, replace(need, ask=any_size), most=1):
        if row.wants_more:
            words = _("There is no larger ground that would do then, whoever has it.")
        else:
            words = _("No ground that would do then is as large as that; ask for less.")
        return Problem("part", "too-large", words)
    if ask is not None and not ask.needs_light and find_places(_lit(empty), need, most=1):
        words = _("It is dark by then on all ground that would do; choose an earlier time.")
        return Problem("to", "dark", words)
    words = _(
        "No ground that is open then has the surface, the lights or the goal that the squad asks "
        "for. The secretary can change what it asks for."
    )
    return Problem("squad", "unsuited", words)


def _lit(scene: Scene) -> Scene:
    """Return a scene in which it never gets dark."""
    return replace(
        scene,
        venues=[
            replace(venue, pitches=tuple(replace(pitch, is_lit=True) for pitch in venue.pitches))
            for venue in scene.venues
        ],
    )


def _hours(venues: Sequence[Venue]) -> str:
    return "; ".join(f"{v.name} {told_days(write_windows(v.opening))}" for v in venues if v.opening)


def _hours_on(venues: Sequence[Venue], day: date) -> str:
    """Write when each venue is open on a date: "Marsh Lane 17:00–22:00; Hill 09:00–12:00"."""
    lines = []
    for venue in venues:
        windows = [w for w in venue.opening if w.weekday == day.weekday()]
        if windows:
            times = ", ".join(
                f"{clock_from_minute(w.start_min)}–{clock_from_minute(w.end_min)}" for w in windows
            )
            lines.append(f"{venue.name} {times}")
    return "; ".join(lines)
