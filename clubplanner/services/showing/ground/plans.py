"""Drawing a pitch with its bookings: what evening page, coach's page and pictures share."""

from __future__ import annotations

from functools import cache, lru_cache
from textwrap import wrap
from typing import TYPE_CHECKING
from zlib import crc32

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.ground.orientation.facing import edge_at_bottom
from clubplanner.domain.ground.orientation.markings import (
    MarkedField,
    parse_markings,
    pitch_markings,
)
from clubplanner.domain.times.times import clock_in_zone, day_in_words, end_clock_in_zone
from clubplanner.language import _, figure, isolated
from clubplanner.outputs.drawings.caption import Caption
from clubplanner.outputs.drawings.plan_values import AreaRole, GroundPlan, PlanArea
from clubplanner.resources import published_table
from clubplanner.services.showing.ground.neighbours import at_the_start, those_who_follow
from clubplanner.services.showing.ground.way_in_words import way_in_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from zoneinfo import ZoneInfo

    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.services.showing.ground.neighbours import Neighbour
    from clubplanner.services.showing.ground.way_in_words import WayInWords
    from clubplanner.services.showing.states.state_shown import StateShown


STATE_LETTERS = 16
"""Letters of a line about a session's state on a drawing: a third of a pitch holds as many."""
MOST_PAINTED = 512
"""Pitches whose painted lines are kept, with some of their marked-out parts in use or without."""


def times_in_words(booking: Booking, zone: ZoneInfo) -> str:
    """Write a booking's local times: "18:00–19:15"."""
    start = clock_in_zone(booking.during.starts_at, zone)
    return f"{start}–{end_clock_in_zone(booking.during.ends_at, zone)}"


def plan_of_bookings(
    pitch: Pitch,
    bookings: Sequence[Booking],
    zone: ZoneInfo,
    *,
    marks: Mapping[int, str] | None = None,
    is_painted: bool = True,
) -> GroundPlan:
    """Lay out who is where on a pitch, every holder alike.

    Args:
        pitch: The pitch.
        bookings: Its bookings at the moment shown.
        zone: For their times.
        marks: Booking number → the sign a table beside the plan repeats.
        is_painted: Whether the painted lines are drawn as well.
    """
    areas = tuple(
        _plan_area(pitch, booking, zone, (marks or {}).get(booking.number, ""))
        for booking in bookings
    )
    held = ", ".join(
        _(
            "%(holder)s on %(area_key)s %(booking)s",
            holder=booking.holder,
            area_key=pitch.area(booking.area_key).name,
            booking=times_in_words(booking, zone),
        )
        for booking in bookings
    )
    told = held or _("nobody is on it")
    return GroundPlan(
        pitch=pitch,
        title=pitch.name,
        summary=f"{pitch.name}: {told}.",
        areas=areas,
        cut_lines=cut_lines(pitch, [booking.area_key for booking in bookings]),
        markings=painted_lines(pitch, [booking.area_key for booking in bookings])
        if is_painted
        else (),
        at_bottom=edge_at_bottom(pitch),
    )


def plan_for_squad(
    pitch: Pitch,
    own: Booking,
    neighbours: Sequence[Neighbour],
    zone: ZoneInfo,
    state: StateShown | None = None,
    way_in: WayInWords | None = None,
) -> GroundPlan:
    """Lay out a squad's own ground with its size, and who else is on the pitch.

    Ground changes hands while a session runs, and two names on one piece of ground say nothing:
    the drawing shows who is there at the start, its words say who follows and from when.

    Args:
        pitch: The pitch.
        own: The squad's booking.
        neighbours: Everybody on the pitch during it.
        zone: For their times.
        state: What to say of the session itself; None for one that is on as planned.
        way_in: The way there, for the drawing's words; None to find it.
    """
    area = pitch.area(own.area_key)
    if own.is_withdrawn:
        neighbours = ()
    others = [n.booking for n in at_the_start(neighbours)]
    held_areas = tuple(_plan_area(pitch, booking, zone, "") for booking in others)
    own_area = PlanArea(
        polygon=area.polygon,
        heading=own.holder if state is None else f"{state.label}: {isolated(own.holder)}",
        details=(times_in_words(own, zone), *_state_lines(state)),
        role=AreaRole.CLOSED if own.is_withdrawn else AreaRole.OWN,
    )
    summary = "" if own.is_withdrawn else _held_in_words(pitch, own, others)
    if state is not None:
        summary = " ".join(part for part in (state.headline, *state.details, summary) if part)
    followers = followers_in_words(neighbours, zone)
    if way_in is None and not is_off(own, state):
        way_in = way_in_words(pitch, area, neighbours, zone)
    way = "" if way_in is None else way_in.text
    return GroundPlan(
        pitch=pitch,
        title=f"{own_area.heading}: {area.name}, {pitch.name}",
        summary=" ".join(filter(None, (summary, followers, way))),
        areas=(*held_areas, own_area),
        cut_lines=cut_lines(pitch, [own.area_key]),
        markings=painted_lines(pitch, [own.area_key]),
        at_bottom=edge_at_bottom(pitch),
        shows_size=True,
    )


