"""Coaches of before they were people: names and addresses become persons, nothing is lost."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.config import Config
from clubplanner.services.calendars.feeds import build_feed
from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import check_store, migrate
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.store.earlier import FULL, put_earlier, rows_of
from tests.store.lived_in import PUBLIC_ADDRESS
from tests.store.upkeep.test_migrate import run_sql

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.files

KESTRELS, HARRIERS = 1, 2
"""Numbers of the squads in the kept databases."""
ROBIN = 2
"""The number of the account that is called Robin Hale there and may sign in for the Kestrels."""
NAMED = "UPDATE squad SET coach = '{}', coach_email = '{}' WHERE id = {}"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Give the place of a lived-in database of the step before."""
    put_earlier(tmp_path / "club.sqlite", "0005")
    return tmp_path / "club.sqlite"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    """Give a store at that place."""
    opened = open_store(f"sqlite:///{path}")
    yield opened
    opened.close()


def coaches(path: Path) -> dict[int, list[tuple[Any, ...]]]:
    """Return each squad's coaches in order: number, name, address, whether they may sign in."""
    query = """
        SELECT squad_id, person.id, name, email, may_sign_in
        FROM squad_coach JOIN person ON person.id = person_id
        WHERE squad_coach.ended_at IS NULL ORDER BY squad_id, position
    """
    found: dict[int, list[tuple[Any, ...]]] = {}
    with closing(sqlite3.connect(path)) as connection:
        for squad, *person in connection.execute(query):
            found.setdefault(squad, []).append(tuple(person))
    return found


@pytest.mark.parametrize("name", [name for name in FULL if name < "0006"])
def test_every_coach_of_a_kept_club_is_found_again(tmp_path: Path, name: str) -> None:
    """Names, addresses, and who signs in for what are those of before; their calendar opens."""
    path = tmp_path / "club.sqlite"
    ways_in = put_earlier(path, name)
    before = rows_of(path)
    store = open_store(f"sqlite:///{path}")
    migrate(store)
    check_store(store)
    after = coaches(path)
    for row in before["squad"]:
        _number, called, email, _may = after[int(str(row["id"]))][0]
        assert (called, email) == (row["coach"], row["coach_email"])
    for row in before["person_squad"]:
        assert row["person_id"] in [one[0] for one in after[int(str(row["squad_id"]))]]
    assert all(row["may_sign_in"] for row in rows_of(path)["person"][: len(before["person"])])
    feed = build_feed(store, ways_in.coach, PUBLIC_ADDRESS, NOW)
    assert feed.feed.name.startswith("Robin Hale, ")
    assert "U12 Kestrels" in {event.title.partition(":")[0] for event in feed.feed.events}
    client = create_app(store, Config("", PUBLIC_ADDRESS), lambda: NOW).test_client()
    client.set_cookie("__Host-person", ways_in.browsers["coach"], secure=True)
    assert client.get("/coach", base_url="https://localhost").status_code == 200
    store.close()


def test_one_address_is_one_person(store: Store, path: Path) -> None:
    """Whatever they are called, and whatever capitals it has."""
    run_sql(
        path,
        NAMED.format("Robin Hale", "robin@alderby.example", KESTRELS),
        NAMED.format("R. Hale", "Robin@Alderby.example", HARRIERS),
    )
    migrate(store)
    one = (ROBIN, "Robin Hale", "robin@alderby.example", 1)
    assert coaches(path) == {KESTRELS: [one], HARRIERS: [one]}


def test_without_an_address_the_name_decides(store: Store, path: Path) -> None:
    """Blanks and capitals make no difference, nor that one entry has an address."""
    run_sql(
        path,
        NAMED.format("robin  HALE", "", KESTRELS),
        NAMED.format("Robin Hale", "robin@alderby.example", HARRIERS),
    )
    migrate(store)
    one = (ROBIN, "Robin Hale", "robin@alderby.example", 1)
    assert coaches(path) == {KESTRELS: [one], HARRIERS: [one]}


def test_two_addresses_are_two_people(store: Store, path: Path) -> None:
    """Though they share a name; who signs in is the one who could for that squad."""
    run_sql(
        path,
        NAMED.format("Robin Hale", "old@alderby.example", HARRIERS),
        NAMED.format("Robin Hale", "young@alderby.example", KESTRELS),
    )
    migrate(store)
    assert coaches(path) == {
        KESTRELS: [(ROBIN, "Robin Hale", "young@alderby.example", 1)],
        HARRIERS: [(4, "Robin Hale", "old@alderby.example", 0)],
    }


def test_who_signs_in_under_another_name_assists(store: Store, path: Path) -> None:
    """The coach whom the squad names answers for it."""
    run_sql(path, NAMED.format("Ann Ode", "", KESTRELS))
    migrate(store)
    assert [one[1] for one in coaches(path)[KESTRELS]] == ["Ann Ode", "Robin Hale"]
    with closing(sqlite3.connect(path)) as connection:
        whose = "SELECT person_id FROM link WHERE person_id IS NOT NULL"
        assert connection.execute(whose).fetchall() == [(ROBIN,)]


def test_a_calendar_of_a_name_that_nobody_has_any_more_is_kept(store: Store, path: Path) -> None:
    """A corrected name left it empty; it goes on being answered, under that name."""
    ways_in = put_earlier(path.with_name("other.sqlite"), "0005")
    run_sql(
        path,
        NAMED.format("Robyn Hayle", "", KESTRELS),
        "UPDATE person SET name = 'Robyn Hayle' WHERE name = 'Robin Hale'",
    )
    migrate(store)
    feed = build_feed(store, ways_in.coach, PUBLIC_ADDRESS, NOW)
    assert (feed.feed.name.partition(",")[0], feed.feed.events) == ("Robin Hale", ())


def test_a_squad_without_a_coach_is_answered_for_by_who_signs_in(store: Store, path: Path) -> None:
    """A squad without either has nobody."""
    run_sql(path, NAMED.format("", "", KESTRELS), NAMED.format("", "", HARRIERS))
    migrate(store)
    assert coaches(path) == {KESTRELS: [(ROBIN, "Robin Hale", "", 1)]}


def test_access_that_ended_stays_ended(store: Store, path: Path) -> None:
    """They go on coaching the squad that names them."""
    run_sql(
        path,
        f"UPDATE person SET ended_at = {int(NOW.timestamp())} WHERE id = {ROBIN}",  # noqa: S608
        "DELETE FROM person_squad",
    )
    migrate(store)
    assert coaches(path)[KESTRELS] == [(ROBIN, "Robin Hale", "", 0)]
