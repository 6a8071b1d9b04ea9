"""What stands above a mail's text: who, what, when, and nothing of others."""

from __future__ import annotations

import dataclasses
import email
from datetime import UTC, datetime
from email import policy
from email.header import decode_header, make_header
from email.utils import parseaddr
from urllib.parse import unquote

import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.outputs.calendars.invitation import Mailbox, write_invitation
from clubplanner.outputs.mails.mail import Notice, compose_mail
from clubplanner.outputs.mails.mail_words import Holding
from clubplanner.outputs.plain_text import one_line
from tests.outputs.calendars.test_feed import (
    HOSTILE,
    assert_well_formed,
    make_event,
    unfold,
    values_of,
)
from tests.outputs.notices import (
    CLUB,
    COACH,
    calendars_of,
    make_notice,
    moved,
    page_of,
    read_back,
    wire_of,
    words_of,
)


def name_in(notice: Notice, header: str) -> str:
    """Return the name in an address header, its encoded words decoded by the older decoder.

    The newer one of Python 3.11 leaves blanks between the pieces of a name (RFC 2047, 6.2).
    """
    older = email.message_from_bytes(wire_of(notice), policy=policy.compat32)
    name, address = parseaddr(" ".join(str(older[header]).split()))
    assert address in {CLUB.address, COACH.address, "a@b.example"}
    return str(make_header(decode_header(name)))


def test_headers_are_what_machines_look_for() -> None:
    """Date, stable id, one-click turning off and the mark of an automatic mail are there.

    Sources: RFC 8058, section 8.1 (`List-Unsubscribe-Post: List-Unsubscribe=One-Click`);
    RFC 3834, section 5 (`auto-generated`).
    """
    message = read_back(make_notice())
    assert message["Date"].datetime == datetime(2026, 9, 7, 20, 15, tzinfo=UTC)
    assert message["Message-ID"] == "<notice-17@club.example>"
    assert message["List-Unsubscribe"] == "<https://club.example/mail-off/def>"
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert message["Auto-Submitted"] == "auto-generated"
    assert message["From"].addresses[0].display_name == "Millrace Sports Club"
    assert message["To"].addresses[0].display_name == "Sam Ångström"
    assert message["To"].addresses[0].addr_spec == "sam@mail.example"
    assert message["MIME-Version"] == "1.0"


def test_one_click_needs_https() -> None:
    """Without https the address stands in the header but offers no one-click (RFC 8058)."""
    message = read_back(make_notice(mail_off_url="http://club.example/off"))
    assert message["List-Unsubscribe"] == "<http://club.example/off>"
    assert message["List-Unsubscribe-Post"] is None


def test_a_long_address_stays_whole() -> None:
    """An address of 900 characters is neither encoded nor broken in its header."""
    url = "https://club.example/" + "a" * (900 - 21)
    content = compose_mail(make_notice(mail_off_url=url)).as_bytes()
    assert f"\r\nList-Unsubscribe: <{url}>\r\n".encode() in content
    assert url in words_of(read_back(make_notice(mail_off_url=url)))


NAMES_APART = dict.fromkeys(map(ord, "\u2066\u2067\u2068\u2069"))
"""The signs that keep names of either direction apart; they are no part of the names."""
ENCODED = "=?utf-8?q?a=0D=0ABcc:_all=40club.example?="


@pytest.mark.parametrize("text", [*HOSTILE, ENCODED, "a\\", '"<x@y.example>, '])
def test_hostile_names_stay_names(text: str) -> None:
    """Line breaks, quotes, emoji and 10,000 characters add no header, no part and no event."""
    change = dataclasses.replace(
        moved(title=text, place=text, lines=(text,)),
        ground=text,
        was=Holding(make_event().starts_at, make_event().ends_at, text),
    )
    sender, recipient = (Mailbox(text, box.address) for box in (CLUB, COACH))
    notice = make_notice(
        change, moved(uid="b"), squad_name=text, sender=sender, recipient=recipient
    )
    message = read_back(notice)
    plain = read_back(make_notice(change, moved(uid="b")))
    assert message.keys() == plain.keys()
    assert [p.get_content_type() for p in message.walk()] == [
        p.get_content_type() for p in plain.walk()
    ]
    assert len(message.as_bytes()) < 100_000
    subject = message["Subject"].translate(NAMES_APART)
    assert f": {one_line(text, 100) or 'Your squad'}, 18:30" in subject
    assert message["From"].addresses[0].addr_spec == CLUB.address
    assert name_in(notice, "From") == one_line(text, 100)
    page_of(message)
    for _, content in calendars_of(message):
        assert_well_formed(content)
        (event,) = vobject.readOne(content.decode()).contents["vevent"]
        assert event.attendee.value == "mailto:sam@mail.example"
        for person in (event.organizer, event.attendee):
            assert "\n" not in "".join(person.params.get("CN", []))


