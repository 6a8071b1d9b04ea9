"""A squad's evening as it is loaded: whose ground, who is there, and what was typed about it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    end_of_day,
    instant_from_wall,
    range_from_wall,
)
from clubplanner.fitting.setting_out.ways import MOST_PLAYERS
from clubplanner.services.addresses.links import OneSession, OwnSquad, squad_of_secret
from clubplanner.services.coach.fits.fit_places import FitPlace, FitWish, neighbours_there
from clubplanner.services.rows.coach_rows import coaches_from_row
from clubplanner.services.rows.ground.own_sizes import load_own_formats
from clubplanner.services.rows.named import find_pitch
from clubplanner.services.rows.people.turnouts import load_turnout, with_turnout
from clubplanner.services.rows.snapshot import (
    load_bookings,
    load_club,
    load_venues,
    squad_from_row,
)
from clubplanner.services.showing.states.ahead import load_ahead
from clubplanner.services.showing.states.squad_endings import ending_of, squad_on
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.turn_tables import earlier_name

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.club.squads import Squad
    from clubplanner.domain.ground.formats import GameFormat
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.showing.states.ahead import Ahead
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.squad_tables import SquadRow

COMING_SESSIONS = 8
LOOKED_AHEAD = timedelta(days=366)
"""How far sessions are looked for where there are fewer than that."""


@dataclass(frozen=True, slots=True)
class FitForm:
    """What was typed about tonight; None where nothing was."""

    players: int | None = None
    goalkeepers: int | None = None
    length_m: float | None = None
    width_m: float | None = None
    portable_goals: int | None = None
    pace_m: float | None = None
    target_goals: int | None = None
    margin_m: float | None = None


@dataclass(frozen=True, slots=True)
class Evening:
    """What a squad's page for a date is made of.

    Attributes:
        club: The club's settings.
        squad: Whose page it is.
        day: The date.
        venues: All of them.
        bookings: Everybody's on that date.
        here: The squad's own of them.
        own: The club's own formats.
        ahead: The squad's sessions up to that date at least.
        until: Until when they are listed.
        is_member: Whether it is looked at by somebody signed in who looks after the squad.
        ending: That the squad of the address ends, in words; blank where it does not.
    """

    club: ClubSettings
    squad: Squad
    day: date
    venues: Sequence[Venue]
    bookings: Sequence[Booking]
    here: Sequence[Booking]
    own: Sequence[GameFormat]
    ahead: Ahead
    until: datetime
    is_member: bool = False
    ending: str = ""

    def session(self, number: int | None) -> Booking | None:
        """Return one of the squad's own sessions of the date.

        Args:
            number: The booking; None, or one that is not among them, for the first.
        """
        first = next(iter(self.here), None)
        return next((booking for booking in self.here if booking.number == number), first)


def load_evening(store: Store, secret: str | OwnSquad, day: date | None, now: datetime) -> Evening:
    """Load what a squad's page for a date is made of.

    Args:
        store: The database.
        secret: The secret part of the squad's address, a squad of one's own, or one session of it.
        day: The local date; None for that of the next session.
        now: The present instant.

    Raises:
        MissingError: If the address is not in use.
    """
    only = secret.number if isinstance(secret, OneSession) else None
    with store.read() as session:
        club = load_club(session)
        zone = club.time_zone
        own_row = squad_of_secret(session, secret)
        ending = ending_of(session, own_row)
        row = squad_on(session, own_row, day or now.astimezone(zone).date())
        venues = load_venues(session)
        ahead, until = _ahead(session, row, venues, zone, day, now)
        if day is None:
            day = ahead.first_day() or now.astimezone(zone).date()
        said = load_turnout(session, row.id, day)
        squad = with_turnout(squad_from_row(row, coaches_from_row(row)), said)
        during = range_from_wall(day, 0, MINUTES_A_DAY, zone)
        squad = replace(squad, name=earlier_name(session, row.id, during.starts_at) or squad.name)
        bookings = load_bookings(session, during)
        here = [b for b in bookings if b.squad_key == squad.key and _starts_on(b, day, zone)]
        here = [b for b in here if only is None or b.number == only]
        own = load_own_formats(session)
        is_member = isinstance(secret, OwnSquad) and only is None
        return Evening(
            club, squad, day, venues, bookings, here, own, ahead, until, is_member, ending
        )


def with_squad(form: FitForm, squad: Squad) -> FitForm:
    """Fill in from the squad what was not typed, as far as it can be worked with."""
    players = min(squad.players, MOST_PLAYERS) if form.players is None else form.players
    keepers = min(squad.goalkeepers, players) if form.goalkeepers is None else form.goalkeepers
    return replace(form, players=players, goalkeepers=keepers)


def wish_from_form(form: FitForm, squad: Squad) -> FitWish:
    """Put what was typed together with what is known of the squad."""
    whole = with_squad(form, squad)
    return FitWish(
        players=whole.players or 0,
        goalkeepers=whole.goalkeepers or 0,
        length_m=whole.length_m,
        width_m=whole.width_m,
        age=squad.age,
        portable_goals=whole.portable_goals,
        pace_m=whole.pace_m,
        target_goals=whole.target_goals or 0,
        margin_m=whole.margin_m,
    )


def place_of(own: Booking, evening: Evening) -> FitPlace:
    """Put a booking as the place where it is asked what fits."""
    pitch = find_pitch(evening.venues, own.pitch_key)[1]
    halls = [other for venue in evening.venues for other in venue.pitches if other.is_indoor]
    there = neighbours_there(pitch, own, evening.bookings)
    return FitPlace(pitch, pitch.area(own.area_key), evening.day, evening.own, halls, there)


def _starts_on(booking: Booking, day: date, zone: ZoneInfo) -> bool:
    return booking.during.starts_at.astimezone(zone).date() == day


def _ahead(
    session: Session,
    squad: SquadRow,
    venues: Sequence[Venue],
    zone: ZoneInfo,
    day: date | None,
    now: datetime,
) -> tuple[Ahead, datetime]:
    """Return the squad's sessions up to the day asked for, and until when they are listed."""
    starts = session.scalars(
        select(BookingRow.starts_at)
        .where(
            BookingRow.squad_id == squad.id,
            BookingRow.is_withdrawn.is_(False),
            *BookingRow.not_over(now),
        )
        .order_by(BookingRow.starts_at)
        .limit(COMING_SESSIONS)
    ).all()
    last = starts[-1] if len(starts) == COMING_SESSIONS else now + LOOKED_AHEAD
    until = end_of_day(last + timedelta(minutes=1), zone)
    asked = until if day is None else instant_from_wall(day, MINUTES_A_DAY, zone)
    return load_ahead(session, [squad.id], max(until, asked), venues, zone, now), until
