"""Tests of mails about changes: composed, sent through the wire form, and read back by others."""

from __future__ import annotations

import dataclasses
import re
from datetime import UTC, datetime
from typing import Any

import pytest

from clubplanner.outputs.mails import mail as mail_module
from clubplanner.outputs.mails.mail import compose_mail
from tests.outputs.calendars.test_feed import (
    values_of,
)
from tests.outputs.notices import (
    DAY,
    calendars_of,
    make_notice,
    moved,
    page_of,
    parts_of,
    read_back,
    words_of,
)


def test_one_change_is_three_alternatives() -> None:
    """Text, HTML and calendar part are alternatives, the richest last, and none is attached."""
    message = read_back(make_notice())
    assert message.get_content_type() == "multipart/alternative"
    kinds = [part.get_content_type() for part in message.iter_parts()]
    assert kinds == ["text/plain", "text/html", "text/calendar"]
    assert not list(message.iter_attachments())
    assert all(part.get_filename() is None for part in message.walk())


def test_html_says_the_same() -> None:
    """Every line of the text stands in the HTML, whose only links are the page and turning off."""
    message = read_back(make_notice(moved(), dataclasses.replace(moved(uid="b"), was=None)))
    page = page_of(message)
    shown = " ".join(" ".join(page.words).split())
    for line in words_of(message).splitlines():
        if not line.startswith(("http", "The page", "This went")):
            assert " ".join(line.split()) in shown.replace(": ", ": ")
    assert page.links == ["https://club.example/ground/abc", "https://club.example/mail-off/def"]


def test_several_changes_are_one_mail() -> None:
    """The words tell all in order of time; each booking has a part of its own with its method.

    Source: RFC 5546, sections 3.2.2 and 3.2.5: all events of one object have the same UID.
    """
    late, early = moved(uid="late"), moved(uid="early", is_withdrawn=True)
    event = dataclasses.replace(
        early.event, starts_at=early.event.starts_at - DAY, ends_at=early.event.ends_at - DAY
    )
    message = read_back(make_notice(late, dataclasses.replace(early, event=event)))
    assert message["Subject"] == ("Off Mon 7 Sep: U12 Kestrels, 18:30, waterlogged; 1 more change")
    assert message.get_content_type() == "multipart/mixed"
    words, *calendars = message.iter_parts()
    kinds = [part.get_content_type() for part in words.iter_parts()]
    assert kinds == ["text/plain", "text/html"]
    assert [part.get_content_disposition() for part in calendars] == ["inline", "inline"]
    told = [(method, values_of(content, "UID")) for method, content in calendars_of(message)]
    assert told == [("CANCEL", ["early"]), ("REQUEST", ["late"])]
    for method, content in calendars_of(message):
        assert values_of(content, "METHOD") == [method]
    text = words_of(message)
    assert text.startswith("U12 Kestrels: 2 bookings changed.")
    assert text.index("Monday 7 September 2026: off") < text.index("8 September 2026: moved")


def test_very_many_changes_are_all_told() -> None:
    """A season's worth of changes is told in words; the calendar parts stop at their limit."""
    changes = [
        moved(
            uid=f"{week}@club.example",
            starts_at=datetime(2026, 2, 3, 18, tzinfo=UTC) + week * 7 * DAY,
            ends_at=datetime(2026, 2, 3, 19, tzinfo=UTC) + week * 7 * DAY,
        )
        for week in range(40)
    ]
    message = read_back(make_notice(*changes))
    assert words_of(message).count(": moved\n") == 40
    assert len(calendars_of(message)) == mail_module.CALENDAR_PARTS_LIMIT
    first = values_of(calendars_of(message)[0][1], "UID")
    assert first == ["0@club.example"]


def test_the_same_notice_gives_the_same_bytes() -> None:
    """A mail sent again after a failure is the same to the byte; another one is not."""
    one, two = moved(uid="a"), moved(uid="b")
    assert (
        compose_mail(make_notice(one, two)).as_bytes()
        == compose_mail(make_notice(two, one)).as_bytes()
    )
    other = make_notice(one, two, message_id="<other@club.example>")
    boundaries = {compose_mail(n).get_boundary() for n in (make_notice(one, two), other)}
    assert len(boundaries) == 2


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"changes": ()}, "at least one change"),
        ({"changes": (moved(), moved())}, "each booking once"),
        ({"pages": (("Kestrels", "javascript:alert(1)"),)}, "the page address as"),
        ({"pages": (("Kestrels", "https://club.example/\r\nBcc: a@b"),)}, "the page address as"),
        ({"mail_off_url": "mailto:x@y"}, "the mail-off address as"),
        ({"mail_off_url": "https://club.example/>,<x"}, "the mail-off address as"),
        ({"mail_off_url": "https://club.example/" + "x" * 900}, "at most 900 characters"),
        ({"message_id": "notice-17@club.example"}, "message id such as"),
        ({"message_id": "<a@b>\r\nBcc: a@b"}, "message id such as"),
        ({"sent_at": datetime(2026, 9, 7)}, "time of sending with a zone"),  # noqa: DTZ001
    ],
)
def test_faulty_notices_are_refused(values: dict[str, Any], words: str) -> None:
    """A notice no mail could carry is refused with what to do, and no address is repeated."""
    with pytest.raises(ValueError, match=words) as refusal:
        make_notice(**values)
    assert "club.example/" not in str(refusal.value)


def test_addresses_stay_out_of_the_printed_form() -> None:
    """The printed form of a notice shows neither page nor mail-off address, which are secret."""
    printed = repr(make_notice())
    assert "ground/abc" not in printed
    assert "mail-off/def" not in printed


def test_html_has_no_markup_of_others() -> None:
    """Names with tags are shown as typed."""
    name = '<script>alert(1)</script><img src="https://evil.example/x.png">'
    message = read_back(make_notice(dataclasses.replace(moved(), ground=name), squad_name=name))
    page = page_of(message)
    assert name in " ".join(page.words)
    assert len(page.links) == 2
    assert not re.search("<(script|img)", parts_of(message)["text/html"][0].get_content())
