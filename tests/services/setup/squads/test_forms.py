"""Squads by form: read back as the file reads them, nothing lost, the later one told."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.club.squads import Ask, AskWish, LeastGround, Partner
from clubplanner.errors import FaultyInputError, MissingError, OutdatedError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.club_files.squads_file.squad_rows import (
    row_of_ask,
    row_of_squad,
    write_table,
)
from clubplanner.inputs.club_files.squads_file.squads import NO_SESSIONS, read_squads
from clubplanner.resources import invented_club_files
from clubplanner.services.rows.snapshot import load_asks, load_squads
from clubplanner.services.setup.loading import load_files
from clubplanner.services.setup.squads.forms import (
    NEW,
    drop_asks,
    save_squad,
    see_squad_form,
    write_squads_file,
)
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import NOW, make_squad
from tests.small_club import HARRIERS, KESTRELS, book

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

CODES = ("5v5", "7v7", "9v9", "11v11")


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club."""
    return small


def asks_of(store: Store, key: str) -> list[Ask]:
    """Return what a squad asks for."""
    with store.read() as session:
        return [ask for _, ask in load_asks(session) if ask.squad_key == key]


def names_of(store: Store) -> list[str]:
    """Return the squads in the club's order."""
    with store.read() as session:
        return [squad.name for squad in load_squads(session)]


def test_what_is_written_is_read_back_the_same() -> None:
    """Every column of every squad of the invented club, and the rarer ones."""
    (text,) = [p.read_text("utf-8") for p in invented_club_files() if p.name == "squads.csv"]
    read = read_squads(text, "x", CODES)
    squads = {squad.key: squad for squad in read.squads}
    names = {key: squad.name for key, squad in squads.items()}
    asks = [row.ask for row in read.asks]
    first, other = asks[0].squad_key, asks[1].squad_key
    asks[0] = replace(
        asks[0],
        priority=3,
        latest_finish_min=18 * 60 + 30,
        rest_days=2,
        no_day_before=frozenset({5}),
        no_day_after=frozenset({0, 6}),
        least_ground=LeastGround(450.5, 1 / 7, "7v7"),
        wishes=(
            AskWish(3, windows=asks[0].possible[:4]),
            AskWish(1, weekdays=(1, 3)),
            AskWish(2, place="Top pitch"),
        ),
        partners=(Partner("share a pitch", other, 2), Partner("keep apart", other, 1)),
    )
    rows = [{**row_of_squad(squads[a.squad_key]), **row_of_ask(a, names)} for a in asks]
    again = read_squads(write_table(rows), "x", CODES)
    assert again.problems == ()
    assert again.squads == read.squads
    found = [row.ask for row in again.asks]
    assert found[1:] == asks[1:]
    share = found[0].least_ground.share
    assert share == pytest.approx(1 / 7)
    assert replace(found[0], least_ground=asks[0].least_ground) == asks[0]
    assert first in names


def test_a_spreadsheet_takes_no_cell_for_a_formula() -> None:
    """A name that begins like one is guarded in the file to download, and comes back as it is."""
    rows = [row_of_squad(make_squad("=HYPERLINK(1)")) | {"sessions a week": NO_SESSIONS}]
    text = write_table(rows, is_for_sheets=True)
    assert "\n'=HYPERLINK" in text
    assert [squad.name for squad in read_squads(text, "f", {}).squads] == ["=HYPERLINK(1)"]
    assert "\n=HYPERLINK" in write_table(rows)


def test_a_squad_is_changed_and_the_others_stay(store: Store) -> None:
    """Cells as in the file; the asks of others, the order and the bookings are as before."""
    book(store)
    others = asks_of(store, HARRIERS)
    form = see_squad_form(store, KESTRELS)
    ask = {**form.asks[0], "minutes": "60", "wishes": "Top pitch = 3"}
    save_squad(store, KESTRELS, {**form.squad, "players": "15"}, [ask, ask], form.seen, NOW)
    assert names_of(store) == ["U12 Kestrels", "U14 Harriers"]
    assert [a.minutes for a in asks_of(store, KESTRELS)] == [60, 60]
    assert asks_of(store, KESTRELS)[0].wishes == (AskWish(3, place="Top pitch"),)
    assert asks_of(store, HARRIERS) == others
    assert see_squad_form(store, KESTRELS).squad["players"] == "15"


def test_a_renamed_squad_keeps_its_bookings(store: Store) -> None:
    """Name and key change, the row does not."""
    number = book(store)
    form = see_squad_form(store, KESTRELS)
    key = save_squad(
        store, KESTRELS, {**form.squad, "squad": "U12 Merlins"}, form.asks, form.seen, NOW
    )
    assert key == "u12-merlins"
    assert names_of(store) == ["U12 Merlins", "U14 Harriers"]
    with store.read() as session:
        row = session.scalars(select(BookingRow).where(BookingRow.id == number)).one()
        assert row.squad is not None
        assert row.squad.key == key
    with pytest.raises(MissingError):
        see_squad_form(store, KESTRELS)


