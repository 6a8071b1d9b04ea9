"""Tables that are taken away come in again: whatever club they are of, it is the same once more."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from clubplanner.domain.booked.hires import HireTimes
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.times.times import range_from_wall
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.club_files.squads_file.squad_rows import no_ask, write_table
from clubplanner.inputs.pasting.kinds import HIRES, MATCHES, SQUADS
from clubplanner.inputs.reading.sheets import read_sheets
from clubplanner.language import speaking
from clubplanner.outputs.tables.text_files import write_csv
from clubplanner.outputs.tables.workbooks import write_workbook
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.evening.matches.fixture_rows import load_fixtures
from clubplanner.services.hires.booking import book_hire
from clubplanner.services.hires.dates import HireWish
from clubplanner.services.hires.hire_rows import load_hire
from clubplanner.services.pasting.sent import SentTable
from clubplanner.services.pasting.tables import look_at_table, take_table
from clubplanner.services.pasting.taken_away import hires_table, matches_table, squads_table
from clubplanner.services.setup.loading import load_files
from clubplanner.services.setup.squads.page import see_squads
from tests.builders import LONDON, NOW
from tests.small_club import HALL, TOP, find_area_id, small_club_files

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.outputs.tables.table import Table
    from clubplanner.store.engine import Store
    from tests.stores import Filled

FIRST = date(2027, 1, 11)
GROUND_ONLY = [file for file in small_club_files() if file.name != "squads.csv"]
LONGEST = 40
WORDS = st.one_of(
    st.sampled_from(
        ("=1+1", "'=1+1", "@SUM(A1)", "-1", "+44 20 7946", "a;b, c", 'The "A"', "Ñandú 東京", "U9")
    ),
    st.text(st.characters(categories=["L", "Nd", "P", "Zs"]), max_size=12),
).map(lambda text: " ".join(text.split())[:LONGEST])
NAMES = st.text(st.characters(categories=["L", "Nd"]), min_size=2, max_size=12).map(
    lambda name: f"={name} FC" if len(name) % 3 == 0 else f"Squad {name}"
)
NUMBERS = st.integers(1, 9).map(str)


def nothing_or(*values: str) -> st.SearchStrategy[str]:
    """Return one of some cells, or a blank one."""
    return st.sampled_from(("", *values))


@st.composite
def squads(draw: st.DrawFn) -> list[dict[str, str]]:
    """Draw the rows of some squads; some ask for nothing, some for several things."""
    rows = []
    names = st.lists(NAMES, min_size=1, max_size=4, unique_by=key_from_name)
    for number, name in enumerate(draw(names)):
        squad = {
            "squad": name,
            "age group": draw(nothing_or("U9", "U13", "Adults")),
            "players": str(draw(st.integers(2, 30))),
            "goalkeepers": draw(st.sampled_from(("0", "1", "2"))),
            "coach": f"Coach {number}",
            "coach e-mail": f"coach{number}@club.example",
            "coach phone": draw(nothing_or("+44 1632 960123", "01632 960124")),
            "assistants": draw(nothing_or("Ole Birk", "Ole Birk <ole@club.example>; Mara Stone")),
        }
        asks = [draw(asked()) for _ in range(draw(st.integers(0, 2)))]
        rows += [{**squad, **ask} for ask in asks or [no_ask()]]
    return rows


@st.composite
def asked(draw: st.DrawFn) -> dict[str, str]:
    """Draw what a squad asks for."""
    return {
        "sessions a week": draw(st.sampled_from(("1", "2"))),
        "minutes": str(draw(st.integers(15, 90))),
        "possible": draw(st.sampled_from(("Mon-Thu 17:00-20:00; Sat", "Wed, Fri 17:05-21:35"))),
        "preferred": draw(nothing_or("Wed 17:30-19:00")),
        "least ground": draw(nothing_or("1234.5 m2", "third", "half, 7v7")),
        "surface": draw(nothing_or("grass", "artificial")),
        "needs goal": draw(st.sampled_from(("yes", "no"))),
        "needs light": draw(st.sampled_from(("yes", "no"))),
        "priority": draw(nothing_or("2", "9")),
        "latest finish": draw(nothing_or("20:15")),
        "rest days": draw(nothing_or("1")),
        "free day before": draw(nothing_or("Sat", "Sat, Sun")),
        "evenings in a row": draw(nothing_or("2")),
        "wishes": draw(nothing_or("Mon 17:00-18:30 = 3; Tue = 1; Marsh Lane = 2")),
    }


def taken(data: bytes, kind: str, store: Store) -> None:
    """Take a file in, which has to go without a question."""
    (sheet,) = read_sheets(data, "taken away").sheets
    look = take_table(store, SentTable(kind, sheet.rows), NOW)
    assert look.taken.asked == ()
    assert look.taken.problems == ()
    assert look.taken.lines


def squads_of(store: Store) -> Table:
    """Return a club's squads as they are taken away."""
    return squads_table(store, see_squads(store, NOW))


