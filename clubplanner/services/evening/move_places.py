"""Every place a booking could go at a time: free, against a rule, held by whom, closed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose, find_overlapping
from clubplanner.domain.ground.orientation.measures import size_in_words
from clubplanner.domain.times.times import clock_in_zone, end_clock_in_zone
from clubplanner.language import _
from clubplanner.outputs.drawings.plans.place_plan import draw_place
from clubplanner.services.places.ruling import against

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.ground.grounds import Area, Pitch
    from clubplanner.domain.rules.case import Scene
    from clubplanner.domain.times.times import TimeRange


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """A place the booking could go.

    Attributes:
        area_id: The area's number.
        name: The area.
        size: Its size in words.
        drawing: The small plan, SVG.
        held: Who holds it then, with times.
        against: The words of the rules that the booking would break there and nowhere near; those
            that stand in the way of the whole pitch, or wherever it goes, are told once there.
        is_closed: Whether it is closed then, and so out of question.
        is_here: Whether the booking stands there already at that time.
        is_free: Whether nobody holds it and no rule at all stands in the way.
        breaks_rule: Whether it could be chosen, and a rule stands in the way.
    """

    area_id: int
    name: str
    size: str
    drawing: str
    held: tuple[str, ...]
    against: tuple[str, ...]
    is_closed: bool
    is_here: bool
    is_free: bool
    breaks_rule: bool


@dataclass(frozen=True, slots=True)
class PitchPlaces:
    """The places of one pitch.

    Attributes:
        name: The pitch, with its venue where there are several.
        lines: Its places.
        against: The words of the rules that the booking would break wherever it goes on it.
    """

    name: str
    lines: tuple[PlaceLine, ...]
    against: tuple[str, ...]


def list_places(
    scene: Scene,
    booking: Booking,
    during: TimeRange,
    only: Collection[str] | None = None,
) -> tuple[tuple[PitchPlaces, ...], tuple[str, ...]]:
    """Return the places by pitch, and the rules that stand in the way wherever it goes.

    Args:
        scene: The club round that date.
        booking: Who would go there.
        during: When.
        only: Keys of the pitches that are asked about; None for all.
    """
    pitches = [
        (venue, pitch)
        for venue in scene.venues
        for pitch in venue.pitches
        if only is None or pitch.key in only
    ]
    broken = {
        pitch.key: {area.key: _broken(scene, booking, pitch, area, during) for area in pitch.areas}
        for _unused, pitch in pitches
    }
    on_pitch = {key: _common(areas.values()) for key, areas in broken.items()}
    everywhere = _common(on_pitch.values())
    found = []
    for venue, pitch in pitches:
        rules = on_pitch[pitch.key]
        lines = tuple(
            _line(scene, booking, pitch, area, during, broken[pitch.key][area.key], rules)
            for area in pitch.areas
        )
        name = pitch.name if len(scene.venues) == 1 else f"{pitch.name}, {venue.name}"
        here = tuple(words for words in rules if words not in everywhere)
        found.append(PitchPlaces(name, lines, here))
    return tuple(found), everywhere


def _broken(
    scene: Scene, booking: Booking, pitch: Pitch, area: Area, during: TimeRange
) -> tuple[str, ...]:
    return tuple(one.words for one in against(scene, booking, pitch, area, during))


def _common(lists: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    """Return the words that are in all of some lists, in the order of the first."""
    first, *others = lists
    return tuple(words for words in first if all(words in other for other in others))


def _line(
    scene: Scene,
    booking: Booking,
    pitch: Pitch,
    area: Area,
    during: TimeRange,
    broken: tuple[str, ...],
    told: tuple[str, ...],
) -> PlaceLine:
    zone = scene.club.time_zone
    first, last = (at.astimezone(zone).date() for at in (during.starts_at, during.ends_at))
    others = [b for b in scene.on_dates(pitch.key, first, last) if b.number != booking.number]
    there = find_overlapping(pitch.key, area.cells, during, others)
    is_closed = any(b.purpose is Purpose.CLOSED for b in there)
    is_here = (pitch.key, area.key, during) == (
        booking.pitch_key,
        booking.area_key,
        booking.during,
    )
    return PlaceLine(
        area_id=scene.area_ids[pitch.key, area.key],
        name=area.name,
        size=size_in_words(area.length_m, area.width_m),
        drawing=draw_place(
            pitch, area.polygon, _("Where %(area)s is", area=area.name), is_closed=is_closed
        ),
        held=tuple(
            f"{b.holder} {clock_in_zone(b.during.starts_at, zone)}–"
            f"{end_clock_in_zone(b.during.ends_at, zone)}"
            for b in there
        ),
        against=tuple(words for words in broken if words not in told),
        is_closed=is_closed,
        is_here=is_here,
        is_free=not there and not broken,
        breaks_rule=bool(broken) and not is_closed and not is_here,
    )
