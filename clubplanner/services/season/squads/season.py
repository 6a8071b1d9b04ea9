"""One squad's season: all its sessions, what became of each, the hours it had."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.booked.light_calendar import list_evenings
from clubplanner.domain.times.daylight import LightKind
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    day_in_short,
    day_in_words,
    day_month_year,
    minute_from_instant,
    range_from_wall,
)
from clubplanner.errors import MissingError
from clubplanner.language import _, figure, ngettext, sentence, term
from clubplanner.outputs.charts.season_chart import BarLook, DrawnSeason, SeasonBar, draw_season
from clubplanner.outputs.papers.week_sheet import WeekSheet, set_week
from clubplanner.outputs.tables.table import Column, Kind, Table
from clubplanner.resources import resource_folder
from clubplanner.services.rows.snapshot import (
    WITH_NAMES,
    booking_from_row,
    load_club,
    load_stretches,
    load_venues,
)
from clubplanner.services.showing.ground.plans import times_in_words
from clubplanner.services.showing.states.session_states import load_states, places_in_words
from clubplanner.services.showing.states.state_shown import StateTeller
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.services.showing.states.state_shown import StateShown
    from clubplanner.store.engine import Store

HALF_A_YEAR = timedelta(weeks=26)
MOST_DAYS = 400
"""A season is drawn up to so many days; what is later is left out."""
WIDE, NARROW, SHEET = 1160.0, 318.0, 1080.0


@dataclass(frozen=True, slots=True)
class SeasonRow:
    """A session in the table.

    Attributes:
        day: Its date in words.
        on: Its date.
        start_min: When it begins, minutes after local midnight.
        end_min: When it ends, minutes after the same midnight.
        times: Local times, in words.
        place: Ground, in words.
        purpose: Training or match.
        minutes: How long.
        state: What became of it, in words; blank for one that is on as planned.
        is_off: Whether nobody came or comes for it.
        is_over: Whether it lies in the past.
    """

    day: str
    on: date
    start_min: int
    end_min: int
    times: str
    place: str
    purpose: str
    minutes: int
    state: str
    is_off: bool
    is_over: bool


@dataclass(frozen=True, slots=True)
class SquadSeasonPage:
    """What the page of a squad's season shows.

    Attributes:
        key: The squad's key.
        name: Its name.
        club_name: The club.
        words: From when to when.
        facts: What it had, what is to come, what differed: sentences.
        rows: Its sessions, by time.
        season: What is drawn.
    """

    key: str
    name: str
    club_name: str
    words: str
    facts: tuple[str, ...]
    rows: tuple[SeasonRow, ...]
    season: DrawnSeason

    @property
    def drawing(self) -> str:
        """The season, dates to the right, SVG."""
        return draw_season(self.season, WIDE)

    @property
    def narrow(self) -> str:
        """The season, dates down, SVG."""
        return draw_season(self.season, NARROW, is_turned=True)


def see_squad_season(store: Store, key: str, now: datetime) -> SquadSeasonPage:
    """Show all sessions of a squad in the club's season, past and to come.

    The season goes from the first stretch in which the squad has anything to the last; in a club
    without stretches half a year back and ahead.

    Args:
        store: The database.
        key: The squad.
        now: The present instant.

    Raises:
        MissingError: If there is no such squad.
    """
    with store.read() as session:
        club = load_club(session)
        zone = club.time_zone
        squad = session.scalars(select(SquadRow).where(SquadRow.key == key)).first()
        if squad is None:
            raise MissingError(_("There is no such squad; choose one from the list."))
        today = now.astimezone(zone).date()
        stretches = load_stretches(session)
        venues = load_venues(session)
        found = _load(session, squad.id, *_span(stretches, today), zone)
        first, last = _narrowed(stretches, found, today, zone)
        bookings = [b for b in found if first <= _day(b, zone) <= last]
        states = load_states(session, bookings, venues, zone)
        name = squad.name
    teller = StateTeller(states, venues, zone)
    shown = [(b, teller.shown(b)) for b in bookings if not teller.is_gone(b)]
    places = places_in_words(venues)
    rows = tuple(_row(b, state, places[b.pitch_key, b.area_key], now, zone) for b, state in shown)
    return SquadSeasonPage(
        key=key,
        name=name,
        club_name=club.name,
        words=_("%(first)s to %(last)s", first=day_month_year(first), last=day_month_year(last)),
        facts=_facts(rows),
        rows=rows,
        season=_drawn(name, shown, rows, venues, first, last, zone),
    )


def season_table(page: SquadSeasonPage) -> Table:
    """Return a squad's sessions as a table to take away."""
    columns = (
        Column(_("Date"), Kind.DATE),
        Column(_("From"), Kind.TIME),
        Column(_("Until"), Kind.TIME),
        Column(_("For")),
        Column(_("Ground")),
        Column(_("Hours"), Kind.HOURS),
        Column(_("What became of it")),
    )
    rows = [
        (r.on, r.start_min, r.end_min, r.purpose, r.place, r.minutes / 60, r.state)
        for r in page.rows
    ]
    return Table(page.name, columns, rows, page.words)


