"""A proposal drawn over time: a week of it against what stands, or against another proposal."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    clock_in_zone,
    day_and_month,
    day_month_year,
    end_clock_in_zone,
    range_from_wall,
    short_day,
)
from clubplanner.errors import MissingError
from clubplanner.language import _, term
from clubplanner.outputs.charts.weeks.week_chart import draw_week
from clubplanner.outputs.charts.weeks.week_values import NARROW, SCREEN, Sign
from clubplanner.services.proposals.counted import count_signs
from clubplanner.services.proposals.differences.compared import find_difference
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.proposals.weeks.pieces import (
    DAYS,
    changed_by,
    changed_in,
    held_against,
    leads_nowhere,
    nothing_changed,
)
from clubplanner.services.rows.snapshot import load_bookings, load_venues, load_zone
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.services.showing.drawn_weeks import (
    Shown,
    day_shown,
    draw_shown,
    drawn_ranges,
    shown_booking,
)
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import PitchRow

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy import ColumnElement

    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.services.proposals.proposals import Proposal
    from clubplanner.store.engine import Store

PITCHES = 4
"""Pitches of one leaf, as on the page of a week."""


@dataclass(frozen=True, slots=True)
class ProposalWeekWish:
    """Which part of a proposal is looked at.

    Attributes:
        number: The proposal.
        other: Another proposal that it is held against; None for what stands.
        venue_key: Which venue; None for the one where most changes.
        monday: First date of the week; None for the first in which something changes.
        pitch: Number of the first pitch drawn, from 0.
    """

    number: int
    other: int | None = None
    venue_key: str | None = None
    monday: date | None = None
    pitch: int = 0


@dataclass(frozen=True, slots=True)
class ProposalRow:
    """A line of the table behind the drawing."""

    sign: str
    words: str
    times: str
    who: str
    place: str


@dataclass(frozen=True, slots=True)
class ProposalWeekPage:
    """What the page of a proposal's week shows.

    Attributes:
        number: The proposal.
        other: What it is held against; None for what stands.
        name: What the proposal is for.
        is_published: Whether it stands already.
        venue: The venue.
        venues: All of them, each with how much changes there in the week.
        pitches: Names of all its pitches; a leaf of them is drawn.
        monday: First date of the week.
        words: The week in words.
        before: Monday of the week before, None where the proposal does not reach that far.
        after: Monday of the week after, likewise.
        counts: How much of the week is new, moved or gone at the venue, a sentence.
        days: Date in words and its lines, by time.
        drawing: SVG; blank where there is nothing to draw it on.
        narrow: The day on which most changes, for a narrow screen.
        fault: Why it cannot be drawn; blank when it can.
    """

    number: int
    other: int | None
    name: str
    is_published: bool
    venue: Choice
    venues: tuple[Choice, ...]
    pitches: tuple[str, ...]
    monday: date
    words: str
    before: date | None
    after: date | None
    counts: str
    days: tuple[tuple[str, tuple[ProposalRow, ...]], ...]
    drawing: str
    narrow: str
    fault: str = ""


def see_proposal_week(
    store: Store,
    wish: ProposalWeekWish,
    now: datetime,
    session_address: Callable[[int], str],
    booking_address: Callable[[int], str],
) -> ProposalWeekPage:
    """Draw a week of a proposal.

    Args:
        store: The database.
        wish: Which part of which proposal, and against what.
        now: The present instant; what has begun is no longer changed.
        session_address: Where a session of the proposal leads, by its number in it: to its other
            places. It is asked only where those can be told.
        booking_address: Where a booking that stays leads, by its number.

    Raises:
        MissingError: If a proposal, or the venue, is not there.
    """
    with store.read() as session:
        proposal = load_proposal(session, wish.number)
        zone = load_zone(session)
        venues = load_venues(session)
        if not venues:
            raise MissingError(_("There is no venue yet; load the club's settings and grounds."))
        other = None if wish.other is None else load_proposal(session, wish.other)
        fault, held = "", list[Shown]()
        monday = wish.monday or _monday_of(proposal.first)
        leads_on = proposal.has_other_places(now.astimezone(zone).date())
        address = cache(session_address) if leads_on else leads_nowhere  # many dates, one address
        changed = nothing_changed()
        try:
            if other is not None:
                held = held_against(proposal, other, venues, zone, address)
                monday = wish.monday or _first_monday(held, proposal, zone)
                changed = changed_in(held, _week_of(monday, zone))
            elif proposal.published_at is None:
                difference = find_difference(session, proposal, now, wish.monday)
                monday = wish.monday or _monday_of(difference.first_day(zone) or proposal.first)
                week = _week_of(monday, zone)
                changed = changed_by(difference, proposal, week, zone, address)
        except MissingError as missing:
            fault = str(missing)
        drawn = _drawn(wish, venues, changed.counts)
        shown = list(changed.pieces({pitch.key for pitch in drawn.pitches}))
        week = _week_of(monday, zone)
        standing = () if other is not None else load_bookings(session, week, which=_on(drawn))
    shown += [
        shown_booking(b, address=booking_address(b.number))
        for b in standing
        if b.number not in changed.replaced
    ]
    return _page(wish, proposal, drawn, monday, shown, zone, fault)


@dataclass(frozen=True, slots=True)
class _Drawn:
    """Where is drawn: a venue, a leaf of its pitches, and how much changes at every venue."""

    venues: Sequence[Venue]
    venue: Venue
    pitches: Sequence[Pitch]
    changes: Counter[str | None]


def _drawn(wish: ProposalWeekWish, venues: Sequence[Venue], changed: Counter[str]) -> _Drawn:
    at = {pitch.key: venue.key for venue in venues for pitch in venue.pitches}
    changes = Counter[str | None]()
    for pitch_key, count in changed.items():
        changes[at.get(pitch_key)] += count
    venue = _venue(venues, wish.venue_key, changes)
    start = min(max(0, wish.pitch), max(0, len(venue.pitches) - 1)) // PITCHES * PITCHES
    return _Drawn(venues, venue, venue.pitches[start : start + PITCHES], changes)


def _on(drawn: _Drawn) -> ColumnElement[bool]:
    keys = [pitch.key for pitch in drawn.pitches]
    return BookingRow.pitch_id.in_(select(PitchRow.id).where(PitchRow.key.in_(keys)))


def _first_monday(shown: Sequence[Shown], proposal: Proposal, zone: ZoneInfo) -> date:
    """Return the Monday of the first week in which something changes, else the first of all."""
    days = [day_shown(one.during, zone) for one in shown if one.sign is not Sign.NONE]
    return _monday_of(min(days, default=proposal.first))


def _week_of(monday: date, zone: ZoneInfo) -> TimeRange:
    return range_from_wall(monday, 0, DAYS * MINUTES_A_DAY, zone)


def _monday_of(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _page(
    wish: ProposalWeekWish,
    proposal: Proposal,
    drawn: _Drawn,
    monday: date,
    shown: Sequence[Shown],
    zone: ZoneInfo,
    fault: str,
) -> ProposalWeekPage:
    venue, pitches, changes = drawn.venue, drawn.pitches, drawn.changes
    keys = {pitch.key for pitch in pitches}
    here = [one for one in shown if one.pitch_key in keys]
    days = [monday + timedelta(days=n) for n in range(DAYS)]
    ranges = drawn_ranges(venue, days, here, zone)
    busy = Counter(day_shown(one.during, zone) for one in here if one.sign is not Sign.NONE)
    near = max(ranges, key=lambda day: busy[day]) if ranges else monday
    title = _("Proposal %(number)s", number=proposal.number)
    whole = draw_shown(venue, pitches, ranges, here, zone, None, title)
    one_day = {day: during for day, during in ranges.items() if day == near}
    narrow = draw_shown(venue, pitches, one_day, here, zone, None, title)
    last = monday + timedelta(days=DAYS - 1)
    return ProposalWeekPage(
        number=proposal.number,
        other=wish.other,
        name=proposal.stretch.name,
        is_published=proposal.published_at is not None,
        venue=Choice(venue.key, venue.name),
        venues=tuple(
            Choice(v.key, f"{v.name} ({changes[v.key]})" if changes[v.key] else v.name)
            for v in drawn.venues
        ),
        pitches=tuple(pitch.name for pitch in venue.pitches),
        monday=monday,
        words=_("%(first)s to %(last)s", first=day_and_month(monday), last=day_month_year(last)),
        before=monday - timedelta(weeks=1) if monday > proposal.first else None,
        after=monday + timedelta(weeks=1) if last < proposal.last else None,
        counts=_counts(here),
        days=_rows(here, pitches, zone),
        drawing="" if whole is None else draw_week(whole, SCREEN),
        narrow="" if narrow is None else draw_week(narrow, NARROW),
        fault=fault,
    )


def _venue(venues: Sequence[Venue], key: str | None, changes: Counter[str | None]) -> Venue:
    if key is None:
        return max(venues, key=lambda venue: changes[venue.key])
    for venue in venues:
        if venue.key == key:
            return venue
    raise MissingError(_("There is no such venue; choose one from the page of the proposal."))


def _counts(shown: Iterable[Shown]) -> str:
    signs = Counter(one.sign for one in shown)
    return count_signs(
        new=signs[Sign.ADDED],
        moved=signs[Sign.MOVED],
        gone=max(0, signs[Sign.GONE] - signs[Sign.MOVED]),
    )


def _rows(
    shown: Iterable[Shown], pitches: Sequence[Pitch], zone: ZoneInfo
) -> tuple[tuple[str, tuple[ProposalRow, ...]], ...]:
    by_key = {pitch.key: pitch for pitch in pitches}
    days: dict[date, list[ProposalRow]] = defaultdict(list)
    for one in sorted(shown, key=lambda each: (each.during, each.who)):
        pitch = by_key[one.pitch_key]
        area = pitch.area(one.area_key)
        start = clock_in_zone(one.during.starts_at, zone)
        end = end_clock_in_zone(one.during.ends_at, zone)
        days[day_shown(one.during, zone)].append(
            ProposalRow(
                one.sign.value,
                _("not here any more") if one.sign is Sign.GONE else term(one.sign.value or "kept"),
                f"{start}–{end}",
                one.who,
                area.name if pitch.name in area.name else f"{area.name}, {pitch.name}",
            )
        )
    return tuple((short_day(day), tuple(rows)) for day, rows in sorted(days.items()))
