"""All sessions of one squad: what it had, what differed, as a table and on paper."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import MissingError
from clubplanner.outputs.charts.season_chart import BarLook
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.places.ruling import Overruling
from clubplanner.services.season.squads.season import (
    print_season,
    season_table,
    see_squad_season,
)
from tests.builders import A_WEDNESDAY, LONDON, NOW, make_range
from tests.small_club import HARRIERS, KESTRELS, TOP, book, find_area_id, load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

DECEMBER = date(2026, 12, 2)
LATER = datetime(2026, 11, 27, 12, tzinfo=UTC)


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with two trainings of the Kestrels and a match of theirs."""
    load_small_club(empty_store)
    book(empty_store)
    book(empty_store, day=DECEMBER)
    book(
        empty_store,
        area_key="whole",
        day=date(2026, 12, 5),
        start_min=600,
        end_min=690,
        purpose=Purpose.MATCH,
    )
    book(empty_store, HARRIERS, "third-2")
    return empty_store


def test_it_has_all_sessions_of_the_squad_and_no_others(store: Store) -> None:
    """In order of time, with ground and length; hours had and to come are added up."""
    page = see_squad_season(store, KESTRELS, LATER)
    assert [(row.on.isoformat(), row.times, row.minutes, row.is_over) for row in page.rows] == [
        ("2026-11-25", "18:00–19:15", 75, True),
        ("2026-12-02", "18:00–19:15", 75, False),
        ("2026-12-05", "10:00–11:30", 90, False),
    ]
    assert page.facts == ("Had: 1 session, 1.2 h.", "To come: 2 sessions, 2.8 h.")
    assert [bar.look for bar in page.season.bars] == [BarLook.ON, BarLook.ON, BarLook.MATCH]
    assert [round(bar.share, 2) for bar in page.season.bars] == [0.33, 0.33, 1.0]


def test_what_is_off_or_moved_is_said_and_drawn(store: Store) -> None:
    """Sessions that differ stay in the list with what became of them; off ones give no hours."""
    first, second, _match = (row for row in see_squad_season(store, KESTRELS, NOW).rows)
    assert (first.state, second.state) == ("", "")
    with store.read() as session:
        connection = session.connection()
        numbers = (
            connection.exec_driver_sql("select id from booking order by starts_at, id")
            .scalars()
            .all()
        )
    withdraw_booking(store, numbers[0], 0, NOW, why="frost")
    during = make_range(DECEMBER, 19 * 60, 20 * 60 + 15)
    told = Overruling("as agreed", None)
    move_booking(store, numbers[2], 0, find_area_id(store, TOP, "third-3"), during, NOW, told)
    page = see_squad_season(store, KESTRELS, NOW)
    off, moved, _match = page.rows
    assert off.is_off
    assert off.state == "Off: Frost"
    assert moved.state.startswith("Moved")
    assert [bar.look for bar in page.season.bars] == [BarLook.OFF, BarLook.MOVED, BarLook.MATCH]
    assert page.facts == ("To come: 2 sessions, 2.8 h.", "1 is off.", "1 is not as planned.")


def test_its_stretch_is_drawn_from_end_to_end(store: Store) -> None:
    """Dates go over the stretch in which it has sessions, with the dusk of each."""
    season = see_squad_season(store, KESTRELS, NOW).season
    assert (season.first, season.last) == (date(2026, 10, 12), date(2027, 4, 9))
    assert len(season.dark_from) == 180
    in_december = season.dark_from[(date(2026, 12, 13) - season.first).days]
    assert in_december is not None
    assert 15 * 60 + 50 < in_december < 16 * 60 + 10  # sunset in Nottingham 15:50, and 10 minutes


def test_a_squad_without_sessions_has_a_page(empty_store: Store) -> None:
    """It says that nothing is booked, and draws the light of the stretch."""
    load_small_club(empty_store)
    page = see_squad_season(empty_store, KESTRELS, NOW)
    assert page.facts == ()
    assert page.rows == ()
    assert page.drawing
    assert page.narrow


def test_the_table_has_a_row_a_session(store: Store) -> None:
    """Dates, times and hours are such, and no words."""
    table = season_table(see_squad_season(store, KESTRELS, NOW))
    assert [column.kind for column in table.columns] == [
        "date",
        "time",
        "time",
        "text",
        "text",
        "hours",
        "text",
    ]
    assert table.rows[0] == (
        A_WEDNESDAY,
        1080,
        1155,
        "Training",
        "Clubhouse third, Top pitch",
        1.25,
        "",
    )
    assert len(table.rows) == 3


def test_the_season_is_one_sheet(store: Store) -> None:
    """A page of A4 on its side with the squad's name and what it had."""
    page = see_squad_season(store, KESTRELS, LATER)
    (sheet,) = PdfReader(io.BytesIO(print_season(page, LONDON, NOW))).pages
    text = sheet.extract_text()
    assert "U12 Kestrels" in text
    assert "Had: 1 session, 1.2 h." in text
    assert sheet.mediabox.width > sheet.mediabox.height


def test_an_unknown_squad_is_told(store: Store) -> None:
    """There is no page of a squad that is not there."""
    with pytest.raises(MissingError):
        see_squad_season(store, "nobody", NOW)