def test_a_new_squad_comes_last(store: Store) -> None:
    """With what it asks for; a name that is taken is told."""
    form = see_squad_form(store, NEW)
    squad = {"squad": "Veterans", "age group": "Adult", "players": "18"}
    ask = {"sessions a week": "1", "minutes": "90", "possible": "Fri 19:00-21:00"}
    assert save_squad(store, NEW, squad, [ask], form.seen, NOW) == "veterans"
    assert names_of(store) == ["U12 Kestrels", "U14 Harriers", "Veterans"]
    for key in (NEW, KESTRELS):
        seen = see_squad_form(store, key).seen
        with pytest.raises(FaultyInputError) as caught:
            save_squad(store, key, squad, [ask], seen, NOW)
        assert [problem.where for problem in caught.value.problems] == ["squad"]


def test_every_fault_is_at_its_field_and_nothing_is_written(store: Store) -> None:
    """The squad's cells by column, an ask's with its number; also behind other squads' rows."""
    for key in (KESTRELS, HARRIERS):
        form = see_squad_form(store, key)
        before = asks_of(store, key)
        faulty = {**form.asks[0], "minutes": "soon", "surface": "moss"}
        with pytest.raises(FaultyInputError) as caught:
            save_squad(
                store,
                key,
                {**form.squad, "players": "many"},
                [form.asks[0], faulty],
                form.seen,
                NOW,
            )
        assert {problem.where for problem in caught.value.problems} >= {"players", "2 minutes"}
        assert asks_of(store, key) == before
    with pytest.raises(FaultyInputError) as caught:
        save_squad(store, NEW, {}, [], see_squad_form(store, NEW).seen, NOW)
    assert [problem.where for problem in caught.value.problems] == ["squad"]
    with pytest.raises(FaultyInputError) as caught:
        save_squad(store, NEW, {"squad": "New"}, [], see_squad_form(store, NEW).seen, NOW)
    assert {"players", "1 minutes"} <= {problem.where for problem in caught.value.problems}


def test_a_surface_that_no_pitch_has_is_told_at_its_field(store: Store) -> None:
    """What only shows against the loaded grounds is told like any other fault."""
    form = see_squad_form(store, HARRIERS)
    with pytest.raises(FaultyInputError) as caught:
        save_squad(
            store, HARRIERS, form.squad, [{**form.asks[0], "surface": "moss"}], form.seen, NOW
        )
    assert [problem.where for problem in caught.value.problems] == ["1 surface"]


def test_the_later_of_two_is_told_what_stands(store: Store) -> None:
    """Whoever saves an older form overwrites nothing."""
    form = see_squad_form(store, KESTRELS)
    ask = {**form.asks[0], "minutes": "60"}
    save_squad(store, KESTRELS, form.squad, [ask], form.seen, NOW)
    with pytest.raises(OutdatedError, match="what stands now: 14 players, 1 × 60 min"):
        save_squad(store, KESTRELS, form.squad, form.asks, form.seen, NOW)
    with pytest.raises(OutdatedError):
        drop_asks(store, KESTRELS, form.seen, NOW)
    assert [a.minutes for a in asks_of(store, KESTRELS)] == [60]


def test_a_squad_may_ask_for_nothing(store: Store) -> None:
    """Its asks go, it stays; and the last one's go as well."""
    for key in (KESTRELS, HARRIERS):
        drop_asks(store, key, see_squad_form(store, key).seen, NOW)
        assert asks_of(store, key) == []
    assert names_of(store) == ["U12 Kestrels", "U14 Harriers"]
    form = see_squad_form(store, KESTRELS)
    assert form.asks == ()
    ask = {"sessions a week": "1", "minutes": "60", "possible": "Wed 18:00-19:15"}
    save_squad(store, KESTRELS, form.squad, [ask], form.seen, NOW)
    assert len(asks_of(store, KESTRELS)) == 1


def test_the_file_of_a_club_loads_again_unchanged(club_store: Store) -> None:
    """Squads as a file, loaded into the same club, change nothing."""
    with club_store.read() as session:
        before = load_squads(session), [ask for _, ask in load_asks(session)]
    data = write_squads_file(club_store)
    load_files(club_store, [ClubFile("squads.csv", data)], NOW)
    with club_store.read() as session:
        assert (load_squads(session), [ask for _, ask in load_asks(session)]) == before
