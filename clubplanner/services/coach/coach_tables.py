"""A coach's coming weeks, and what fits at a session, as tables to take away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from clubplanner.services.coach.coach_pages import SessionLine, WeeksPage
    from clubplanner.services.coach.fits.fits_page import FitsPage


def weeks_table(page: WeeksPage) -> Table:
    """Return the sessions of the coming weeks, with what differs from the usual."""
    columns = (
        Column(_("Squad")),
        Column(_("Date"), Kind.DATE),
        Column(_("From"), Kind.TIME),
        Column(_("Until"), Kind.TIME),
        Column(_("Ground")),
        Column(_("What differs")),
    )
    rows = [
        (line.squad_name, line.day, line.start_min, line.end_min, line.place, _differs(line))
        for week in page.weeks
        for line in week.lines
    ]
    return Table(_("Coming weeks"), columns, rows)


def fits_table(page: FitsPage) -> Table:
    """Return the ways to play at a session, the best one first."""
    columns = (
        Column(_("Way to play")),
        Column(_("Games")),
        Column(_("Who waits")),
        Column(_("Clear ground")),
        Column(_("To know")),
    )
    ways = () if page.fit is None else page.fit.ways
    rows = [
        (
            way.title,
            "; ".join(way.sizes),
            way.waiting,
            way.clear,
            " ".join(filter(None, (way.extra, *way.notes, way.spare))),
        )
        for way in ways
    ]
    words = f"{page.squad.name}, {page.day_words}"
    return Table(_("What fits"), columns, rows, words)


def _differs(line: SessionLine) -> str:
    if line.state is not None:
        return ": ".join(filter(None, (line.state.label, line.state.short)))
    return " ".join(line.differs)
