"""Attempts that are too many: guessing is bounded, and the owner always has a way in."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import FaultyInputError, RefusedError, TooManyError
from clubplanner.services.people.ways_in import passwords, sign_in_tries
from clubplanner.services.people.ways_in.known_browsers import MOST_MARKS, add_mark, known_browser
from clubplanner.services.people.ways_in.passwords import (
    change_password,
    create_secretary_key,
    set_password,
    sign_in_with_password,
)
from clubplanner.services.people.ways_in.sign_in_links import ask_to_sign_in
from clubplanner.services.people.ways_in.sign_in_tries import (
    FREE_TRIES,
    LONGEST_WAIT_S,
    MACHINE,
    STRANGERS_A_NAME,
    Brake,
    Source,
    count_try,
    forget_tries,
)
from tests.builders import NOW

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.store.engine import Store

PASSWORD = "four words make it long"
HERE, THERE = "192.0.2.7", "198.51.100.1"
HOUR = timedelta(hours=1)


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give a database with one secretary, Kim Ashby, number 1."""
    key = create_secretary_key(empty_store, NOW)
    set_password(empty_store, key, "Kim Ashby", "kim@alderby.example", PASSWORD, "A browser", NOW)
    return empty_store


def enter(store: Store, password: str, machine: str, marks: str = "", now: datetime = NOW) -> str:
    """Try to sign the secretary in."""
    return sign_in_with_password(store, "Kim Ashby", password, machine, "A browser", now, marks)


def guess(store: Store, machine: str, times: int, marks: str = "") -> int:
    """Try wrong passwords; return how many were looked at."""
    looked_at = 0
    for _ in range(times):
        try:
            enter(store, "wrong", machine, marks)
        except RefusedError:
            looked_at += 1
        except TooManyError:
            break
    return looked_at


def test_a_stranger_does_not_shut_the_owner_out(store: Store) -> None:
    """Wrong passwords from one machine hold up that machine and no other."""
    assert guess(store, THERE, 20) == FREE_TRIES
    with pytest.raises(TooManyError):
        enter(store, PASSWORD, THERE)
    assert enter(store, PASSWORD, HERE)


def test_an_owner_is_let_in_beside_a_stranger(store: Store) -> None:
    """On the stranger's own machine a browser that its owner used before is counted apart."""
    marks = add_mark(store, "", 1)
    guess(store, THERE, 20)
    assert enter(store, PASSWORD, THERE, marks)


def test_many_machines_together_are_braked_but_no_known_browser(store: Store) -> None:
    """Whoever commands a thousand machines gets few guesses an hour; the owner's browser enters."""
    marks = add_mark(store, "", 1)
    looked_at = sum(guess(store, f"203.0.{n // 250}.{n % 250}", 1) for n in range(80))
    assert looked_at == STRANGERS_A_NAME.most
    with pytest.raises(TooManyError) as caught:
        enter(store, PASSWORD, HERE)
    assert caught.value.seconds == 3600
    assert enter(store, PASSWORD, HERE, marks)
    assert enter(store, PASSWORD, HERE, now=NOW + HOUR)


