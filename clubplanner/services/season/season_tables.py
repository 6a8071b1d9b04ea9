"""The season as tables to take away: weeks and squads, what needs a hand, the year."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _, ngettext, sentence, term
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.domain.club.concerns import Concern
    from clubplanner.services.season.season_weeks import SeasonWeeks
    from clubplanner.services.season.year import YearPage


def weeks_table(page: SeasonWeeks) -> Table:
    """Return how many sessions and matches each squad has, a row a squad and week."""
    columns = (
        Column(_("Squad")),
        Column(_("Week from"), Kind.DATE),
        Column(_("Asked for a week"), Kind.NUMBER),
        Column(_("Sessions and matches"), Kind.NUMBER),
        Column(_("End in the dark"), Kind.NUMBER),
        Column(_("Break")),
    )
    rows = [
        (row.name, head.monday, row.asked, cell.count, cell.dark, ", ".join(head.breaks))
        for row in page.rows
        for head, cell in zip(page.heads, row.cells, strict=True)
    ]
    return Table(_("Weeks"), columns, rows, dict(page.stretches).get(page.key, ""))


def concerns_table(concerns: Sequence[Concern], weeks: int, venue: str) -> Table:
    """Return what needs a hand in the coming weeks, as the page lists it.

    Args:
        concerns: By kind, then by date.
        weeks: How many weeks were looked at.
        venue: The only venue looked at, in words; blank for all.
    """
    columns = (
        Column(_("Kind")),
        Column(_("Date"), Kind.DATE),
        Column(_("What is wrong")),
        Column(_("What to do")),
    )
    rows = [(sentence(term(c.kind.value)), c.day, c.words, c.remedy) for c in concerns]
    words = ngettext("%(num)s week", "%(num)s weeks", weeks)
    return Table(_("Seen ahead"), columns, rows, ", ".join(filter(None, (words, venue))))


def year_tables(page: YearPage) -> tuple[Table, ...]:
    """Return the stretches of the season, its breaks, and holidays that wait for a decision."""
    dates = (Column(_("First date"), Kind.DATE), Column(_("Last date"), Kind.DATE))
    name = Column(_("Name"))
    stretches = [(one.name, one.starts_on, one.ends_on) for one in page.stretches]
    breaks = [(one.name, one.starts_on, one.ends_on, one.booked) for one in page.breaks]
    holidays = [
        (one.day, one.name, words)
        for found, words in (
            (page.undecided, _("not decided yet")),
            (page.kept, _("training as usual")),
        )
        for one in found
    ]
    return (
        Table(_("Stretches"), (name, *dates), stretches),
        Table(
            _("Breaks"),
            (name, *dates, Column(_("Trainings booked all the same"), Kind.NUMBER)),
            breaks,
        ),
        Table(
            _("Public holidays"), (Column(_("Date"), Kind.DATE), name, Column(_("State"))), holidays
        ),
    )
