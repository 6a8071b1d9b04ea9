"""Brief changes of writers who wait share a transaction, and each is told of its own."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import event, func, select, text
from sqlalchemy.exc import IntegrityError

from clubplanner.errors import AwayError, BusyError, ClashError, RefusedError, UnsureError
from clubplanner.services.evening.bookings import add_booking
from clubplanner.services.rows.bookings.held_against import load_held_against
from clubplanner.store import together
from clubplanner.store.stand import read_setup_mark, read_stand
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.season_tables import ChangedBookingRow, ChangeRow
from clubplanner.store.turns import FairLock
from tests.builders import NOW
from tests.stores import booking_row, make_wish

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from concurrent.futures import Future

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store


class Queue:
    """Writers of one store that wait behind a first one, in the order in which they come."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self.begun: list[object] = []
        self._pool = ThreadPoolExecutor(24)
        self._go = threading.Event()
        event.listen(store.engine, "begin", self._note)

    def _note(self, connection: object) -> None:
        if connection.get_execution_options().get("clubplanner_write"):  # type: ignore[attr-defined]
            self.begun.append(connection)

    def first(self, act: Callable[[Session], None] = lambda _session: None) -> Future[None]:
        """Let the one go first that all others wait for."""
        inside = threading.Event()

        def work() -> None:
            with self.store.write(brief=True) as session:
                inside.set()
                assert self._go.wait(30)
                act(session)

        future = self._pool.submit(work)
        assert inside.wait(30)
        return future

    def add(self, act: Callable[[Session], None], *, brief: bool = True) -> Future[None]:
        """Let one more come."""

        def work() -> None:
            with self.store.write(brief=brief) as session:
                act(session)

        return self.call(work)

    def call(self, work: Callable[[], None]) -> Future[None]:
        """Let one more come that opens its session itself."""
        waiting = len(self.store._writers._waiting)
        future = self._pool.submit(work)
        while len(self.store._writers._waiting) == waiting:
            assert not future.done(), future.exception()
        return future

    def go(self) -> None:
        """Let the first one go on, and the others after it."""
        self._go.set()

    def end(self) -> None:
        """Wait for all."""
        self._go.set()
        self._pool.shutdown()
        event.remove(self.store.engine, "begin", self._note)


@contextmanager
def queue_of(store: Store) -> Iterator[Queue]:
    """Give a queue of writers, none of whom is left at the end."""
    queue = Queue(store)
    try:
        yield queue
    finally:
        queue.end()


@pytest.fixture
def queue(club_store: Store, monkeypatch: pytest.MonkeyPatch) -> Iterator[Queue]:
    """Give a queue at the invented club, on a machine that is never too slow for company."""
    monkeypatch.setattr(together, "LONGEST_S", 60.0)
    with queue_of(club_store) as one:
        yield one


def rename(name: str) -> Callable[[Session], None]:
    """Return a change of the club's name."""

    def act(session: Session) -> None:
        session.get_one(ClubRow, 1).name = name

    return act


def refuse(_session: Session) -> None:
    """Stand for what a rule refuses."""
    raise RefusedError("Not like this.")


def name_of(store: Store) -> str:
    """Return the club's name."""
    with store.read() as session:
        return session.get_one(ClubRow, 1).name


def test_who_waits_shares_the_transaction(queue: Queue) -> None:
    """Five brief changes are one transaction, each in the journal by itself, in their order."""
    with queue.store.read() as session:
        before = session.scalar(select(func.max(ChangeRow.id))) or 0
    futures = [queue.first(rename("0"))]
    futures += [queue.add(rename(str(number))) for number in range(1, 5)]
    queue.go()
    for future in futures:
        future.result(30)
    assert len(queue.begun) == 1
    with queue.store.read() as session:
        changes = session.scalars(select(ChangeRow).where(ChangeRow.id > before)).all()
        ordered = sorted(changes, key=lambda change: change.id)
        told = [(change.records[0].after or {})["name"] for change in ordered]
    assert told == ["0", "1", "2", "3", "4"]
    assert name_of(queue.store) == "4"


def test_nobody_is_told_before_all_of_it_is_kept(queue: Queue) -> None:
    """Who is done waits for those after it; nobody else sees any of it meanwhile."""
    inside, go_on = threading.Event(), threading.Event()

    def slow(session: Session) -> None:
        inside.set()
        assert go_on.wait(30)
        assert session.get_one(ClubRow, 1).name == "First"

    first, refused = queue.first(rename("First")), queue.add(refuse)
    second = queue.add(slow)
    queue.go()
    assert inside.wait(30)
    assert not first.done()
    assert not refused.done(), "it may have been refused for the first one's sake"
    assert name_of(queue.store) == "Tarnholt Wanderers"
    go_on.set()
    for future in (first, second):
        future.result(30)
    with pytest.raises(RefusedError, match="Not like this"):
        refused.result(30)
    assert name_of(queue.store) == "First"