def print_season(page: SquadSeasonPage, zone: ZoneInfo, now: datetime) -> bytes:
    """Set a squad's season as one sheet of A4 on its side."""
    made = now.astimezone(zone)
    web = resource_folder("web")
    words = "; ".join(f"{row.day} {row.times} {row.place}" for row in page.rows)
    sheet = WeekSheet(
        club=page.club_name,
        venue=page.name,
        week=page.words,
        drawing=draw_season(page.season, SHEET),
        words=words or _("Nothing is booked in this season."),
        notes=page.facts,
        made=_(
            "Made %(day)s, %(time)s.", day=day_in_words(made.date()), time=made.strftime("%H:%M")
        ),
    )
    source = (web / "templates" / "evening" / "week_sheet.typ").read_text("utf-8")
    return set_week(sheet, "a4", source, (str(web / "static" / "fonts"),), now)


def _span(stretches: Sequence[Stretch], today: date) -> tuple[date, date]:
    """Return the first and last date of the season."""
    if not stretches:
        return today - HALF_A_YEAR, today + HALF_A_YEAR
    first = min(stretch.starts_on for stretch in stretches)
    last = max(stretch.ends_on for stretch in stretches)
    return first, min(last, first + timedelta(days=MOST_DAYS - 1))


def _narrowed(
    stretches: Sequence[Stretch], bookings: Sequence[Booking], today: date, zone: ZoneInfo
) -> tuple[date, date]:
    """Return the dates from the first stretch in which the squad has anything to the last.

    Where it has nothing at all, the stretch under way or the next one.
    """
    first, last = _span(stretches, today)
    days = [_day(booking, zone) for booking in bookings]
    used = [
        stretch
        for stretch in stretches
        if any(stretch.starts_on <= day <= stretch.ends_on for day in days)
    ] or [stretch for stretch in stretches if not days and stretch.ends_on >= today][:1]
    starts = [stretch.starts_on for stretch in used] + days
    ends = [stretch.ends_on for stretch in used] + days
    return max(first, min(starts, default=first)), min(last, max(ends, default=last))


def _day(booking: Booking, zone: ZoneInfo) -> date:
    return booking.during.starts_at.astimezone(zone).date()


