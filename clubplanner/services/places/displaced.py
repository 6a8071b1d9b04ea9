"""Sessions that have to go from some ground: who, and where they can go instead."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.club.persons.coaches import Coach
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.ground.places import Place, choose_places
from clubplanner.domain.rules.book import is_free
from clubplanner.domain.times.times import TimeRange, clock_in_zone, end_clock_in_zone, short_day
from clubplanner.errors import MissingError, OutdatedError
from clubplanner.language import _, ngettext
from clubplanner.services.places.places import find_places, place_in_words, with_closed
from clubplanner.services.places.ruling import case_at, hold_all_to_rules
from clubplanner.services.places.scenes import load_people, load_scene, need_of
from clubplanner.services.rows.bookings.booking_rows import (
    flush,
    load_area,
    note_change,
    put_row,
    refuse_clash,
)
from clubplanner.services.rows.coach_rows import coaches_of
from clubplanner.services.rows.snapshot import booking_from_row, load_zone

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.rules.case import Scene
    from clubplanner.store.tables.booking_tables import BookingRow

WITHDRAW = "withdraw"
"""The choice of giving a session up, in forms."""


@dataclass(frozen=True, slots=True)
class PlaceChoice:
    """A place in a form."""

    value: str
    words: str


@dataclass(frozen=True, slots=True)
class Displaced:
    """A session that has to go.

    Attributes:
        number: The booking's number.
        holder: Who.
        purpose: Why they are there.
        when: Date and local times.
        place: The ground it has now.
        contact: The coach's name; blank when not known.
        phone: Theirs, for whoever has to ring; blank when not known.
        is_running: Whether it has begun already.
        choices: Free places, nearest first.
        chosen: Value of the place proposed, or `WITHDRAW`.
    """

    number: int
    holder: str
    purpose: str
    when: str
    place: str
    contact: str
    phone: str
    is_running: bool
    choices: tuple[PlaceChoice, ...]
    chosen: str

    def choosing(self, value: str | None) -> Displaced:
        """Return the same with what a person chose for it, if that is still offered."""
        offered = {WITHDRAW, *(choice.value for choice in self.choices)}
        return replace(self, chosen=value) if value in offered else self


@dataclass(frozen=True, slots=True)
class Settled:
    """What became of displaced sessions.

    Attributes:
        moved: How many went elsewhere.
        withdrawn: How many were given up.
    """

    moved: int
    withdrawn: int

    @property
    def words(self) -> str:
        """The same as a clause, without what did not happen."""
        if not self.moved and not self.withdrawn:
            return _("nobody had to go")
        if not self.withdrawn:
            return ngettext("%(num)s session moved", "%(num)s sessions moved", self.moved)
        if not self.moved:
            return ngettext(
                "%(num)s session withdrawn", "%(num)s sessions withdrawn", self.withdrawn
            )
        return ngettext(
            "%(num)s session moved, %(withdrawn)s withdrawn",
            "%(num)s sessions moved, %(withdrawn)s withdrawn",
            self.moved,
            withdrawn=self.withdrawn,
        )


def foresee_displaced(
    session: Session,
    rows: Sequence[BookingRow],
    pitch_key: str,
    cells: int,
    during: TimeRange,
    now: datetime,
    coming: Booking | None = None,
) -> tuple[Displaced, ...]:
    """Propose a place for every session that has to go: as many as can be, then the nearest.

    Nobody else is disturbed. Sessions keep their length; they may start up to an hour later.

    Args:
        session: A reading session.
        rows: The bookings that have to go, by start.
        pitch_key: The pitch that is needed.
        cells: Which cells of it.
        during: From when to when.
        now: The present instant.
        coming: The booking that takes the ground, as it will stand; what it leaves becomes free.
            None where the ground is closed.
    """
    squads, asks = load_people(session)
    zone = load_zone(session)
    numbers = {row.id for row in rows}
    if coming is not None:
        numbers.add(coming.number)
    by_day: dict[date, list[Booking]] = defaultdict(list)
    for row in rows:
        by_day[row.starts_at.astimezone(zone).date()].append(booking_from_row(row))
    options: dict[int, tuple[Place, ...]] = {}
    chosen: dict[int, Place | None] = {}
    for day, bookings in by_day.items():
        scene = load_scene(session, day).without(numbers)
        if coming is None:
            scene = with_closed(scene, pitch_key, cells, during)
        else:
            scene = scene.with_booked(coming)
        for booking in bookings:
            options[booking.number] = find_places(scene, need_of(booking, squads, asks, now))
        people = [scene.coach_of(b.squad_key or "") for b in bookings]
        choice = choose_places([options[b.number] for b in bookings], people)
        chosen |= _free_together(scene, bookings, options, choice.places)
    coaches = coaches_of(session, {row.squad_id for row in rows if row.squad_id is not None})
    return tuple(
        _displaced(
            row,
            next(iter(coaches.get(row.squad_id or 0, ())), Coach("")),
            (options[row.id], chosen[row.id]),
            now,
            zone,
        )
        for row in rows
    )


def _free_together(
    scene: Scene,
    bookings: Sequence[Booking],
    options: Mapping[int, Sequence[Place]],
    chosen: Sequence[Place | None],
) -> dict[int, Place | None]:
    """Keep of the places chosen what no rule forbids once the others are there, too.

    Two places may each be free and yet too near to one another, for changing over say.
    """
    found: dict[int, Place | None] = {}
    for booking, first in zip(bookings, chosen, strict=True):
        tried = [] if first is None else [first, *options[booking.number]]
        there = ((place, _moved(scene, booking, place)) for place in tried)
        place, moved = next(
            ((place, one) for place, one in there if _is_free_at(scene, one, booking)),
            (None, None),
        )
        found[booking.number] = place
        if moved is not None:
            scene = scene.with_booked(moved)
    return found


def _moved(scene: Scene, booking: Booking, place: Place) -> Booking:
    pitch = scene.pitches[place.pitch_key]
    key = next(a.key for a in pitch.areas if scene.area_ids[pitch.key, a.key] == place.area_id)
    return replace(
        booking, pitch_key=pitch.key, area_key=key, cells=place.cells, during=place.during
    )


def _is_free_at(scene: Scene, moved: Booking, booking: Booking) -> bool:
    pitch = scene.pitches[moved.pitch_key]
    area = pitch.area(moved.area_key)
    return is_free(case_at(scene, moved, pitch, area, moved.during, booking.during))


def settle_displaced(
    session: Session,
    rows: Sequence[BookingRow],
    decisions: Mapping[int, str],
    now: datetime,
) -> list[tuple[BookingRow, Place | None]]:
    """Lift every session that has to go, and read what was decided for it.

    The caller then takes the ground and calls `place_settled`.

    Raises:
        MissingError: If a decision cannot be read.
        OutdatedError: If nothing was decided for one: it was booked since the person looked.
    """
    settled: list[tuple[BookingRow, Place | None]] = []
    for row in rows:
        decision = decisions.get(row.id)
        if decision is None:
            raise OutdatedError(
                _(
                    "Since you looked, %(holder)s have been booked there too. Nothing was "
                    "changed; look again.",
                    holder=row.holder,
                )
            )
        settled.append((row, None if decision == WITHDRAW else _read(session, row, decision)))
    for row, _unused in settled:
        row.is_withdrawn = True
        note_change(row, now)
    session.flush()
    return settled


def place_settled(session: Session, settled: Sequence[tuple[BookingRow, Place | None]]) -> Settled:
    """Put the sessions that found a place there.

    Raises:
        ClashError: If somebody has taken a place in the meantime; nothing is changed.
        HinderedError: If a rule stands in the way of one of them; nothing is changed.
    """
    placed: list[tuple[BookingRow, TimeRange]] = []
    for row, place in settled:
        if place is None:
            continue
        placed.append((row, TimeRange(row.starts_at, row.ends_at)))
        area = load_area(session, place.area_id)
        refuse_clash(session, area, place.during, besides=row.id)
        put_row(row, area, place.during)
        row.is_withdrawn = False
        flush(session)
    hold_all_to_rules(session, placed)
    return Settled(len(placed), len(settled) - len(placed))


def value_of(place: Place) -> str:
    """Write a place for a form."""
    return f"{place.area_id}@{int(place.during.starts_at.timestamp())}"


def _read(session: Session, row: BookingRow, value: str) -> Place:
    area_text, _unused, start_text = value.partition("@")
    if not (
        area_text.isdecimal() and start_text.isdecimal() and len(value) < 25 and len(area_text) < 10
    ):
        raise MissingError(_("Choose for each session where it goes, or to withdraw it."))
    area = load_area(session, int(area_text))
    try:
        start = datetime.fromtimestamp(int(start_text), UTC)
    except (ValueError, OverflowError, OSError) as fault:
        raise MissingError(_("Choose for each session where it goes.")) from fault
    during = TimeRange(start, start + (row.ends_at - row.starts_at))
    if abs(start - row.starts_at) > timedelta(days=1):
        raise MissingError(_("Choose for each session a place on its own day."))
    return Place(area.id, area.pitch.key, area.cells, area.name, area.pitch.venue.name, during, 0)


def _displaced(
    row: BookingRow,
    coach: Coach,
    places: tuple[Sequence[Place], Place | None],
    now: datetime,
    zone: ZoneInfo,
) -> Displaced:
    options, chosen = places
    was = TimeRange(row.starts_at, row.ends_at)
    listed = list(options)
    if chosen is not None and chosen not in listed:
        listed.insert(0, chosen)
    area = row.area
    return Displaced(
        number=row.id,
        holder=row.holder,
        purpose=row.purpose.value,
        when=f"{short_day(row.starts_at.astimezone(zone).date())}, "
        f"{clock_in_zone(row.starts_at, zone)}–{end_clock_in_zone(row.ends_at, zone)}",
        place=part_in_words(area, row.pitch.name),
        contact=coach.name,
        phone=coach.phone,
        is_running=row.starts_at <= now,
        choices=tuple(
            PlaceChoice(
                value_of(place),
                place_in_words(place, was, zone)
                + (f", {place.venue_name}" if place.venue_name != row.pitch.venue.name else ""),
            )
            for place in listed
        ),
        chosen=WITHDRAW if chosen is None else value_of(chosen),
    )
