"""A year of light at a venue, with all that is booked outdoors on it, drawn and by month."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from typing import TYPE_CHECKING

from sqlalchemy import BigInteger, select, type_coerce

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.light_calendar import lamp_spans, list_evenings, sun_spans
from clubplanner.domain.rules.times.light import begins_in_the_dark, usable_until
from clubplanner.domain.times.daylight import LightKind
from clubplanner.domain.times.seconds import range_of
from clubplanner.domain.times.times import (
    TimeRange,
    clock_in_zone,
    day_and_month,
    minute_from_instant,
)
from clubplanner.errors import MissingError
from clubplanner.language import _, date_in_words, figure, marked, ngettext
from clubplanner.outputs.charts.light_chart import Burning, LightYear, LitMonth, draw_light_year
from clubplanner.services.rows.snapshot import load_club, load_stretches, load_venues
from clubplanner.services.season.light.in_the_dark import day_range
from clubplanner.services.season.year import clock_changes
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import PitchRow

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy import Row
    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.light_calendar import EveningLight
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.store.engine import Store

WIDE, NARROW = 1160.0, 318.0


@dataclass(frozen=True, slots=True)
class MonthOfLight:
    """A month in the table.

    Attributes:
        first: Its first date that is shown.
        name: The month, with its year.
        unlit_until: Until when unlit ground is of use, on its first and last date.
        sessions: What is booked outdoors.
        lamp_minutes: How long floodlights burn, each pitch by itself.
        dark: How many begin or end in the dark.
    """

    first: date
    name: str
    unlit_until: str
    sessions: int
    lamp_minutes: int
    dark: int

    @property
    def lamps(self) -> str:
        """Floodlight hours in words; blank for none."""
        return f"{figure(self.lamp_minutes / 60, '.1f')} h" if self.lamp_minutes else ""


@dataclass(frozen=True, slots=True)
class YearOfLight:
    """A venue's year of light.

    Attributes:
        drawn: What is drawn.
        months: The same by month.
        changes: When the clocks change, in words.
    """

    drawn: LightYear
    months: tuple[MonthOfLight, ...]
    changes: tuple[str, ...]

    @property
    def drawing(self) -> str:
        """The year, dates to the right, SVG."""
        return draw_light_year(self.drawn, WIDE)

    @property
    def narrow(self) -> str:
        """The year, dates down, SVG."""
        return draw_light_year(self.drawn, NARROW, is_turned=True)


@dataclass(slots=True)
class _Found:
    """What is booked outdoors, sorted by what the light is to it."""

    ends: set[tuple[date, int]]
    lamps: list[Burning]
    dark: list[Burning]
    sessions: dict[date, int]
    lamp_minutes: dict[date, int]
    early: dict[date, int]


def see_light_year(
    store: Store,
    venue_key: str | None,
    day: date,
    now: datetime,
    address_of: Callable[[date], str] | None = None,
) -> YearOfLight | None:
    """Show the year of light that holds a date: from the month in which the club's season begins.

    Args:
        store: The database.
        venue_key: Which venue; None for the first.
        day: A local date of the year.
        now: The present instant, to mark today.
        address_of: Where a month's dates stand one by one, by its first date; None for nowhere.

    Returns:
        None for a venue without a place, whose light nobody can tell.

    Raises:
        MissingError: If there is no such venue, or none at all.
    """
    with store.read() as session:
        zone = load_club(session).time_zone
        venue = next((v for v in load_venues(session) if venue_key in (None, v.key)), None)
        if venue is None:
            raise MissingError(_("There is no such venue; choose one from the page of light."))
        first, last = _year_with(day, load_stretches(session))
        if venue.lon is None or venue.lat is None:
            return None
        evenings = list_evenings(first, last, venue.lon, venue.lat, venue.dusk_margin_minutes, zone)
        booked = _load(session, venue, evenings, zone)
    found = _sort_out(booked, venue, evenings, zone)
    changes = tuple(clock_changes(first, last, zone))
    today = now.astimezone(zone).date()
    drawn = LightYear(
        title=_("The year's light at %(venue)s", venue=venue.name),
        summary=_summary(evenings, found, changes, zone),
        first=first,
        last=last,
        sunset=tuple(_minute(e.light.sunset_at, e, zone) for e in evenings),
        dusk=tuple(_minute(e.light.civil_dusk_at, e, zone) for e in evenings),
        dark_from=tuple(
            0 if e.light.kind is LightKind.NONE else _minute(e.usable_until, e, zone)
            for e in evenings
        ),
        ends=tuple(sorted(found.ends)),
        lamps=tuple(found.lamps),
        dark=tuple(found.dark),
        lights_off_min=venue.lights_off_min,
        today=today if first <= today <= last else None,
        months=() if address_of is None else _doors(first, last, address_of),
    )
    return YearOfLight(drawn, tuple(_months(evenings, found, zone)), changes)


def _year_with(day: date, stretches: Sequence[Stretch]) -> tuple[date, date]:
    """Return the first and last date of the year that holds a date."""
    month = min((stretch.starts_on for stretch in stretches), default=day.replace(month=1)).month
    first = day.replace(month=month, day=1)
    if first > day:
        first = first.replace(year=day.year - 1)
    return first, first.replace(year=first.year + 1) - timedelta(days=1)


def _load(
    session: Session, venue: Venue, evenings: Sequence[EveningLight], zone: ZoneInfo
) -> Sequence[Row[str, int, int]]:
    """Return pitch, start and end of all that somebody comes for, by start, in seconds."""
    since, until = day_range(evenings[0].day, zone), day_range(evenings[-1].day, zone)
    query = (
        select(
            PitchRow.key,
            type_coerce(BookingRow.starts_at, BigInteger),
            type_coerce(BookingRow.ends_at, BigInteger),
        )
        .join(PitchRow, BookingRow.pitch_id == PitchRow.id)
        .where(
            PitchRow.key.in_([pitch.key for pitch in venue.pitches if not pitch.is_indoor]),
            BookingRow.starts_at >= since.starts_at,
            BookingRow.starts_at < until.ends_at,
            BookingRow.is_withdrawn.is_(False),
            BookingRow.purpose != Purpose.CLOSED,
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
    )
    return session.connection().execute(query).all()


def _sort_out(
    booked: Iterable[Row[str, int, int]],
    venue: Venue,
    evenings: Sequence[EveningLight],
    zone: ZoneInfo,
) -> _Found:
    pitches = {pitch.key: pitch for pitch in venue.pitches}
    by_day = {evening.day: evening for evening in evenings}

    @cache
    def out_of(key: str, day: date) -> datetime | None:
        return usable_until(pitches[key], venue, day, zone)

    @cache
    def about(starts: int, ends: int) -> tuple[TimeRange, date, int]:
        """Return time, date and end in minutes; few times are those of many sessions."""
        during = range_of(starts, ends)
        day = during.starts_at.astimezone(zone).date()
        end_min = minute_from_instant(during.ends_at, day, zone)
        if not by_day[day].is_dark_at(during.ends_at):
            found.ends.add((day, end_min))
        return during, day, end_min

    found = _Found(set(), [], [], defaultdict(int), defaultdict(int), defaultdict(int))
    lit: dict[date, dict[str, list[TimeRange]]] = defaultdict(lambda: defaultdict(list))
    alike = Counter((key, starts, ends) for key, starts, ends in booked)  # parts of a pitch
    for (key, starts, ends), count in alike.items():
        during, day, end_min = about(starts, ends)
        found.sessions[day] += count
        until = out_of(key, day)
        if until is not None and until < during.ends_at:
            dark_from = minute_from_instant(max(until, during.starts_at), day, zone)
            found.dark += [Burning(day, dark_from, end_min)] * count
        elif begins_in_the_dark(pitches[key], venue, during, zone):
            found.early[day] += count
        if pitches[key].is_lit:
            lit[day][key].append(during)
    _burn(found, lit, by_day, out_of, zone)
    return found


def _burn(
    found: _Found,
    lit: Mapping[date, Mapping[str, Sequence[TimeRange]]],
    by_day: Mapping[date, EveningLight],
    out_of: Callable[[str, date], datetime | None],
    zone: ZoneInfo,
) -> None:
    """Add when floodlights burn: drawn once for all pitches, counted each by itself."""
    for day, held_on in lit.items():
        evening, whole = by_day[day], day_range(day, zone)
        together: list[TimeRange] = []
        alike: dict[tuple[object, ...], Sequence[TimeRange]] = {}  # most pitches are held alike
        for key, held in held_on.items():
            until = out_of(key, day)
            spans = alike.get((until, *held))
            if spans is None:
                spans = alike[until, *held] = lamp_spans(held, evening, whole, until)
            found.lamp_minutes[day] += sum(span.minutes for span in spans)
            together += spans
        found.lamps.extend(
            Burning(
                day,
                minute_from_instant(span.starts_at, day, zone),
                minute_from_instant(span.ends_at, day, zone),
            )
            for span in lamp_spans(together, evening, whole, None)
        )


def _minute(instant: datetime | None, evening: EveningLight, zone: ZoneInfo) -> int | None:
    return None if instant is None else minute_from_instant(instant, evening.day, zone)


def _summary(
    evenings: Sequence[EveningLight], found: _Found, changes: Sequence[str], zone: ZoneInfo
) -> str:
    """Say in a few sentences what the picture shows."""
    said = [*_sun_in_words(evenings, zone)]
    if changes:
        said.append(_("The clocks change: %(changes)s.", changes="; ".join(changes)))
    count = sum(found.sessions.values())
    said.append(
        ngettext(
            "%(num)s session is booked outdoors.", "%(num)s sessions are booked outdoors.", count
        )
    )
    if found.dark:
        dark = len(found.dark)
        said.append(ngettext("%(num)s ends in the dark.", "%(num)s end in the dark.", dark))
    elif count:
        said.append(_("None ends in the dark."))
    early = sum(found.early.values())
    if early:
        said.append(
            ngettext(
                "%(num)s begins before it is light.", "%(num)s begin before it is light.", early
            )
        )
    hours = sum(found.lamp_minutes.values()) / 60
    if hours:
        said.append(_("Floodlights burn %(hours)s hours.", hours=figure(hours, ".0f")))
    return " ".join(said)


def _sun_in_words(evenings: Sequence[EveningLight], zone: ZoneInfo) -> Iterator[str]:
    """Say between which times the sun sets, and from when to when it does not set or rise."""
    known = [(e.light.sunset_at, e.day) for e in evenings if e.light.sunset_at is not None]
    if known:
        known.sort(key=lambda one: minute_from_instant(one[0], one[1], zone))
        (early, early_day), (late, late_day) = known[0], known[-1]
        yield _(
            "The sun sets between %(early)s (%(early_day)s) and %(late)s (%(late_day)s).",
            early=clock_in_zone(early, zone),
            early_day=day_and_month(early_day),
            late=clock_in_zone(late, zone),
            late_day=day_and_month(late_day),
        )
    for span in sun_spans(evenings, LightKind.ALL_DAY):
        yield _(
            "The sun does not set from %(first)s to %(last)s.",
            first=day_and_month(span.first),
            last=day_and_month(span.last),
        )
    for span in sun_spans(evenings, LightKind.NONE):
        yield _(
            "The sun does not rise from %(first)s to %(last)s.",
            first=day_and_month(span.first),
            last=day_and_month(span.last),
        )


def _months(
    evenings: Sequence[EveningLight], found: _Found, zone: ZoneInfo
) -> Iterable[MonthOfLight]:
    days: dict[tuple[int, int], list[EveningLight]] = defaultdict(list)
    for evening in evenings:
        days[evening.day.year, evening.day.month].append(evening)
    for held in days.values():
        dates = {evening.day for evening in held}
        ends = [_until(held[0], zone), _until(held[-1], zone)]
        yield MonthOfLight(
            first=held[0].day,
            name=_month_name(held[0].day),
            unlit_until=" – ".join(dict.fromkeys(ends)),
            sessions=sum(found.sessions[day] for day in dates),
            lamp_minutes=sum(found.lamp_minutes[day] for day in dates),
            dark=sum(one.day in dates for one in found.dark)
            + sum(found.early[day] for day in dates),
        )


def _until(evening: EveningLight, zone: ZoneInfo) -> str:
    if evening.usable_until is not None:
        return clock_in_zone(evening.usable_until, zone)
    return _("not at all") if evening.light.kind is LightKind.NONE else _("all evening")


def _doors(first: date, last: date, address_of: Callable[[date], str]) -> tuple[LitMonth, ...]:
    found, day = [], first
    while day <= last:
        words = _("%(month)s, date by date", month=_month_name(day))
        found.append(LitMonth(day, words, address_of(day)))
        day = day.replace(year=day.year + day.month // 12, month=day.month % 12 + 1)
    return tuple(found)


def _month_name(day: date) -> str:
    return date_in_words(day, marked("MMMM y"))
