"""Passwords, one-time addresses, signed-in browsers, and attempts that are too many."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.club.people import Role
from clubplanner.errors import FaultyInputError, MissingError, RefusedError
from clubplanner.services.addresses.links import LONGEST_SECRET
from clubplanner.services.people.drafts import email_fault
from clubplanner.services.people.people import PersonDraft, add_person, end_access
from clubplanner.services.people.ways_in.browsers import (
    BROWSER_DAYS,
    MOST_DAYS,
    end_browser,
    end_browsers,
    find_person,
    find_signed_in,
    list_browsers,
    open_browser,
    renew_browser,
    sign_out,
    unused_days,
)
from clubplanner.services.people.ways_in.passwords import (
    KEY_HOURS,
    change_password,
    create_secretary_key,
    see_secretary_key,
    set_password,
    sign_in_with_password,
)
from clubplanner.services.people.ways_in.sign_in_links import (
    ASKED_MINUTES,
    HANDED_HOURS,
    MOST_REQUESTS,
    answer_request,
    ask_to_sign_in,
    hand_over_link,
    list_requests,
    see_link,
    use_link,
)
from clubplanner.store.tables.people_tables import PersonRow, SignInRow
from tests.builders import NOW

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

PASSWORD = "four words make it long"
HERE = "192.0.2.7"
SECOND = timedelta(seconds=1)


def add_coach(store: Store, name: str = "Robin Hale", email: str = "robin@alderby.example") -> int:
    """Add a coach without a squad."""
    return add_person(store, PersonDraft(name, Role.COACH, email), NOW)


def set_up(store: Store, name: str = "Kim Ashby") -> str:
    """Set the first secretary up and return the secret of the browser."""
    key = create_secretary_key(store, NOW)
    return set_password(store, key, name, "kim@alderby.example", PASSWORD, "A browser", NOW)


def name_of(store: Store, secret: str) -> str | None:
    """Return whose browser a secret belongs to."""
    person = find_person(store, secret, NOW)
    return None if person is None else person.name


def problems_of(fault: pytest.ExceptionInfo[FaultyInputError]) -> list[str]:
    """Return the fields that were at fault."""
    return [problem.where for problem in fault.value.problems]


def test_the_first_secretary_is_set_up_once(empty_store: Store) -> None:
    """The printed address sets name and password, signs in, and is of no use after that."""
    key, other = (create_secretary_key(empty_store, NOW) for _ in range(2))
    browser = set_password(empty_store, key, "Kim Ashby", "", PASSWORD, "A browser", NOW)
    assert name_of(empty_store, browser) == "Kim Ashby"
    for used in (key, other):
        with pytest.raises(MissingError, match="used or has lapsed; print a new one with"):
            set_password(empty_store, used, "Eve", "", PASSWORD, "A browser", NOW)
    assert name_of(empty_store, browser) == "Kim Ashby"


def test_two_hands_on_one_key_set_up_one_secretary(empty_store: Store) -> None:
    """Used in the same moment from several places it works in one of them only."""
    key = create_secretary_key(empty_store, NOW)
    start = threading.Barrier(4)

    def use(number: int) -> bool:
        start.wait(60)
        try:
            set_password(empty_store, key, f"Hand {number}", "", PASSWORD, "A browser", NOW)
        except MissingError:
            return False
        return True

    with ThreadPoolExecutor(4) as pool:
        assert sum(pool.map(use, range(4))) == 1
    with empty_store.read() as session:
        assert len(session.scalars(select(PersonRow)).all()) == 1


def test_a_key_lapses_after_twelve_hours(empty_store: Store) -> None:
    """It works up to, not including, that moment."""
    key = create_secretary_key(empty_store, NOW)
    end = NOW + timedelta(hours=KEY_HOURS)
    assert see_secretary_key(empty_store, key, end - SECOND).name == ""
    with pytest.raises(MissingError, match="lapsed"):
        see_secretary_key(empty_store, key, end)


def test_a_later_key_renews_the_password_and_ends_old_browsers(empty_store: Store) -> None:
    """Who has forgotten the password sets a new one; whoever was signed in with the old is out."""
    old = set_up(empty_store)
    key = create_secretary_key(empty_store, NOW)
    assert see_secretary_key(empty_store, key, NOW).name == "Kim Ashby"
    new = set_password(empty_store, key, "Kim Ashby", "", "another four long words", "B", NOW)
    assert name_of(empty_store, old) is None
    assert name_of(empty_store, new) == "Kim Ashby"
    with pytest.raises(RefusedError, match="do not belong together"):
        sign_in_with_password(empty_store, "Kim Ashby", PASSWORD, HERE, "A browser", NOW)


def test_with_several_secretaries_a_key_names_one(empty_store: Store) -> None:
    """The command asks which; a coach is no secretary."""
    set_up(empty_store)
    add_person(empty_store, PersonDraft("Lee Park", Role.SECRETARY, ""), NOW)
    add_coach(empty_store)
    with pytest.raises(MissingError, match=r"several secretaries \(Kim Ashby, Lee Park\)"):
        create_secretary_key(empty_store, NOW)
    key = create_secretary_key(empty_store, NOW, "lee park")
    assert see_secretary_key(empty_store, key, NOW).name == "Lee Park"
    with pytest.raises(MissingError, match="no secretary “Robin Hale”"):
        create_secretary_key(empty_store, NOW, "Robin Hale")


@pytest.mark.parametrize("login", ["Kim Ashby", " kim  ASHBY ", "kim@alderby.example"])
def test_the_password_lets_in(empty_store: Store, login: str) -> None:
    """By name or e-mail, whatever the capitals; each time another browser."""
    first = set_up(empty_store)
    second = sign_in_with_password(empty_store, login, PASSWORD, HERE, "A browser", NOW)
    assert first != second
    assert name_of(empty_store, first) == name_of(empty_store, second) == "Kim Ashby"


@pytest.mark.parametrize(
    ("login", "password"),
    [
        ("Kim Ashby", "wrong"),
        ("Kim Ashby", ""),
        ("Kim Ashby", PASSWORD.upper()),
        ("Nobody", PASSWORD),
        ("", PASSWORD),
        ("Robin Hale", PASSWORD),
        ("Robin Hale", ""),
        ("Kim Ashby", "x" * 1_000_000),
    ],
)
def test_wrong_pairs_all_get_the_same_answer(empty_store: Store, login: str, password: str) -> None:
    """Nobody learns whether the name or the password was wrong, nor who is a secretary."""
    set_up(empty_store)
    add_coach(empty_store)
    with pytest.raises(RefusedError, match=r"^Name and password do not belong together"):
        sign_in_with_password(empty_store, login, password, HERE, "A browser", NOW)


def test_the_password_is_kept_as_argon2id(empty_store: Store) -> None:
    """The stored form is argon2id in its standard notation (RFC 9106), salted for each."""
    set_up(empty_store)
    with empty_store.read() as session:
        kept = session.scalars(select(PersonRow.password_hash)).one()
    assert kept is not None
    assert kept.startswith("$argon2id$v=19$")
    assert PASSWORD not in kept


@pytest.mark.parametrize(
    ("name", "password", "fields"),
    [
        ("", PASSWORD, ["name"]),
        ("Kim", "short", ["password"]),
        ("Kim", "aaaaaaaaaaaaaaaaaa", ["password"]),
        ("Kim Longname Ashby", "kim longname ashby", ["password"]),
        ("Kim", "x" * 201, ["password"]),
        ("", "", ["name", "password"]),
    ],
)
def test_poor_passwords_are_told_and_the_key_stays(
    empty_store: Store, name: str, password: str, fields: list[str]
) -> None:
    """Every fault at once, each at its field; the address still works afterwards."""
    key = create_secretary_key(empty_store, NOW)
    with pytest.raises(FaultyInputError) as caught:
        set_password(empty_store, key, name, "", password, "A browser", NOW)
    assert problems_of(caught) == fields
    assert set_password(empty_store, key, "Kim", "", PASSWORD, "A browser", NOW)


def test_a_bad_address_is_told_beside_a_poor_password(empty_store: Store) -> None:
    """In the order of the form's fields, with the words any form has for it."""
    key = create_secretary_key(empty_store, NOW)
    with pytest.raises(FaultyInputError) as caught:
        set_password(empty_store, key, "", "kim@", "short", "A browser", NOW)
    assert problems_of(caught) == ["name", "email", "password"]
    assert email_fault("kim@") in [problem.message for problem in caught.value.problems]


