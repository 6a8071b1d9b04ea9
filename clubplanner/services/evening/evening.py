"""The evening page: every pitch of a venue at a chosen time, and the whole day as a table."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.club.persons.keeping import Period
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.rules.book import hindrances, is_free
from clubplanner.domain.rules.case import Case, Scene
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    clock_from_minute,
    day_in_words,
    instant_from_wall,
    minute_from_instant,
    range_from_wall,
)
from clubplanner.language import _, sentence, term
from clubplanner.outputs.charts.weeks.week_chart import draw_week
from clubplanner.outputs.charts.weeks.week_values import NARROW
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.services.evening.drawn_days import all_shown
from clubplanner.services.evening.missed import MissedHere, NotAsPlanned, load_not_as_planned
from clubplanner.services.rows.club.keeping_rows import load_keeping
from clubplanner.services.rows.journal.journal_rows import bookings_as_known
from clubplanner.services.rows.snapshot import load_bookings, load_club, load_venues
from clubplanner.services.showing.choosing.choices import (
    AreaGroup,
    Choice,
    choices_of,
    squads_to_choose,
)
from clubplanner.services.showing.choosing.venues import chosen_venue
from clubplanner.services.showing.drawn_weeks import draw_shown, drawn_ranges
from clubplanner.services.showing.ground.plans import plan_of_bookings, times_in_words
from clubplanner.services.showing.light_words import light_in_words
from clubplanner.services.showing.states.conditions import conditions_in_words, load_conditions
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.services.showing.states.state_shown import StateShown
    from clubplanner.store.engine import Store

MOST_DRAWN = 6
"""Pitches of a venue up to which the day is drawn beside its table, and plans have their painted
lines: so a page of twenty stays under 150 kB. The week leafs through more."""
USUAL_MINUTE = 18 * 60
"""Shown when nobody chose a time and the day holds nothing."""


@dataclass(frozen=True, slots=True)
class EveningRow:
    """A booking in the table.

    Attributes:
        number: The booking's number.
        mark: Its sign on the plans.
        times: Local times.
        holder: Who.
        place: Area and pitch.
        purpose: Why.
        note: May be blank.
        sequence: The change shown, for forms that act on it.
        is_shown: Whether it is on the plans at the chosen time.
        squad_key: Whose; None for nobody of ours.
        state: From where and when it was moved; None for what is where it was to be.
    """

    number: int
    mark: str
    times: str
    holder: str
    place: str
    purpose: str
    note: str
    sequence: int
    is_shown: bool
    squad_key: str | None = None
    state: StateShown | None = None


@dataclass(frozen=True, slots=True)
class PitchNow:
    """One pitch at the chosen time.

    `free` names what of it no rule keeps anybody from; where that is nothing, `why_none` says which
    rules do, held ground aside, or that what is drawn as free is less than a part.
    """

    name: str
    about: str
    light: str
    drawing: str
    free: str
    why_none: str = ""
    conditions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class EveningPage:
    """What the evening page shows.

    `drawing` is the day over time, SVG; blank where nothing is booked, or on too many pitches.
    `is_whole` is no for an instant further back than changes are kept. `missed` is what was to be
    and is off or elsewhere, by time. Of an evening as it stood neither that is told nor what was
    moved.
    """

    club_name: str
    venue: Choice
    venues: tuple[Choice, ...]
    day: date
    day_words: str
    at: str
    moments: tuple[str, ...]
    pitches: tuple[PitchNow, ...]
    rows: tuple[EveningRow, ...]
    known_at: datetime | None = None
    drawing: str = ""
    is_whole: bool = True
    missed: tuple[MissedHere, ...] = ()


@dataclass(frozen=True, slots=True)
class BookingChoices:
    """What a booking form offers."""

    groups: tuple[AreaGroup, ...]
    squads: tuple[Choice, ...]
    purposes: tuple[Choice, ...]

    @property
    def areas(self) -> tuple[Choice, ...]:
        """All areas as one list, each with its pitch as its group."""
        return choices_of(self.groups)


def see_evening(
    store: Store,
    venue_key: str | None,
    day: date,
    at_min: int | None,
    known_at: datetime | None = None,
    *,
    now: datetime | None = None,
    address: Callable[[Booking], str] = lambda _booking: "",
) -> EveningPage:
    """Show a venue's evening.

    Args:
        store: The database.
        venue_key: Which venue; None for the first.
        day: The local date.
        at_min: The minute to show on the plans; None for the present one once the day's first
            session has begun, else for the busiest moment of the day.
        known_at: Show it as it stood at this instant; None for as it stands.
        now: The present instant; None to show the busiest moment of any day.
        address: Where a booking leads on the drawing of the day; blank for nowhere.

    Raises:
        MissingError: If there is no such venue, or no venue at all.
    """
    with store.read() as session:
        club = load_club(session)
        venues = load_venues(session)
        venue = chosen_venue(
            venues, venue_key, _("There is no such venue; choose one from the evening page.")
        )
        zone = club.time_zone
        during = range_from_wall(day, 0, MINUTES_A_DAY, zone)
        keys = {pitch.key for pitch in venue.pitches}
        known = (
            load_bookings(session, during)
            if known_at is None
            else bookings_as_known(session, during, known_at)
        )
        bookings = [b for b in known if b.pitch_key in keys]
        conditions = load_conditions(session, during, known_at)
        kept = load_keeping(session).time_of(Period.JOURNAL)
        today = None if now is None else now.astimezone(zone).date()
        otherwise = (
            NotAsPlanned()
            if known_at
            else load_not_as_planned(session, venue, venues, bookings, [during], zone, today)
        )
    minute = at_min
    if minute is None:
        minute = _usual_minute(bookings, day, zone, now if known_at is None else None)
    instant = instant_from_wall(day, minute, zone)
    marks = {booking.number: str(n) for n, booking in enumerate(bookings, start=1)}
    shown = [booking for booking in bookings if booking.during.contains(instant)]
    scene = Scene(club, (venue,), bookings)
    return EveningPage(
        club_name=club.name,
        venue=Choice(venue.key, venue.name),
        venues=tuple(Choice(v.key, v.name) for v in venues),
        day=day,
        day_words=day_in_words(day),
        at=clock_from_minute(minute),
        moments=_moments(bookings, day, zone),
        pitches=tuple(
            replace(
                _pitch_now(scene, p, instant, shown, marks),
                conditions=conditions_in_words(conditions, p.key),
            )
            for p in venue.pitches
        ),
        rows=tuple(
            replace(_row(venue, b, marks, shown, zone), state=otherwise.moved.get(b.number))
            for b in bookings
        ),
        known_at=known_at,
        drawing=_day_drawn(venue, day, bookings, otherwise, zone, address),
        is_whole=known_at is None or now is None or known_at >= now - kept,
        missed=otherwise.missed,
    )


def _day_drawn(
    venue: Venue,
    day: date,
    bookings: Sequence[Booking],
    otherwise: NotAsPlanned,
    zone: ZoneInfo,
    address: Callable[[Booking], str],
) -> str:
    """Draw the day over time, under the numbers of the table."""
    shown = all_shown(bookings, otherwise, address)
    if not shown or len(venue.pitches) > MOST_DRAWN:
        return ""
    ranges = drawn_ranges(venue, [day], shown, zone)
    title = _("%(venue)s, %(day)s, over time", venue=venue.name, day=day_in_words(day))
    drawn = draw_shown(venue, venue.pitches, ranges, shown, zone, None, title)
    return "" if drawn is None else draw_week(drawn, NARROW)


def booking_choices(store: Store, venue_key: str | None) -> BookingChoices:
    """Return what a booking form offers at a venue, or at every venue for None."""
    with store.read() as session:
        groups = _area_groups(session, venue_key)
        return BookingChoices(
            groups=groups,
            squads=tuple(
                replace(choice, value=str(number)) for number, choice in squads_to_choose(session)
            ),
            purposes=tuple(Choice(p.value, sentence(term(p.value))) for p in Purpose),
        )


def _area_groups(session: Session, venue_key: str | None) -> tuple[AreaGroup, ...]:
    query = (
        select(PitchRow.id, PitchRow.name, VenueRow.name, AreaRow.id, AreaRow.name)
        .join(VenueRow, VenueRow.id == PitchRow.venue_id)
        .join(AreaRow, AreaRow.pitch_id == PitchRow.id)
        .order_by(VenueRow.position, PitchRow.position, PitchRow.id, AreaRow.position)
    )
    if venue_key is not None:
        query = query.where(VenueRow.key == venue_key)
    found: dict[int, tuple[str, list[Choice]]] = {}
    for pitch, name, venue, area, area_name in session.execute(query):
        words = name if venue_key is not None else f"{venue}, {name}"
        found.setdefault(pitch, (words, []))[1].append(Choice(str(area), area_name))
    return tuple(AreaGroup(words, tuple(areas)) for words, areas in found.values())


def _usual_minute(
    bookings: Sequence[Booking], day: date, zone: ZoneInfo, now: datetime | None
) -> int:
    """Return the minute to show when nobody chose one.

    Whoever looks while the day is under way stands on the ground, and wants to see who is there
    now, whenever most were there; before that, and on other days, the busiest moment tells most.
    What is closed may be so from midnight on: a day does not begin with that.
    """
    usual = _busiest_minute(bookings, day, zone)
    if now is None or now.astimezone(zone).date() != day:
        return usual
    present = minute_from_instant(now, day, zone)
    starts = [b.during.starts_at for b in bookings if b.purpose is not Purpose.CLOSED]
    is_under_way = bool(starts) and min(starts) <= now
    return present if is_under_way or present > usual else usual


def _busiest_minute(bookings: Sequence[Booking], day: date, zone: ZoneInfo) -> int:
    """Return the minute from which most bookings run at once, the first of several."""
    starts = sorted({booking.during.starts_at for booking in bookings})
    if not starts:
        return USUAL_MINUTE
    busiest = max(starts, key=lambda at: sum(b.during.contains(at) for b in bookings))
    return max(0, minute_from_instant(busiest, day, zone))


def _moments(bookings: Sequence[Booking], day: date, zone: ZoneInfo) -> tuple[str, ...]:
    minutes = {minute_from_instant(booking.during.starts_at, day, zone) for booking in bookings}
    return tuple(clock_from_minute(m) for m in sorted(minutes) if 0 <= m < MINUTES_A_DAY)


def _pitch_now(
    scene: Scene,
    pitch: Pitch,
    instant: datetime,
    shown: Sequence[Booking],
    marks: dict[int, str],
) -> PitchNow:
    zone = scene.club.time_zone
    here = [booking for booking in shown if booking.pitch_key == pitch.key]
    whole, *parts = pitch.areas
    a_while = TimeRange(instant, instant + timedelta(minutes=scene.club.step_minutes))
    anybody = Case(scene, pitch, whole, a_while, purpose=Purpose.HIRE)
    if is_free(anybody):
        free = [_("the whole pitch")]
    else:
        cases = (replace(anybody, area=area) for area in parts if area.cut != "grid")
        free = [case.area.name for case in cases if is_free(case)]
    in_the_way = [] if free else [one.words for one in hindrances(anybody) if not one.is_final]
    if not free and not in_the_way and _is_left_over(pitch, here):
        in_the_way = [_("What is free between them is less than any part of the pitch.")]
    is_painted = len(anybody.venue.pitches) <= MOST_DRAWN
    return PitchNow(
        name=pitch.name,
        about=f"{sentence(term(pitch.surface))}, {whole.length_m:.0f} × {whole.width_m:.0f} m",
        light=light_in_words(pitch, anybody.venue, anybody.day, zone).sentence,
        drawing=draw_ground_plan(
            plan_of_bookings(pitch, here, zone, marks=marks, is_painted=is_painted)
        ),
        free=", ".join(free),
        why_none=" ".join(in_the_way),
    )


def _is_left_over(pitch: Pitch, here: Sequence[Booking]) -> bool:
    """Tell whether ground between bookings is free, and none of the parts lies in it."""
    whole, *parts = pitch.areas
    taken = 0
    for booking in here:
        taken |= pitch.area(booking.area_key).cells
    is_any_free = any(not area.cells & taken for area in parts if area.cut != "grid")
    return bool(whole.cells & ~taken) and bool(taken) and not is_any_free


def _row(
    venue: Venue,
    booking: Booking,
    marks: dict[int, str],
    shown: Sequence[Booking],
    zone: ZoneInfo,
) -> EveningRow:
    pitch = next(pitch for pitch in venue.pitches if pitch.key == booking.pitch_key)
    place = part_in_words(pitch.area(booking.area_key), pitch.name)
    return EveningRow(
        number=booking.number,
        mark=marks[booking.number],
        times=times_in_words(booking, zone),
        holder=booking.holder,
        place=place,
        purpose=booking.purpose.value,
        note=booking.note,
        sequence=booking.sequence,
        is_shown=booking in shown,
        squad_key=booking.squad_key,
    )
