"""Looking at the dates of a hire before they are booked: which can be, which cannot, what instead.

Each date offers what may be decided for it. A decision that is no longer among the offers was made
before somebody else changed something; so two people at once cannot book over each other.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING
from zlib import crc32

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Booking, Purpose, draft_booking
from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.rules.book import hindrances
from clubplanner.domain.times.times import clock_in_zone, day_in_short, each_date, end_clock_in_zone
from clubplanner.domain.times.year import public_holidays
from clubplanner.language import _, ngettext
from clubplanner.services.places.displaced import value_of
from clubplanner.services.places.places import Need, find_places, place_in_words
from clubplanner.services.places.ruling import NOWHERE, case_at
from clubplanner.services.places.scenes import ScenesByDay
from clubplanner.services.rows.bookings.booking_rows import load_area
from clubplanner.services.rows.snapshot import load_breaks, load_zone
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.store.tables.hire_tables import HireDateRow, HireRow
from clubplanner.store.tables.season_tables import HolidayPlaceRow

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.hires import HireTimes
    from clubplanner.domain.ground.places import Place
    from clubplanner.domain.rules.case import Hindrance
    from clubplanner.domain.times.times import TimeRange
    from clubplanner.store.tables.ground_tables import AreaRow

OUT, AS_ASKED, AGAINST = "out", "as asked", "against"
"""Decisions: the date is left out, booked as it was asked for, or booked although a rule stands in
the way; the last with a mark of the rules that were read."""
MOST_ELSEWHERE = 6
EARLIER, LATER = timedelta(minutes=60), timedelta(minutes=120)
"""How far from the time asked for another one is looked for."""


@dataclass(frozen=True, slots=True)
class HireWish:
    """A hire somebody wants.

    Attributes:
        name: The hirer.
        area_id: The ground.
        times: When.
        contact: Whom to call; may be blank.
        phone: Their number; may be blank.
        note: May be blank.
        skips_breaks: Whether breaks and public holidays are left out unless it is decided else.
        not_on: Dates that are left out unless it is decided else.
    """

    name: str
    area_id: int
    times: HireTimes
    contact: str = ""
    phone: str = ""
    note: str = ""
    skips_breaks: bool = False
    not_on: frozenset[date] = frozenset()


@dataclass(frozen=True, slots=True)
class HireDate:
    """A date of a hire before it is booked.

    Attributes:
        day: The local date.
        when: Date and times in words.
        against: The words of the rules that stand in the way as it was asked for.
        notes: What else to know: a break, a public holiday, clocks that change.
        choices: What may be decided, each with its words.
        chosen: What is decided, or proposed; blank where a decision no longer holds.
        during: When it would be as asked; None where it cannot be at all.
        places: Other places by the decision that takes them.
        adopts: Number of a booking that is this one already; None for none.
    """

    day: date
    when: str
    against: tuple[str, ...]
    notes: tuple[str, ...]
    choices: tuple[Choice, ...]
    chosen: str
    during: TimeRange | None = None
    places: Mapping[str, Place] = field(default_factory=dict)
    adopts: int | None = None

    @property
    def iso(self) -> str:
        """The date as forms carry it."""
        return self.day.isoformat()

    @property
    def is_open(self) -> bool:
        """Whether nothing stands in the way of it as it was asked for."""
        return self.during is not None and not self.against

    @property
    def is_against(self) -> bool:
        """Whether it is to be booked although a rule stands in the way."""
        return self.chosen.startswith(AGAINST)

    @property
    def is_booked(self) -> bool:
        """Whether it is to be booked at all."""
        return self.chosen not in ("", OUT)

    def place(self, area: AreaRow) -> tuple[int, TimeRange] | None:
        """Return where and when it is to be booked; None where it is left out."""
        if not self.is_booked or self.during is None:
            return None
        other = self.places.get(self.chosen)
        return (area.id, self.during) if other is None else (other.area_id, other.during)


class Looking:
    """Looks at dates of hires: what it has to know is loaded once.

    Other places are looked for only `with_places`: for a whole table that would take long.
    """

    def __init__(
        self,
        session: Session,
        first: date,
        last: date,
        now: datetime,
        *,
        with_places: bool = True,
    ) -> None:
        self._session = session
        self._with_places = with_places
        self.scenes = ScenesByDay(session, first, last)
        self.zone: ZoneInfo = load_zone(session)
        self._now = now
        self._notes = _notes(session, first, last)
        self._linked = _linked(session)
        self._put = NOWHERE

    def dates(
        self, wish: HireWish, days: Sequence[date], decisions: Mapping[date, str] | None = None
    ) -> tuple[HireDate, ...]:
        """Look at each date.

        Args:
            wish: What is wanted.
            days: Which of its dates.
            decisions: What was decided for dates; for others it is proposed.
        """
        area = load_area(self._session, wish.area_id)
        decided = decisions or {}
        return tuple(self._date(wish, area, day, decided.get(day)) for day in days)

    def take(self, wish: HireWish, dates: Sequence[HireDate]) -> None:
        """Count what is to be booked as booked, for looks at further hires."""
        area = load_area(self._session, wish.area_id)
        for one in dates:
            place = one.place(area)
            if place is not None and one.adopts is None:
                self._put -= 1
                there = load_area(self._session, place[0])
                self.scenes.put(_booking(wish.name, there, place[1], self._put))

    def hinders(
        self, holder: str, area: AreaRow, during: TimeRange, besides: int = NOWHERE
    ) -> tuple[Hindrance, ...]:
        """Return every rule that stands in the way of a hire at a place and a time."""
        booking = _booking(holder, area, during, besides)
        scene = self.scenes.on(during.starts_at.astimezone(self.zone).date())
        pitch = scene.pitches[area.pitch.key]
        return hindrances(case_at(scene, booking, pitch, pitch.area(area.key), during))

    def _date(self, wish: HireWish, area: AreaRow, day: date, decision: str | None) -> HireDate:
        during = wish.times.during(day, self.zone)
        away = self._notes.get(day, ())
        if during is None or during.ends_at <= self._now:
            words = (
                _("At this time the clocks change and nothing is left of it.")
                if during is None
                else _("This date is over.")
            )
            out = (Choice(OUT, _("leave it out")),)
            return HireDate(day, day_in_short(day), (words,), away, out, OUT)
        found = self.hinders(wish.name, area, during)
        adopts = self._adopts(wish, area, during, found)
        against = () if adopts is not None else tuple(one.words for one in found)
        is_final = any(one.is_final for one in found)
        looks_on = bool(against) and self._with_places
        places = self._elsewhere(wish, area, during) if looks_on else {}
        choices = self._choices(against, places, during, is_final=is_final)
        is_left_out = day in wish.not_on or (wish.skips_breaks and bool(away))
        proposed = OUT if against or is_left_out else AS_ASKED
        offered = {choice.value for choice in choices}
        chosen = proposed if decision is None else decision if decision in offered else ""
        notes = (*away, *_lengths(wish, during))
        if day in wish.not_on:
            notes = (*notes, _("Left out as it was asked."))
        if adopts is not None:
            notes = (*notes, _("Booked for them already; it becomes one of these dates."))
        times = f"{clock_in_zone(during.starts_at, self.zone)}–" + end_clock_in_zone(
            during.ends_at, self.zone
        )
        when = f"{day_in_short(day)}, {times}"
        return HireDate(day, when, against, notes, choices, chosen, during, places, adopts)

    def _choices(
        self,
        against: tuple[str, ...],
        places: Mapping[str, Place],
        during: TimeRange,
        *,
        is_final: bool,
    ) -> tuple[Choice, ...]:
        choices = [] if against else [Choice(AS_ASKED, _("book it"))]
        choices.append(Choice(OUT, _("leave it out")))
        choices += [
            Choice(value, _("at %(place)s", place=place_in_words(place, during, self.zone)))
            for value, place in places.items()
        ]
        if against and not is_final:
            mark = f"{AGAINST} {crc32(repr(against).encode())}"
            choices.append(Choice(mark, _("book it all the same, against the rule")))
        return tuple(choices)

    def _elsewhere(self, wish: HireWish, area: AreaRow, during: TimeRange) -> dict[str, Place]:
        """Return free ground as good near that time, by the decision that takes it."""
        booking = _booking(wish.name, area, during, NOWHERE)
        earliest = max(self._now, during.starts_at - EARLIER)
        need = Need(booking, None, None, earliest, during.starts_at + LATER)
        scene = self.scenes.on(during.starts_at.astimezone(self.zone).date())
        return {value_of(p): p for p in find_places(scene, need, most=MOST_ELSEWHERE)}

    def _adopts(
        self, wish: HireWish, area: AreaRow, during: TimeRange, found: Sequence[Hindrance]
    ) -> int | None:
        """Return the hirer's own booking that stands there already, if no hire has it yet."""
        holders = {one.number: one for hindrance in found for one in hindrance.holders}
        if len(holders) != 1:
            return None
        (own,) = holders.values()
        is_same = (
            own.purpose is Purpose.HIRE
            and (own.pitch_key, own.area_key, own.during) == (area.pitch.key, area.key, during)
            and plain_name(own.holder) == plain_name(wish.name)
        )
        return own.number if is_same and own.number not in self._linked else None


