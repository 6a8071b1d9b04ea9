"""Use of grass pitches week by week against the club's limits."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.ground.wear import (
    Guidance,
    WearLimit,
    WeekWear,
    measure_week,
    parse_guidance,
)
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    day_and_month,
    instant_from_wall,
    short_day,
)
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, figure
from clubplanner.outputs.charts.load_chart import LoadBar, draw_load
from clubplanner.resources import published_table
from clubplanner.services.rows.ground.wear_limits import load_wear_limits
from clubplanner.services.rows.named import find_area
from clubplanner.services.rows.snapshot import load_bookings, load_club, load_venues
from clubplanner.services.season.grass.use import sum_uses
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.services.showing.states.conditions import load_conditions
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.season_tables import WearLimitRow

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.ground.grounds import Pitch
    from clubplanner.store.engine import Store

GRASS = "grass"
NEAR = 0.85
"""From this part of its limit on, a pitch is one to look after."""
MOST_HOURS, MOST_MATCHES = 60.0, 60.0


@dataclass(frozen=True, slots=True)
class WeekShown:
    """A pitch in one week, in words.

    Attributes:
        monday: First date.
        week: The week in words.
        use: Adult hours and match equivalents.
        state: "over", "near", "within", or blank without a limit.
        words: What the state means.
        wear: The same in figures.
        share: Part of what it bears, 1 for all; None where there is no limit, or nothing is allowed
            and something booked.
    """

    monday: date
    week: str
    use: str
    state: str
    words: str
    wear: WeekWear
    share: float | None


@dataclass(frozen=True, slots=True)
class PitchWear:
    """A grass pitch with its weeks.

    Attributes:
        key: The pitch.
        name: As people say it, with its venue.
        limit: What the club lets it bear; None for no limit yet.
        weeks: In order.
        drawing: The weeks as bars, an SVG element; blank where there is neither limit nor use.
    """

    key: str
    name: str
    limit: WearLimit | None
    weeks: tuple[WeekShown, ...]
    drawing: str


def grass_choices(store: Store) -> tuple[Choice, ...]:
    """Return every grass pitch by key, with its venue's name, in the club's order."""
    with store.read() as session:
        rows = session.execute(
            select(PitchRow.key, PitchRow.name, VenueRow.name)
            .join(PitchRow.venue)
            .where(PitchRow.surface == GRASS)
            .order_by(VenueRow.position, VenueRow.id, PitchRow.position, PitchRow.id)
        )
        return tuple(Choice(key, f"{name}, {venue}") for key, name, venue in rows)


def see_wear(
    store: Store,
    day: date,
    weeks: int,
    today: date | None = None,
    only: Collection[str] | None = None,
) -> tuple[PitchWear, ...]:
    """Show the use of grass pitches.

    Args:
        store: The database.
        day: A date of the first week.
        weeks: How many weeks.
        today: Parts what was from what is to come in the picture; None draws them alike.
        only: Keys of the pitches that are asked about; None for all.
    """
    monday = day - timedelta(days=day.weekday())
    with store.read() as session:
        limits = load_wear_limits(session)
        measured = measure_pitches(session, monday, weeks, only)
    return tuple(
        _pitch_wear(venue_name, pitch, limits.get(pitch.key), found, today)
        for venue_name, pitch, found in measured
    )


def measure_pitches(
    session: Session, monday: date, weeks: int, only: Collection[str] | None = None
) -> list[tuple[str, Pitch, tuple[WeekWear, ...]]]:
    """Return venue name, pitch and its weeks for every grass pitch, in the club's order.

    Args:
        session: An open session.
        monday: First date of the first week.
        weeks: How many weeks.
        only: Keys of the pitches that are asked about; None for all.
    """
    grass = [
        (venue.name, pitch)
        for venue in load_venues(session)
        for pitch in venue.pitches
        if pitch.surface == GRASS and (only is None or pitch.key in only)
    ]
    keys = [pitch.key for _unused, pitch in grass]
    zone = load_club(session).time_zone
    mondays = [monday + timedelta(weeks=n) for n in range(weeks)]
    uses = sum_uses(session, keys, mondays, zone)
    during = TimeRange(
        instant_from_wall(monday, 0, zone),
        instant_from_wall(monday + timedelta(days=7 * weeks - 1), MINUTES_A_DAY, zone),
    )
    conditions = load_conditions(session, during)
    closed: dict[str, list[Booking]] = defaultdict(list)
    for booking in load_bookings(session, during, Purpose.CLOSED):
        closed[booking.pitch_key].append(booking)
    by_quality = {row.quality: row for row in guidance() if row.quality}
    rows = {key: by_quality.get(limit.quality) for key, limit in load_wear_limits(session).items()}
    return [
        (
            venue_name,
            pitch,
            tuple(
                measure_week(
                    pitch,
                    m,
                    uses[pitch.key, m],
                    closed[pitch.key],
                    conditions,
                    zone,
                    rows.get(pitch.key),
                )
                for m in mondays
            ),
        )
        for venue_name, pitch in grass
    ]


def set_wear_limit(
    store: Store,
    pitch: str,
    hours: float | None,
    matches: float | None,
    source: str,
    quality: str = "",
) -> str:
    """Set what a pitch may bear in a week; with neither figure it has no limit.

    Args:
        store: The database.
        pitch: Key or name of the pitch.
        hours: Adult hours of the whole pitch a week.
        matches: Match equivalents a week.
        source: Where the figures come from, in words.
        quality: The published row by which matches of the young are weighed; blank for as one.

    Returns:
        What was done, a sentence.

    Raises:
        MissingError: If there is no such pitch.
        RefusedError: If a figure is out of range, or no source is given.
    """
    for value, most in ((hours, MOST_HOURS), (matches, MOST_MATCHES)):
        if value is not None and not 0 < value <= most:
            raise RefusedError(
                _(
                    "Enter a figure above 0, at most %(most)s, or leave it blank.",
                    most=figure(most, "g"),
                )
            )
    if (hours is not None or matches is not None) and not source.strip():
        raise RefusedError(_("Say where the figures come from, so that they can be checked."))
    with store.write() as session:
        row = session.scalars(
            select(PitchRow).where(PitchRow.id == find_area(session, pitch).pitch_id)
        ).one()
        limit = session.get(WearLimitRow, row.id)
        if hours is None and matches is None:
            if limit is not None:
                session.delete(limit)
            return _("%(name)s has no limit.", name=row.name)
        if limit is None:
            limit = WearLimitRow(pitch_id=row.id)
            session.add(limit)
        limit.hours, limit.matches, limit.source = hours, matches, source.strip()
        limit.quality = quality
        return f"{row.name}: {limit_in_words(WearLimit(hours, matches, source))}"


def set_limit_by_guidance(store: Store, pitch: str, construction: str, quality: str) -> str:
    """Set a pitch's limit from the published tables by construction, quality, or both.

    Raises:
        MissingError: If there is no such pitch or row.
        RefusedError: If neither is given.
    """
    rows = [
        row
        for row in guidance()
        if (construction and row.construction == construction)
        or (quality and row.quality == quality)
    ]
    if not construction and not quality:
        raise RefusedError(_("Choose how the pitch is built, or how good it is."))
    found = {row.construction for row in rows} | {row.quality for row in rows}
    if not {construction, quality} - {""} <= found:  # nothing that was said is passed over
        raise MissingError(_("The published tables have no such row."))
    hours = next((row.hours for row in rows if row.hours is not None), None)
    matches = next((row.matches for row in rows if row.matches is not None), None)
    source = "; ".join(row.words for row in rows)
    return set_wear_limit(store, pitch, hours, matches, source, quality)


@cache
def guidance() -> tuple[Guidance, ...]:
    """Return the published guidance."""
    return parse_guidance(published_table("grass_load.csv"))


def limit_in_words(limit: WearLimit) -> str:
    """Write a limit: "at most 3 adult hours and 2 match equivalents a week (source)."."""
    parts = [
        f"{figure(value, 'g')} {words}"
        for value, words in (
            (limit.hours, _("adult hour") if limit.hours == 1 else _("adult hours")),
            (
                limit.matches,
                _("match equivalent") if limit.matches == 1 else _("match equivalents"),
            ),
        )
        if value is not None
    ]
    return _(
        "at most %(parts)s a week (%(source)s).", parts=_(" and ").join(parts), source=limit.source
    )


def _pitch_wear(
    venue_name: str,
    pitch: Pitch,
    limit: WearLimit | None,
    weeks: tuple[WeekWear, ...],
    today: date | None,
) -> PitchWear:
    shown = tuple(_week_shown(week, limit) for week in weeks)
    drawing = _drawing(pitch.name, limit, weeks, today)
    return PitchWear(pitch.key, f"{pitch.name}, {venue_name}", limit, shown, drawing)


def _drawing(
    name: str, limit: WearLimit | None, weeks: Sequence[WeekWear], today: date | None
) -> str:
    """Draw use against the limit; without one against the busiest week; blank without either."""
    most = max((week.hours for week in weeks), default=0.0)
    if limit is None and not most:
        return ""
    over, bars = [], []
    for week in weeks:
        share = week.hours / most if limit is None else week.share_of(limit) or 0.0
        sunday = week.monday + timedelta(days=6)
        is_over = limit is not None and share > 1
        is_past = today is None or sunday < today
        bars.append(LoadBar(day_and_month(week.monday), share, is_over, is_past))
        if is_over:
            over.append(_week_words(week.monday))
    title = _("Use of %(pitch)s, week by week", pitch=name)
    if limit is None:
        busiest = _("%(hours)s h", hours=figure(most, ".1f"))
        words = _(
            "%(pitch)s has no limit; its busiest week has %(hours)s.", pitch=name, hours=busiest
        )
        return draw_load(bars, title, words, busiest)
    if over:
        words = _("%(pitch)s is over its limit in: %(over)s.", pitch=name, over=", ".join(over))
    else:
        words = _("%(pitch)s stays within its limit in all of these weeks.", pitch=name)
    return draw_load(bars, title, words)


def _week_shown(week: WeekWear, limit: WearLimit | None) -> WeekShown:
    use = _(
        "%(hours)s h, %(matches)s match equivalents",
        hours=figure(week.hours, ".1f"),
        matches=figure(week.matches, ".1f"),
    )
    if week.youth_hours:
        use += " " + _(
            "(%(youth_hours)s h by the young)", youth_hours=figure(week.youth_hours, ".1f")
        )
    share = None if limit is None else week.share_of(limit)
    state, words = "", _("no limit set")
    if share is not None:
        percent = _("more than it bears") if share == float("inf") else f"{100 * share:.0f} %"
        state = "over" if share > 1 else "near" if share >= NEAR else "within"
        words = (
            _("%(percent)s of what it bears", percent=percent) if share != float("inf") else percent
        )
        if week.factor < 1:
            words += _(
                "; it bears %(factor)s %% of the usual this week",
                factor=figure(100 * week.factor, ".0f"),
            )
    figures = None if share == float("inf") else share
    return WeekShown(week.monday, _week_words(week.monday), use, state, words, week, figures)


def _week_words(monday: date) -> str:
    sunday = monday + timedelta(days=6)
    return _("%(first)s to %(last)s", first=short_day(monday), last=short_day(sunday))
