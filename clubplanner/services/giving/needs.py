"""What an ask of the waiting list needs, for finding free ground."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose, draft_booking
from clubplanner.domain.club.squads import Ask, LeastGround
from clubplanner.domain.times.times import TimeRange, Window, instant_from_wall
from clubplanner.services.places.places import Need, ask_for
from clubplanner.services.places.scenes import load_people, load_scene
from clubplanner.services.rows.snapshot import booking_from_row, load_breaks, load_zone

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.rules.case import Scene
    from clubplanner.store.tables.season_tables import WaitingAskRow

MORE = 1.2
"""More ground is at least this many times what the session has."""


def scene_of_ask(session: Session, row: WaitingAskRow) -> Scene:
    """Return the club on the ask's day; a session that wants more ground is lifted."""
    scene = load_scene(session, row.day)
    return scene.without({row.booking_id}) if row.wants_more and row.booking_id else scene


def need_of_ask(session: Session, row: WaitingAskRow, now: datetime) -> Need | None:
    """Return what an ask needs; None where it cannot be any more.

    That is once its time has passed, its session is gone, or its date has become part of a break.
    """
    zone = load_zone(session)
    if not row.wants_more and any(gap.holds(row.day) for gap in load_breaks(session)):
        return None
    squads, asks = load_people(session)
    earliest = max(now, instant_from_wall(row.day, row.from_min, zone))
    latest = instant_from_wall(row.day, row.to_min, zone) - timedelta(minutes=row.minutes)
    if latest < earliest:
        return None
    window = Window(row.day.weekday(), row.from_min, row.to_min)
    if row.wants_more:
        if row.booking is None or row.booking.is_withdrawn:
            return None
        booking = booking_from_row(row.booking)
        least = LeastGround(area_m2=MORE * row.booking.area.polygon.area)
    else:
        booking = _empty_booking(row, instant_from_wall(row.day, row.from_min, zone), now)
        least = LeastGround(share=row.least_share)
    usual = ask_for(booking, asks)
    wanted = Ask(
        squad_key=row.squad.key,
        sessions=1,
        minutes=row.minutes,
        possible=(window,),
        preferred=(),
        least_ground=least,
        surfaces=frozenset() if usual is None else usual.surfaces,
        needs_goal=False if usual is None else usual.needs_goal,
        needs_light=False if usual is None else usual.needs_light,
    )
    need = Need(
        booking=booking,
        ask=wanted,
        squad=squads.get(row.squad.key),
        earliest=earliest,
        latest=latest,
    )
    return replace(need, earliest=booking.during.starts_at) if row.wants_more else need


def _empty_booking(row: WaitingAskRow, start: datetime, now: datetime) -> Booking:
    """Return a session that stands nowhere yet, at the earliest time asked for."""
    return draft_booking(
        number=-row.id,
        during=TimeRange(start, start + timedelta(minutes=row.minutes)),
        purpose=Purpose.TRAINING,
        squad_key=row.squad.key,
        holder=row.squad.name,
        changed_at=now,
    )