def test_a_password_is_changed_by_who_knows_it(empty_store: Store) -> None:
    """The old one must be right and the new one good."""
    set_up(empty_store)
    for old, new, field in (("wrong", "another four long words", "old"), (PASSWORD, "x", "new")):
        with pytest.raises(FaultyInputError) as caught:
            change_password(empty_store, 1, old, new, NOW)
        assert problems_of(caught) == [field]
    change_password(empty_store, 1, PASSWORD, "another four long words", NOW)
    assert sign_in_with_password(empty_store, "Kim Ashby", "another four long words", "", "A", NOW)


def test_who_asks_is_let_in_where_they_asked(empty_store: Store) -> None:
    """Asked by e-mail, answered by the secretary, used once in the browser that asked."""
    add_coach(empty_store)
    asked = ask_to_sign_in(empty_store, "Robin@Alderby.example", HERE, "Firefox on Android", NOW)
    (request,) = list_requests(empty_store, NOW)
    assert (request.name, request.code, request.about) == (
        "Robin Hale",
        asked.code,
        "Firefox on Android",
    )
    secret, name = answer_request(empty_store, request.number, NOW)
    assert name == "Robin Hale"
    for wrong in ("", "x", asked.code):
        with pytest.raises(RefusedError, match="only in the browser in which it was asked for"):
            use_link(empty_store, secret, wrong, "Another", NOW)
    assert see_link(empty_store, secret, asked.secret, NOW) == "Robin Hale"
    browser = use_link(empty_store, secret, asked.secret, "Firefox on Android", NOW)
    assert name_of(empty_store, browser) == "Robin Hale"
    with pytest.raises(MissingError, match="used or has lapsed"):
        use_link(empty_store, secret, asked.secret, "Firefox on Android", NOW)
    assert list_requests(empty_store, NOW) == ()