def _booking(holder: str, area: AreaRow, during: TimeRange, number: int) -> Booking:
    return draft_booking(
        number=number,
        pitch_key=area.pitch.key,
        area_key=area.key,
        cells=area.cells,
        during=during,
        purpose=Purpose.HIRE,
        holder=holder,
    )


def _lengths(wish: HireWish, during: TimeRange) -> tuple[str, ...]:
    """Say how long a date lasts where the clocks change in it."""
    if during.minutes == wish.times.end_min - wish.times.start_min:
        return ()
    return (
        ngettext(
            "The clocks change: it lasts %(num)s minute.",
            "The clocks change: it lasts %(num)s minutes.",
            during.minutes,
        ),
    )


def _notes(session: Session, first: date, last: date) -> dict[date, tuple[str, ...]]:
    """Return the breaks and public holidays by date."""
    found: dict[date, tuple[str, ...]] = defaultdict(tuple)
    for gap in load_breaks(session):
        for day in each_date(max(first, gap.starts_on), min(last, gap.ends_on)):
            found[day] += (_("In the break “%(name)s”.", name=gap.name),)
    place = session.get(HolidayPlaceRow, 1)
    if place is not None:
        for holiday in public_holidays(place.country, place.region, first, last):
            found[holiday.day] += (_("Public holiday: %(name)s.", name=holiday.name),)
    return found


def _linked(session: Session) -> Collection[int]:
    """Return the bookings that belong to hires."""
    query = select(HireDateRow.booking_id).join(HireDateRow.hire)
    return set(session.scalars(query.where(HireRow.withdrawn_at.is_(None))))
