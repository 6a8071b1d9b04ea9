"""Sessions of weeks that a stretch gains or loses, judged by the rule book; nothing is booked."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.rules.book import hindrances
from clubplanner.domain.times.seasons import Stretch, training_dates
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    each_date,
    instant_from_wall,
)
from clubplanner.domain.times.year import SquadSeason
from clubplanner.language import _
from clubplanner.services.places.places import Need, find_places
from clubplanner.services.places.ruling import case_at
from clubplanner.services.places.scenes import LATER, load_scenes
from clubplanner.services.proposals.kept_proposals import turns_in_force
from clubplanner.services.rows.seasons.squad_seasons import load_squad_seasons
from clubplanner.services.rows.snapshot import WITH_NAMES, booking_from_row, load_breaks
from clubplanner.services.season.habits import read_habits
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.places import Place
    from clubplanner.domain.rules.case import Hindrance, Scene
    from clubplanner.services.season.habits import Habit

MOST_PLACES = 4
"""Other places that are offered for one session."""


@dataclass(frozen=True, slots=True)
class Wish:
    """A session on a new date, like one of the weeks before.

    Attributes:
        habit: What it is like.
        day: The local date.
        booking: As it would stand, with a number of its own below nought.
        found: The rules that stand in the way.
    """

    habit: Habit
    day: date
    booking: Booking
    found: tuple[Hindrance, ...] = ()

    @property
    def key(self) -> str:
        """What names it in a form."""
        return f"{self.habit.like.id}-{self.day.isoformat()}"

    @property
    def is_held(self) -> bool:
        """Whether its ground is held or closed, which nobody can overrule."""
        return any(one.is_final for one in self.found)

    @property
    def is_as_before(self) -> bool:
        """Whether it may be there: freely, or against rules that were overruled all along."""
        if not self.found:
            return True
        return bool(self.habit.like.overruled) and not self.is_held


@dataclass(frozen=True, slots=True)
class Plan:
    """What other dates of a stretch would change.

    Attributes:
        wishes: Sessions on new dates.
        standing: How many of the kind are booked there already.
        not_continued: Whose sessions do not go on, with why, a sentence each.
        gone: Trainings on dates that the stretch no longer holds.
        scene: The club round the new dates, with all the wishes there; None without any.
    """

    wishes: tuple[Wish, ...]
    standing: int
    not_continued: tuple[str, ...]
    gone: tuple[BookingRow, ...]
    scene: Scene | None

    @property
    def digest(self) -> str:
        """A short text that is the same while all that is."""
        parts = [f"w{one.key}.{len(one.found)}" for one in self.wishes]
        parts += [f"g{row.id}.{row.sequence}" for row in self.gone]
        return hashlib.sha256("|".join(parts).encode()).hexdigest()[:16]


def plan_dates(session: Session, old: Stretch, new: Stretch, now: datetime, zone: ZoneInfo) -> Plan:
    """Say what other dates of a stretch change.

    Args:
        session: An open session.
        old: The stretch as it is.
        new: As it is to be.
        now: The present instant; what lies before it stays.
        zone: The club's.
    """
    breaks = load_breaks(session)
    today = now.astimezone(zone).date()
    was, will = training_dates(old, breaks), training_dates(new, breaks)
    wishes: list[Wish] = []
    told: dict[str, None] = {}
    before = [day for day in will if today <= day < old.starts_on]
    after = [day for day in will if day >= today and day > old.ends_on]
    for days, from_the_start in ((before, True), (after, False)):
        habits = read_habits(session, was, zone, from_the_start=from_the_start) if days else []
        going_on, why_not = _that_go_on(session, old, habits, days)
        told |= dict.fromkeys(why_not)
        wishes += _wishes(going_on, days, now, zone)
    scene, wishes, standing = _judge(session, wishes)
    gone = _outside(session, old, new, now, zone)
    return Plan(tuple(wishes), standing, tuple(told), tuple(gone), scene)


def _that_go_on(
    session: Session, stretch: Stretch, habits: Iterable[Habit], days: Sequence[date]
) -> tuple[list[Habit], list[str]]:
    """Return the habits that go on, and a sentence for each squad whose do not."""
    turns = turns_in_force(session, stretch)
    in_turns = frozenset() if turns is None else turns.squads or frozenset()
    seasons = load_squad_seasons(session)
    going_on, told = [], []
    for habit in habits:
        squad = habit.like.squad
        if squad is None:
            continue
        if squad.key in in_turns:
            words = _("%(squad)s take turns: plan these again under Fair turns.", squad=squad.name)
            told.append(words)
        elif not seasons.get(squad.id, SquadSeason()).meets(days[0], days[-1]):
            told.append(_("%(squad)s train no more by then.", squad=squad.name))
        else:
            going_on.append(habit)
    return going_on, told


def _wishes(
    habits: Sequence[Habit], days: Sequence[date], now: datetime, zone: ZoneInfo
) -> list[Wish]:
    wishes: list[Wish] = []
    for day in days:
        for habit in habits:
            if habit.weekday != day.weekday():
                continue
            start = instant_from_wall(day, habit.start_min, zone)
            during = TimeRange(start, start + timedelta(minutes=habit.minutes))
            if start > now:
                like = booking_from_row(habit.like)
                booking = replace(like, number=-len(wishes) - 1, during=during)
                wishes.append(Wish(habit, day, booking))
    return wishes


def _judge(session: Session, wishes: Sequence[Wish]) -> tuple[Scene | None, list[Wish], int]:
    """Ask the rule book about each, all of them there; what is booked already is only counted."""
    if not wishes:
        return None, [], 0
    numbered = [
        replace(one, booking=replace(one.booking, number=-n)) for n, one in enumerate(wishes, 1)
    ]
    first, last = (pick(one.day for one in numbered) for pick in (min, max))
    scene = load_scenes(session, first, last)
    there = {(b.squad_key, b.pitch_key, b.area_key, b.during) for b in scene.bookings}
    seasons = scene.seasons
    new = [
        one
        for one in numbered
        if _place(one.booking) not in there
        and seasons.get(one.booking.squad_key or "", SquadSeason()).has(one.day)
    ]
    standing = sum(_place(one.booking) in there for one in numbered)
    scene = scene.with_booked(*(one.booking for one in new))
    return scene, [replace(one, found=_hindrances(scene, one.booking)) for one in new], standing


def _place(booking: Booking) -> tuple[str | None, str, str, TimeRange]:
    return booking.squad_key, booking.pitch_key, booking.area_key, booking.during


def _hindrances(scene: Scene, booking: Booking) -> tuple[Hindrance, ...]:
    pitch = scene.pitches[booking.pitch_key]
    area = pitch.area(booking.area_key)
    return hindrances(case_at(scene, booking, pitch, area, booking.during))


def _outside(
    session: Session, old: Stretch, new: Stretch, now: datetime, zone: ZoneInfo
) -> list[BookingRow]:
    """Return the squads' trainings to come on dates that the stretch no longer holds."""
    lost = {
        day
        for day in each_date(old.starts_on, old.ends_on)
        if not new.starts_on <= day <= new.ends_on
    }
    if not lost:
        return []
    rows = session.scalars(
        select(BookingRow)
        .where(
            BookingRow.purpose == Purpose.TRAINING,
            BookingRow.squad_id.is_not(None),
            BookingRow.is_withdrawn.is_(False),
            BookingRow.starts_at > now,
            BookingRow.starts_at >= instant_from_wall(min(lost), 0, zone),
            BookingRow.starts_at < instant_from_wall(max(lost), MINUTES_A_DAY, zone),
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
        .options(*WITH_NAMES)
    )
    return [row for row in rows if row.starts_at.astimezone(zone).date() in lost]


def places_for(plan: Plan, wish: Wish) -> tuple[Place, ...]:
    """Return free places for a session on a new date, an hour earlier or later at most."""
    scene, booking = plan.scene, wish.booking
    if scene is None:
        return ()
    key = booking.squad_key or ""
    case = case_at(
        scene,
        booking,
        scene.pitches[booking.pitch_key],
        scene.pitches[booking.pitch_key].area(booking.area_key),
        booking.during,
    )
    start = booking.during.starts_at
    need = Need(booking, case.ask, scene.squads.get(key), start - LATER, start + LATER)
    return find_places(scene.without({booking.number}), need, most=MOST_PLACES)