def _held_in_words(pitch: Pitch, own: Booking, others: Sequence[Booking]) -> str:
    """Say what ground a squad has, and who else is there."""
    area = pitch.area(own.area_key)
    held = "; ".join(
        _(
            "%(holder)s on %(area_key)s",
            holder=booking.holder,
            area_key=pitch.area(booking.area_key).name,
        )
        for booking in others
    )
    return _(
        "%(holder)s have %(area)s of %(pitch)s, %(length_m)s by %(width_m)s metres. "
        "Also there: %(held)s.",
        holder=own.holder,
        area=area.name,
        pitch=pitch.name,
        length_m=figure(area.length_m, ".1f"),
        width_m=figure(area.width_m, ".1f"),
        held=held or _("nobody"),
    )


def is_off(own: Booking, state: StateShown | None) -> bool:
    """Tell whether nobody needs to find the ground of a booking."""
    return own.is_withdrawn or (state is not None and state.is_off)


def _state_lines(state: StateShown | None) -> tuple[str, ...]:
    """Break what is said of a session into lines that find room on a drawing."""
    return () if state is None else tuple(wrap(state.short, STATE_LETTERS))


def caption_of(
    booking: Booking,
    place: tuple[Venue, Pitch],
    club: ClubSettings,
    state: StateShown | None = None,
) -> Caption:
    """Say who has which ground when, for a picture that is passed on.

    Args:
        booking: The booking.
        place: Its venue and pitch.
        club: The club.
        state: What to say of the session itself; None for one that is on as planned.
    """
    venue, pitch = place
    area = pitch.area(booking.area_key)
    names = (pitch.name, venue.name) if area.cut == "whole" else (area.name, pitch.name, venue.name)
    day = booking.during.starts_at.astimezone(club.time_zone).date()
    return Caption(
        who=booking.holder,
        times=times_in_words(booking, club.time_zone),
        day=day_in_words(day),
        where=", ".join(names),
        club=club.name,
        state="" if state is None else state.headline,
    )


def followers_in_words(neighbours: Sequence[Neighbour], zone: ZoneInfo) -> str:
    """Say in a sentence who comes while a booking runs, and when; blank for nobody."""
    later = [n.follows_in_words(zone) for n in those_who_follow(neighbours)]
    return _("Later: %(followers)s.", followers="; ".join(later)) if later else ""


def cut_lines(pitch: Pitch, area_keys: Sequence[str]) -> tuple[Polygon, ...]:
    """Return the outlines that help to find one's place: the cuts the areas belong to."""
    cuts = {area.cut for area in pitch.areas if area.key in area_keys}
    shown = cuts - {"whole", "drawn"} or {"thirds"}
    return tuple(area.polygon for area in pitch.areas if area.cut in shown)


@cache
def _marked_fields() -> tuple[MarkedField, ...]:
    return parse_markings(published_table("markings.csv"))


def painted_lines(pitch: Pitch, area_keys: Sequence[str] = ()) -> tuple[BaseGeometry, ...]:
    """Return the painted lines of a pitch as published, with those of smaller pitches in use.

    Args:
        pitch: The pitch.
        area_keys: The areas that are shown.

    Returns:
        Lines in metres of the pitch's frame; none where no published field fits what is recorded.
    """
    marked = (area.key for area in pitch.areas if area.cut == "markings")
    return _painted_lines(pitch, frozenset(marked).intersection(area_keys))


@lru_cache(maxsize=MOST_PAINTED)
def _painted_lines(pitch: Pitch, held: frozenset[str]) -> tuple[BaseGeometry, ...]:
    return pitch_markings(pitch, _marked_fields(), held)


def tint_of(booking: Booking) -> int:
    """Return the number that picks a holder's colour and hatch: a squad's own, for ever.

    A hirer, who has no number, gets one from the name: the same name looks the same everywhere. It
    is below 0, where no squad's is.
    """
    if booking.squad_number is not None:
        return booking.squad_number
    return -1 - crc32(booking.holder.encode())


def _plan_area(pitch: Pitch, booking: Booking, zone: ZoneInfo, mark: str) -> PlanArea:
    closed = booking.purpose is Purpose.CLOSED
    heading = _("Closed: %(holder)s", holder=booking.holder) if closed else booking.holder
    return PlanArea(
        polygon=pitch.area(booking.area_key).polygon,
        heading=heading,
        details=(times_in_words(booking, zone),),
        role=AreaRole.CLOSED if closed else AreaRole.OTHER,
        tint=tint_of(booking),
        mark=mark,
    )
