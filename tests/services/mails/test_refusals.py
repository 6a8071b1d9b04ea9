"""What a mail server refuses: the club, whose mails all wait, one recipient, or one message."""

from __future__ import annotations

import socket
import ssl
import threading
from contextlib import contextmanager
from datetime import timedelta
from email.message import EmailMessage
from typing import TYPE_CHECKING, Any

import pytest
from aiosmtpd.smtp import AuthResult
from sqlalchemy import select

from clubplanner.config import Config, MailServer
from clubplanner.services.mails.mails_page import see_mails
from clubplanner.services.mails.sending.answers import Answer, Step, judge
from clubplanner.services.mails.sending.delivering import MOST_TRIES, Delivery, deliver
from clubplanner.services.mails.sending.pauses import try_server_again
from clubplanner.services.mails.sending.transport import Fate, send_mail
from clubplanner.store.tables.notice_tables import MailRow
from tests.mail_server import SENDER, Postbox, mail_server
from tests.ports import free_port
from tests.services.mails.sending.test_delivering import LATER, NOON, ROBIN, WITH_ADDRESSES, send
from tests.small_club import HARRIERS, book, load_small_club

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.services.mails.mails_page import MailsPage
    from clubplanner.store.engine import Store
    from tests.stores import Filled

SETTINGS = MailServer("mail.example", 587, "starttls", "club", "swordfish", SENDER)
MINUTE = timedelta(minutes=1)


def two_to_tell(store: Store) -> None:
    """Fill a database: the small club with two mails to be made, one to each coach."""
    load_small_club(store, squads=WITH_ADDRESSES)
    book(store, now=NOON)
    book(store, HARRIERS, "third-2", now=NOON)


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give a club of this test's own with two mails to be made."""
    return filled(two_to_tell)


@contextmanager
def greeting(words: bytes) -> Iterator[MailServer]:
    """Run a server that says one thing to whoever connects, and no more."""
    listening = socket.create_server(("127.0.0.1", 0))

    def serve() -> None:
        while True:
            try:
                connection, _unused = listening.accept()
            except OSError:
                return
            with connection:
                connection.sendall(words)

    thread = threading.Thread(target=serve, daemon=True)
    thread.start()
    yield at(listening.getsockname()[1])
    listening.shutdown(socket.SHUT_RDWR)
    listening.close()
    thread.join(60)


def at(port: int, security: str = "none", user: str = "", password: str = "") -> MailServer:
    """Return settings of a server on this machine."""
    return MailServer("127.0.0.1", port, security, user, password, SENDER)


def page(store: Store, server: MailServer, minutes: int = 0) -> MailsPage:
    """Return the secretary's page some minutes later."""
    return see_mails(
        store, Config("", "https://pitches.example", mail_server=server), LATER + minutes * MINUTE
    )


def states(store: Store) -> list[tuple[str, int]]:
    """Return state and counted tries of every mail."""
    with store.read() as session:
        rows = session.scalars(select(MailRow).order_by(MailRow.id))
        return [(str(row.state), row.attempts) for row in rows]


@pytest.mark.parametrize(
    ("command", "answer", "check"),
    [
        ("EHLO", "550 5.7.1 not you", "CLUBPLANNER_SMTP_HOST"),
        ("MAIL", "530 5.7.0 Authentication required", "CLUBPLANNER_SMTP_USER"),
        ("MAIL", "550 5.1.8 Sender address rejected", "CLUBPLANNER_MAIL_FROM"),
        ("MAIL", "550 no such sender", "CLUBPLANNER_MAIL_FROM"),
        ("MAIL", "553 5.7.1 not owned by user", "CLUBPLANNER_MAIL_FROM"),
        ("MAIL", "554 5.7.1 no", "CLUBPLANNER_MAIL_FROM"),
        ("MAIL", "451 4.3.0 try later", "If it lasts"),
        ("MAIL", "421 4.3.2 closing", "If it lasts"),
        ("RCPT", "530 5.7.0 Authentication required", "CLUBPLANNER_SMTP_USER"),
    ],
)
def test_what_concerns_the_club_keeps_every_mail(
    store: Store, box: Postbox, command: str, answer: str, check: str
) -> None:
    """Nothing is lost, the server is left alone for growing whiles, the secretary told what to do.

    Once it is mended every mail arrives, however often the server refused before.
    """
    box.answers[command] = answer
    assert send(store, box, LATER) == Delivery(made=2, waiting=1)
    for minutes in (2, 6, 14, 30, 62, 122, 182, 242, 302):
        early = send(store, box, LATER + (minutes - 1) * MINUTE)
        due = send(store, box, LATER + minutes * MINUTE)
        assert (early.waiting, due.waiting) == (0, 1), minutes
    assert send(store, box, LATER + 330 * MINUTE) == Delivery()
    assert states(store) == [("waiting", 0)] * 2
    paused = page(store, box.settings, 330).paused
    assert paused is not None
    assert check in paused.why
    assert paused.why.endswith(f"The server said: “{answer}”.")
    assert paused.mails == 2
    assert paused.tries == ("Tried 10 times since Wed 25 Nov, 12:02; again Wed 25 Nov, 18:04.")
    assert "Waits until Wed 25 Nov, 18:04" in page(store, box.settings, 330).mails[0].state
    del box.answers[command]
    assert send(store, box, LATER + timedelta(hours=6, minutes=2)) == Delivery(sent=2)
    assert page(store, box.settings).paused is None


