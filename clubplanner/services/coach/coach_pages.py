"""A coach's own pages: what the squads they look after have ahead of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.told.coming_weeks import Meeting, Week, compare_weeks
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    day_in_words,
    instant_from_wall,
    minute_from_instant,
    range_from_wall,
)
from clubplanner.errors import MissingError
from clubplanner.language import _, date_in_words, marked
from clubplanner.services.coach.going_without import going_without
from clubplanner.services.coach.ground_page import show_session
from clubplanner.services.rows.named import find_pitch
from clubplanner.services.rows.snapshot import (
    load_bookings,
    load_breaks,
    load_club,
    load_venues,
)
from clubplanner.services.showing.ground.plans import times_in_words
from clubplanner.services.showing.states.ahead import load_ahead
from clubplanner.services.showing.states.squad_endings import endings_of
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
    from clubplanner.services.coach.ground_page import SessionShown
    from clubplanner.services.proposals.kept_reasons import RefusalsTold
    from clubplanner.services.showing.states.ahead import Ahead, Missed
    from clubplanner.services.showing.states.state_shown import StateShown
    from clubplanner.store.engine import Store

COMING_WEEKS = 6
"""Weeks that a coach sees ahead, from that of the next session on."""
NEAR_WEEKS = 2
"""Of these so many are told line by line even where everything is as usual."""


@dataclass(frozen=True, slots=True)
class SessionLine:
    """A session in the coming weeks.

    Attributes:
        number: The booking's number.
        squad_key: Whose it is.
        squad_name: Whose, in words.
        day: The local date.
        day_words: The date with its weekday, without the year.
        start_min: When it begins, minutes after local midnight.
        end_min: When it ends, minutes after the same midnight.
        times: The same in words.
        place: Area and pitch.
        differs: How it differs from the usual session; empty when it does not.
        state: What to say of it instead; None for a session that is on as planned.
    """

    number: int
    squad_key: str
    squad_name: str
    day: date
    day_words: str
    start_min: int
    end_min: int
    times: str
    place: str
    differs: tuple[str, ...]
    state: StateShown | None = None


@dataclass(frozen=True, slots=True)
class WeekShown:
    """A week ahead.

    Attributes:
        name: What it is called.
        lines: Its sessions.
        gaps: The usual sessions that it goes without, in sentences.
        is_near: Whether it is this week, the next, or the first that has anything.
    """

    name: str
    lines: tuple[SessionLine, ...]
    gaps: tuple[str, ...]
    is_near: bool = True

    @property
    def is_unusual(self) -> bool:
        """Whether there is more to tell than that everything is as usual."""
        return bool(self.gaps) or any(line.state or line.differs for line in self.lines)


@dataclass(frozen=True, slots=True)
class CoachPage:
    """What a coach starts on.

    Attributes:
        squads: Key and name of those looked after, in the club's order.
        missed: What is off or elsewhere on the next day that was to have anything.
        sessions: The sessions of the next day that has any.
        endings: Which of the squads end, a clause each.
    """

    squads: tuple[tuple[str, str], ...]
    missed: tuple[Missed, ...]
    sessions: tuple[SessionShown, ...]
    endings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WeeksPage:
    """The coming weeks of a coach.

    Attributes:
        squads: Key and name of those looked after, in the club's order.
        next_day: The local date of the sessions that the first page shows; None without any.
        weeks: The weeks.
        without: Those of the squads that go without in the published plan, and why.
        endings: Which of the squads end, a clause each.
    """

    squads: tuple[tuple[str, str], ...]
    next_day: date | None
    weeks: tuple[WeekShown, ...]
    without: tuple[RefusalsTold, ...] = ()
    endings: tuple[str, ...] = ()


def see_coach(store: Store, person: Person, now: datetime) -> CoachPage:
    """Show the ground of a coach's squads on the next day that has any."""
    with store.read() as session:
        zone = load_club(session).time_zone
        squads = own_squads(session, person)
        venues = load_venues(session)
        ahead = _ahead(session, [squad.id for squad in squads], venues, zone, now)
        names = tuple((squad.key, squad.name) for squad in squads)
        endings = endings_of(session, squads)
        next_day = _next_day(ahead)
        if next_day is None:
            missed = ahead.missed(ahead.first_day()) if ahead.bookings else ()
            return CoachPage(names, missed, (), endings)
        others = load_bookings(session, range_from_wall(next_day, 0, MINUTES_A_DAY, zone))
    return CoachPage(
        names,
        ahead.missed(ahead.first_day()),
        tuple(
            show_session(booking, venues, others, ahead, is_member=True)
            for booking in ahead.live
            if _local_day(booking, zone) == next_day
        ),
        endings,
    )


def see_weeks(store: Store, person: Person, now: datetime) -> WeeksPage:
    """Show the coming weeks of a coach's squads, with what differs from the usual."""
    with store.read() as session:
        zone = load_club(session).time_zone
        squads = own_squads(session, person)
        names = {squad.key: squad.name for squad in squads}
        venues = load_venues(session)
        ahead = _ahead(session, [squad.id for squad in squads], venues, zone, now)
        breaks = load_breaks(session)
        without = going_without(session, set(names.values()), ahead.today)
        endings = endings_of(session, squads)
    weeks = compare_weeks([_meeting(b, venues, names, zone) for b in ahead.bookings], breaks)
    monday = _monday(ahead.today)
    shown = [_week_shown(week, monday, names, ahead) for week in weeks]
    return WeeksPage(
        tuple(names.items()),
        _next_day(ahead),
        tuple(replace(week, is_near=n < NEAR_WEEKS) for n, week in enumerate(shown)),
        without,
        endings,
    )


def list_squads(store: Store, person: Person) -> tuple[tuple[str, str], ...]:
    """Return key and name of the squads somebody looks after, in the club's order."""
    with store.read() as session:
        return tuple((squad.key, squad.name) for squad in own_squads(session, person))


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


def _next_day(ahead: Ahead) -> date | None:
    """Return the local date of the next session that is on."""
    zone = ahead.teller.zone
    return min((_local_day(booking, zone) for booking in ahead.live), default=None)


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
                start_min=minute_from_instant(booking.during.starts_at, meeting.day, zone),
                end_min=minute_from_instant(booking.during.ends_at, meeting.day, zone),
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
