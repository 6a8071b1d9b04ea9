"""Find a squad, a person, ground, a day or a session by a part of its name."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from typing import TYPE_CHECKING, TypeVar

from sqlalchemy import func, select
from sqlalchemy.orm import joinedload

from clubplanner.domain.club.people import Role
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.searching import is_found_by, search_words
from clubplanner.domain.times.days_typed import split_off_day
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    clock_in_zone,
    day_from_today,
    range_from_wall,
    short_day_from_today,
)
from clubplanner.language import _, marked, term
from clubplanner.services.rows.coach_rows import coaches_of
from clubplanner.services.rows.named import find_pitch
from clubplanner.services.rows.own_club import own_people
from clubplanner.services.rows.people.people_rows import role_of
from clubplanner.services.rows.snapshot import (
    WITH_NAMES,
    booking_from_row,
    load_venues,
    load_zone,
)
from clubplanner.services.showing.ground.plans import times_in_words
from clubplanner.services.showing.states.session_states import load_left, load_states
from clubplanner.services.showing.states.state_shown import StateTeller
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.people import Person
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.showing.states.state_shown import StateShown
    from clubplanner.store.engine import Store

_T = TypeVar("_T")

MOST_OF_A_KIND = 8
LONGEST_ASKED = 100
"""So many letters are looked at; nobody types more by hand."""


class Kind(StrEnum):
    """What was found, in the order in which it is shown."""

    DAY = marked("Day")
    SESSION = marked("Sessions")
    SQUAD = marked("Squads")
    GROUND = marked("Ground")
    PERSON = marked("People")


@dataclass(frozen=True, slots=True)
class Found:
    """One thing that goes by the words asked for.

    Attributes:
        kind: What it is.
        name: What it is called.
        about: What tells it from others of its name; may be blank.
        squad_key: The squad it is, or whose session; else blank.
        venue_key: Where it is; blank for people, squads and days.
        pitch_key: The pitch; blank for a venue as a whole.
        number: The person's or booking's number.
        day: The day it is about.
        state: What became of a session; None for what is on as planned, or is none.
    """

    kind: Kind
    name: str
    about: str = ""
    squad_key: str = ""
    venue_key: str = ""
    pitch_key: str = ""
    number: int = 0
    day: date | None = None
    state: StateShown | None = None


@dataclass(frozen=True, slots=True)
class FoundOfKind:
    """What was found of one kind, the nearest first.

    Attributes:
        kind: The kind.
        things: At most `MOST_OF_A_KIND`.
        more: How many besides.
    """

    kind: Kind
    things: tuple[Found, ...]
    more: int


def find_anything(
    store: Store, asked: str, person: Person, now: datetime
) -> tuple[FoundOfKind, ...]:
    """Find what goes by words that somebody typed.

    Each word begins a word of the name or of what else a thing goes by: a squad by its age group
    and coaches, a person by address and telephone number, a pitch by its venue. A day is taken out
    of the words first ("Kestrels 12 April"): what is left is looked for on that day. "#123" is a
    booking's number.

    Args:
        store: The club's records.
        asked: What was typed; only the first `LONGEST_ASKED` letters count.
        person: Who asks: all is for the secretary; a coach finds their squads, and what these have
            on a day; a groundskeeper finds days, ground and sessions.
        now: The instant of asking.

    Returns:
        The kinds of which something was found.
    """
    with store.read() as session:
        zone = load_zone(session)
        day, rest = split_off_day(asked[:LONGEST_ASKED], now.astimezone(zone).date())
        words = search_words(asked[:LONGEST_ASKED])
        is_number = asked.strip().startswith("#")
        search = _Search(session, person, zone, now, words, search_words(rest) or words, day)
        if is_number:
            kinds = [search.sessions()]
        else:
            kinds = [
                search.days(is_alone=not rest),
                search.sessions(),
                search.squads(),
                search.grounds(),
                search.people(),
            ]
        return tuple(_first(found) for found in kinds if found)


def _first(found: Sequence[Found]) -> FoundOfKind:
    return FoundOfKind(
        found[0].kind, tuple(found[:MOST_OF_A_KIND]), max(0, len(found) - MOST_OF_A_KIND)
    )


@dataclass(frozen=True, slots=True)
class _Search:
    """One asking: by whom, when, for what words, on which day."""

    session: Session
    person: Person
    zone: ZoneInfo
    now: datetime
    all_words: tuple[str, ...]
    words: tuple[str, ...]
    """Besides the day; all of them where they name nothing else, as "Sam" may be Samstag or Sam."""
    day: date | None

    @property
    def today(self) -> date:
        return self.now.astimezone(self.zone).date()

    def days(self, *, is_alone: bool) -> list[Found]:
        if self.day is None or not is_alone or self.person.role is Role.COACH:
            return []
        return [Found(Kind.DAY, day_from_today(self.day, self.today), day=self.day)]

    def squads(self) -> list[Found]:
        if self.person.role is Role.GROUNDSKEEPER or not self.words:
            return []
        query = select(SquadRow).order_by(SquadRow.position)
        if not self.person.is_secretary:
            query = query.where(SquadRow.key.in_(sorted(self.person.squad_keys)))
        rows = self.session.scalars(query).all()
        coaches = coaches_of(self.session)
        found = [
            row
            for row in rows
            if self._names(row.name, row.age_group, *(c.name for c in coaches.get(row.id, ())))
        ]
        next_at = self._next_sessions([row.id for row in found])
        return [
            Found(
                Kind.SQUAD,
                row.name,
                "; ".join(
                    filter(
                        None,
                        (
                            ", ".join(c.name for c in coaches.get(row.id, ())),
                            self._next_in_words(next_at.get(row.id)),
                        ),
                    )
                ),
                squad_key=row.key,
                day=self.day,
            )
            for row in self._nearest(found, lambda row: row.name)
        ]

    def sessions(self) -> list[Found]:
        if self.person.role is Role.COACH:
            return [] if self.day is None else self._on_day(self.day, self._is_own)
        if len(self.words) == 1 and self.words[0].isdecimal() and self.day is None:
            rows = self._by_number(self.words[0])
        elif not self.words:
            return []
        elif self.day is not None:
            return self._on_day(self.day, lambda booking: self._names(booking.holder))
        else:
            rows = self._coming_of_others()
        bookings = [booking_from_row(row) for row in rows]
        teller = self._teller(bookings)
        return [self._session(one, teller.shown(one), teller.venues) for one in bookings]

    def grounds(self) -> list[Found]:
        if not self.words or self.person.role is Role.COACH:
            return []
        query = (
            select(VenueRow.key, VenueRow.name, PitchRow.key, PitchRow.name)
            .outerjoin(PitchRow, PitchRow.venue_id == VenueRow.id)
            .order_by(VenueRow.position, PitchRow.position)
        )
        venues: dict[str, Found] = {}
        pitches: list[Found] = []
        for venue_key, venue, pitch_key, pitch in self.session.execute(query):
            of_pitch: str | None = pitch_key  # None for a venue without a pitch
            if self._names(venue):
                venues[venue_key] = Found(Kind.GROUND, venue, venue_key=venue_key, day=self.day)
            if of_pitch and self._names(pitch, venue):
                pitches.append(
                    Found(Kind.GROUND, pitch, venue, "", venue_key, of_pitch, day=self.day)
                )
        return [*venues.values(), *self._nearest(pitches, lambda found: found.name)]

    def people(self) -> list[Found]:
        if not self.person.keeps_squads or not self.words:
            return []
        rows = self.session.scalars(
            select(PersonRow)
            .where(PersonRow.ended_at.is_(None), *own_people(self.session, PersonRow.id))
            .order_by(PersonRow.name)
            .options(joinedload(PersonRow.secretary_of))
        )
        found = [
            row
            for row in rows
            if is_found_by(self.all_words, f"{row.name} {row.email} {row.phone}")
        ]
        return [
            Found(
                Kind.PERSON,
                row.name or row.email,
                ", ".join(filter(None, (term(role_of(row).value), row.phone))),
                number=row.id,
            )
            for row in self._nearest(found, lambda row: row.name)
        ]

    def _names(self, *names: str) -> bool:
        return is_found_by(self.words, " ".join(names))

    def _nearest(self, found: Sequence[_T], name: Callable[[_T], str]) -> list[_T]:
        """Put first what is called just so, then what begins so, and leave the rest in order."""

        def distance(thing: _T) -> int:
            words = search_words(name(thing))
            if words == self.words:
                return 0
            return 1 if words[: len(self.words)] == self.words else 2

        return sorted(found, key=distance)

    def _next_sessions(self, squad_ids: Sequence[int]) -> dict[int, datetime]:
        query = (
            select(BookingRow.squad_id, func.min(BookingRow.starts_at))
            .where(BookingRow.squad_id.in_(squad_ids), *BookingRow.not_over(self.now))
            .where(BookingRow.is_withdrawn.is_(False))
            .group_by(BookingRow.squad_id)
        )
        return {number: at for number, at in self.session.execute(query) if number is not None}

    def _next_in_words(self, at: datetime | None) -> str:
        if at is None:
            return ""
        day = short_day_from_today(at.astimezone(self.zone).date(), self.today)
        return _("next: %(day)s %(time)s", day=day, time=clock_in_zone(at, self.zone))

    def _by_number(self, figures: str) -> list[BookingRow]:
        row = self.session.get(BookingRow, int(figures[:9]), options=WITH_NAMES)
        return [] if row is None else [row]

    def _on_day(self, day: date, is_wanted: Callable[[Booking], bool]) -> list[Found]:
        """Return what is on that day, and what was to be and is off or elsewhere, by start."""
        whole = range_from_wall(day, 0, MINUTES_A_DAY, self.zone)
        rows = self.session.scalars(
            select(BookingRow)
            .where(*BookingRow.running_between(whole.starts_at, whole.ends_at))
            .options(*WITH_NAMES)
        )
        running = {row.id: booking_from_row(row) for row in rows}
        left = {one.number: one for one in load_left(self.session, whole)}
        wanted = [one for one in {**left, **running}.values() if is_wanted(one)]
        teller = self._teller(wanted)
        pitches = {pitch.key for venue in teller.venues for pitch in venue.pitches}
        found: list[tuple[Booking, StateShown | None]] = []
        found += teller.missed_here(wanted, pitches, whole)
        missed = {there.number for there, _state in found}
        found += [
            (one, teller.shown(one))
            for one in wanted
            if one.number in running.keys() - missed and not teller.is_gone(one)
        ]
        found.sort(key=lambda each: (each[0].during.starts_at, each[0].number))
        return [self._session(one, state, teller.venues) for one, state in found]

    def _is_own(self, booking: Booking) -> bool:
        """Tell whether a booking is of a squad of the coach's; they open no other sessions."""
        is_own = bool(booking.squad_key) and self.person.looks_after(booking.squad_key or "")
        return is_own and (self.words == self.all_words or self._names(booking.holder))

    def _teller(self, bookings: Sequence[Booking]) -> StateTeller:
        venues = load_venues(self.session)
        states = load_states(self.session, bookings, venues, self.zone)
        return StateTeller(states, venues, self.zone, self.today)

    def _session(
        self, booking: Booking, state: StateShown | None, venues: Sequence[Venue]
    ) -> Found:
        venue, pitch = find_pitch(venues, booking.pitch_key)
        day = booking.during.starts_at.astimezone(self.zone).date()
        about = _(
            "%(day)s %(times)s, %(place)s",
            day=short_day_from_today(day, self.today),
            times=times_in_words(booking, self.zone),
            place=part_in_words(pitch.area(booking.area_key), pitch.name),
        )
        squad = booking.squad_key or ""
        return Found(
            Kind.SESSION, booking.holder, about, squad, venue.key, "", booking.number, day, state
        )

    def _coming_of_others(self) -> list[BookingRow]:
        """Return the next booking of each hirer, match or closure that goes by the words."""
        coming = (
            BookingRow.squad_id.is_(None),
            BookingRow.is_withdrawn.is_(False),
            *BookingRow.not_over(self.now),
        )
        holders = self.session.scalars(select(BookingRow.written_holder).where(*coming).distinct())
        named = [holder for holder in holders if self._names(holder)][: MOST_OF_A_KIND + 1]
        if not named:
            return []
        query = (
            select(BookingRow)
            .where(*coming, BookingRow.written_holder.in_(named))
            .where(BookingRow.starts_at < self.now + timedelta(days=400))
            .order_by(BookingRow.starts_at, BookingRow.id)
            .limit(200)
            .options(*WITH_NAMES)
        )
        first: dict[str, BookingRow] = {}
        for row in self.session.scalars(query):
            first.setdefault(row.written_holder, row)
        return list(first.values())
