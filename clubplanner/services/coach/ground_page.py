"""A squad's ground on a date, as its coach and its families see it.

What fits there is asked on a page of its own, `fits_page.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.ground.grounds import Area, Goal, GoalKind, Pitch, goals_on
from clubplanner.domain.ground.orientation.facing import (
    Edge,
    Facing,
    chosen_facing,
    edge_at_bottom,
    facing_deg,
    opposite,
)
from clubplanner.domain.ground.orientation.measures import size_in_words
from clubplanner.domain.rules.times.light import begins_in_the_dark, ends_in_the_dark
from clubplanner.domain.times.times import (
    TimeRange,
    clock_in_zone,
    day_from_today,
    day_in_words,
    near_day,
)
from clubplanner.geometry.frame import compass_point
from clubplanner.language import _, date_in_words, figure, marked, ngettext, sentence, term
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.services.coach.squad_evening import Evening, load_evening
from clubplanner.services.rows.named import find_pitch
from clubplanner.services.showing.ground.neighbours import (
    Neighbour,
    at_the_start,
    neighbours_of,
    those_who_follow,
)
from clubplanner.services.showing.ground.plans import is_off, plan_for_squad, times_in_words
from clubplanner.services.showing.ground.way_in_words import way_in_words
from clubplanner.services.showing.ground.way_there import WayThere, way_to
from clubplanner.services.showing.light_words import light_in_words

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.squads import Squad
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.addresses.links import OwnSquad
    from clubplanner.services.showing.states.ahead import Ahead, Missed
    from clubplanner.services.showing.states.state_shown import StateShown
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class SessionShown:
    """One booking as it is told to whoever has to be there: on every page in the same words.

    Attributes:
        number: The booking's number.
        change: How often it was changed.
        squad_key: Whose it is.
        squad_name: Whose, in words.
        day: The local date.
        day_words: The date with its weekday and year, or "Today" and "Tomorrow" with the weekday.
        times: Local times.
        starts: The local time at which it starts.
        purpose: Training, match and so on.
        area_name: Which part of the pitch.
        is_whole: Whether that is the whole pitch.
        pitch_name: Which pitch.
        venue_key: Where.
        venue_name: Where, in words.
        address: The venue's, as it was typed.
        surface: What the pitch is made of.
        size: Length and width of the part, in words.
        area_m2: Its ground in square metres, in words.
        ends: Which way the plan lies.
        goals: What stands on the part, and what can be brought on.
        next_door: Who is beside it when the session starts.
        also_there: Who else is on the pitch then.
        followers: Who comes on the pitch while it runs, and when.
        light: Until when there is light, and why.
        dark_warning: What to do where it begins or ends in the dark; blank where it does not.
        note: What was noted beside the booking.
        drawing: The plan, SVG.
        way_in: The way there in sentences; empty where it is not known.
        state: What to say before all of that; None for a session that is on as planned.
    """

    number: int
    change: int
    squad_key: str
    squad_name: str
    day: date
    day_words: str
    times: str
    starts: str
    purpose: str
    area_name: str
    is_whole: bool
    pitch_name: str
    venue_key: str
    venue_name: str
    address: str
    surface: str
    size: str
    area_m2: str
    ends: str
    goals: str
    next_door: tuple[str, ...]
    also_there: tuple[str, ...]
    followers: tuple[str, ...]
    light: str
    dark_warning: str
    note: str
    drawing: str
    way_in: tuple[str, ...] = ()
    state: StateShown | None = None
    way_there: WayThere | None = None


@dataclass(frozen=True, slots=True)
class ComingSession:
    """A later session in the list."""

    day: date
    day_words: str
    times: str
    place: str
    state: StateShown | None = None


@dataclass(frozen=True, slots=True)
class GroundPage:
    """What a squad's page of a date shows."""

    club_name: str
    squad: Squad
    day: date
    day_words: str
    missed: tuple[Missed, ...]
    sessions: tuple[SessionShown, ...]
    coming: tuple[ComingSession, ...]
    ending: str = ""

    @property
    def following(self) -> ComingSession | None:
        """The next session that is on."""
        return next_on(self.coming)


