"""Whether an ask can be had at all, whoever hands back what; and if not, why.

Nobody is to wait for what cannot come: a place at night, on a day without opening hours, in a
break, on ground that is closed or does not suit. What somebody holds may be handed back, so it
stands in nobody's way here.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.problems import Problem
from clubplanner.domain.rules.ground.closed_ground import NAME as CLOSED
from clubplanner.domain.rules.ground.enough_ground import NAME as ENOUGH
from clubplanner.domain.rules.ground.load import NAME as LOAD
from clubplanner.domain.rules.people.coach import NAME as COACH
from clubplanner.domain.rules.people.evenings_in_a_row import NAME as IN_A_ROW
from clubplanner.domain.rules.people.one_a_day import NAME as ONE_A_DAY
from clubplanner.domain.rules.people.rest import NAME as REST
from clubplanner.domain.rules.people.travel import NAME as TRAVEL
from clubplanner.domain.rules.times.curfew import NAME as CURFEW
from clubplanner.domain.rules.times.earliest_start import NAME as EARLIEST_START
from clubplanner.domain.rules.times.latest_finish import NAME as LATEST_FINISH
from clubplanner.domain.rules.times.light import NAME as LIGHT
from clubplanner.domain.rules.times.opening_hours import NAME as OPENING_HOURS
from clubplanner.domain.rules.times.own_season import NAME as OWN_SEASON
from clubplanner.domain.times.times import clock_from_minute, day_in_words
from clubplanner.domain.times.windows import told_days, write_windows
from clubplanner.language import _
from clubplanner.services.giving.needs import need_of_ask, scene_of_ask
from clubplanner.services.places.places import what_hinders
from clubplanner.services.rows.snapshot import load_breaks

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.rules.case import Hindrance, Scene
    from clubplanner.services.places.places import Need
    from clubplanner.store.tables.season_tables import WaitingAskRow

FIELDS = {
    OWN_SEASON: "date",
    LATEST_FINISH: "to",
    EARLIEST_START: "from",
    COACH: "from",
    TRAVEL: "from",
    ONE_A_DAY: "date",
    REST: "date",
    IN_A_ROW: "date",
    LOAD: "date",
}
"""Where a form can change what a rule refuses, in the order in which they are told."""


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
    scene = replace(scene, bookings=[b for b in scene.bookings if _stays(scene, b, need)])
    found = what_hinders(scene, need)
    if found == ():
        return None
    if not found:
        return Problem("part", "too-large", _("There is no larger ground, whoever has it."))
    return _told(scene, row, found)


def _stays(scene: Scene, booking: Booking, need: Need) -> bool:
    """Tell whether a booking stands in the way whoever hands back: closures, and their own.

    What a squad or its coach has themselves is told now; they need not wait for it.
    """
    key = need.booking.squad_key or ""
    own = booking.squad_key == key or (
        scene.coach_of(key) and scene.coach_of(booking.squad_key or "") == scene.coach_of(key)
    )
    return booking.purpose is Purpose.CLOSED or bool(own and booking.number != need.booking.number)


def _told(scene: Scene, row: WaitingAskRow, found: Sequence[Hindrance]) -> Problem:
    """Say at the field of the form that can change it what stands in the way."""
    rules = {one.rule for one in found}
    if OPENING_HOURS in rules:
        return _not_open(scene, row)
    if CLOSED in rules:
        words = _(
            "All ground that would do is closed then: %(reasons)s. Choose another time.",
            reasons=", ".join(
                dict.fromkeys(b.holder for one in found if one.rule == CLOSED for b in one.holders)
            ),
        )
        return Problem("date", "closed", words)
    if rules & {LIGHT, CURFEW}:
        words = _("It is dark by then on all ground that would do; choose an earlier time.")
        return Problem("to", "dark", words)
    for name, field in FIELDS.items():
        if name in rules:
            return Problem(field, "rule", next(one.words for one in found if one.rule == name))
    if rules <= {ENOUGH} and row.wants_more:
        words = _("There is no larger ground that would do then, whoever has it.")
        return Problem("part", "too-large", words)
    if rules <= {ENOUGH}:
        words = _("No ground that would do then is as large as that; ask for less.")
        return Problem("part", "too-large", words)
    words = _(
        "No ground that is open then has the surface, the lights or the goal that the squad asks "
        "for. The secretary can change what it asks for."
    )
    return Problem("squad", "unsuited", words)


def _not_open(scene: Scene, row: WaitingAskRow) -> Problem:
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
