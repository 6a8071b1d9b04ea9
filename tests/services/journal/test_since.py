"""What has happened since a mark: complete, in order, once, and by rights."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from threading import Event, Thread
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import func, select

from clubplanner.domain.club.people import Role
from clubplanner.errors import MarkGoneError, PlannerError, RefusedError
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.journal.changes import undo_change
from clubplanner.services.journal.since import Happening, present_mark, read_since
from clubplanner.services.keeping.erasing import erase
from clubplanner.services.keeping.pruning import prune
from clubplanner.services.keeping.subjects import Subject
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.rows.journal.journal_eras import find_eras
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.club_tables import BreakRow
from clubplanner.store.tables.season_tables import ChangeRow
from tests.builders import NOW, make_range
from tests.council import BROOK_U14, KIM, WEIR_U12, as_secretary, book_squad, load_council
from tests.small_club import HARRIERS, KESTRELS, TOP, book, find_area_id
from tests.stores import watching_disk

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.stores import Filled


def follow(store: Store, mark: str, count: int = 100) -> list[Happening]:
    """Return all that has happened since a mark, as a program follows it."""
    found: list[Happening] = []
    while True:
        since = read_since(store, mark, count=count)
        found += since.happenings
        mark = since.mark
        if not since.has_more:
            return found


def live_a_little(store: Store) -> None:
    """Book, move, withdraw, take back; add breaks and a person in one go; rename nothing."""
    first = book(store)
    book(store, HARRIERS, "third-2")
    area = find_area_id(store, TOP, "third-3")
    move_booking(store, first, 0, area, make_range(), NOW)
    withdraw_booking(store, first, 1, NOW)
    with store.read() as session:
        newest = session.scalar(select(func.max(ChangeRow.id))) or 0
    undo_change(store, newest, NOW)
    with store.write() as session:
        describe_change(session, "added breaks")
        for name in ("Half term", "Easter", "May"):
            session.add(BreakRow(name=name, starts_on=NOW.date(), ends_on=NOW.date()))


def test_a_program_is_told_what_was_done_in_order(small: Store) -> None:
    """Bookings with ground and squad by key, before and after; records as the journal has them."""
    mark = present_mark(small, NOW)
    live_a_little(small)
    found = follow(small, mark)
    assert [one.kind for one in found] == ["booking"] * 5 + ["record"] * 3
    assert [one.change for one in found] == sorted(one.change for one in found)
    added, _other, moved, withdrawn, back = found[:5]
    assert added.before is None
    assert added.after is not None
    assert moved.before == added.after
    assert moved.after is not None
    assert (moved.after["place"], moved.after["squad"]) == (
        {"pitch": TOP, "area": "third-3"},
        KESTRELS,
    )
    assert moved.after["starts_at"] == make_range().starts_at.isoformat()
    assert withdrawn.after is not None
    assert withdrawn.after["is_withdrawn"]
    assert back.undoes == withdrawn.change
    assert {one.words for one in found[5:]} == {"added breaks"}
    assert [one.ends_change for one in found] == [True] * 5 + [False, False, True]
    assert [one.title for one in found[5:]] == ["Half term", "Easter", "May"]


@pytest.mark.parametrize("count", [1, 2, 3, 7])
def test_however_little_is_asked_for_nothing_is_missed_or_told_twice(
    small: Store, count: int
) -> None:
    """Page by page, or from the mark of each entry: the same as all at once."""
    mark = present_mark(small, NOW)
    live_a_little(small)
    whole = follow(small, mark)
    assert follow(small, mark, count) == whole
    for number, one in enumerate(whole):
        assert follow(small, one.mark, count) == whole[number + 1 :]


def test_nothing_new_is_nothing_and_the_mark_goes_on(small: Store) -> None:
    """Asked again and again, and whatever is done afterwards follows."""
    mark = present_mark(small, NOW)
    empty = read_since(small, mark)
    assert (empty.happenings, empty.mark, empty.has_more) == ((), mark, False)
    assert present_mark(small, NOW) == mark
    book(small)
    assert len(read_since(small, empty.mark).happenings) == 1


def test_a_stretch_is_the_same_at_every_try(small: Store) -> None:
    """Up to a mark in the middle of a change, whatever has followed by then."""
    mark = present_mark(small, NOW)
    live_a_little(small)
    part = read_since(small, mark, count=6)
    assert part.has_more
    assert not part.happenings[-1].ends_change
    again = read_since(small, mark, count=6, until=part.mark)
    assert (again.happenings, again.mark, again.has_more) == (part.happenings, part.mark, False)


def test_two_that_write_at_once_are_both_followed(small: Store) -> None:
    """A later change is never seen before an earlier one is, so that no mark passes one over.

    The first writer has its number and is not through; a second one waits for its turn, and
    nothing of either is seen meanwhile. A transaction that comes to nothing leaves a gap at most.
    """
    mark = present_mark(small, NOW)
    has_number, may_commit = Event(), Event()

    def slow() -> None:
        with small.write() as session:
            session.add(BreakRow(name="First", starts_on=NOW.date(), ends_on=NOW.date()))
            session.add(ChangeRow(at=NOW, by="slow", words="has its number"))
            session.flush()
            has_number.set()
            may_commit.wait(60)

    def quick() -> None:
        with small.write() as session:
            session.add(BreakRow(name="Second", starts_on=NOW.date(), ends_on=NOW.date()))

    def gives_up() -> None:
        with small.write() as session:
            session.add(ChangeRow(at=NOW, by="nobody", words="came to nothing"))
            session.flush()
            session.rollback()

    first, second = Thread(target=slow), Thread(target=quick)
    gives_up()
    first.start()
    assert has_number.wait(60)
    second.start()
    seen = read_since(small, mark)
    assert seen.happenings == ()
    may_commit.set()
    first.join(60)
    second.join(60)
    gives_up()
    book(small)
    titles = [one.title or one.words or one.kind for one in follow(small, seen.mark)]
    assert titles == ["has its number", "First", "Second", "booking"]
    assert follow(small, mark) == follow(small, seen.mark)


def test_a_clubs_secretary_is_told_of_its_squads(filled: Filled) -> None:
    """Within a council's record: nothing of another club's, and the mark goes past it."""
    store = filled(load_council)
    own = as_secretary(store, KIM)
    mark = present_mark(store, NOW)
    book_squad(store, WEIR_U12)
    book_squad(store, BROOK_U14, "third-2")
    found = follow(store, mark)
    assert len(found) == 2
    seen = read_since(own, mark)
    assert [one.after and one.after["squad"] for one in seen.happenings] in (
        [WEIR_U12],
        [BROOK_U14],
    )
    assert seen.mark == read_since(store, mark).mark
    assert follow(own, mark, 1) == list(seen.happenings)


def test_who_was_erased_is_not_told_of_again(small: Store) -> None:
    """The past says “somebody erased”, and that somebody was is told itself."""
    mark = present_mark(small, NOW)
    name = "Änne Weber-Lüttich"
    number = add_person(small, PersonDraft(name, Role.COACH, "", ()), NOW)
    book(small, "Hill Runners", note=f"{name} has the key")
    assert name in str(follow(small, mark))
    erase(small, Subject(person=number), NOW)
    found = follow(small, mark)
    assert name not in str(found)
    assert (found[-1].kind, found[-1].number, found[-1].ends_change) == ("erased", "", True)


def test_a_mark_from_before_what_is_pruned_is_gone(small: Store) -> None:
    """Whoever slept for years reads anew; whoever followed goes on, though all was long ago."""
    long_ago = NOW - timedelta(days=2_000)
    first = present_mark(small, long_ago)
    for days in (1_990, 1_980, 1_970):
        book(small, day=(NOW - timedelta(days=days)).date(), now=NOW - timedelta(days=days))
    seen = read_since(small, first).mark
    prune(small, NOW, batches=100)
    with pytest.raises(MarkGoneError):
        read_since(small, first)
    assert read_since(small, seen).happenings == ()
    book(small)
    (one,) = follow(small, seen)
    assert one.after is not None


@pytest.mark.parametrize("text", ["", "yesterday", "aa-1-2-0' OR 1=1", "aa-1-2"])
def test_what_is_no_mark_is_refused(small: Store, text: str) -> None:
    """In words that say what to do."""
    with pytest.raises(RefusedError, match="send back one that was given"):
        read_since(small, text)


def test_a_mark_of_other_records_is_gone(small: Store) -> None:
    """Of a club that was begun anew, or of a change that these records never had."""
    mark = present_mark(small, NOW)
    with small.read() as session:
        (era,) = find_eras(session)
    for other in (mark.replace(era.name, "0123456789abcdef"), f"{era.name}-99999-2-0"):
        with pytest.raises(MarkGoneError):
            read_since(small, other)
    assert issubclass(MarkGoneError, PlannerError)
    assert replace(era, name="x") != era


@pytest.mark.parametrize("count", [0, 501])
def test_a_count_has_bounds(small: Store, count: int) -> None:
    """One entry at least and 500 at most."""
    with pytest.raises(RefusedError, match="1 to 500"):
        read_since(small, present_mark(small, NOW), count=count)


def test_a_mark_is_given_when_the_disk_has_what_it_marks(
    small: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A number that a loss of power takes back is given again: who follows would miss it."""
    mark = present_mark(small, NOW)
    book(small)
    watched, disk = watching_disk(small, monkeypatch)
    assert read_since(watched, mark).happenings
    assert disk.waits == 1
    present_mark(watched, NOW)
    assert disk.waits == 2
