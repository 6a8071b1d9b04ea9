"""Ground, squads and asks are read once, and again when anybody changed them."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import event, text

from clubplanner.services.proposals.dated import load_names
from clubplanner.services.rows.remembered import KeptWith
from clubplanner.services.rows.snapshot import load_asks, load_squads, load_venues
from clubplanner.store.stand import HELD_AGAINST
from tests.council import load_council
from tests.records import open_records, place_of
from tests.small_club import book, load_small_club

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store
    from tests.stores import Filled

READERS = pytest.mark.parametrize(
    ("read", "change"),
    [
        (load_venues, "UPDATE pitch SET name = 'Elsewhere'"),
        (load_venues, "UPDATE venue SET address = 'Mill Lane'"),
        (load_squads, "UPDATE squad SET players = 3"),
        (load_squads, "UPDATE person SET phone = '01632 960009'"),
        (load_asks, "UPDATE ask SET minutes = 45"),
    ],
)


@pytest.fixture
def other(small: Store) -> Iterator[Store]:
    """Give the same records as another process opens them."""
    store = open_records(place_of(small))
    yield store
    store.close()


@pytest.fixture
def council(filled: Filled) -> Store:
    """Give a council's records, with more than one of each."""
    return filled(load_council)


def _now(store: Store, read: Callable[[Session], Any]) -> Any:
    with store.read() as session:
        return read(session)


@READERS
def test_what_another_process_changes_is_read_again(
    small: Store, other: Store, read: Callable[[Session], object], change: str
) -> None:
    """Bookings change nothing of it; who changed the rest, here or there, is noticed at once."""
    before = _now(small, read)
    book(small)
    assert _now(small, read) is before
    with other.write() as session:
        session.execute(text(change))
    after = _now(small, read)
    assert after != before
    assert after == _now(other, read)


@READERS
def test_who_changes_it_sees_it_and_what_is_given_up_is_not_kept(
    small: Store, read: Callable[[Session], object], change: str
) -> None:
    """Within its own transaction it is read as changed; nobody else ever sees what was undone."""
    before = _now(small, read)

    def change_and_fail() -> None:
        with small.write() as session:
            session.execute(text(change))
            assert read(session) != before
            raise RuntimeError

    with pytest.raises(RuntimeError):
        change_and_fail()
    assert _now(small, read) == before


@pytest.mark.parametrize(
    ("read", "change"),
    [
        (
            lambda session: [pitch for venue in load_venues(session) for pitch in venue.pitches],
            "UPDATE area SET name = 'Elsewhere' WHERE pitch_id = (SELECT min(id) FROM pitch)",
        ),
        (load_squads, "UPDATE squad SET players = 3 WHERE id = (SELECT min(id) FROM squad)"),
        (
            load_squads,
            "UPDATE person SET phone = '01632 960009' WHERE name = 'Robin Hale'",
        ),
        (load_asks, "UPDATE ask SET minutes = 45 WHERE id = (SELECT min(id) FROM ask)"),
    ],
)
def test_of_what_has_not_changed_nothing_is_made_anew(
    council: Store, read: Callable[[Session], Sequence[object]], change: str
) -> None:
    """A change of one pitch, squad or coach leaves the others the very same values."""
    before = list(_now(council, read))
    with council.write() as session:
        session.execute(text(change))
    after = list(_now(council, read))
    assert len(before) == len(after) > 1
    changed = [one != other for one, other in zip(before, after, strict=True)]
    assert any(changed)
    if read is not load_asks:
        anew = [one is not other for one, other in zip(before, after, strict=True)]
        assert anew == changed


def test_what_is_made_of_a_value_is_made_again_for_another_one() -> None:
    """Equal values are not the same one; whatever else is given is compared as equal."""
    made = []

    def make(part: list[int], *given: object) -> int:
        made.append((part, given))
        return len(made)

    kept: KeptWith[list[int], int] = KeptWith(make, 2)
    one, equal = [1], [1]
    assert [kept(one, "a"), kept(one, "a"), kept(equal, "a")] == [1, 1, 2]
    assert [kept(one, "b"), kept(one, "b")] == [3, 3]
    assert kept([2], "a") == 4  # the oldest goes
    assert [kept(equal, "a"), kept(one, "b")] == [5, 6]


@pytest.mark.parametrize("read", [load_venues, load_squads, load_asks, load_names])
def test_every_table_that_is_read_is_watched(
    filled: Filled, read: Callable[[Session], object]
) -> None:
    """Reading it asks no table whose changes would go unnoticed."""
    store = filled(load_small_club)
    asked: set[str] = set()

    def note(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
        asked.update(re.findall(r'(?:FROM|JOIN) "?(\w+)', statement))

    event.listen(store.engine, "before_cursor_execute", note)
    _now(store, read)
    assert asked - {"stand"}
    assert asked - {"stand"} <= HELD_AGAINST
