"""The coach's page: a squad's ground on a date, and what fits there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import Area, Goal, GoalKind, Pitch, Venue, goals_on
from clubplanner.domain.ground.measures import size_in_words
from clubplanner.domain.rules.times.light import ends_in_the_dark
from clubplanner.domain.times.times import (
    TimeRange,
    clock_in_zone,
    day_from_today,
)
from clubplanner.geometry.frame import compass_point
from clubplanner.language import _, figure, ngettext, term
from clubplanner.outputs.drawings.ground_plan import draw_ground_plan
from clubplanner.services.coach.kept_fits import fits_digest
from clubplanner.services.coach.session_sizes import FitShown, see_what_fits
from clubplanner.services.coach.squad_evening import (
    Evening,
    FitForm,
    load_evening,
    place_of,
    wish_from_form,
    with_squad,
)
from clubplanner.services.rows.named import find_pitch
from clubplanner.services.showing.light_words import LightWords, light_in_words
from clubplanner.services.showing.neighbours import (
    Neighbour,
    at_the_start,
    neighbours_of,
    those_who_follow,
)
from clubplanner.services.showing.plans import is_off, plan_for_squad, times_in_words
from clubplanner.services.showing.way_in_words import way_in_words

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.squads import Squad
    from clubplanner.services.addresses.links import OwnSquad
    from clubplanner.services.showing.ahead import Ahead, Missed
    from clubplanner.services.showing.state_shown import StateShown
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class SessionShown:
    """One booking as its coach sees it."""

    number: int
    change: int
    times: str
    starts: str
    purpose: str
    area_name: str
    pitch_name: str
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
    fit: FitShown
    is_whole: bool
    fits_digest: str = ""
    way_in: tuple[str, ...] = ()
    state: StateShown | None = None


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
    """What the coach's page shows."""

    club_name: str
    squad: Squad
    players: int
    goalkeepers: int
    length_m: float | None
    width_m: float | None
    day: date
    day_words: str
    missed: tuple[Missed, ...]
    sessions: tuple[SessionShown, ...]
    coming: tuple[ComingSession, ...]

    @property
    def following(self) -> ComingSession | None:
        """The next session that is on."""
        on = (one for one in self.coming if one.state is None or not one.state.is_off)
        return next(on, None)


def see_ground(
    store: Store, secret: str | OwnSquad, day: date | None, form: FitForm, now: datetime
) -> GroundPage:
    """Show a squad's ground on a date.

    Args:
        store: The database.
        secret: The secret part of the squad's address, or a squad of one's own.
        day: The local date; None for that of the next session.
        form: What the coach typed; what is missing comes from the head count that was said for
            that day, else from the squad.
        now: The present instant.

    Raises:
        MissingError: If the address is not in use.
        RefusedError: If what was typed cannot be used.
    """
    evening = load_evening(store, secret, day, now)
    squad, day, ahead = evening.squad, evening.day, evening.ahead
    form = with_squad(form, squad)
    return GroundPage(
        club_name=evening.club.name,
        squad=squad,
        players=form.players or 0,
        goalkeepers=form.goalkeepers or 0,
        length_m=form.length_m,
        width_m=form.width_m,
        day=day,
        day_words=day_from_today(day, ahead.today),
        missed=ahead.missed(day),
        sessions=tuple(_see_session(b, evening, form) for b in evening.here),
        coming=tuple(
            _coming_session(b, evening.venues, ahead)
            for b in ahead.bookings
            if b.during.starts_at < evening.until
        ),
    )


def _coming_session(booking: Booking, venues: Sequence[Venue], ahead: Ahead) -> ComingSession:
    zone = ahead.teller.zone
    day = booking.during.starts_at.astimezone(zone).date()
    _unused, pitch = find_pitch(venues, booking.pitch_key)
    area = pitch.area(booking.area_key)
    place = area.name if area.cut == "whole" else f"{area.name}, {pitch.name}"
    return ComingSession(
        day,
        day_from_today(day, ahead.today),
        times_in_words(booking, zone),
        place,
        ahead.shown(booking),
    )


def _see_session(own: Booking, evening: Evening, form: FitForm) -> SessionShown:
    squad, day, ahead = evening.squad, evening.day, evening.ahead
    zone = ahead.teller.zone
    state = ahead.shown(own)
    venue, pitch = find_pitch(evening.venues, own.pitch_key)
    area = pitch.area(own.area_key)
    neighbours = neighbours_of(pitch, own, evening.bookings)
    there = at_the_start(neighbours)
    light = light_in_words(pitch, venue, day, zone)
    place = place_of(own, evening)
    way = None if is_off(own, state) else way_in_words(pitch, area, neighbours, zone)
    return SessionShown(
        number=own.number,
        change=own.sequence,
        times=times_in_words(own, zone),
        starts=clock_in_zone(own.during.starts_at, zone),
        purpose=own.purpose.value,
        area_name=area.name,
        pitch_name=pitch.name,
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
        dark_warning=dark_warning(ends_in_the_dark(pitch, venue, own.during, zone), zone, light),
        note=own.note,
        drawing=draw_ground_plan(plan_for_squad(pitch, own, neighbours, zone, state, way)),
        fit=see_what_fits(place, wish_from_form(form, squad)),
        fits_digest=fits_digest(place, wish_from_form(FitForm(), squad)),
        way_in=() if way is None else way.lines,
        is_whole=area.cut == "whole",
        state=state,
    )


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
    words = _(
        "%(start)s on the left of the plan, %(far)s on the right",
        start=pitch.edges.start,
        far=pitch.edges.far,
    )
    if pitch.frame is None:
        return f"{words}."
    return _(
        "%(words)s (towards the %(point)s).",
        words=words,
        point=term(compass_point(pitch.frame.bearing_deg)),
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


def dark_warning(is_late: bool, zone: ZoneInfo, light: LightWords) -> str:
    """Say that a session ends in the dark, and what to do; blank when it does not."""
    if not is_late:
        return ""
    if light.usable_until is None:
        return _("This session would be in the dark: ask the secretary for other ground.")
    until = clock_in_zone(light.usable_until, zone)
    return _(
        "This session ends after there is light enough: be off the ground by %(until)s.",
        until=until,
    )
