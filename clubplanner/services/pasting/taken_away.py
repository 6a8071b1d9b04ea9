"""Squads, matches and hires as tables to take away, with the columns by which they come in again.

A table has the columns that are known when it is pasted or dropped (`inputs/pasting/kinds.py`), in
the words of the reader, and behind them what the page says besides; that is left out when the table
is taken in.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.times.times import clock_from_minute, minute_from_clock
from clubplanner.domain.times.windows import told_days
from clubplanner.inputs.club_files.spoken_cells import EVERY, told_cells
from clubplanner.inputs.club_files.squad_rows import no_ask, row_of_squad
from clubplanner.inputs.club_files.squads import CLUB
from clubplanner.inputs.pasting.kinds import DAYS, FROM, HIRES, KINDS, MATCHES, SQUADS, UNTIL
from clubplanner.language import _, term
from clubplanner.outputs.tables.table import Column, Kind, Table
from clubplanner.services.evening.fixture_rows import fixture_from_row
from clubplanner.services.evening.matches import coming_fixtures, has_ground
from clubplanner.services.hires.hire_rows import dates_of, days_left_out, is_live, load_hires
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.setup.squad_forms import rows_of_squads, squads_with_clubs
from clubplanner.services.showing.conditions import place_name
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.outputs.tables.table import Cell
    from clubplanner.services.setup.squads_page import SquadsPage
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.hire_tables import HireRow

_NUMBERS = (
    "players",
    "goalkeepers",
    "sessions a week",
    "minutes",
    "priority",
    "rest days",
    "evenings in a row",
)
_TIMES = ("latest finish",)


def squads_table(store: Store, page: SquadsPage) -> Table:
    """Return the squads of the page, a row for each of their asks.

    Args:
        store: The database.
        page: What the page of squads shows; of a club, its own.
    """
    with store.read() as session:
        asks = rows_of_squads(session)
        squads = {squad.key: squad for squad in squads_with_clubs(session)}
    about = KINDS[SQUADS]
    names = [*about.columns, *([CLUB] if page.names_clubs else [])]
    columns = [Column(_told(about.words, name), _kind(name)) for name in names]
    columns += [
        Column(_("Booked ahead"), Kind.NUMBER),
        Column(_("Addresses in use"), Kind.NUMBER),
        Column(_("None from this date on"), Kind.DATE),
    ]
    rows: list[Sequence[Cell]] = []
    for shown in page.squads:
        squad = squads[shown.squad.key]
        lines = asks.get(squad.key) or [{**row_of_squad(squad), **no_ask()}]
        besides = (shown.coming, shown.links, shown.ends_on)
        for line in lines:
            told = told_cells(line)
            rows.append([*(_cell(name, told.get(name, "")) for name in names), *besides])
    return Table(_("Squads"), tuple(columns), rows)


def matches_table(store: Store, now: datetime) -> Table:
    """Return the matches that are not over, by date, as the page of matches lists them."""
    about = KINDS[MATCHES]
    kinds = {
        "date": Kind.DATE,
        "minutes": Kind.NUMBER,
        "warm-up": Kind.NUMBER,
        "changeover": Kind.NUMBER,
    }
    columns = [Column(_told(about.words, c), kinds.get(c, Kind.TEXT)) for c in about.columns]
    at = about.columns.index("kick-off")
    columns[at] = Column(columns[at].heading, Kind.TIME)
    columns += [Column(_("Ground given")), Column(_("Of the venue"))]
    rows: list[Sequence[Cell]] = []
    with store.read() as session:
        for row in coming_fixtures(session, now):
            one = fixture_from_row(row)
            cells: dict[str, Cell] = {
                "date": one.day,
                "kick-off": _kick_off(one.kick_off_from, one.kick_off_to),
                "squad": row.squad.name,
                "opponent": one.opponent,
                "format": one.format_code,
                "minutes": one.minutes,
                "warm-up": one.warm_up_minutes,
                "changeover": one.after_minutes,
                "pitch": one.pitch_name,
                "officials": one.officials,
                "opponents": one.opponents,
                "note": one.note,
            }
            booking = row.booking if has_ground(row) else None
            ground = ("", "") if booking is None else _ground(booking.area)
            rows.append([*(cells[column] for column in about.columns), *ground])
    return Table(_("Matches"), tuple(columns), rows)


def hires_table(store: Store, now: datetime) -> Table:
    """Return the hires that stand, a row each, those with dates still to come first.

    A series is told by its first and last date and its usual place and time; single dates that went
    elsewhere, or were left out, stand in the table of the hire.
    """
    about = KINDS[HIRES]
    kinds = {"first": Kind.DATE, "last": Kind.DATE, FROM: Kind.TIME, UNTIL: Kind.TIME}
    columns = [Column(_told(about.words, c), kinds.get(c, Kind.TEXT)) for c in about.template]
    columns += [
        Column(_("Still to come"), Kind.NUMBER),
        Column(_("Left out"), Kind.NUMBER),
    ]
    with store.read() as session:
        today = now.astimezone(load_zone(session)).date()
        several = _called_alike(session)
        rows = [(row, _coming(row, today)) for row in load_hires(session)]
        rows.sort(key=lambda pair: not any(pair[1]))
        cells = [_hire_cells(row, about.template, several) + coming for row, coming in rows]
    return Table(_("Hires"), tuple(columns), cells)


def _hire_cells(row: HireRow, columns: Sequence[str], several: frozenset[str]) -> tuple[Cell, ...]:
    days = [one.day for one in dates_of(row)]
    is_series = len(days) > 1
    every = EVERY[0 if row.every_weeks == 1 else 1] if is_series else EVERY[2]
    pitch = row.area.pitch
    cells: dict[str, Callable[[], Cell]] = {
        "hirer": lambda: row.name,
        DAYS: lambda: told_days(_WEEKDAYS[days[-1].weekday()]) if is_series else "",
        "first": lambda: days[0],
        "last": lambda: days[-1] if is_series else None,
        "every": lambda: term(every),
        FROM: lambda: row.start_min,
        UNTIL: lambda: row.end_min,
        "pitch": lambda: _pitch_name(pitch, several),
        "area": lambda: "" if row.area.cut == "whole" else row.area.name,
        "contact": lambda: row.contact,
        "phone": lambda: row.phone,
        "note": lambda: row.note,
    }
    return tuple(cells[column]() for column in columns)


_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def _coming(row: HireRow, today: date) -> tuple[int, int]:
    coming = sum(is_live(one) and one.day >= today for one in dates_of(row))
    return coming, len(days_left_out(row, today))


def _called_alike(session: Session) -> frozenset[str]:
    """Return the names that pitches of several venues have."""
    names = list(session.scalars(select(PitchRow.name)))
    return frozenset(name for name in names if names.count(name) > 1)


def _pitch_name(pitch: PitchRow, several: frozenset[str]) -> str:
    return f"{pitch.name}, {pitch.venue.name}" if pitch.name in several else pitch.name


def _ground(area: AreaRow) -> tuple[str, str]:
    return place_name(area), area.pitch.venue.name


def _kick_off(first: int, last: int) -> Cell:
    if first == last:
        return first
    return f"{clock_from_minute(first)}-{clock_from_minute(last)}"


def _told(words: Mapping[str, str], column: str) -> str:
    return _("Club") if column == CLUB else term(words[column])


def _kind(column: str) -> Kind:
    return Kind.NUMBER if column in _NUMBERS else Kind.TIME if column in _TIMES else Kind.TEXT


def _cell(column: str, text: str) -> Cell:
    if column in _NUMBERS and text.isdecimal():
        return int(text)
    return minute_from_clock(text) if column in _TIMES and text else text
