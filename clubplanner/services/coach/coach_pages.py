"""A coach's own pages: what the squads they look after have ahead of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.coming_weeks import Meeting, Week, compare_weeks
from clubplanner.domain.rules.times.light import ends_in_the_dark
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    day_from_today,
    day_in_words,
    instant_from_wall,
    minute_from_instant,
    range_from_wall,
)
from clubplanner.errors import MissingError
from clubplanner.language import _, date_in_words, marked
from clubplanner.outputs.drawings.ground_plan import draw_ground_plan
from clubplanner.services.coach.ground_page import dark_warning, ends_in_words
from clubplanner.services.rows.named import find_pitch
from clubplanner.services.rows.snapshot import (
    load_bookings,
    load_breaks,
    load_club,
    load_venues,
)
from clubplanner.services.showing.ahead import load_ahead
from clubplanner.services.showing.light_words import light_in_words
from clubplanner.services.showing.neighbours import at_the_start, neighbours_of
from clubplanner.services.showing.plans import followers_in_words, plan_for_squad, times_in_words
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.people import Person
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.showing.ahead import Ahead, Missed
    from clubplanner.services.showing.state_shown import StateShown
    from clubplanner.store.engine import Store

COMING_WEEKS = 6
"""Weeks that a coach's page shows, from that of the next session on."""


@dataclass(frozen=True, slots=True)
class NextGround:
    """The ground of a session on the next day that has one: what counts at the touchline.

    Attributes:
        number: The booking's number.
        squad_key: Whose it is.
        squad_name: Whose, in words.
        day: The local date.
        day_words: The date with its weekday.
        times: Local times.
        area_name: Which part of the pitch.
        is_whole: Whether that is the whole pitch.
        pitch_name: Which pitch.
        venue_key: Where.
        venue_name: Where, in words.
        ends: Which way the plan lies.
        next_door: Who is beside it when the session starts.
        followers: Who comes on the pitch while it runs, and when, in a sentence.
        cautions: Darkness, and conditions of the ground.
        drawing: The plan, SVG.
        state: What to say before all of that; None for a session that is on as planned.
    """

    number: int
    squad_key: str
    squad_name: str
    day: date
    day_words: str
    times: str
    area_name: str
    is_whole: bool
    pitch_name: str
    venue_key: str
    venue_name: str
    ends: str
    next_door: tuple[str, ...]
    followers: str
    cautions: tuple[str, ...]
    drawing: str
    state: StateShown | None = None


@dataclass(frozen=True, slots=True)
class SessionLine:
    """A session in the coming weeks.

    Attributes:
        number: The booking's number.
        squad_key: Whose it is.
        squad_name: Whose, in words.
        day: The local date.
        day_words: The date with its weekday, without the year.
        times: Local times.
        place: Area and pitch.
        differs: How it differs from the usual session; empty when it does not.
        state: What to say of it instead; None for a session that is on as planned.
    """

    number: int
    squad_key: str
    squad_name: str
    day: date
    day_words: str
    times: str
    place: str
    differs: tuple[str, ...]
    state: StateShown | None = None


@dataclass(frozen=True, slots=True)
class WeekShown:
    """A week ahead: its name, its sessions, and the usual ones it goes without, in sentences."""

    name: str
    lines: tuple[SessionLine, ...]
    gaps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CoachPage:
    """What a coach starts on.

    Attributes:
        squads: Key and name of those looked after, in the club's order.
        missed: What is off or elsewhere on the next day that was to have anything.
        next_grounds: The sessions of the next day that has any.
        weeks: The coming weeks.
    """

    squads: tuple[tuple[str, str], ...]
    missed: tuple[Missed, ...]
    next_grounds: tuple[NextGround, ...]
    weeks: tuple[WeekShown, ...]


def see_coach(store: Store, person: Person, now: datetime) -> CoachPage:
    """Show what a coach's squads have ahead of them."""
    with store.read() as session:
        zone = load_club(session).time_zone
        squads = own_squads(session, person)
        today = now.astimezone(zone).date()
        names = {squad.key: squad.name for squad in squads}
        venues = load_venues(session)
        ahead = _ahead(session, [squad.id for squad in squads], venues, zone, now)
        if not ahead.bookings:
            return CoachPage(tuple(names.items()), (), (), ())
        day = ahead.first_day()
        days = sorted({_local_day(booking, zone) for booking in ahead.live})
        next_day = next(iter(days), today)
        that_day = range_from_wall(next_day, 0, MINUTES_A_DAY, zone)
        others = load_bookings(session, that_day)
        breaks = load_breaks(session)
    weeks = compare_weeks([_meeting(b, venues, names, zone) for b in ahead.bookings], breaks)
    grounds = [
        _next_ground(booking, venues, others, names, ahead)
        for booking in ahead.live
        if _local_day(booking, zone) == next_day
    ]
    return CoachPage(
        tuple(names.items()),
        ahead.missed(day),
        tuple(grounds),
        tuple(_week_shown(week, _monday(today), names, ahead) for week in weeks),
    )


def own_squads(session: Session, person: Person) -> Sequence[SquadRow]:
    """Return the squads somebody looks after, in the club's order."""
    query = select(SquadRow).where(SquadRow.key.in_(sorted(person.squad_keys)))
    return session.scalars(query.order_by(SquadRow.position)).all()


