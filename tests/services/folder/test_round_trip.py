"""A club goes out as files and comes in again: the same files go out once more."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from clubplanner.domain.club.people import Role
from clubplanner.errors import FaultyInputError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.folder.exporting import export_folder
from clubplanner.services.folder.taking_in import take_in_folder
from clubplanner.services.people.ways_in.browsers import person_from_row
from clubplanner.services.rows.own_club import club_names_by_key, load_clubs
from clubplanner.services.setup.clubs.page import let_club_end, name_club
from clubplanner.services.setup.loading import load_files
from clubplanner.services.setup.squads.ends import end_squad_from
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.upkeep.migrate import check_store, migrate
from tests.builders import NOW
from tests.council import (
    BROOK,
    BROOK_U10,
    BROOK_U14,
    COUNCIL_SETTINGS,
    KIM,
    NOOR,
    WEIR,
    WEIR_U10,
    WEIR_U12,
    club_number,
    load_council,
)
from tests.records import open_records
from tests.services.folder.drawn_clubs import fill_club
from tests.store.earlier import SPARSE, put_earlier

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from clubplanner.store.engine import Store
    from tests.stores import Filled


RESPELT = "WEIR-Rovers"


def files_by_name(store: Store) -> dict[str, bytes]:
    """Return the files of a club."""
    return {file.name: file.data for file in export_folder(store)}


def take_in(store: Store, files: Sequence[ClubFile]) -> None:
    """Take a folder in, and tell its faults if it has any."""
    try:
        take_in_folder(store, files, NOW)
    except FaultyInputError as fault:
        pytest.fail("\n".join(map(str, fault.problems[:20])))


@settings(
    max_examples=12,
    phases=(Phase.explicit, Phase.generate),  # a smaller club says no more, and takes minutes
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    deadline=None,
)
@given(st.data())
def test_any_club_comes_back_the_same(new_store: Callable[[], Store], data: st.DataObject) -> None:
    """Whatever a club typed, in any script and with any signs, goes out again byte for byte."""
    store, other = new_store(), new_store()
    fill_club(data.draw, store)
    files = list(export_folder(store))
    take_in(other, data.draw(st.permutations(files)))
    assert files_by_name(other) == {file.name: file.data for file in files}
    check_store(other)


def whose_is_what(store: Store) -> list[object]:
    """Return clubs, squads with their club, and people with what they may do and for which club."""
    with store.read() as session:
        clubs = [(one.name, one.has_ended) for one in load_clubs(session, ended=True)]
        owned = club_names_by_key(session)
        squads = [(row.name, owned.get(row.key)) for row in session.scalars(select(SquadRow))]
        people = [person_from_row(row) for row in session.scalars(select(PersonRow))]
        roles = [
            (one.name, one.role, one.scope and one.scope.club_name, one.squad_keys)
            for one in people
        ]
    return [clubs, *sorted(squads, key=str), *sorted(roles, key=str)]


def test_clubs_within_come_back_the_same(filled: Filled, new_store: Callable[[], Store]) -> None:
    """Clubs that go on or have ended, squads of a club or of none, and the secretary of each.

    One club's name was written otherwise since its squads were called by it.
    """
    store, other = filled(load_council), new_store()
    for key in (BROOK_U10, BROOK_U14):
        end_squad_from(store, key, NOW.date() + timedelta(days=1), NOW)
    let_club_end(store, club_number(store, BROOK), NOW + timedelta(days=2))
    going_on = COUNCIL_SETTINGS.replace(f'[[clubs]]\nname = "{BROOK}"', "").replace(WEIR, RESPELT)
    load_files(store, [ClubFile("club.toml", going_on.encode())], NOW)
    name_club(store, "Hill Harriers")
    files = files_by_name(store)
    take_in(other, [ClubFile(*file) for file in files.items()])
    assert files_by_name(other) == files
    assert whose_is_what(other) == whose_is_what(store)
    told = whose_is_what(other)
    assert told[0] == [(RESPELT, False), (BROOK, True), ("Hill Harriers", False)]
    assert ("Weir Rovers U10", RESPELT) in told
    assert ("Parks squad", None) in told
    squads = frozenset({WEIR_U10, WEIR_U12})
    assert (KIM, Role.CLUB_SECRETARY, RESPELT, squads) in told
    assert (NOOR, Role.COACH, None, frozenset()) in told
    check_store(other)


@pytest.mark.files
@pytest.mark.parametrize("name", ["0016", "0012", "0001", SPARSE])
def test_a_club_with_a_past_comes_back_the_same(
    tmp_path: Path, new_store: Callable[[], Store], name: str
) -> None:
    """Some weeks of use in earlier versions: withdrawn bookings, closures, swaps, proposals."""
    path = tmp_path / "earlier.sqlite"
    put_earlier(path, name)
    store, other = open_records(path), new_store()
    migrate(store)
    files = files_by_name(store)
    store.close()
    take_in(other, [ClubFile(*file) for file in files.items()])
    assert files_by_name(other) == files
    check_store(other)