def see_ground(store: Store, secret: str | OwnSquad, day: date | None, now: datetime) -> GroundPage:
    """Show a squad's ground on a date.

    Args:
        store: The database.
        secret: The secret part of the squad's address, or a squad of one's own.
        day: The local date; None for that of the next session.
        now: The present instant.

    Raises:
        MissingError: If the address is not in use.
    """
    evening = load_evening(store, secret, day, now)
    day, ahead = evening.day, evening.ahead
    return GroundPage(
        club_name=evening.club.name,
        squad=evening.squad,
        day=day,
        day_words=day_from_today(day, ahead.today),
        missed=ahead.missed(day),
        sessions=tuple(
            show_session(b, evening.venues, evening.bookings, ahead, is_member=evening.is_member)
            for b in evening.here
        ),
        coming=coming_sessions(evening),
        ending=evening.ending,
    )


def coming_sessions(evening: Evening) -> tuple[ComingSession, ...]:
    """List what a squad has ahead of it, also what is off."""
    return tuple(
        _coming_session(booking, evening.venues, evening.ahead)
        for booking in evening.ahead.bookings
        if booking.during.starts_at < evening.until
    )


def next_on(coming: Sequence[ComingSession]) -> ComingSession | None:
    """Return the next session that is on."""
    return next((one for one in coming if one.state is None or not one.state.is_off), None)


def _coming_session(booking: Booking, venues: Sequence[Venue], ahead: Ahead) -> ComingSession:
    zone = ahead.teller.zone
    day = booking.during.starts_at.astimezone(zone).date()
    _unused, pitch = find_pitch(venues, booking.pitch_key)
    area = pitch.area(booking.area_key)
    place = part_in_words(area, pitch.name)
    return ComingSession(
        day,
        day_from_today(day, ahead.today),
        times_in_words(booking, zone),
        place,
        ahead.shown(booking),
    )


def show_session(
    own: Booking,
    venues: Sequence[Venue],
    bookings: Sequence[Booking],
    ahead: Ahead,
    *,
    is_member: bool = False,
) -> SessionShown:
    """Tell of a squad's session: where, when, which way, who is there, light.

    Args:
        own: The booking, of a squad.
        venues: All venues of the club.
        bookings: Everybody's on that date.
        ahead: What the squad has ahead of it.
        is_member: Whether it is told to somebody signed in who looks after the squad.
    """
    zone = ahead.teller.zone
    day = own.during.starts_at.astimezone(zone).date()
    state = ahead.shown(own)
    venue, pitch = find_pitch(venues, own.pitch_key)
    area = pitch.area(own.area_key)
    neighbours = neighbours_of(pitch, own, bookings)
    there = at_the_start(neighbours)
    light = light_in_words(pitch, venue, day, zone)
    way = None if is_off(own, state) else way_in_words(pitch, area, neighbours, zone)
    return SessionShown(
        number=own.number,
        change=own.sequence,
        squad_key=own.squad_key or "",
        squad_name=own.holder,
        day=day,
        day_words=_day_at_hand(day, ahead.today),
        times=times_in_words(own, zone),
        starts=clock_in_zone(own.during.starts_at, zone),
        purpose=own.purpose.value,
        area_name=area.name,
        is_whole=area.cut == "whole",
        pitch_name=pitch.name,
        venue_key=venue.key,
        venue_name=venue.name,
        address=venue.address,
        surface=pitch.surface,
        size=size_in_words(area.length_m, area.width_m),
        area_m2=figure(area.area_m2, ",.0f"),
        ends=ends_in_words(pitch),
        goals=_goals_in_words(area, pitch),
        next_door=_when_in_words([n for n in there if n.is_next_door], own.during, zone),
        also_there=_when_in_words([n for n in there if not n.is_next_door], own.during, zone),
        followers=tuple(n.follows_in_words(zone) for n in those_who_follow(neighbours)),
        light=light.sentence,
        dark_warning=dark_warning(pitch, venue, own.during, zone),
        note=own.note,
        drawing=draw_ground_plan(plan_for_squad(pitch, own, neighbours, zone, state, way)),
        way_in=() if way is None else way.lines,
        state=state,
        way_there=way_to(venue, pitch, is_member=is_member),
    )