@settings(max_examples=40, deadline=None)
@given(name=st.text(max_size=130), squad=st.text(max_size=130))
def test_any_name_survives(name: str, squad: str) -> None:
    """Any names give a sound mail; a printable name comes back to the letter, also from the CN."""
    change = dataclasses.replace(moved(), ground=squad)
    notice = make_notice(change, squad_name=squad, recipient=Mailbox(name, "a@b.example"))
    message = read_back(notice)
    shown = one_line(name, 100)
    assert name_in(notice, "To") == shown
    assert f": {one_line(squad, 100) or 'Your squad'}, 18:30" in message["Subject"]
    ((_, content),) = calendars_of(message)
    assert_well_formed(content)
    if shown and not set(shown) & set('"^\\'):
        (event,) = vobject.readOne(content.decode()).contents["vevent"]
        assert event.attendee.params["CN"] == [shown]


@pytest.mark.parametrize(
    "address",
    [
        "",
        "sam",
        "sam@",
        "@club.example",
        "sam@club.example\r\nBcc: all@club.example",
        "sam@club.example\n",
        "sam @club.example",
        "Sam <sam@club.example>",
        "sam@club.example, eve@club.example",
        "sam@-club.example",
        "sam..x@club.example",
        "säm@club.example",
        "sam@[127.0.0.1]",
        '"sam"@club.example',
        "x" * 65 + "@club.example",
        "x" * 60 + "@" + "x.".join(["y" * 60] * 4),
        "x" * 64 + "@" + ".".join(["y" * 63, "y" * 63, "y" * 62]),
        "sam@" + "y" * 64 + ".example",
        "sam@club..example",
        "sam@club-.example",
        ".sam@club.example",
        "sam.@club.example",
    ],
)
def test_what_is_no_mail_address_is_refused(address: str) -> None:
    """An address with anything beside one plain mailbox is refused with what to give."""
    with pytest.raises(ValueError, match="Give a mail address such as"):
        Mailbox("Sam", address)


@pytest.mark.parametrize(
    "address",
    [
        "a@b",
        "sam@club.example.XX",
        "Sam.Zephaniah.Quill-AZ09az@Hill-Rovers-AZ.Club09.Example",
        "!#$%&'*+/=?^_`{|}~-@club.example",
        "x" * 64 + "@" + ".".join(["y" * 63, "y" * 63, "y" * 61]),
    ],
)
def test_every_plain_mail_address_is_taken(address: str) -> None:
    """All signs of an atom, dots between atoms, and 64 + 1 + 189 characters.

    Source: RFC 5321, 4.1.2 and 4.5.3.1; labels of up to 63: RFC 1035, 2.3.4.
    """
    content = write_invitation(make_event(), "Europe/London", CLUB, Mailbox("", address))
    (told,) = values_of(content, "ATTENDEE")
    assert unquote(told.removeprefix("mailto:")) == address


def test_letters_and_digits_stay_as_they_are_in_mailto() -> None:
    """Only what must be is encoded: people read these addresses in their calendars."""
    attendee = Mailbox("", "Zoe.A_z0-9~!$'*+@Hill-Rovers.Example")
    content = write_invitation(make_event(), "Europe/London", CLUB, attendee)
    assert values_of(content, "ATTENDEE") == ["mailto:" + attendee.address]


def test_signs_in_an_address_are_encoded_in_mailto() -> None:
    """Signs that mean something in a mailto address are percent-encoded. Source: RFC 6068, 2."""
    attendee = Mailbox("", "a/b?c&d=e#f%g+h@club.example")
    content = write_invitation(make_event(), "Europe/London", CLUB, attendee)
    assert values_of(content, "ATTENDEE") == ["mailto:a%2Fb%3Fc%26d%3De%23f%25g+h@club.example"]
    assert b"CN=;" not in content
    ((line,),) = [[line for line in unfold(content) if line.startswith("ATTENDEE")]]
    assert "CN=" not in line
