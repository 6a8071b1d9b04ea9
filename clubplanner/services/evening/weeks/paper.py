"""A venue's week set as one sheet to hand out or to pin up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.times.times import day_in_words
from clubplanner.language import _
from clubplanner.outputs.charts.weeks.week_chart import draw_week, unnamed_blocks
from clubplanner.outputs.charts.weeks.week_values import SHEET
from clubplanner.outputs.papers.week_sheet import WeekSheet, set_week
from clubplanner.resources import resource_folder
from clubplanner.services.evening.weeks.week import load_drawn_week, week_in_words

if TYPE_CHECKING:
    from datetime import date, datetime

    from clubplanner.store.engine import Store


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
    key = "; ".join(f"{block.mark} {block.who}" for block in unnamed)
    sheet = WeekSheet(
        club=week.club_name,
        venue=week.venue_name,
        week=week_in_words(monday),
        drawing="" if drawn is None else draw_week(drawn, SHEET[paper]),
        words=week.words,
        notes=(key, *week.notes) if key else week.notes,
        made=_(
            "Made %(day)s, %(time)s.", day=day_in_words(made.date()), time=made.strftime("%H:%M")
        ),
    )
    web = resource_folder("web")
    source = (web / "templates" / "evening" / "week_sheet.typ").read_text("utf-8")
    return set_week(sheet, paper, source, (str(web / "static" / "fonts"),), now)
