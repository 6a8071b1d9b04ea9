"""What did not arrive stands on the first page, and goes out again by one press."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.services.mails.sending.delivering import Delivery
from clubplanner.services.mails.untold import Untold, see_untold, send_again
from clubplanner.store.tables.notice_tables import MailRow
from tests.builders import A_WEDNESDAY
from tests.services.mails.making.test_following import hand_over, move, told
from tests.services.mails.sending.test_delivering import (
    ADDRESS,
    LATER,
    NOON,
    ROBIN,
    SAM,
    WITH_ADDRESSES,
    send,
)
from tests.small_club import HARRIERS, KESTRELS, book, load_small_club

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.store.engine import Store
    from tests.mail_server import Postbox

SOON = LATER + timedelta(minutes=5)
NOBODY = "550 5.1.1 nobody here"


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club, its coaches with mail addresses, nothing to tell."""
    return load_small_club(empty_store, squads=WITH_ADDRESSES)


def untold(store: Store, box: Postbox | None, now: datetime = SOON) -> Untold:
    """Show what waits for the secretary."""
    server = None if box is None else box.settings
    return see_untold(store, Config("", ADDRESS, mail_server=server), now)


def refuse(store: Store, box: Postbox) -> None:
    """Book tonight, and let the server know nobody."""
    book(store, now=NOON)
    box.answers["RCPT"] = NOBODY
    assert send(store, box) == Delivery(made=1, ended=1)
    del box.answers["RCPT"]


def test_a_refused_mail_is_shown_and_sent_again_once(store: Store, box: Postbox) -> None:
    """Two presses are one mail; once it has arrived nothing waits any more."""
    refuse(store, box)
    (line,) = untold(store, box).undelivered
    assert (line.to, line.about) == (f"Robin Hale ({ROBIN})", "U12 Kestrels")
    assert "nobody here" in line.why
    assert send_again(store, line.number, SOON) == "1 mail is sent again within a minute."
    assert send_again(store, line.number, SOON) == "Nothing is left to send again."
    assert send(store, box, SOON) == Delivery(sent=1)
    assert told(box) == [(ROBIN, "REQUEST", 0, "11-25T18:00")]
    assert not untold(store, box)


def test_it_goes_to_the_address_that_is_right_by_now(store: Store, box: Postbox) -> None:
    """The secretary corrects the address, then presses."""
    refuse(store, box)
    hand_over(store, KESTRELS, "Robin Hale", "hale@alderby.example")
    send_again(store, None, SOON)
    send(store, box, SOON)
    assert told(box) == [("hale@alderby.example", "REQUEST", 0, "11-25T18:00")]


def test_it_tells_what_is_true_by_now(store: Store, box: Postbox) -> None:
    """The session was moved since: the mail says where it is, not where it was to be."""
    refuse(store, box)
    move(store, 1, 0, "third-3", A_WEDNESDAY + timedelta(days=7), LATER)
    send_again(store, None, LATER)
    send(store, box, SOON)
    assert told(box) == [(ROBIN, "REQUEST", 1, "12-02T18:00")]
    assert send(store, box, SOON + timedelta(hours=1)) == Delivery()


def test_all_are_sent_by_one_press(store: Store, box: Postbox) -> None:
    """One mail a person."""
    book(store, HARRIERS, "third-2", now=NOON)
    box.answers["RCPT"] = NOBODY
    book(store, now=NOON)
    send(store, box)
    del box.answers["RCPT"]
    assert len(untold(store, box).undelivered) == 2
    assert send_again(store, None, SOON) == "2 mails are sent again within a minute."
    send(store, box, SOON)
    assert {line[0] for line in told(box)} == {ROBIN, SAM}


def test_old_news_and_what_a_later_mail_told_are_not_shown(store: Store, box: Postbox) -> None:
    """Nobody needs them any more."""
    refuse(store, box)
    assert not untold(store, box, NOON + timedelta(days=1)).undelivered
    move(store, 1, 0, "third-2", A_WEDNESDAY, LATER)
    send(store, box, SOON)
    assert not untold(store, box).undelivered


def test_no_mail_set_up_says_whom_to_ring(store: Store) -> None:
    """Nothing is sent, so that the coach of tonight's session has to be rung."""
    book(store, now=NOON)
    send(store, None)
    page = untold(store, None)
    assert (page.sends, [one.name for one in page.not_reached]) == (False, ["Robin Hale"])
    with store.read() as session:
        assert session.scalars(select(MailRow.state)).all() == ["unsent"]


def test_a_server_that_is_set_up_later_sends_what_was_not_sent(store: Store, box: Postbox) -> None:
    """By the secretary's press, not by itself."""
    book(store, now=NOON)
    send(store, None)
    assert send(store, box, SOON) == Delivery()
    send_again(store, None, SOON)
    assert send(store, box, SOON) == Delivery(sent=1)
