"""The season as tables to take away: weeks and squads, what needs a hand, the year."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _, ngettext, sentence, term
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.domain.club.told.concerns import Concern
    from clubplanner.outputs.tables.table import Cell
    from clubplanner.services.season.next_season.values import DatesNext, NextSeason
    from clubplanner.services.season.season_weeks import SeasonWeeks
    from clubplanner.services.season.year import YearPage


LONGEST_COUNT = 5
"""Digits and one more: what is longer is no number of players."""


def weeks_table(page: SeasonWeeks) -> Table:
    """Return how many sessions and matches each squad has, a row a squad and week."""
    columns = (
        Column(_("Squad")),
        Column(_("Week from"), Kind.DATE),
        Column(_("Asked for a week"), Kind.NUMBER),
        Column(_("Sessions and matches"), Kind.NUMBER),
        Column(_("In the dark"), Kind.NUMBER),
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


def next_tables(page: NextSeason) -> tuple[Table, ...]:
    """Return what each squad becomes and where each date moves, as far as it is said by now."""
    names = {squad.number: squad.name for squad in page.squads}
    squads: list[tuple[Cell, ...]] = [
        (
            squad.name,
            squad.age_group,
            squad.fate_words,
            squad.becomes if squad.fate.goes_on else "",
            squad.becomes_group if squad.fate.goes_on else "",
            names.get(squad.into, "") if squad.into is not None else "",
            squad.players if squad.fate.goes_on else None,
            squad.links,
            " ".join(filter(None, (squad.doubt, *squad.hints))),
        )
        for squad in page.squads
    ]
    begins = _("begins")
    squads += [
        (
            None,
            None,
            begins,
            one.name,
            one.shown["group"],
            None,
            _whole(one.shown["players"]),
            0,
            None,
        )
        for one in page.begin
        if one.name.strip()
    ]
    columns = (
        Column(_("Squad")),
        Column(_("Age group")),
        Column(_("Next season")),
        Column(_("Name then")),
        Column(_("Age group then")),
        Column(_("Merges into")),
        Column(_("Players"), Kind.NUMBER),
        Column(_("Addresses in use"), Kind.NUMBER),
        Column(_("To look at")),
    )
    day = Kind.DATE
    dates = (
        Column(_("Name")),
        Column(_("First date"), day),
        Column(_("Last date"), day),
        Column(_("First date then"), day),
        Column(_("Last date then"), day),
    )

    def moved(listed: Sequence[DatesNext]) -> list[tuple[Cell, ...]]:
        none = (None, None)
        return [
            (d.name, d.was_from, d.was_until, *(none if d.is_left_out else (d.first, d.last)))
            for d in listed
        ]

    title = _("Next season")
    return (
        Table(_("Squads"), columns, squads, title),
        Table(_("Stretches"), dates, moved(page.stretches), title),
        Table(_("Breaks"), dates, moved(page.breaks), title),
    )


def _whole(typed: str) -> int | None:
    return int(typed) if typed.isdecimal() and len(typed) < LONGEST_COUNT else None


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
