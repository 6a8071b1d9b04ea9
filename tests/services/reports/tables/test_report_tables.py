"""The tables of a report: each adds up, and all to the same."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.outputs.tables.table import Kind
from clubplanner.services.reports.report import make_report
from clubplanner.services.reports.tables.report_tables import (
    days_in_words,
    draw_table,
    main_figures,
    report_tables,
)
from clubplanner.services.season.light.page import set_lamp_cost
from tests.builders import NOW
from tests.council import BROOK, WEIR, WEIR_U10, WEIR_U12, as_secretary, book_squad, load_council
from tests.drawn_bookings import Drawn, drawn_bookings, put_drawn
from tests.services.reports.test_report import NOVEMBER, SPANS
from tests.small_club import HALL, HARRIERS, book

if TYPE_CHECKING:
    from typing import Any

    from clubplanner.services.reports.tables.report_table import ReportTable
    from clubplanner.store.engine import Store
    from tests.stores import Filled

WEEK = date(2026, 11, 23), date(2026, 11, 29)
USES = ("months", "squads", "hirers", "ages", "venues", "pitches", "purposes")


def tables_of(store: Store, first: date, last: date) -> dict[str, ReportTable[Any]]:
    """Return the tables of a report, by their names."""
    return {table.key: table for table in report_tables(make_report(store, first, last, NOVEMBER))}


def test_a_week_as_it_is_told(small: Store) -> None:
    """Worked by hand: two squads on thirds of 6,400 m², a choir on half of 600 m².

    Training 1.25 h and 1 h, hire 2 h: 4.25 h. Ground in m²·h: 1.25 × 2133⅓ + 2133⅓ + 2 × 300 =
    5400; the choir has 600 of it, a ninth, for 2 of 4.25 hours.
    """
    book(small)
    book(small, HARRIERS, "third-2", end_min=19 * 60)
    book(small, "Choir", "half-1", pitch_key=HALL, purpose=Purpose.HIRE, end_min=20 * 60)
    tables = tables_of(small, *WEEK)
    squads, hirers = tables["squads"], tables["hirers"]
    assert [squads.told(cells) for cells in squads.cells()] == [
        ["U12 Kestrels", "U12", "1", "1.25", "0.00", "0.00", "1.25", "29.4 %", "49.4 %"],
        ["U14 Harriers", "U14", "1", "1.00", "0.00", "0.00", "1.00", "23.5 %", "39.5 %"],
        ["All hirers", "", "1", "0.00", "0.00", "2.00", "2.00", "47.1 %", "11.1 %"],
    ]
    assert hirers.told(hirers.total_cells("Sum")) == (
        ["Sum", "3", "2.25", "0.00", "2.00", "4.25", "100.0 %", "100.0 %"]
    )
    assert [line.names for line in hirers.lines] == [("Choir",), ("Squads of ours",)]


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drawn=drawn_bookings(), days=SPANS, most=st.integers(2, 5))
def test_all_tables_add_up_to_the_same(
    small: Store, drawn: list[Drawn], days: tuple[date, date], most: int
) -> None:
    """Each table's lines are its sum, shortened or not, and tables of one thing have one sum."""
    put_drawn(small, drawn)
    set_lamp_cost(small, "marsh-lane", "7.13")
    tables = tables_of(small, *days)
    for keys in (
        USES,
        ("asked", "asked-ages"),
        ("unused", "unused-venues", "unused-months"),
        ("lamps", "lamps-venues", "lamps-months"),
        ("lost", "lost-venues", "lost-months"),
    ):
        found = [tables[key] for key in keys if key in tables]
        assert len({table.total for table in found}) <= 1
    for table in tables.values():
        short = table.shortened(most)
        assert len(short.lines) <= max(most, 1)
        assert short.total == table.total
        _columns_add_up(table)
        _columns_add_up(short)


def _columns_add_up(table: ReportTable[Any]) -> None:
    """Hours, sessions and money of the lines are the sum; parts are the whole together."""
    total = table.total_cells("Sum")
    for place, column in enumerate(table.columns):
        cells = [row[place] for row in table.cells()]
        is_part = column.key in ("hours_share", "ground_share")
        if column.kind in (Kind.NUMBER, Kind.HOURS, Kind.MONEY) or (
            is_part and table.total.all.seconds
        ):
            assert sum(float(cell or 0) for cell in cells) == pytest.approx(
                float(total[place] or 0)
            )


def test_parts_of_open_ground_are_all_of_it(small: Store) -> None:
    """Used, closed and free are together what was open."""
    book(small)
    book(small, "not safe", "third-3", purpose=Purpose.CLOSED)
    unused = tables_of(small, *WEEK)["unused"]
    for row in (*unused.cells(), unused.total_cells("Sum")):
        assert sum(float(cell or 0) for cell in row[-3:]) == pytest.approx(1.0)


def test_a_council_has_its_clubs(filled: Filled) -> None:
    """Hours and asks by the clubs within the record; squads of none stand apart."""
    store = filled(load_council)
    book_squad(store, WEIR_U12)
    book_squad(store, WEIR_U10, "third-2")
    book_squad(store, "parks-squad", "third-3", minutes=30)
    tables = tables_of(store, *WEEK)
    assert [(line.names[0], line.sum.all.seconds) for line in tables["clubs"].lines] == [
        (WEIR, 7200),
        ("Squads of no club", 1800),
    ]
    assert [line.names[0] for line in tables["asked-clubs"].lines] == [
        WEIR,
        BROOK,
        "Squads of no club",
    ]
    assert tables["clubs"].total == tables["squads"].total


def test_a_clubs_secretary_reads_of_own_squads(filled: Filled) -> None:
    """Neither other clubs' squads nor hirers, nor the ground's own time, is in their report."""
    store = filled(load_council)
    book_squad(store, WEIR_U12)
    book_squad(store, "brook-athletic-u10", "third-2")
    book(store, "Choir", "half-1", pitch_key=HALL, purpose=Purpose.HIRE)
    tables = tables_of(as_secretary(store), *WEEK)
    assert [line.names[0] for line in tables["squads"].lines] == ["Weir Rovers U12 Kestrels"]
    assert {line.names[0] for line in tables["asked"].lines} == {
        "Weir Rovers U12 Kestrels",
        "Weir Rovers U10",
    }
    assert not {key for key in tables if key.startswith(("unused", "lamps"))}


def test_pictures_and_figures_are_told(small: Store) -> None:
    """Every table is drawn with its figures in words; an empty one is not."""
    book(small)
    report = make_report(small, *WEEK, NOW)
    tables = report_tables(report)
    assert days_in_words(report) == "23 Nov 2026 to 29 Nov 2026"
    assert [one.words for one in main_figures(tables)] == [
        "Hours",
        "Still to come",
        "Had of what was asked for",
        "Unused hours",
        "Free ground",
        "Floodlight hours",
    ]
    for table in tables:
        drawing = draw_table(table, table.lines)
        assert all(line.names[0] in drawing for line in table.lines)
    assert draw_table(tables[0], ()) == ""