@pytest.mark.parametrize("is_at_end", [False, True])
def test_a_failure_takes_back_its_own_alone(queue: Queue, is_at_end: bool) -> None:
    """What one did before it failed is gone; those before and after it are kept."""

    def fail(session: Session) -> None:
        session.execute(text("UPDATE club SET name = 'Never'"))
        assert session.get_one(ClubRow, 1).name == "Never"
        if is_at_end:
            session.get_one(ClubRow, 1).zone = None  # type: ignore[assignment]
        else:
            session.execute(text("UPDATE club SET id = 2"))

    def look(session: Session) -> None:
        seen.append(session.get_one(ClubRow, 1).name)

    seen: list[str] = []
    first, failed, last = queue.first(rename("First")), queue.add(fail), queue.add(look)
    queue.go()
    first.result(30)
    last.result(30)
    with pytest.raises(IntegrityError):
        failed.result(30)
    assert (seen, name_of(queue.store), len(queue.begun)) == (["First"], "First", 1)


def test_a_first_one_that_fails_leaves_the_others_a_transaction_of_their_own(queue: Queue) -> None:
    """Nothing of it is kept, and all of theirs."""

    def fail(session: Session) -> None:
        rename("Never")(session)
        session.flush()
        refuse(session)

    first, second, third = queue.first(fail), queue.add(rename("Two")), queue.add(rename("Three"))
    queue.go()
    with pytest.raises(RefusedError):
        first.result(30)
    second.result(30)
    third.result(30)
    assert (name_of(queue.store), len(queue.begun)) == ("Three", 2)


