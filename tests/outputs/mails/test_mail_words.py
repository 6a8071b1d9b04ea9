"""The words of a mail about changes."""

from __future__ import annotations

import dataclasses
import re
from datetime import timedelta
from typing import Any

import pytest

from tests.outputs.notices import (
    NORTH,
    SOUTH,
    make_notice,
    moved,
    page_of,
    read_back,
    told_of,
    words_of,
)

DAY = "Tue 8 Sep"


def test_the_text_says_what_was_and_what_is() -> None:
    """The words tell day, times and exact ground before and after, in the venue's time."""
    words = words_of(read_back(make_notice()))
    assert words == (
        f"Moved on Tuesday 8 September 2026: now 18:30–20:00, {NORTH}. (U12 Kestrels)\n\n"
        "Tuesday 8 September 2026: moved\n"
        "  why: waterlogged\n"
        f"  was: Tuesday 8 September 2026, 17:30–19:00, {SOUTH}\n"
        f"  is: Tuesday 8 September 2026, 18:30–20:00, {NORTH}\n\n"
        "The page shows how things stand now:\nhttps://club.example/ground/abc\n\n"
        "This went to sam@mail.example because it is noted for U12 Kestrels. "
        "Mails to this address can be turned off:\nhttps://club.example/mail-off/def\n"
    )


@pytest.mark.parametrize(
    ("changes", "values", "subject", "line"),
    [
        ({}, {}, f"Moved {DAY}: U12 Kestrels, 18:30, {NORTH}", "2026: moved"),
        ({}, {"was": None}, f"New {DAY}: U12 Kestrels, 18:30, {NORTH}", "2026: new"),
        ({}, {"was": None, "is_back": True}, f"On again {DAY}: ", "2026: on again"),
        (
            {"is_withdrawn": True},
            {},
            f"Off {DAY}: U12 Kestrels, 18:30, waterlogged",
            "2026: off",
        ),
        (
            {"is_withdrawn": True},
            {"was": None},
            f"Off {DAY}: U12 Kestrels, 18:30",
            f"was: Tuesday 8 September 2026, 18:30–20:00, {NORTH}",
        ),
    ],
)
def test_subject_and_heading_say_what_happened(
    changes: dict[str, Any], values: dict[str, Any], subject: str, line: str
) -> None:
    """A new, a changed and a withdrawn booking are told apart without opening the mail."""
    change = moved(**changes)
    was = values.get("was", change.was)
    change = dataclasses.replace(change, **values, told=told_of(change.event, was))
    message = read_back(make_notice(change))
    assert message["Subject"].startswith(subject)
    assert line in words_of(message)
    assert ("no longer held for you" in words_of(message)) == bool(changes)


def test_a_subject_says_what_matters_in_forty_letters() -> None:
    """A telephone shows about as many: the outcome, the day, the squad and the time."""
    subject = read_back(make_notice())["Subject"]
    assert subject[:40].startswith("Moved Tue 8 Sep: U12 Kestrels, 18:30")


def test_a_mail_is_read_in_light_and_dark_colours() -> None:
    """It takes the colours of whoever reads it: a fixed grey could not be read on a dark ground."""
    html = read_back(make_notice()).get_body(("html",))
    assert html is not None
    text = html.get_content()
    assert '<meta name="color-scheme" content="light dark">' in text
    assert not re.search(r"[\s\";](background-)?color\s*:", text)


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "light: until 20:00\n"),
        (25, "light: until 20:25\n"),
        (-35, "light: until 19:25 only, before the booking ends; plan to be off"),
    ],
)
def test_light_is_told_when_it_is_known(minutes: int, words: str) -> None:
    """The mail says until when it is light, and warns where the booking ends later."""
    change = moved()
    until = change.event.ends_at + timedelta(minutes=minutes)
    message = read_back(make_notice(dataclasses.replace(change, light_until=until)))
    assert words in words_of(message)
    assert words.strip() in "".join(page_of(message).words)
    assert "light" not in words_of(read_back(make_notice()))


def test_a_booking_before_dawn_is_told_from_when_there_is_light() -> None:
    """The mail says so only where it begins too early."""
    change = moved()
    dawn = change.event.starts_at + timedelta(minutes=25)
    early = read_back(make_notice(dataclasses.replace(change, light_from=dawn)))
    words = "light: from 18:55 only, after the booking begins; stay off the ground until then\n"
    assert words in words_of(early)
    late = dataclasses.replace(change, light_from=change.event.starts_at)
    assert "light" not in words_of(read_back(make_notice(late)))


def test_on_the_day_itself_the_subject_says_today() -> None:
    """By the date on which it is sent; tomorrow likewise."""
    change = moved(is_withdrawn=True)
    day = change.event.starts_at.date()
    for today, word in ((day, "today"), (day - timedelta(days=1), "tomorrow")):
        told = told_of(change.event, change.was, today=today)
        message = read_back(make_notice(dataclasses.replace(change, told=told)))
        assert message["Subject"] == f"Off {word}: U12 Kestrels, 18:30, waterlogged"
        assert words_of(message).startswith(f"No training {word}: waterlogged. (U12 Kestrels)")
