"""What waits for somebody is marked where they start, and goes by mail where there is a server."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.people import Role
from clubplanner.domain.times.times import instant_from_wall
from clubplanner.services.giving.requests import ask_for_session
from clubplanner.services.giving.swaps import accept_swap, end_swap, offer_swap
from clubplanner.services.giving.waiting_list import refuse_ask
from clubplanner.services.mails.sending.delivering import Delivery, deliver
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.sign_in_links import ask_to_sign_in
from clubplanner.services.setup.squads.ends import end_squad_from
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, LONDON, NOW
from tests.mail_server import Postbox, mail_server
from tests.services.giving.test_waiting_list import ROBIN, SAM, wish
from tests.services.mails.sending.test_delivering import ROBIN as ROBINS
from tests.services.mails.sending.test_delivering import SAM as SAMS
from tests.services.mails.sending.test_delivering import WITH_ADDRESSES
from tests.small_club import HALL, HARRIERS, KESTRELS, TOP, book, load_small_club
from tests.webapp.conftest import sign_in

if TYPE_CHECKING:
    from collections.abc import Iterator

    from flask import Flask

    from clubplanner.store.engine import Store

CONFIG = Config("", "http://127.0.0.1:8000")
LATER = NOW + timedelta(minutes=3)


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club: 1 is the Kestrels' at six, 2 the Harriers' at eight; both can swap."""
    squads = WITH_ADDRESSES.replace("18:00-19:15", "18:00-21:00")
    load_small_club(empty_store, squads=squads.replace("18:00-20:00", "18:00-21:00"))
    book(empty_store, KESTRELS, "third-1", now=NOW - timedelta(days=9))
    then = NOW - timedelta(days=9)
    book(empty_store, HARRIERS, "third-2", now=then, start_min=20 * 60, end_min=21 * 60)
    return empty_store


@pytest.fixture
def app(store: Store) -> Flask:
    """Make its app."""
    return create_app(store, CONFIG, lambda: LATER)


@pytest.fixture
def box() -> Iterator[Postbox]:
    """Give a running mail server."""
    with mail_server() as running:
        yield running


def refuse(store: Store) -> None:
    """Let an ask wait, with everything taken, and refuse it."""
    for pitch, area in ((TOP, "third-2"), (TOP, "third-3"), (HALL, "half-1"), (HALL, "half-2")):
        book(store, "Choir", area, pitch_key=pitch, purpose=Purpose.HIRE, end_min=19 * 60)
    ask_for_session(store, SAM, wish(HARRIERS), NOW)
    refuse_ask(store, 1, "The cup final is on.")


def mails(store: Store, box: Postbox) -> list[tuple[str, str]]:
    """Deliver, and take to whom and about what out of the box."""
    config = replace(CONFIG, mail_server=box.settings)
    deliver(store, config, lambda: LATER)
    found = [
        (one[1][0], str(mail["Subject"]))
        for one, mail in zip(box.envelopes, box.taken, strict=True)
    ]
    box.taken.clear()
    box.envelopes.clear()
    return found


def test_an_offer_is_marked_where_the_other_coach_starts(app: Flask, store: Store) -> None:
    """On the start page and beside its name on every page; not with whoever offered."""
    offer_swap(store, ROBIN, 1, 2, "Exams", NOW)
    sam = sign_in(app, store, Role.COACH, HARRIERS, name="Sam")
    home = sam.get("/coach").text
    assert "Offered to you: U12 Kestrels" in home
    assert 'My ground <span class="tag">1<span class="unseen"> waiting for you</span>' in home
    assert "waiting for you" in sam.get("/me").text
    robin = sign_in(app, store, Role.COACH, KESTRELS, name="Robin")
    assert "Offered to you" not in robin.get("/coach").text
    assert "waiting for you" not in robin.get("/coach").text
    end_swap(store, SAM, 1)
    assert "Offered to you" not in sam.get("/coach").text


def test_the_secretary_sees_on_the_first_page_what_waits(app: Flask, store: Store) -> None:
    """Asks that wait, offers that stand, and people who want to be let in."""
    desk = sign_in(app, store)
    assert "Waiting for you" not in desk.get("/desk/evening").text
    add_person(store, PersonDraft("Kim", Role.COACH, "", (KESTRELS,)), NOW)
    ask_to_sign_in(store, "Kim", "127.0.0.1", "A telephone", LATER)
    offer_swap(store, ROBIN, 1, 2, "", NOW)
    page = desk.get("/desk/evening").text
    assert "Waiting for you" in page
    assert "1 person wants to be let in" in page
    assert "1 offer to change places stands" in page
    assert 'Club <span class="tag">1<span class="unseen"> waiting for you</span>' in page


