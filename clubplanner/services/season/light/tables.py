"""The light of a venue as tables to take away: dates, months, and what is in the dark."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.times.times import minute_from_clock
from clubplanner.language import _
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.outputs.tables.table import Cell
    from clubplanner.services.season.light.in_the_dark import InTheDark
    from clubplanner.services.season.light.page import LightPage
    from clubplanner.services.season.light.year import YearOfLight


def light_tables(
    page: LightPage, year: YearOfLight | None, endings: Sequence[InTheDark]
) -> tuple[Table, Table, Table]:
    """Return a venue's dates, its months and the sessions that would be in the dark."""
    venue = page.venue.words
    dates = (
        Column(_("Date"), Kind.DATE),
        Column(_("Unlit until"), Kind.TIME),
        Column(_("Sunset"), Kind.TIME),
        Column(_("Civil dusk"), Kind.TIME),
        Column(_("Floodlight hours"), Kind.HOURS),
    )
    days = [
        (
            row.day,
            _clock(row.usable_until),
            _clock(row.sunset),
            _clock(row.civil_dusk),
            row.lamp_minutes / 60,
        )
        for row in page.rows
    ]
    by_month = (
        Column(_("First of the month"), Kind.DATE),
        Column(_("Unlit until")),
        Column(_("Booked outdoors"), Kind.NUMBER),
        Column(_("Floodlight hours"), Kind.HOURS),
        Column(_("In the dark"), Kind.NUMBER),
    )
    months = [
        (one.first, one.unlit_until, one.sessions, one.lamp_minutes / 60, one.dark)
        for one in (() if year is None else year.months)
    ]
    of_endings = (
        Column(_("Who")),
        Column(_("When")),
        Column(_("Ground")),
        Column(_("Date"), Kind.DATE),
        Column(_("Too dark")),
    )
    dark = [
        (ending.holder, ending.when, ending.place, day, ending.worst)
        for ending in endings
        for day in ending.days
    ]
    return (
        Table(_("Light"), dates, days, venue),
        Table(_("Light by months"), by_month, months, venue),
        Table(_("In the dark"), of_endings, dark, venue),
    )


def _clock(words: str) -> Cell:
    """Return a time as such, and words where the sun does not set or rise."""
    try:
        return minute_from_clock(words)
    except ValueError:
        return words