def test_a_commit_that_fails_is_told_to_all(queue: Queue, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody believes to have done something, or to have been refused for it; numbers go, too."""
    made: list[int] = []

    def noted() -> None:
        with queue.store.noting(made).write(brief=True) as session:
            rename("Noted")(session)

    def fail(_connection: object) -> None:
        raise BusyError

    first, refused, second = queue.first(rename("1")), queue.add(refuse), queue.call(noted)
    event.listen(queue.store.engine, "commit", fail)
    try:
        queue.go()
        for future in (first, refused, second):
            with pytest.raises(BusyError):
                future.result(30)
    finally:
        event.remove(queue.store.engine, "commit", fail)
    assert made == []
    assert name_of(queue.store) == "Tarnholt Wanderers"


def test_a_server_that_goes_away_in_the_commit_leaves_it_open(queue: Queue) -> None:
    """Who wrote is told that it may be lost; who wrote nothing, that nobody answers."""

    def fail(_connection: object) -> None:
        raise AwayError

    first = queue.first(rename("1"))
    looked = queue.add(lambda _session: None)
    event.listen(queue.store.engine, "commit", fail)
    try:
        queue.go()
        with pytest.raises(UnsureError):
            first.result(30)
        with pytest.raises(AwayError):
            looked.result(30)
    finally:
        event.remove(queue.store.engine, "commit", fail)


def test_who_is_not_brief_has_a_transaction_of_its_own(queue: Queue) -> None:
    """Those before it are told before it does anything."""

    def slow(session: Session) -> None:
        first.result(30)
        rename("Slow")(session)

    first, second = queue.first(rename("First")), queue.add(rename("Second"))
    alone = queue._pool.submit(_write, queue.store, slow)
    queue.go()
    for future in (first, second, alone):
        future.result(30)
    assert name_of(queue.store) == "Slow"
    assert len(queue.begun) == 2


def _write(store: Store, act: Callable[[Session], None]) -> None:
    with store.write() as session:
        act(session)


def test_a_transaction_takes_no_more_than_so_many(
    queue: Queue, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first one does not wait for ever: who comes after the last begins another one."""
    monkeypatch.setattr(together, "MOST", 3)
    futures = [queue.first(rename("0"))]
    futures += [queue.add(rename(str(number))) for number in range(1, 7)]
    queue.go()
    for future in futures:
        future.result(30)
    assert len(queue.begun) == 3


def test_a_transaction_takes_nobody_after_a_time(
    queue: Queue, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is over as soon as who has it then is done."""
    monkeypatch.setattr(together, "LONGEST_S", 0.0)
    futures = [queue.first(rename("0")), queue.add(rename("1")), queue.add(rename("2"))]
    queue.go()
    for future in futures:
        future.result(30)
    assert len(queue.begun) == 3


def test_calendars_are_counted_once_for_all(queue: Queue) -> None:
    """However many changed what they show; not for one whose work was taken back."""
    with queue.store.read() as session:
        before = read_stand(session)
    futures = [queue.first(rename("0")), queue.add(rename("1"))]
    queue.go()
    for future in futures:
        future.result(30)
    with queue.store.read() as session:
        assert read_stand(session) == before + 1


def test_a_change_of_the_ground_is_seen_by_those_after_it(queue: Queue) -> None:
    """What bookings are held against is read again, though it was known when all of it began."""
    with queue.store.write() as session:
        mark = read_setup_mark(session)
        load_held_against(session)
    seen: list[tuple[bool, str]] = []

    def change(session: Session) -> None:
        session.get_one(ClubRow, 1).changeover_minutes = 25

    def look(session: Session) -> None:
        held = load_held_against(session)
        seen.append((read_setup_mark(session) == mark, str(held.club.changeover_minutes)))

    futures = [queue.first(look), queue.add(change), queue.add(look)]
    queue.go()
    for future in futures:
        future.result(30)
    assert seen[0][0]
    assert seen[0][1] != "25"
    assert seen[1] == (False, "25")


def test_of_those_who_book_together_one_has_the_ground(queue: Queue) -> None:
    """The others are told who, by name, and each booking has a change of its own."""
    store = queue.store
    same = [make_wish(store, squad_key=None, holder=f"Person {number}") for number in range(3)]
    numbers: list[int] = []

    def book(number: int) -> Callable[[], None]:
        return lambda: numbers.append(add_booking(store, same[number], NOW).number)

    first, *others = queue.first(), *(queue.call(book(number)) for number in range(3))
    queue.go()
    first.result(30)
    others[0].result(30)
    for other in others[1:]:
        with pytest.raises(ClashError, match="held by Person 0"):
            other.result(30)
    with store.read() as session:
        row = session.get_one(BookingRow, numbers[0])
        entry = session.scalars(
            select(ChangedBookingRow).where(ChangedBookingRow.booking_id == row.id)
        ).one()
        assert row.holder == entry.after["holder"] == "Person 0"
        assert (entry.before, row.sequence) == (None, 0)


def test_ground_that_another_program_took_meanwhile_is_told(
    club_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The guard decides at the end of the transaction, and what is free is told all the same."""
    wish = make_wish(club_store, squad_key=None, holder="Choir")
    add_booking(club_store, make_wish(club_store, squad_key=None, holder="Band"), NOW)
    monkeypatch.setattr(
        "clubplanner.services.evening.bookings.what_hinders_wish", lambda *_unused: ()
    )
    with pytest.raises(ClashError, match="just taken this ground") as caught:
        add_booking(club_store, wish, NOW)
    assert caught.value.free


def test_who_joins_waits_for_those_they_join_though_a_place_is_free() -> None:
    """Of three places those who join have one; it goes to who is next when it is given back."""
    lock = FairLock(3)
    assert lock.take(joins=True) is None
    with ThreadPoolExecutor(2) as pool:
        second = pool.submit(lock.take, joins=True)
        while not lock._waiting:
            assert not second.done()
        assert lock.hand_on("shared")
        assert second.result(10) == "shared"
        third = pool.submit(lock.take, joins=True)
        while not lock._waiting:
            assert not third.done()
        lock.give_back(joins=True)
        assert third.result(10) is None
    lock.take()
    lock.take()
    assert not lock.hand_on("shared"), "nobody waits"


def test_a_thread_that_waits_too_long_is_told_and_nobody_waits_for_it() -> None:
    """As for another program: no time without a word, and who comes after it has its turn."""
    lock = FairLock(seconds=0.05)
    lock.take()
    with pytest.raises(BusyError, match="busy with another change"):
        lock.take()
    with pytest.raises(BusyError):
        lock.take(joins=True)
    assert not lock.hand_on("shared"), "nobody waits"
    lock.give_back()
    lock.take()
    lock.give_back()


@pytest.mark.parametrize("brief", [True, False])
def test_a_change_that_waited_too_long_for_another_thread_leaves_nothing(
    club_store: Store, monkeypatch: pytest.MonkeyPatch, brief: bool
) -> None:
    """Who holds everybody up goes on as if nobody had asked; the next one is let in."""
    monkeypatch.setattr(club_store._writers, "_seconds", 0.05)
    number = add_booking(club_store, make_wish(club_store), NOW).number

    def write() -> None:
        with club_store.write(brief=brief):
            raise AssertionError("its turn has not come")

    lock = club_store._writers
    places = lock._free
    for _ in range(places):  # PostgreSQL lets several begin, and has a queue of its own
        lock.take()
    with ThreadPoolExecutor(1) as pool, pytest.raises(BusyError):
        pool.submit(write).result(10)
    for _ in range(places):
        lock.give_back()
    with club_store.write(brief=brief) as session:
        session.get_one(BookingRow, number).note = "A word"
    assert booking_row(club_store, number).note == "A word"
