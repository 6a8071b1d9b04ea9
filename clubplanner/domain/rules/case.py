"""What the rules look at: a club round a day, and a session at a place and a time in it."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from dataclasses import dataclass, field, replace
from datetime import timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose, find_overlapping
from clubplanner.domain.times.times import (
    clock_in_zone,
    each_date,
    end_clock_in_zone,
    minute_from_instant,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.domain.ground.grounds import Area, Pitch, Venue
    from clubplanner.domain.times.seasons import Break
    from clubplanner.domain.times.times import TimeRange, Window
    from clubplanner.domain.times.year import SquadSeason

A_DAY = timedelta(days=1)
A_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Hindrance:
    """One rule that keeps a session from a place at a time.

    Attributes:
        rule: The rule's name, a marked word such as "latest finish".
        words: What stands in the way, a sentence.
        is_final: Whether nobody can overrule it: the ground itself is held.
        is_own: Whether it is the squad's own wish that is not met, and no rule of club or ground.
        holders: The bookings that stand in the way.
    """

    rule: str
    words: str
    is_final: bool = False
    is_own: bool = False
    holders: tuple[Booking, ...] = field(default=(), compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class WeekLimit:
    """How much a pitch may be used in a week, Monday to Sunday.

    Attributes:
        most_minutes: Minutes of the whole pitch; None for no such limit.
        most_sessions: Sessions; None for no such limit.
    """

    most_minutes: int | None = None
    most_sessions: int | None = None


def no_form(_pitch: Pitch, _area: Area, _code: str) -> bool:
    """Tell that no area holds any form of the game: nobody has said what does."""
    return False


@dataclass(frozen=True)
class Scene:
    """A club round a day: its ground and rules, its squads, and what is booked.

    Attributes:
        club: Step, changeover, travel, zone and the rules by age.
        venues: All venues with their pitches.
        bookings: What stands within `reach` of the day, withdrawn ones left out.
        squads: All squads by key.
        asks: What squads ask for, by the squad's key.
        breaks: Dates without training.
        seasons: The squads' own seasons by key; a squad without one trains as the club does.
        limits: How much pitches may be used, by pitch key.
        percents: How much a squad's minute counts against limits, by key; 100 where not given.
        holds_form: Whether an area holds a form of the game, given by its code.
        area_ids: (pitch key, area key) → the area's number in the records.
        reach: How far round a session the rules look, by `days_looked_at`.
    """

    club: ClubSettings
    venues: Sequence[Venue]
    bookings: Sequence[Booking]
    squads: Mapping[str, Squad] = field(default_factory=dict)
    asks: Mapping[str, Sequence[Ask]] = field(default_factory=dict)
    breaks: Sequence[Break] = ()
    seasons: Mapping[str, SquadSeason] = field(default_factory=dict)
    limits: Mapping[str, Sequence[WeekLimit]] = field(default_factory=dict)
    percents: Mapping[str, int] = field(default_factory=dict)
    holds_form: Callable[[Pitch, Area, str], bool] = no_form
    area_ids: Mapping[tuple[str, str], int] = field(default_factory=dict)
    reach: timedelta = A_WEEK

    @cached_property
    def by_pitch_and_day(self) -> Mapping[tuple[str, date], list[Booking]]:
        """The bookings of each pitch, by its key and each local date that they touch."""
        found: dict[tuple[str, date], list[Booking]] = defaultdict(list)
        for booking in self.bookings:
            for key in self._pitch_days(booking):
                found[key].append(booking)
        return found

    def _pitch_days(self, booking: Booking) -> Iterator[tuple[str, date]]:
        zone = self.club.time_zone
        first = booking.during.starts_at.astimezone(zone).date()
        last = booking.during.ends_at.astimezone(zone).date()
        return ((booking.pitch_key, day) for day in each_date(first, last))

    @cached_property
    def _known_on_dates(self) -> dict[tuple[str, date, date], list[Booking]]:
        return {}

    def on_dates(self, pitch_key: str, first: date, last: date) -> list[Booking]:
        """Return the bookings of a pitch that touch some local dates, both ends included."""
        key = pitch_key, first, last
        if key not in self._known_on_dates:
            by_day = self.by_pitch_and_day
            touching = (
                one for d in each_date(first, last) for one in by_day.get((pitch_key, d), ())
            )
            # Over midnight a booking touches two dates.
            self._known_on_dates[key] = list({id(one): one for one in touching}.values())
        return self._known_on_dates[key]

    @cached_property
    def by_person(self) -> Mapping[str, list[Booking]]:
        """The squads' bookings by who has to be there, by start.

        Squads by their keys, coaches by `coach_of`.
        """
        found: dict[str, list[Booking]] = defaultdict(list)
        for booking in sorted(self.bookings, key=_start_of):
            for person in self._people_at(booking):
                found[person].append(booking)
        return found

    def _people_at(self, booking: Booking) -> tuple[str, ...]:
        if booking.squad_key is None or booking.purpose is Purpose.CLOSED:
            return ()
        coach = self.coach_of(booking.squad_key)
        return (booking.squad_key, coach) if coach else (booking.squad_key,)

    @cached_property
    def venue_of(self) -> Mapping[str, Venue]:
        """The venue of each pitch, by the pitch's key."""
        return {pitch.key: venue for venue in self.venues for pitch in venue.pitches}

    @cached_property
    def pitches(self) -> Mapping[str, Pitch]:
        """All pitches by key."""
        return {pitch.key: pitch for venue in self.venues for pitch in venue.pitches}

    @cached_property
    def area_keys(self) -> Mapping[int, tuple[str, str]]:
        """(Pitch key, area key) of each area, by its number in the records."""
        return {number: keys for keys, number in self.area_ids.items()}

    @cached_property
    def lowest_number(self) -> int:
        """The lowest number of a booking, nought or below."""
        return min((0, *(booking.number for booking in self.bookings)))

    def coach_of(self, squad_key: str) -> str:
        """Return who answers for a squad: the same key is the same person (`Squad.coach_key`).

        Blank when not known. It begins with a space, so that it is never a squad's key.
        """
        squad = self.squads.get(squad_key)
        coach = "" if squad is None else squad.coach_key
        return f" {coach}" if coach else ""

    def without(self, numbers: Collection[int]) -> Scene:
        """Return the scene without some bookings."""
        gone = [b for b in self.bookings if b.number in numbers]
        left = [b for b in self.bookings if b.number not in numbers]
        return self._changed(left, gone, ())

    def with_booked(self, *more: Booking) -> Scene:
        """Return the scene with further bookings."""
        return self._changed([*self.bookings, *more], (), more)

    def _changed(
        self, bookings: Sequence[Booking], gone: Sequence[Booking], more: Sequence[Booking]
    ) -> Scene:
        """Return the scene with other bookings; what is known of the others is not looked up again.

        Two of an evening's sessions change places in a hundred ways: each is a scene of its own.
        """
        changed = replace(self, bookings=bookings)
        on_pitches, of_people = dict(self.by_pitch_and_day), dict(self.by_person)
        for one in gone:
            for key in self._pitch_days(one):
                on_pitches[key] = [other for other in on_pitches[key] if other.number != one.number]
            for person in self._people_at(one):
                listed = of_people[person]
                of_people[person] = [other for other in listed if other.number != one.number]
        for one in more:
            for key in self._pitch_days(one):
                on_pitches[key] = [*on_pitches.get(key, ()), one]
            for person in self._people_at(one):
                listed = of_people.get(person, [])
                place = bisect_right(listed, one.during.starts_at, key=_start_of)
                of_people[person] = [*listed[:place], one, *listed[place:]]
        changed.__dict__.update(by_pitch_and_day=on_pitches, by_person=of_people)
        return changed