def _load(
    session: Session, squad_id: int, first: date, last: date, zone: ZoneInfo
) -> tuple[Booking, ...]:
    during = range_from_wall(first, 0, ((last - first).days + 1) * MINUTES_A_DAY, zone)
    rows = session.scalars(
        select(BookingRow)
        .where(
            BookingRow.squad_id == squad_id,
            BookingRow.starts_at >= during.starts_at,
            BookingRow.starts_at < during.ends_at,
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
        .options(*WITH_NAMES)
    )
    return tuple(booking_from_row(row) for row in rows)


def _row(
    booking: Booking, state: StateShown | None, place: str, now: datetime, zone: ZoneInfo
) -> SeasonRow:
    day = _day(booking, zone)
    words = "" if state is None else ": ".join(p for p in (state.label, state.short) if p)
    return SeasonRow(
        day=day_in_short(day),
        on=day,
        start_min=minute_from_instant(booking.during.starts_at, day, zone),
        end_min=minute_from_instant(booking.during.ends_at, day, zone),
        times=times_in_words(booking, zone),
        place=place,
        purpose=sentence(term(booking.purpose.value)),
        minutes=booking.during.minutes,
        state=words,
        is_off=booking.is_withdrawn or (state is not None and state.is_off),
        is_over=booking.during.ends_at <= now,
    )


def _facts(rows: Sequence[SeasonRow]) -> tuple[str, ...]:
    had = [row for row in rows if row.is_over and not row.is_off]
    coming = [row for row in rows if not row.is_over and not row.is_off]
    off = sum(row.is_off for row in rows)
    differing = sum(bool(row.state) and not row.is_off for row in rows)
    told = (
        (
            had,
            ngettext(
                "Had: %(num)s session, %(hours)s h.",
                "Had: %(num)s sessions, %(hours)s h.",
                len(had),
                hours=_hours(had),
            ),
        ),
        (
            coming,
            ngettext(
                "To come: %(num)s session, %(hours)s h.",
                "To come: %(num)s sessions, %(hours)s h.",
                len(coming),
                hours=_hours(coming),
            ),
        ),
        (off, ngettext("%(num)s is off.", "%(num)s are off.", off)),
        (
            differing,
            ngettext("%(num)s is not as planned.", "%(num)s are not as planned.", differing),
        ),
    )
    return tuple(words for there, words in told if there)


def _hours(rows: Sequence[SeasonRow]) -> str:
    return figure(sum(row.minutes for row in rows) / 60, ".1f")


def _drawn(
    name: str,
    shown: Sequence[tuple[Booking, StateShown | None]],
    rows: Sequence[SeasonRow],
    venues: Sequence[Venue],
    first: date,
    last: date,
    zone: ZoneInfo,
) -> DrawnSeason:
    pitches = {pitch.key: pitch for venue in venues for pitch in venue.pitches}
    bars = []
    for (booking, state), row in zip(shown, rows, strict=True):
        day = _day(booking, zone)
        pitch = pitches[booking.pitch_key]
        area = pitch.area(booking.area_key)
        bars.append(
            SeasonBar(
                day,
                row.start_min,
                row.end_min,
                min(1.0, area.area_m2 / pitch.polygon.area),
                _look(booking, state, row),
                ", ".join(part for part in (row.day, row.times, row.place, row.state) if part),
            )
        )
    return DrawnSeason(
        title=name,
        summary=ngettext(
            "%(num)s session on the curve of light; the table has it in words.",
            "%(num)s sessions on the curve of light; the table has each in words.",
            len(bars),
        ),
        first=first,
        last=last,
        dark_from=_dark(shown, venues, first, last, zone),
        bars=tuple(bars),
    )


def _look(booking: Booking, state: StateShown | None, row: SeasonRow) -> BarLook:
    if row.is_off:
        return BarLook.OFF
    if state is not None and state.outcome == "moved":
        return BarLook.MOVED
    return BarLook.MATCH if booking.purpose is Purpose.MATCH else BarLook.ON


def _dark(
    shown: Sequence[tuple[Booking, StateShown | None]],
    venues: Sequence[Venue],
    first: date,
    last: date,
    zone: ZoneInfo,
) -> tuple[int | None, ...]:
    """Return from when it is too dark where the squad is most, by date, as far as is known."""
    at: Mapping[str, Venue] = {p.key: venue for venue in venues for p in venue.pitches}
    used = [at[booking.pitch_key].key for booking, _state in shown]
    venue = max(venues, key=lambda v: used.count(v.key), default=None)
    if venue is None or venue.lon is None or venue.lat is None:
        return (None,) * ((last - first).days + 1)
    evenings = list_evenings(first, last, venue.lon, venue.lat, venue.dusk_margin_minutes, zone)
    return tuple(
        0
        if evening.light.kind is LightKind.NONE
        else None
        if evening.usable_until is None
        else minute_from_instant(evening.usable_until, evening.day, zone)
        for evening in evenings
    )
