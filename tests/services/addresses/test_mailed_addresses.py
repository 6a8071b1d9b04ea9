"""Addresses by mail: one a person, no secret in the outbox, and what becomes of a refused one."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.config import Config, MailServer
from clubplanner.errors import MissingError, RefusedError
from clubplanner.services.addresses.handing_out import HandOutWish, Reader, Scope
from clubplanner.services.addresses.links import link_of_secret
from clubplanner.services.addresses.mailed_addresses import list_mailed_addresses, mail_addresses
from clubplanner.services.calendars.calendar_links import list_links
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.mails.sending.answers import Fate
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.store.tables.knowing_tables import HintRow
from clubplanner.store.tables.notice_tables import MailOffRow
from tests.builders import NOW
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from email.message import EmailMessage

    from clubplanner.store.engine import Store
    from tests.stores import Filled

BOTH = HandOutWish(frozenset(Reader), Scope.ALL)
SERVER = MailServer("mail.example", 25, "none", "", "", "club@alderby.example")
ADDRESS = "http://127.0.0.1:8123"
HOUR = timedelta(hours=1)
SQUADS = """\
squad,age group,players,goalkeepers,coach,coach e-mail,coach phone,sessions a week,minutes,possible
U12 Kestrels,U12,14,1,Robin Hale,robin@alderby.example,,1,75,Wed 18:00-19:15
U14 Harriers,U14,16,2,Robin Hale,robin@alderby.example,,2,60,Mon-Fri 18:00-20:00
U16 Swifts,U16,16,2,Sam Reed,,0123 456,2,60,Mon-Fri 18:00-20:00
U9 Martins,U9,9,0,,,,1,60,Mon-Fri 17:00-19:00
"""


def load_club(store: Store) -> None:
    """Load a club in which one coach has two squads, one no address, and a squad no coach."""
    load_small_club(store, squads=SQUADS)


@pytest.fixture
def club(filled: Filled) -> Store:
    """Give that club."""
    return filled(load_club)


class Box:
    """A mail server that answers as it is told."""

    def __init__(self, *fates: Fate) -> None:
        self.fates = list(fates)
        self.taken: list[str] = []

    def send(self, _server: MailServer, message: EmailMessage, address: str) -> tuple[Fate, str]:
        """Answer with the next fate; the last one stays."""
        fate = self.fates.pop(0) if len(self.fates) > 1 else self.fates[0]
        self.taken.append(f"{address}\n{message['Subject']}\n{message.get_content()}")
        return fate, "" if fate is Fate.TAKEN else "Not now."


def run(store: Store, box: Box, hours: float = 0, server: MailServer | None = SERVER) -> None:
    """Deliver what is due so many hours later."""
    config = Config("", ADDRESS, mail_server=server)
    deliver(store, config, lambda: NOW + hours * HOUR, at_once=True, send=box.send)


def secrets_in(mail: str) -> list[str]:
    """Return the secret parts of a mail's addresses."""
    return re.findall(rf"{ADDRESS}/(?:ground|calendar)/(\S+)", mail)


def opens(store: Store, secret: str) -> bool:
    """Tell whether an address opens something."""
    with store.read() as session:
        try:
            return link_of_secret(session, secret).secret_hash != ""
        except MissingError:
            return False


def test_one_mail_a_person_with_all_that_is_theirs(club: Store) -> None:
    """Who coaches two squads gets one mail: an address a squad, and one calendar."""
    done = mail_addresses(club, BOTH, NOW, sends=True)
    assert (done.people, done.addresses) == (1, 3)
    box = Box(Fate.TAKEN)
    run(club, box)
    (mail,) = box.taken
    assert mail.startswith("robin@alderby.example\nAddresses for U12 Kestrels, U14 Harriers\n")
    assert len(secrets_in(mail)) == 3
    assert all(opens(club, secret) for secret in secrets_in(mail))
    assert [line.state.split()[0] for line in list_mailed_addresses(club)] == ["Sent"]
    run(club, box, 1)
    assert len(box.taken) == 1, "it is sent once"


def test_who_gets_no_mail_is_named_with_a_number(club: Store) -> None:
    """Without a mail address, and where nobody coaches, somebody has to be rung or found."""
    done = mail_addresses(club, BOTH, NOW, sends=True)
    assert [(one.name, one.phone, one.squads, one.why) for one in done.without] == [
        ("Sam Reed", "0123 456", ("U16 Swifts",), "no e-mail address"),
        ("", "", ("U9 Martins",), "no coach"),
    ]
    assert {line.subject for line in list_links(club)} == {
        "U12 Kestrels",
        "U14 Harriers",
        "Robin Hale",
    }


