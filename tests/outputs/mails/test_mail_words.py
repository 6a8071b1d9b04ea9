"""The words of a mail about changes."""

from __future__ import annotations

import dataclasses
from datetime import timedelta
from typing import Any

import pytest

from tests.outputs.notices import NORTH, SOUTH, make_notice, moved, page_of, read_back, words_of


def test_the_text_says_what_was_and_what_is() -> None:
    """The words tell day, times and exact ground before and after, in the venue's time."""
    words = words_of(read_back(make_notice()))
    assert words == (
        "U12 Kestrels: 1 booking changed.\n\n"
        "Tuesday 8 September 2026: changed\n"
        f"  was: Tuesday 8 September 2026, 17:30–19:00, {SOUTH}\n"
        f"  is: Tuesday 8 September 2026, 18:30–20:00, {NORTH}\n\n"
        "The page shows how things stand now:\nhttps://club.example/ground/abc\n\n"
        "This went to sam@mail.example because it is noted for U12 Kestrels. "
        "Mails to this address can be turned off:\nhttps://club.example/mail-off/def\n"
    )


@pytest.mark.parametrize(
    ("changes", "values", "subject", "line"),
    [
        ({}, {}, f"changed, Tuesday 8 September 2026, 18:30, {NORTH}", "2026: changed"),
        ({}, {"was": None}, f"new, Tuesday 8 September 2026, 18:30, {NORTH}", "2026: new"),
        ({"is_withdrawn": True}, {}, "Tuesday 8 September 2026 is off", "2026: off"),
        (
            {"is_withdrawn": True},
            {"was": None},
            "Tuesday 8 September 2026 is off",
            f"was: Tuesday 8 September 2026, 18:30–20:00, {NORTH}",
        ),
    ],
)
def test_subject_and_heading_say_what_happened(
    changes: dict[str, Any], values: dict[str, Any], subject: str, line: str
) -> None:
    """A new, a changed and a withdrawn booking are told apart without opening the mail."""
    message = read_back(make_notice(dataclasses.replace(moved(**changes), **values)))
    assert message["Subject"] == f"U12 Kestrels: {subject}"
    assert line in words_of(message)
    assert ("no longer held for you" in words_of(message)) == bool(changes)


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