def test_all_names_together_are_braked(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """However many names are tried from however many machines, checking takes bounded work."""
    monkeypatch.setattr(sign_in_tries, "STRANGERS", Brake(10, 60))
    marks = add_mark(store, "", 1)
    for n in range(10):
        count_try(store, f"name {n}", Source(f"203.0.113.{n}"), NOW)
    with pytest.raises(TooManyError):
        enter(store, PASSWORD, HERE)
    assert enter(store, PASSWORD, HERE, marks)


def test_each_wait_is_twice_the_one_before(store: Store) -> None:
    """From a minute to an hour; whoever comes too early is not looked at and waits no longer."""
    guess(store, HERE, FREE_TRIES)
    now, waits = NOW, []
    for _ in range(8):
        for _early in range(2):
            with pytest.raises(TooManyError) as caught:
                enter(store, PASSWORD, HERE, now=now)
        waits.append(caught.value.seconds)
        now += timedelta(seconds=caught.value.seconds)
        with pytest.raises(RefusedError):
            enter(store, "wrong", HERE, now=now)
    assert waits == [60, 120, 240, 480, 960, 1920, 3600, LONGEST_WAIT_S]
    assert enter(store, PASSWORD, HERE, now=now + timedelta(days=1))


def test_one_machine_cannot_try_many_names(store: Store) -> None:
    """The machine is counted whatever names it tries, for passwords and requests together."""
    for number in range(MACHINE.most):
        ask_to_sign_in(store, f"name {number}", HERE, "A browser", NOW)
    with pytest.raises(TooManyError):
        sign_in_with_password(store, "somebody", PASSWORD, HERE, "A browser", NOW)
    ask_to_sign_in(store, "somebody", THERE, "A browser", NOW)


def test_one_network_of_ipv6_is_one_machine(store: Store) -> None:
    """Its holder has 2^64 addresses (RFC 4291, 2.5.4); the next network is somebody else's."""
    for number in range(FREE_TRIES):
        assert guess(store, f"2001:db8::{number + 1:x}", 1) == 1
    assert guess(store, "2001:db8::ffff:1", 1) == 0
    assert guess(store, "2001:db8:0:1::1", 1) == 1
    assert guess(store, f"::ffff:{HERE}", 9) == FREE_TRIES
    assert guess(store, HERE, 1) == 0, "the same machine, written in another way"


def test_getting_in_forgets_the_tries(store: Store) -> None:
    """A few slips do not add up over a day of signing in and out."""
    for _ in range(3):
        assert guess(store, HERE, FREE_TRIES - 1) == FREE_TRIES - 1
        assert enter(store, PASSWORD, HERE)


def test_a_known_browser_waits_for_its_own_slips(store: Store) -> None:
    """A stolen mark is worth a few guesses; another known browser does not pay for it."""
    stolen, own = add_mark(store, "", 1), add_mark(store, "", 1)
    assert guess(store, THERE, 20, stolen) == FREE_TRIES
    for machine in (THERE, HERE):
        with pytest.raises(TooManyError):
            enter(store, PASSWORD, machine, stolen)
    assert enter(store, PASSWORD, THERE, own)


def test_only_marks_of_ours_for_that_person_count(store: Store) -> None:
    """Made up, altered, somebody else's and long ones are none; several people share a browser."""
    marks = add_mark(store, "", 1)
    number, nonce, signature = marks.split(".")
    assert known_browser(store, marks, 1) == nonce
    for made_up in (
        "",
        "~",
        "1",
        "1..",
        f"1.{nonce}.",
        f"1.{nonce}x.{signature}",
        f"2.{nonce}.{signature}",
        f"1.{nonce}.é{signature}",
        "x" * 2_000 + "~" + marks,
    ):
        assert known_browser(store, made_up, 1) == ""
    assert known_browser(store, marks, 2) == ""
    assert add_mark(store, marks, int(number)) == marks
    for other in range(2, 2 + MOST_MARKS - 1):
        marks = add_mark(store, marks, other)
        assert known_browser(store, marks, 1) == nonce
    marks = add_mark(store, marks, 99)
    assert known_browser(store, marks, 1) == ""
    assert known_browser(store, marks, 99)


def test_the_old_password_is_not_guessed_either(store: Store) -> None:
    """Whoever finds a browser signed in does not try out passwords on the form that changes it."""
    for _ in range(FREE_TRIES):
        with pytest.raises(FaultyInputError):
            change_password(store, 1, "wrong", "another four long words", NOW)
    with pytest.raises(TooManyError):
        change_password(store, 1, PASSWORD, "another four long words", NOW)
    change_password(store, 1, PASSWORD, "another four long words", NOW + HOUR)
    change_password(store, 1, "another four long words", PASSWORD, NOW + HOUR)
    assert enter(store, PASSWORD, HERE)


def test_few_passwords_are_checked_at_once(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Eight people at once do not take eight times the memory of a check."""
    at_work, most = [0], [0]
    real, lock = passwords._HASHER, threading.Lock()

    class Watched:
        def verify(self, known: str, password: str) -> bool:
            with lock:
                at_work[0] += 1
                most[0] = max(most[0], at_work[0])
            try:
                return real.verify(known, password)
            finally:
                with lock:
                    at_work[0] -= 1

        def check_needs_rehash(self, known: str) -> bool:
            return real.check_needs_rehash(known)

    monkeypatch.setattr(passwords, "_HASHER", Watched())
    with ThreadPoolExecutor(8) as pool:
        machines = [f"192.0.2.{n}" for n in range(8)]
        assert all(pool.map(lambda machine: enter(store, PASSWORD, machine), machines))
    assert 1 <= most[0] <= 2


def test_counting_and_forgetting_do_not_mind_how_a_name_is_written(store: Store) -> None:
    """Capitals and spaces give nobody more tries."""
    source = Source(HERE)
    for name in ("kim ashby", " KIM  Ashby ", "Kim Ashby", "kim Ashby", "KIM ASHBY"):
        count_try(store, name, source, NOW)
    with pytest.raises(TooManyError):
        count_try(store, "Kim Ashby", source, NOW)
    forget_tries(store, "KIM ashby", source)
    count_try(store, "Kim Ashby", source, NOW)
