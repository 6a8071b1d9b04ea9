"""Sessions that have to go from some ground: who, and where they can go instead."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.ground.places import Place, choose_places
from clubplanner.domain.times.times import TimeRange, clock_in_zone, short_day
from clubplanner.errors import MissingError, OutdatedError
from clubplanner.language import _, ngettext
from clubplanner.services.places.places import find_places, place_in_words, with_closed
from clubplanner.services.places.scenes import load_people, load_scene, need_of
from clubplanner.services.rows.booking_rows import flush, load_area, note_change, refuse_clash
from clubplanner.services.rows.snapshot import booking_from_row, load_zone

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
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
    is_running: bool
    choices: tuple[PlaceChoice, ...]
    chosen: str


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
        """The same as a clause."""
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
    leaving: Collection[int] = (),
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
        leaving: Numbers of bookings that leave the ground they have now, which becomes free.
    """
    squads, asks = load_people(session)
    zone = load_zone(session)
    numbers = {row.id for row in rows} | set(leaving)
    by_day: dict[date, list[Booking]] = defaultdict(list)
    for row in rows:
        by_day[row.starts_at.astimezone(zone).date()].append(booking_from_row(row))
    options: dict[int, tuple[Place, ...]] = {}
    chosen: dict[int, Place | None] = {}
    for day, bookings in by_day.items():
        scene = with_closed(load_scene(session, day).without(numbers), pitch_key, cells, during)
        for booking in bookings:
            options[booking.number] = find_places(scene, need_of(booking, squads, asks, now))
        people = [scene.coach_of(b.squad_key or "") for b in bookings]
        choice = choose_places([options[b.number] for b in bookings], people)
        chosen.update(zip((b.number for b in bookings), choice.places, strict=True))
    return tuple(_displaced(row, options[row.id], chosen[row.id], now, zone) for row in rows)


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
    """
    moved = 0
    for row, place in settled:
        if place is None:
            continue
        area = load_area(session, place.area_id)
        refuse_clash(session, area, place.during, besides=row.id)
        row.pitch_id, row.area_id, row.cells = area.pitch_id, area.id, area.cells
        row.starts_at, row.ends_at = place.during.starts_at, place.during.ends_at
        row.is_withdrawn = False
        flush(session)
        moved += 1
    return Settled(moved, len(settled) - moved)


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
    row: BookingRow, options: Sequence[Place], chosen: Place | None, now: datetime, zone: ZoneInfo
) -> Displaced:
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
        f"{clock_in_zone(row.starts_at, zone)}–{clock_in_zone(row.ends_at, zone)}",
        place=area.name if area.cut == "whole" else f"{area.name}, {row.pitch.name}",
        contact="" if row.squad is None else row.squad.coach,
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