def test_a_new_answer_voids_the_one_before(empty_store: Store) -> None:
    """An address shown by mistake is void once another one is shown."""
    add_coach(empty_store)
    asked = ask_to_sign_in(empty_store, "Robin Hale", HERE, "A browser", NOW)
    (request,) = list_requests(empty_store, NOW)
    first, _ = answer_request(empty_store, request.number, NOW)
    second, _ = answer_request(empty_store, request.number, NOW)
    with pytest.raises(MissingError):
        use_link(empty_store, first, asked.secret, "A browser", NOW)
    assert use_link(empty_store, second, asked.secret, "A browser", NOW)


def test_requests_and_their_answers_are_short_lived(empty_store: Store) -> None:
    """A request waits half an hour, and its answer works half an hour."""
    add_coach(empty_store)
    asked = ask_to_sign_in(empty_store, "Robin Hale", HERE, "A browser", NOW)
    (request,) = list_requests(empty_store, NOW)
    end = NOW + timedelta(minutes=ASKED_MINUTES)
    assert list_requests(empty_store, end) == ()
    with pytest.raises(MissingError, match="let the person ask again"):
        answer_request(empty_store, request.number, end)
    secret, _ = answer_request(empty_store, request.number, end - SECOND)
    last = end - SECOND + timedelta(minutes=ASKED_MINUTES)
    with pytest.raises(MissingError, match="lapsed"):
        use_link(empty_store, secret, asked.secret, "A browser", last)
    assert use_link(empty_store, secret, asked.secret, "A browser", last - SECOND)