def test_who_wants_no_mails_gets_none(club: Store) -> None:
    """An address that turned mails off is not written to, and is named."""
    with club.write() as session:
        session.add(MailOffRow(address="robin@alderby.example", since=NOW))
    done = mail_addresses(club, BOTH, NOW, sends=True)
    assert done.people == 0
    assert ("Robin Hale", "wants no mails") in {(one.name, one.why) for one in done.without}


@pytest.mark.files
def test_the_outbox_holds_nothing_that_opens(club: Store) -> None:
    """Before it is handed over a mail has no secret in it, and its addresses open nothing."""
    mail_addresses(club, BOTH, NOW, sends=True)
    with club.read() as session:
        (text,) = session.scalars(select(HintRow.text))
    assert "/ground/" not in text
    box = Box(Fate.TAKEN)
    run(club, box)
    with club.read() as session:
        dump = "\n".join(session.connection().connection.iterdump())
    assert not any(secret in dump for secret in secrets_in(box.taken[0]))


@pytest.mark.parametrize("fate", [Fate.LATER, Fate.NO_SERVER])
def test_after_a_refused_try_there_is_one_address_still(club: Store, fate: Fate) -> None:
    """What the server refused reached nobody: it opens nothing, and the next try has its place."""
    mail_addresses(club, BOTH, NOW, sends=True)
    count = len(list_links(club))
    box = Box(fate, Fate.TAKEN)
    run(club, box)
    run(club, box, 1)
    first, second = map(secrets_in, box.taken)
    assert not any(opens(club, secret) for secret in first)
    assert all(opens(club, secret) for secret in second)
    assert len(list_links(club)) == count


def test_a_try_of_which_nobody_knows_what_became_goes_on_opening(club: Store) -> None:
    """Whichever of the two mails somebody has, its addresses open."""
    mail_addresses(club, BOTH, NOW, sends=True)
    box = Box(Fate.BROKEN_OFF, Fate.LATER, Fate.TAKEN)
    for hours in (0, 1, 2):
        run(club, box, hours)
    first, second, third = map(secrets_in, box.taken)
    assert all(opens(club, secret) for secret in (*first, *third))
    assert not any(opens(club, secret) for secret in second)


@pytest.mark.parametrize("fate", [Fate.NEVER, Fate.LATER])
def test_a_mail_that_is_given_up_leaves_no_address(club: Store, fate: Fate) -> None:
    """Its squads have none then, so that the next press makes them one."""
    mail_addresses(club, BOTH, NOW, sends=True)
    box = Box(fate)
    run(club, box)
    run(club, box, 24 * 15)
    assert list_links(club) == ()
    assert [line.state for line in list_mailed_addresses(club)] == ["Not now."]
    assert mail_addresses(club, HandOutWish(frozenset(Reader)), NOW, sends=True).addresses == 3


def test_taken_back_before_it_went_out_nothing_is_sent(club: Store) -> None:
    """A press that is taken back in time reaches nobody."""
    mail_addresses(club, BOTH, NOW, sends=True)
    undo_change(club, list_changes(club, NOW)[0].number, NOW)
    box = Box(Fate.TAKEN)
    run(club, box)
    assert box.taken == []
    (line,) = list_mailed_addresses(club)
    assert line.state == "These addresses have been withdrawn."


def test_without_a_mail_server_nothing_is_made(club: Store) -> None:
    """The press is refused before an address is made; one set down later leaves none."""
    with pytest.raises(RefusedError, match="make the sheet instead"):
        mail_addresses(club, BOTH, NOW, sends=False)
    assert list_links(club) == ()
    mail_addresses(club, BOTH, NOW, sends=True)
    run(club, Box(Fate.TAKEN), server=None)
    assert list_links(club) == ()


def test_an_address_that_waits_counts_as_handed_out(club: Store) -> None:
    """A second press while mails wait makes nothing twice."""
    wish = HandOutWish(frozenset(Reader))
    mail_addresses(club, wish, NOW, sends=True)
    assert mail_addresses(club, wish, NOW, sends=True).addresses == 0