def cells(table: Table) -> list[tuple[object, ...]]:
    """Return the rows of a table."""
    return [tuple(row) for row in table.rows]


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
@pytest.mark.parametrize("code", ["en", "de"])
@settings(
    max_examples=5,
    phases=(Phase.explicit, Phase.generate),  # a smaller club says no more, and takes minutes
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    deadline=None,
)
@given(squads(), st.data())
def test_whatever_is_taken_away_comes_in_the_same(
    filled: Filled, code: str, ending: str, rows: list[dict[str, str]], data: st.DataObject
) -> None:
    """Squads, matches and hires of any club, in either language and kind of file.

    They are taken in where there is ground alone, and taken away once more: the same cells.
    """
    store, other = filled(with_ground), filled(with_ground)
    load_files(store, [ClubFile("squads.csv", write_table(rows, is_for_sheets=True).encode())], NOW)
    add_matches(data.draw, store, rows)
    add_hires(data.draw, store)
    with speaking(code):
        for kind, table_of in (
            (SQUADS, squads_of),
            (MATCHES, lambda club: matches_table(club, NOW)),
            (HIRES, lambda club: hires_table(club, NOW)),
        ):
            table = table_of(store)
            if not table.rows:
                continue
            file = write_csv(table) if ending == "csv" else write_workbook([table], NOW)
            taken(file, kind, other)
            assert cells(table_of(other)) == cells(table)


def with_ground(store: Store) -> None:
    """Load settings and ground, without a squad."""
    load_files(store, GROUND_ONLY, NOW)


def add_matches(draw: Callable[..., object], store: Store, rows: list[dict[str, str]]) -> None:
    """Add matches of the squads, none of which has ground yet."""
    lines = ["date,kick-off,squad,opponent,format,minutes,pitch,note"]
    for number in range(int(str(draw(st.integers(0, 3))))):
        squad = rows[number % len(rows)]["squad"]
        kick_off = draw(st.sampled_from(["10:00", "10:00-12:30"]))
        note = str(draw(WORDS)).replace('"', "'")
        day = FIRST + timedelta(days=number)
        lines.append(f'{day},{kick_off},{squad},"Rovers {number}",9v9,60,,"{note}"')
    if len(lines) > 1:
        load_fixtures(store, ClubFile("fixtures.csv", "\n".join(lines).encode()))


def add_hires(draw: Callable[..., object], store: Store) -> None:
    """Book single hires and series, each on days of its own."""
    grounds = [(TOP, "whole"), (TOP, "third-1"), (HALL, "half-2")]
    for number in range(int(str(draw(st.integers(0, 3))))):
        first = FIRST + timedelta(days=number)
        weeks = int(str(draw(st.sampled_from([0, 1, 4]))))
        every = int(str(draw(st.sampled_from([1, 2])))) if weeks == 4 else 1
        times = HireTimes(first, first + timedelta(weeks=weeks), every, 18 * 60, 19 * 60 + 30)
        pitch, area = grounds[number]
        wish = HireWish(
            f"=Hirer {number}",
            find_area_id(store, pitch, area),
            times,
            str(draw(st.sampled_from(["", "Ada Nyman"]))),
            str(draw(st.sampled_from(["", "+44 1632 960123"]))),
            str(draw(WORDS)),
        )
        done = book_hire(store, wish, NOW)
        if weeks and draw(st.booleans()):
            put_apart(store, done.number, first)


def put_apart(store: Store, number: int, first: date) -> None:
    """Leave the last date of a series out, and put its first elsewhere."""
    with store.read() as session:
        dates = {one.day: one.booking for one in load_hire(session, number).dates}
        gone, moved = dates[max(dates)], dates[first]
    assert gone is not None
    assert moved is not None
    withdraw_booking(store, gone.id, gone.sequence, NOW)
    area = find_area_id(store, HALL, "half-1")
    during = range_from_wall(first, 18 * 60 + 15, 19 * 60, LONDON)
    move_booking(store, moved.id, moved.sequence, area, during, NOW)


@pytest.mark.parametrize("code", ["en", "de"])
def test_what_the_page_says_besides_is_left_out(small: Store, code: str) -> None:
    """How many bookings squads have is no column of theirs, and is not taken for one."""
    with speaking(code):
        for kind, table in (
            (SQUADS, squads_of(small)),
            (MATCHES, matches_table(small, NOW)),
            (HIRES, hires_table(small, NOW)),
        ):
            data = write_csv(table)
            (sheet,) = read_sheets(data, "taken away").sheets
            look = look_at_table(small, SentTable(kind, sheet.rows), NOW)
            known = len(look.sent.about.template if kind == HIRES else look.sent.about.columns)
            assert all(look.table.columns[:known])
            assert not any(look.table.columns[known:])