def test_whoever_mended_it_does_not_wait(store: Store, box: Postbox) -> None:
    """The secretary's button, a start of the program, and the command line try at once."""
    box.answers["MAIL"] = "530 5.7.0 Authentication required"
    send(store, box)
    assert send(store, box, LATER + MINUTE) == Delivery()
    assert try_server_again(store, LATER + MINUTE)
    assert send(store, box, LATER + MINUTE) == Delivery(waiting=1)
    assert send(store, box, LATER + 2 * MINUTE) == Delivery(), "the next wait is longer"
    del box.answers["MAIL"]
    assert send(store, box, LATER + 2 * MINUTE, at_once=True) == Delivery(sent=2)
    assert not try_server_again(store, LATER)


def test_a_mail_made_meanwhile_waits_too(store: Store, box: Postbox) -> None:
    """A new change does not make a name be refused again and again."""
    box.answers["MAIL"] = "535 5.7.8 no"
    send(store, box)
    book(store, HARRIERS, "third-3", start_min=20 * 60, end_min=21 * 60, now=LATER - 2 * MINUTE)
    assert send(store, box, LATER + MINUTE) == Delivery(made=1)


def test_a_server_that_turns_us_away_at_the_door(store: Store) -> None:
    """It is told what to check, as with one that is not there or says nothing."""
    with greeting(b"554 5.7.1 go away\r\n") as server:
        config = Config("", "https://pitches.example", mail_server=server)
        assert deliver(store, config, lambda: LATER).waiting == 1
        paused = page(store, server).paused
        assert paused is not None
        assert "turns this computer away" in paused.why
        assert "“554 5.7.1 go away”" in paused.why
    dead = at(free_port())
    later = LATER + timedelta(hours=1)
    assert deliver(
        store, Config("", "https://pitches.example", mail_server=dead), lambda: later
    ) == Delivery(waiting=1)
    paused = page(store, dead).paused
    assert paused is not None
    assert f"does not answer on port {dead.port}" in paused.why
    assert states(store) == [("waiting", 0)] * 2
    with greeting(b"") as silent:
        assert send_mail(silent, EmailMessage(), ROBIN)[0] is Fate.NO_SERVER


def test_signing_in_to_the_server(store: Store) -> None:
    """Name and password go to the server; a wrong one is told without being repeated."""

    def check(server: Any, session: Any, envelope: Any, mechanism: str, data: Any) -> AuthResult:
        return AuthResult(success=data.password == b"swordfish", handled=False)

    options = {"auth_require_tls": False, "authenticator": check}
    with mail_server(**options) as box:
        assert send(store, box).sent == 2
        wrong = at(box.settings.port, user="club", password="tuna")
        fate, words = send_mail(wrong, box.taken[0], ROBIN)
    assert fate is Fate.NO_SERVER
    assert "name or password" in words
    assert "The server said: “535" in words
    assert "tuna" not in words + repr(wrong)


def test_a_password_in_the_answer_is_not_shown() -> None:
    """Whatever a server repeats."""
    answer = Answer(535, "5.7.8 club/swordfish is wrong")
    assert "swordfish" not in judge(Step.SIGN_IN, answer, SETTINGS)[1]


def test_a_server_that_offers_no_sign_in_is_told(box: Postbox) -> None:
    """Where the settings name somebody."""
    asked = at(box.settings.port, user="club", password="swordfish")
    fate, words = send_mail(asked, EmailMessage(), ROBIN)
    assert fate is Fate.NO_SERVER
    assert "a way to sign in" in words


def test_a_server_that_cannot_encrypt_is_not_trusted(box: Postbox) -> None:
    """Where encryption is asked for, nothing goes out without."""
    for security in ("starttls", "tls"):
        asked = at(box.settings.port, security)
        fate, words = send_mail(asked, EmailMessage(), ROBIN, ssl.create_default_context())
        assert fate is Fate.NO_SERVER
        assert "lacks what the settings ask" in words
    assert box.taken == []


@pytest.mark.parametrize("answer", ["421 4.3.0 closing", "250 OK", "500 what?", "554 no", ""])
def test_an_accepted_mail_is_delivered_whatever_the_parting(
    store: Store, box: Postbox, answer: str
) -> None:
    """An odd answer to QUIT, or none since the line is cut, sends nothing a second time."""
    box.answers["QUIT"] = answer
    assert send(store, box) == Delivery(made=2, sent=2)
    for minutes in (2, 10, 60):
        assert send(store, box, LATER + minutes * MINUTE) == Delivery()
    assert len(box.taken) == 2