def test_asking_tells_nobody_who_is_known(empty_store: Store) -> None:
    """An unknown name, a secretary's and a coach's get the same answer; only the coach waits."""
    set_up(empty_store)
    add_coach(empty_store)
    for login in ("Nobody", "Kim Ashby", "Robin Hale"):
        asked = ask_to_sign_in(empty_store, login, "", "A browser", NOW)
        assert len(asked.code) == 4
        assert asked.code.isdecimal()
    assert [request.name for request in list_requests(empty_store, NOW)] == ["Robin Hale"]


def test_one_person_does_not_fill_the_list(empty_store: Store) -> None:
    """Only so many requests of one person wait at a time."""
    add_coach(empty_store)
    for number in range(MOST_REQUESTS + 2):
        ask_to_sign_in(empty_store, "Robin Hale", f"192.0.2.{number}", "A browser", NOW)
    assert len(list_requests(empty_store, NOW)) == MOST_REQUESTS


def test_an_address_handed_over_unasked_works_once(empty_store: Store) -> None:
    """It belongs to whoever uses it first, within a day; a newer one voids it."""
    coach = add_coach(empty_store)
    first, second = (hand_over_link(empty_store, coach, NOW) for _ in range(2))
    with pytest.raises(MissingError):
        use_link(empty_store, first, "", "A browser", NOW)
    end = NOW + timedelta(hours=HANDED_HOURS)
    with pytest.raises(MissingError, match="lapsed"):
        use_link(empty_store, second, "", "A browser", end)
    assert use_link(empty_store, second, "", "A browser", end - SECOND)
    with pytest.raises(MissingError, match="used"):
        use_link(empty_store, second, "", "A browser", NOW)


def test_a_secretary_is_not_let_in_by_address_alone(empty_store: Store) -> None:
    """Neither by an address handed over nor by a key used as one."""
    set_up(empty_store)
    with pytest.raises(RefusedError, match="signs in with a password"):
        hand_over_link(empty_store, 1, NOW)
    key = create_secretary_key(empty_store, NOW)
    with pytest.raises(MissingError):
        use_link(empty_store, key, "", "A browser", NOW)
    coach = add_coach(empty_store)
    with pytest.raises(MissingError, match="print a new one"):
        see_secretary_key(empty_store, hand_over_link(empty_store, coach, NOW), NOW)


@pytest.mark.parametrize("secret", ["", "x", "é" * 50, "x" * (LONGEST_SECRET + 1), "' OR 1=1 --"])
def test_what_was_never_given_out_opens_nothing(empty_store: Store, secret: str) -> None:
    """Blank, short, long and cunning texts are nobody."""
    create_secretary_key(empty_store, NOW)
    coach = add_coach(empty_store)
    hand_over_link(empty_store, coach, NOW)
    ask_to_sign_in(empty_store, "Robin Hale", "", "A browser", NOW)
    assert find_person(empty_store, secret, NOW) is None
    with pytest.raises(MissingError):
        use_link(empty_store, secret, "", "A browser", NOW)
    with pytest.raises(MissingError):
        see_secretary_key(empty_store, secret, NOW)


def test_a_browser_stays_signed_in_for_a_month(empty_store: Store) -> None:
    """After thirty days it must be signed in again."""
    browser = set_up(empty_store)
    end = NOW + timedelta(days=BROWSER_DAYS)
    assert find_person(empty_store, browser, end - SECOND) is not None
    assert find_person(empty_store, browser, end) is None
    assert list_browsers(empty_store, 1, end) == ()