@dataclass(frozen=True)
class Case:
    """A session at a place and a time, of which the rules are asked.

    Attributes:
        scene: The club round that day.
        pitch: Where.
        area: Which part of it.
        during: When, instants in UTC.
        purpose: Why.
        squad: Whose it is; None for a hirer.
        ask: What the squad asked for that this session answers; None for a match, for a hirer and
            for a squad that asked for nothing.
        number: The booking that would go there, and so stands in nobody's way; None for a new one.
        was: When that booking is now; None for a new one.
        light_until: Until when it has to be light: a match is over before its ground is cleared.
            None for the end of `during`.
    """

    scene: Scene
    pitch: Pitch
    area: Area
    during: TimeRange
    purpose: Purpose
    squad: Squad | None = None
    ask: Ask | None = None
    number: int | None = None
    was: TimeRange | None = None
    light_until: datetime | None = None

    @cached_property
    def venue(self) -> Venue:
        """The venue of the pitch."""
        return self.scene.venue_of[self.pitch.key]

    @property
    def zone(self) -> ZoneInfo:
        """The club's time zone."""
        return self.scene.club.time_zone

    @cached_property
    def day(self) -> date:
        """The local date on which it begins."""
        return self.during.starts_at.astimezone(self.zone).date()

    @cached_property
    def start_min(self) -> int:
        """The minute of the local day at which it begins."""
        return minute_from_instant(self.during.starts_at, self.day, self.zone)

    @cached_property
    def end_min(self) -> int:
        """The minute of the same day at which it is over; more than 1440 after midnight."""
        return minute_from_instant(self.during.ends_at, self.day, self.zone)

    @property
    def dark_after(self) -> datetime:
        """The instant until which it has to be light."""
        return self.light_until or self.during.ends_at

    @property
    def is_training(self) -> bool:
        """Whether it is a squad's training; the rules about a squad's week are for these alone."""
        return self.purpose is Purpose.TRAINING and self.squad is not None

    @property
    def holder(self) -> str:
        """The squad in words; blank for a hirer."""
        return "" if self.squad is None else self.squad.name

    def on(self, pitch: Pitch, area: Area) -> Case:
        """Return the same session at the same time on other ground."""
        return Case(  # `replace` takes four times as long
            self.scene,
            pitch,
            area,
            self.during,
            self.purpose,
            self.squad,
            self.ask,
            self.number,
            self.was,
            self.light_until,
        )

    def lies_in(self, window: Window) -> bool:
        """Tell whether it lies wholly in a window of its weekday."""
        return (
            window.weekday == self.day.weekday()
            and window.start_min <= self.start_min
            and self.end_min <= window.end_min
        )

    @cached_property
    def others_on_pitch(self) -> list[Booking]:
        """The bookings of the pitch from the day before to the day after, its own left out."""
        last = self.during.ends_at.astimezone(self.zone).date()
        return self.others_on_dates(self.day - A_DAY, last + A_DAY)

    @property
    def meeting(self) -> tuple[Booking, ...]:
        """What is booked on a part of its ground at a part of its time: training or closure."""
        return find_overlapping(self.pitch.key, self.area.cells, self.during, self.others_on_pitch)

    @property
    def taken_cells(self) -> int:
        """The cells of the pitch that are held or closed at a part of its time, a bit mask."""
        taken = 0
        for one in self.others_on_pitch:
            if one.during.overlaps(self.during):
                taken |= one.cells
        return taken

    def others_on_dates(self, first: date, last: date) -> list[Booking]:
        """Return the bookings of the pitch that touch some local dates, its own left out."""
        listed = self.scene.on_dates(self.pitch.key, first, last)
        return [one for one in listed if one.number != self.number]

    def others_of(self, person: str) -> list[Booking]:
        """Return what a squad (by key) or coach (by `Scene.coach_of`) has in reach, but its own.

        Args:
            person: Who; a blank is nobody.
        """
        listed = self.scene.by_person.get(person, [])
        low = bisect_left(listed, self.during.starts_at - self.scene.reach, key=_start_of)
        high = bisect_left(listed, self.during.ends_at + self.scene.reach, key=_start_of)
        return [one for one in listed[low:high] if one.number != self.number]

    def asks_of_squad(self) -> Sequence[Ask]:
        """Return everything its squad asks for."""
        return () if self.squad is None else self.scene.asks.get(self.squad.key, ())


def _start_of(booking: Booking) -> datetime:
    return booking.during.starts_at


def where_and_when(scene: Scene, booking: Booking) -> str:
    """Write a booking as it stands: "Middle third, Top pitch 18:00–19:15"."""
    pitch = scene.pitches[booking.pitch_key]
    area = next((one for one in pitch.areas if one.key == booking.area_key), pitch.areas[0])
    place = pitch.name if area.cut == "whole" else f"{area.name}, {pitch.name}"
    zone = scene.club.time_zone
    during = booking.during
    return (
        f"{place} {clock_in_zone(during.starts_at, zone)}–{end_clock_in_zone(during.ends_at, zone)}"
    )


def days_looked_at(asks: Iterable[Ask], limits: Mapping[str, object]) -> timedelta:
    """Return how far round a session the rules have to look.

    A day for what touches its own, as far as any squad's rest or evenings in a row reach, and a
    week where pitches have limits.
    """
    days = 7 if limits else 1
    for ask in asks:
        days = max(days, ask.rest_days + 1, (ask.most_in_a_row or 0) + 1)
    return timedelta(days=days)