def test_an_unknown_recipient_ends_one_mail(
    store: Store, box: Postbox, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The reason stands with it; the other coach still gets theirs."""

    async def only_sam(_server: Any, _session: Any, envelope: Any, address: str, _o: Any) -> str:
        if address == ROBIN:
            return "550 5.1.1 no such user here"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    monkeypatch.setattr(box, "handle_RCPT", only_sam)
    assert send(store, box) == Delivery(made=2, sent=1, ended=1)
    assert send(store, box, LATER + timedelta(hours=2)) == Delivery()
    told = [line.state for line in page(store, box.settings).mails]
    assert any("“550 5.1.1 no such user here”" in state for state in told)
    assert page(store, box.settings).paused is None


@pytest.mark.parametrize("answer", ["550 5.7.1 no", "554 5.7.1 Relay access denied", "451 later"])
def test_what_may_concern_the_club_keeps_the_mail_for_a_while(
    store: Store, box: Postbox, answer: str
) -> None:
    """Each mail is tried with growing pauses, the others go on, and after many tries it ends."""
    box.answer = answer
    assert send(store, box) == Delivery(made=2, waiting=2)
    assert page(store, box.settings).paused is None
    now = LATER
    with store.write() as session:
        for mail in session.scalars(select(MailRow)):
            mail.attempts = MOST_TRIES - 1
    now += timedelta(hours=1)
    assert send(store, box, now) == Delivery(waiting=2)
    assert send(store, box, now + timedelta(hours=1)) == Delivery(ended=2)
    assert answer in page(store, box.settings).mails[0].state


def test_a_line_cut_in_the_middle_holds_up_no_other_mail(store: Store, box: Postbox) -> None:
    """A server that breaks off at one mail may take the next."""
    box.answers["RCPT"] = ""
    assert send(store, box) == Delivery(made=2, waiting=2)
    del box.answers["RCPT"]
    assert send(store, box, LATER + 2 * MINUTE) == Delivery(sent=2)


@pytest.mark.parametrize(
    ("step", "code", "text", "fate"),
    [
        # RFC 3463, sections 3.2 to 3.8; RFC 7505, section 4.2 for X.1.10
        (Step.RECIPIENT, 550, "5.1.1 nobody", Fate.NEVER),
        (Step.RECIPIENT, 550, "5.1.2 no such system", Fate.NEVER),
        (Step.RECIPIENT, 501, "5.1.3 odd address", Fate.NEVER),
        (Step.RECIPIENT, 556, "5.1.10 takes no mail", Fate.NEVER),
        (Step.RECIPIENT, 550, "5.1.8 bad sender's system", Fate.LATER),
        (Step.RECIPIENT, 553, "5.1.7 bad sender", Fate.LATER),
        (Step.RECIPIENT, 550, "5.2.1 disabled", Fate.NEVER),
        (Step.RECIPIENT, 552, "5.2.2 full", Fate.LATER),
        (Step.RECIPIENT, 550, "5.7.1 relaying denied", Fate.LATER),
        (Step.RECIPIENT, 550, "5.4.4 no route", Fate.LATER),
        (Step.RECIPIENT, 450, "4.2.1 busy", Fate.LATER),
        # RFC 5321, sections 4.2.3 and 4.5.3.1.10
        (Step.RECIPIENT, 550, "mailbox unavailable", Fate.NEVER),
        (Step.RECIPIENT, 551, "not local", Fate.NEVER),
        (Step.RECIPIENT, 552, "exceeded storage", Fate.LATER),
        (Step.RECIPIENT, 553, "name not allowed", Fate.NEVER),
        (Step.RECIPIENT, 554, "failed", Fate.LATER),
        (Step.RECIPIENT, 503, "bad sequence", Fate.LATER),
        # common practice, no source
        (Step.RECIPIENT, 550, "relay not permitted", Fate.LATER),
        (Step.RECIPIENT, 550, "Sender verify failed", Fate.LATER),
        # RFC 5321, section 4.3.2: policy; RFC 3463, sections 3.4 and 3.7; RFC 7372, section 3
        (Step.MESSAGE, 550, "no", Fate.LATER),
        (Step.MESSAGE, 552, "exceeded storage", Fate.LATER),
        (Step.MESSAGE, 552, "5.3.4 too big", Fate.NEVER),
        (Step.MESSAGE, 552, "5.2.2 full", Fate.LATER),
        (Step.MESSAGE, 552, "5.2.3 too long for it", Fate.NEVER),
        (Step.MESSAGE, 550, "5.1.1 nobody", Fate.NEVER),
        (Step.MESSAGE, 554, "5.6.0 content", Fate.NEVER),
        (Step.MESSAGE, 554, "transaction failed", Fate.LATER),
        (Step.MESSAGE, 550, "5.7.23 SPF", Fate.LATER),
        (Step.MESSAGE, 452, "4.3.1 full", Fate.LATER),
        # RFC 1870, section 6.1
        (Step.SENDER, 552, "5.3.4 too big", Fate.NEVER),
        (Step.SENDER, 552, "", Fate.NO_SERVER),
    ],
)
def test_replies_are_judged_by_the_published_codes(
    step: Step, code: int, text: str, fate: Fate
) -> None:
    """Only what is said of the recipient or of this one message ends a mail."""
    found, words = judge(step, Answer(code, text), SETTINGS)
    assert found is fate
    assert f"“{f'{code} {text}'.strip()}”" in words