@pytest.mark.parametrize("role", [Role.SECRETARY, Role.COACH, Role.GROUNDSKEEPER])
def test_a_browser_stays_signed_in_as_long_as_it_is_used(empty_store: Store, role: Role) -> None:
    """Used now and then it lasts; its use is noted once a day; unused it ends."""
    number = add_person(empty_store, PersonDraft("Robin Hale", role, ""), NOW)
    with empty_store.write() as session:
        browser = open_browser(session, number, "A browser", NOW)
    pause = timedelta(days=unused_days(role)) - SECOND
    now = NOW
    for _ in range(3 if role is Role.SECRETARY else 10):
        now += pause
        found = find_signed_in(empty_store, browser, now)
        assert found is not None
        assert found.is_due
        assert renew_browser(empty_store, browser, now)
        found = find_signed_in(empty_store, browser, now + timedelta(hours=23))
        assert found is not None
        assert not found.is_due, "reading pages does not write each time"
    assert find_signed_in(empty_store, browser, now + pause + SECOND) is None
    assert not renew_browser(empty_store, browser, now + pause + SECOND)
    assert not renew_browser(empty_store, "unknown", now)


def test_a_secretary_signs_in_again_after_a_year(empty_store: Store) -> None:
    """However much it is used, a browser that may do everything ends; a coach's goes on."""
    browsers = {}
    for role in (Role.SECRETARY, Role.COACH):
        number = add_person(empty_store, PersonDraft(f"A {role.value}", role, ""), NOW)
        with empty_store.write() as session:
            browsers[role] = open_browser(session, number, "A browser", NOW)
    end = NOW.replace(microsecond=0) + timedelta(days=MOST_DAYS)
    for day in range(20, MOST_DAYS, 20):
        for browser in browsers.values():
            assert renew_browser(empty_store, browser, NOW + timedelta(days=day))
    assert find_signed_in(empty_store, browsers[Role.SECRETARY], end - SECOND) is not None
    assert find_signed_in(empty_store, browsers[Role.SECRETARY], end) is None
    assert not renew_browser(empty_store, browsers[Role.SECRETARY], end)
    assert find_signed_in(empty_store, browsers[Role.COACH], end) is not None


def test_browsers_are_listed_and_ended(empty_store: Store) -> None:
    """One, or all but the present one; the server forgets them at once."""
    first = set_up(empty_store)
    second, third = (
        sign_in_with_password(empty_store, "Kim Ashby", PASSWORD, "", about, NOW + SECOND)
        for about in ("Firefox on Android", "Safari on an iPad")
    )
    shown = list_browsers(empty_store, 1, NOW, first)
    assert [b.about for b in shown] == ["Safari on an iPad", "Firefox on Android", "A browser"]
    assert [b.is_this for b in shown] == [False, False, True]
    end_browser(empty_store, 1, shown[0].number)
    assert name_of(empty_store, third) is None
    with pytest.raises(MissingError, match="no longer signed in"):
        end_browser(empty_store, 1, shown[0].number)
    with pytest.raises(MissingError):
        end_browser(empty_store, 2, shown[1].number)
    assert end_browsers(empty_store, 1, first) == 1
    assert name_of(empty_store, second) is None
    sign_out(empty_store, first)
    sign_out(empty_store, first)
    assert name_of(empty_store, first) is None


def test_ending_somebodys_access_ends_everything(empty_store: Store) -> None:
    """Browsers, requests and addresses of that person are void at once."""
    set_up(empty_store)
    coach = add_coach(empty_store)
    browser = use_link(empty_store, hand_over_link(empty_store, coach, NOW), "", "A", NOW)
    unused = hand_over_link(empty_store, coach, NOW)
    ask_to_sign_in(empty_store, "Robin Hale", "", "A browser", NOW)
    assert end_access(empty_store, coach, 0, NOW) == "Robin Hale"
    assert name_of(empty_store, browser) is None
    with pytest.raises(MissingError):
        use_link(empty_store, unused, "", "A browser", NOW)
    with empty_store.read() as session:
        assert session.scalars(select(SignInRow)).all() == []
        assert session.get(PersonRow, coach) is not None, "the name stays for old changes"
    with pytest.raises(MissingError, match="no such person"):
        hand_over_link(empty_store, coach, NOW)
    assert add_coach(empty_store) == coach, "the same address is the same person"
