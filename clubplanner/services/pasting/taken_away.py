"""Squads, matches and hires as tables to take away, with the columns by which they come in again.

A table has the columns that are known when it is pasted or dropped (`inputs/pasting/kinds.py`), in
the words of the reader, and behind them what the page says besides; that is left out when the table
is taken in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.times.times import clock_from_minute, minute_from_clock, minute_from_instant
from clubplanner.domain.times.windows import told_days
from clubplanner.inputs.club_files.spoken_cells import EVERY, told_cells
from clubplanner.inputs.club_files.squads_file.squad_rows import no_ask, row_of_squad
from clubplanner.inputs.club_files.squads_file.squads import CLUB
from clubplanner.inputs.pasting.hire_times import SEVERAL
from clubplanner.inputs.pasting.kinds import DAYS, FROM, HIRES, KINDS, MATCHES, SQUADS, UNTIL
from clubplanner.language import _, term
from clubplanner.outputs.tables.table import Column, Kind, Table
from clubplanner.services.evening.matches.booking import coming_fixtures
from clubplanner.services.evening.matches.fixture_rows import fixture_from_row, has_ground
from clubplanner.services.hires.changes import dates_apart
from clubplanner.services.hires.hire_rows import dates_of, is_live, load_hires
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.setup.squads.forms import rows_of_squads, squads_with_clubs
from clubplanner.services.showing.states.conditions import place_name
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.outputs.tables.table import Cell
    from clubplanner.services.setup.squads.page import SquadsPage
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

    A series is told by its first and last date, its usual place and time, and the dates still to
    come on which it is not there: they were left out, or stand elsewhere in rows of their own.
    """
    about = KINDS[HIRES]
    kinds = {"first": Kind.DATE, "last": Kind.DATE, FROM: Kind.TIME, UNTIL: Kind.TIME}
    columns = [Column(_told(about.words, c), kinds.get(c, Kind.TEXT)) for c in about.template]
    columns += [
        Column(_("Still to come"), Kind.NUMBER),
        Column(_("Left out"), Kind.NUMBER),
    ]
    with store.read() as session:
        zone = load_zone(session)
        today = now.astimezone(zone).date()
        several = _called_alike(session)
        lines = [line for row in load_hires(session) for line in _hire_lines(row, today, zone)]
        lines.sort(key=lambda line: not (line.coming or line.left_out))
        cells = [_hire_cells(line, about.template, several) for line in lines]
    return Table(_("Hires"), tuple(columns), cells)


@dataclass(frozen=True, slots=True)
class _HireLine:
    """A row of the table: a hire as it is as a rule, or a single date of it that is elsewhere."""

    hire: HireRow
    days: tuple[date, ...]
    area: AreaRow
    start_min: int
    end_min: int
    not_on: tuple[date, ...]
    coming: int
    left_out: int


def _hire_lines(row: HireRow, today: date, zone: ZoneInfo) -> list[_HireLine]:
    """Return the rows of a hire: itself, then each date to come that was put elsewhere."""
    days = tuple(one.day for one in dates_of(row))
    apart = [
        _HireLine(
            row,
            (day,),
            booking.area,
            minute_from_instant(booking.starts_at, day, zone),
            minute_from_instant(booking.ends_at, day, zone),
            (),
            1,
            0,
        )
        for day, booking in dates_apart(row, zone)
        if day >= today
    ]
    if len(days) == 1 and apart:
        return apart
    elsewhere = {booking.id for _day, booking in dates_apart(row, zone)}
    to_come = [one for one in dates_of(row) if one.day >= today]
    there = {one.day for one in to_come if is_live(one) and one.booking_id not in elsewhere}
    not_on = tuple(one.day for one in to_come if one.day not in there)
    own = _HireLine(
        row, days, row.area, row.start_min, row.end_min, not_on, len(there), len(not_on)
    )
    return [own, *apart]


def _hire_cells(line: _HireLine, columns: Sequence[str], several: frozenset[str]) -> list[Cell]:
    row, days, area = line.hire, line.days, line.area
    is_series = len(days) > 1
    every = EVERY[0 if row.every_weeks == 1 else 1] if is_series else EVERY[2]
    left_out = SEVERAL.join(day.isoformat() for day in line.not_on) if is_series else ""
    cells: dict[str, Callable[[], Cell]] = {
        "hirer": lambda: row.name,
        DAYS: lambda: told_days(_WEEKDAYS[days[-1].weekday()]) if is_series else "",
        "first": lambda: days[0],
        "last": lambda: days[-1] if is_series else None,
        "every": lambda: term(every),
        "not on": lambda: left_out,
        FROM: lambda: line.start_min,
        UNTIL: lambda: line.end_min,
        "pitch": lambda: _pitch_name(area.pitch, several),
        "area": lambda: "" if area.cut == "whole" else area.name,
        "contact": lambda: row.contact,
        "phone": lambda: row.phone,
        "note": lambda: row.note,
    }
    return [*(cells[column]() for column in columns), line.coming, line.left_out]


_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


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