def _day_at_hand(day: date, today: date) -> str:
    """Write a date as `day_from_today` does, today's and tomorrow's without the year."""
    near = near_day(day, today)
    if near is None:
        return day_in_words(day)
    date_told = date_in_words(day, marked("EEEE d MMMM"))
    return f"{sentence(near)}, {date_told}"


def _when_in_words(
    neighbours: Sequence[Neighbour], own: TimeRange, zone: ZoneInfo
) -> tuple[str, ...]:
    """Name neighbours, with their times where these differ from one's own."""
    return tuple(
        n.sentence
        if n.booking.during == own
        else f"{n.sentence}, {times_in_words(n.booking, zone)}"
        for n in neighbours
    )


def ends_in_words(pitch: Pitch) -> str:
    """Say which way the plan of a pitch lies."""
    edges, bottom = pitch.edges, edge_at_bottom(pitch)
    top = opposite(bottom)
    if chosen_facing() is Facing.LYING:
        top = Edge.FAR
        words = _(
            "%(start)s on the left of the plan, %(far)s on the right",
            start=edges.start,
            far=edges.far,
        )
    else:
        words = _(
            "%(bottom)s at the bottom of the plan, %(top)s at the top",
            bottom=getattr(edges, bottom),
            top=getattr(edges, top),
        )
    if pitch.frame is None:
        return f"{words}."
    return _(
        "%(words)s (towards the %(point)s).",
        words=words,
        point=term(compass_point(facing_deg(pitch.frame, top))),
    )


def _goals_in_words(area: Area, pitch: Pitch) -> str:
    goals = goals_on(area, pitch.goals)
    parts = [_goal_in_words(goal) for goal in goals]
    counted = [
        part if parts.count(part) == 1 else f"{parts.count(part)} × {part}"
        for part in dict.fromkeys(parts)
    ]
    none = _("No goal stands on it") if pitch.are_goals_known else _("Its goals are not recorded")
    words = "; ".join(counted) or none
    if pitch.portable_goals:
        words += ngettext(
            ". %(num)s portable goal can be brought on",
            ". %(num)s portable goals can be brought on",
            pitch.portable_goals,
        )
    return f"{words}."


def _goal_in_words(goal: Goal) -> str:
    kind = _("Fixed goal") if goal.kind is GoalKind.FIXED else _("Portable goal")
    return f"{kind}, {figure(goal.width_m, '.2f')} × {figure(goal.height_m, '.2f')} m"


def dark_warning(pitch: Pitch, venue: Venue, during: TimeRange, zone: ZoneInfo) -> str:
    """Say that a session begins or ends in the dark, and what to do; blank when it does not."""
    day = during.starts_at.astimezone(zone).date()
    light = light_in_words(pitch, venue, day, zone)
    words = []
    if begins_in_the_dark(pitch, venue, during, zone) and light.usable_from is not None:
        dawn = clock_in_zone(light.usable_from, zone)
        words.append(
            _(
                "This session begins before there is light enough: stay off the ground until "
                "%(dawn)s.",
                dawn=dawn,
            )
        )
    if ends_in_the_dark(pitch, venue, during, zone):
        if light.usable_until is None:
            return _("This session would be in the dark: ask the secretary for other ground.")
        until = clock_in_zone(light.usable_until, zone)
        words.append(
            _(
                "This session ends after there is light enough: be off the ground by %(until)s.",
                until=until,
            )
        )
    return " ".join(words)