def test_a_refused_ask_is_answered_on_the_start_page(app: Flask, store: Store) -> None:
    """With the secretary's word, until the date has passed."""
    refuse(store)
    sam = sign_in(app, store, Role.COACH, HARRIERS, name="Sam")
    assert "The cup final is on." in sam.get("/coach").text


def test_offers_and_answers_go_by_mail(store: Store, box: Postbox) -> None:
    """The offer to the coach it is made to, its end to whoever made it; each once."""
    offer_swap(store, ROBIN, 1, 2, "Exams", NOW)
    ((to, subject),) = mails(store, box)
    assert to == SAMS
    assert subject == "U12 Kestrels offer to change places with U14 Harriers"
    assert mails(store, box) == []
    end_swap(store, SAM, 1)
    assert mails(store, box) == [(ROBINS, "U14 Harriers keep their place")]
    offer_swap(store, ROBIN, 1, 2, "", NOW)
    end_swap(store, ROBIN, 2)
    offer_swap(store, ROBIN, 1, 2, "", NOW)
    accept_swap(store, SAM, 3, NOW)
    assert (ROBINS, "U14 Harriers have changed places with you") in mails(store, box)


def test_whoever_offered_to_a_squad_that_ends_is_told(store: Store, box: Postbox) -> None:
    """Their offer is gone from all pages, and they still wait for an answer."""
    offer_swap(store, ROBIN, 1, 2, "Exams", NOW)
    mails(store, box)
    end_squad_from(store, HARRIERS, A_WEDNESDAY, NOW, why="too few", mails=False)
    config = replace(CONFIG, mail_server=box.settings)
    deliver(store, config, lambda: LATER)
    (mail,) = box.taken
    assert box.envelopes[0][1] == [ROBINS]
    assert mail["Subject"] == "U14 Harriers cannot change places with you any more"
    text = mail.get_content()
    assert "U14 Harriers end, with no session from Wednesday 25 November 2026 on: too few." in text
    assert "Your offer to change places is over; U12 Kestrels stay where they are." in text


def test_places_changed_within_a_day_are_mailed_once(store: Store, box: Postbox) -> None:
    """The change itself goes by mail then, to both; no second mail says the same."""
    now = instant_from_wall(A_WEDNESDAY, 10 * 60, LONDON)
    offer_swap(store, ROBIN, 1, 2, "", now)
    accept_swap(store, SAM, 1, now)
    config = replace(CONFIG, mail_server=box.settings)
    deliver(store, config, lambda: now + timedelta(minutes=3))
    assert sorted(to for _, (to,) in box.envelopes) == [ROBINS, SAMS]


def test_an_offer_that_was_taken_back_is_not_mailed(store: Store, box: Postbox) -> None:
    """Nobody is asked for what is no longer to be had."""
    offer_swap(store, ROBIN, 1, 2, "", NOW)
    end_swap(store, ROBIN, 1)
    assert mails(store, box) == []


def test_an_answer_of_the_waiting_list_goes_by_mail(store: Store, box: Postbox) -> None:
    """With the secretary's word in it, and the way to the page."""
    refuse(store)
    config = replace(CONFIG, mail_server=box.settings)
    assert deliver(store, config, lambda: LATER) == Delivery(sent=1)
    (mail,) = box.taken
    assert mail["To"] == f"Sam Reed <{SAMS}>"
    text = mail.get_content()
    assert "The cup final is on." in text
    assert "http://127.0.0.1:8000/coach/give" in text


def test_who_wants_to_be_let_in_is_mailed_to_the_secretary(store: Store, box: Postbox) -> None:
    """Where the person has no address to be answered at by mail."""
    add_person(store, PersonDraft("Pat", Role.SECRETARY, "pat@alderby.example"), NOW)
    add_person(store, PersonDraft("Kim", Role.COACH, "", (KESTRELS,)), NOW)
    ask_to_sign_in(store, "Kim", "127.0.0.1", "A telephone", LATER)
    assert mails(store, box) == [("pat@alderby.example", "Kim wants to be let in")]


def test_without_a_server_or_with_one_that_refuses_nothing_is_lost_on_the_pages(
    app: Flask, store: Store, box: Postbox
) -> None:
    """The mark stands all the same, and what the server refuses is tried again."""
    offer_swap(store, ROBIN, 1, 2, "", NOW)
    box.answers["MAIL"] = "550 5.7.1 not you"
    assert mails(store, box) == []
    sam = sign_in(app, store, Role.COACH, HARRIERS, name="Sam")
    assert "Offered to you" in sam.get("/coach").text
    box.answers.clear()
    config = replace(CONFIG, mail_server=box.settings)
    assert deliver(store, config, lambda: LATER, at_once=True).sent == 1
    offer_swap(store, SAM, 2, 1, "", NOW)
    assert deliver(store, CONFIG, lambda: LATER).unsent == 1
