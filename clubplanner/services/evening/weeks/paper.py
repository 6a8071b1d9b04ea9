"""A venue's week set as one sheet to hand out or to pin up, with all that is said of it there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import TimeRange, day_in_words, short_day
from clubplanner.language import _
from clubplanner.outputs.charts.weeks.week_chart import draw_week, unnamed_blocks
from clubplanner.outputs.charts.weeks.week_values import SHEET
from clubplanner.outputs.papers.week_sheet import WeekSheet, set_week
from clubplanner.resources import resource_folder
from clubplanner.services.evening.drawn_days import all_shown
from clubplanner.services.evening.missed import load_not_as_planned
from clubplanner.services.evening.weeks.days import (
    DAYS,
    days_of_week,
    find_venue,
    spans_of_week,
    week_in_words,
    why_not_drawn,
)
from clubplanner.services.rows.snapshot import load_bookings, load_club, load_venues
from clubplanner.services.showing.drawn_weeks import day_shown, draw_shown, drawn_ranges

if TYPE_CHECKING:
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.outputs.charts.weeks.week_values import Block, DrawnWeek
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class PaperWeek:
    """A week with all that is said of it on paper.

    Attributes:
        club_name: The club.
        venue_name: Where.
        zone: The club's time zone.
        drawn: All pitches of the venue; None where there is nothing to draw.
        words: Every booking in words, for those who have the sheet read aloud.
        notes: Days that are not drawn, and why.
    """

    club_name: str
    venue_name: str
    zone: ZoneInfo
    drawn: DrawnWeek | None
    words: str
    notes: tuple[str, ...]


def load_drawn_week(store: Store, venue_key: str | None, monday: date) -> PaperWeek:
    """Return a venue's week for paper.

    Raises:
        MissingError: If there is no such venue.
    """
    with store.read() as session:
        club = load_club(session)
        zone = club.time_zone
        venues = load_venues(session)
        venue = find_venue(venues, venue_key)
        spans = spans_of_week(monday, zone)
        known = load_bookings(session, TimeRange(spans[0].starts_at, spans[-1].ends_at))
        keys = {pitch.key for pitch in venue.pitches}
        bookings = [b for b in known if b.pitch_key in keys]
        otherwise = load_not_as_planned(session, venue, venues, bookings, spans, zone, None)
    days = [monday + timedelta(days=n) for n in range(DAYS)]
    shown = all_shown(bookings, otherwise, lambda _b: "")
    ranges = drawn_ranges(venue, days, shown, zone)
    lines = [
        f"{day.name}: " + "; ".join(day.lines)
        for day in days_of_week(venue, days, ranges, bookings, otherwise, zone)
        if day.lines
    ]
    return PaperWeek(
        club.name,
        venue.name,
        zone,
        draw_shown(venue, venue.pitches, ranges, shown, zone, None, venue.name),
        ". ".join(lines) or _("Nothing is booked in this week."),
        tuple(why_not_drawn(venue, day) for day in days if day not in ranges),
    )


def print_week(store: Store, venue_key: str, monday: date, paper: str, now: datetime) -> bytes:
    """Set a venue's week as a PDF of one page, with all of its pitches.

    Args:
        store: The database.
        venue_key: Which venue.
        monday: First date of the week.
        paper: One of `clubplanner.outputs.papers.week_sheet.PAPERS`.
        now: When it is made.

    Raises:
        MissingError: If there is no such venue.
        KeyError: If there is no such paper.
    """
    week = load_drawn_week(store, venue_key, monday)
    made = now.astimezone(week.zone)
    drawn = week.drawn
    unnamed = () if drawn is None else unnamed_blocks(drawn, SHEET[paper])
    key = "; ".join(f"{block.mark} {block.who}" for block in unnamed if block.mark)
    gone = "; ".join(_when_gone(block, week.zone) for block in unnamed if not block.mark)
    if gone:
        gone = _("Not here any more: %(sessions)s", sessions=gone)
    sheet = WeekSheet(
        club=week.club_name,
        venue=week.venue_name,
        week=week_in_words(monday),
        drawing="" if drawn is None else draw_week(drawn, SHEET[paper]),
        words=week.words,
        notes=tuple(note for note in (key, gone, *week.notes) if note),
        made=_(
            "Made %(day)s, %(time)s.", day=day_in_words(made.date()), time=made.strftime("%H:%M")
        ),
    )
    web = resource_folder("web")
    source = (web / "templates" / "evening" / "week_sheet.typ").read_text("utf-8")
    return set_week(sheet, paper, source, (str(web / "static" / "fonts"),), now)


def _when_gone(block: Block, zone: ZoneInfo) -> str:
    """Write who is not there any more and when they were to be, where no name is drawn."""
    return f"{short_day(day_shown(block.during, zone))}, {block.times} {block.who}"