def refuse_evening_of_others(store: Store, person: Person, venue_key: str, day: date) -> None:
    """Refuse a coach the evening of a venue at which none of their squads is on that day.

    Raises:
        MissingError: If it is not theirs to see; the same whether anybody is there or not.
    """
    with store.read() as session:
        during = range_from_wall(day, 0, MINUTES_A_DAY, load_club(session).time_zone)
        found = session.scalars(
            select(BookingRow.id)
            .join(BookingRow.squad)
            .join(BookingRow.pitch)
            .join(PitchRow.venue)
            .where(
                SquadRow.key.in_(sorted(person.squad_keys)),
                VenueRow.key == venue_key,
                BookingRow.is_withdrawn.is_(False),
                *BookingRow.running_between(during.starts_at, during.ends_at),
            )
        ).first()
    if found is None:
        raise MissingError(_("None of your squads is at this venue on that day."))


def _ahead(
    session: Session,
    squads: Sequence[int],
    venues: Sequence[Venue],
    zone: ZoneInfo,
    now: datetime,
) -> Ahead:
    """Return the sessions ahead, for some weeks from that of the next one on."""
    first = session.scalars(
        select(BookingRow.starts_at)
        .where(
            BookingRow.squad_id.in_(squads),
            BookingRow.is_withdrawn.is_(False),
            *BookingRow.not_over(now),
        )
        .order_by(BookingRow.starts_at)
        .limit(1)
    ).first()
    begins = (first or now).astimezone(zone).date()
    end_day = _monday(begins) + timedelta(weeks=COMING_WEEKS)
    return load_ahead(session, squads, instant_from_wall(end_day, 0, zone), venues, zone, now)


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _local_day(booking: Booking, zone: ZoneInfo) -> date:
    return booking.during.starts_at.astimezone(zone).date()


def _place(booking: Booking, venues: Sequence[Venue]) -> str:
    venue, pitch = find_pitch(venues, booking.pitch_key)
    area = pitch.area(booking.area_key)
    parts = [area.name] if area.cut == "whole" else [area.name, pitch.name]
    return ", ".join([*parts, venue.name] if len(venues) > 1 else parts)


def _meeting(
    booking: Booking, venues: Sequence[Venue], names: Mapping[str, str], zone: ZoneInfo
) -> Meeting:
    day = _local_day(booking, zone)
    return Meeting(
        number=booking.number,
        squad=names[booking.squad_key or ""],
        day=day,
        start_min=minute_from_instant(booking.during.starts_at, day, zone),
        end_min=minute_from_instant(booking.during.ends_at, day, zone),
        place=_place(booking, venues),
    )


def _week_shown(
    week: Week,
    this_monday: date,
    names: Mapping[str, str],
    ahead: Ahead,
) -> WeekShown:
    lines = []
    zone = ahead.teller.zone
    bookings = {booking.number: booking for booking in ahead.bookings}
    for meeting, differs in week.meetings:
        booking = bookings[meeting.number]
        key = booking.squad_key or ""
        lines.append(
            SessionLine(
                number=booking.number,
                squad_key=key,
                squad_name=names[key],
                day=meeting.day,
                day_words=date_in_words(meeting.day, marked("EEEE d MMMM")),
                times=times_in_words(booking, zone),
                place=meeting.place,
                differs=differs,
                state=ahead.shown(booking),
            )
        )
    several = len(names) > 1
    gaps = tuple(
        (f"{gap.squad}: " if several else "")
        + (
            _("No session on %(day)s", day=day_in_words(gap.day))
            if not several
            else _("no session on %(day)s", day=day_in_words(gap.day))
        )
        + (f", {gap.reason}." if gap.reason else ".")
        for gap in week.gaps
    )
    return WeekShown(_week_name(week.monday, this_monday), tuple(lines), gaps)


def _week_name(monday: date, this_monday: date) -> str:
    ahead = (monday - this_monday).days // 7
    near = (_("This week"), _("Next week"))
    return (
        near[ahead] if ahead < len(near) else _("Week of %(monday)s", monday=day_in_words(monday))
    )


def _next_ground(
    booking: Booking,
    venues: Sequence[Venue],
    others: Sequence[Booking],
    names: Mapping[str, str],
    ahead: Ahead,
) -> NextGround:
    zone = ahead.teller.zone
    venue, pitch = find_pitch(venues, booking.pitch_key)
    area = pitch.area(booking.area_key)
    day = _local_day(booking, zone)
    neighbours = neighbours_of(pitch, booking, others)
    light = light_in_words(pitch, venue, day, zone)
    dark = dark_warning(ends_in_the_dark(pitch, venue, booking.during, zone), zone, light)
    state = ahead.shown(booking)
    plan = plan_for_squad(pitch, booking, neighbours, zone, state)
    return NextGround(
        number=booking.number,
        squad_key=booking.squad_key or "",
        squad_name=names[booking.squad_key or ""],
        day=day,
        day_words=day_from_today(day, ahead.today),
        times=times_in_words(booking, zone),
        area_name=area.name,
        is_whole=area.cut == "whole",
        pitch_name=pitch.name,
        venue_key=venue.key,
        venue_name=venue.name,
        ends=ends_in_words(pitch),
        next_door=tuple(n.sentence for n in at_the_start(neighbours) if n.is_next_door),
        followers=followers_in_words(neighbours, zone),
        cautions=(dark,) if dark else (),
        drawing=draw_ground_plan(plan),
        state=state,
    )
