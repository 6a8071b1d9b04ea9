"""The letters of a calendar, however they are written down."""

from __future__ import annotations

import codecs

import pytest

from clubplanner.inputs.calendars.busy import read_busy
from tests.inputs.foreign_calendars import (
    LONDON,
    YEAR_2026,
    calendar,
    codes,
    event,
)

TIMES = "DTSTART:20260908T183000Z\nDTEND:20260908T200000Z"
TITLE = "Übungsstunde für Ältere – Saal 2"


@pytest.mark.parametrize(
    ("mark", "name"),
    [
        (b"", "utf-8"),
        (codecs.BOM_UTF8, "utf-8"),
        (codecs.BOM_UTF16_LE, "utf-16-le"),
        (codecs.BOM_UTF16_BE, "utf-16-be"),
        (b"", "utf-16-le"),
        (b"", "utf-16-be"),
        (codecs.BOM_UTF32_LE, "utf-32-le"),
        (codecs.BOM_UTF32_BE, "utf-32-be"),
    ],
)
def test_unicode_is_read_however_it_is_written(mark: bytes, name: str) -> None:
    """With a mark at its start or, where it can be told, without."""
    content = calendar(event(f"{TIMES}\nSUMMARY:{TITLE}")).decode()
    reading = read_busy(mark + content.encode(name), "hall.ics", YEAR_2026, LONDON)
    assert [time.title for time in reading.times] == [TITLE]
    assert reading.problems == ()


@pytest.mark.parametrize("name", ["cp1252", "latin-1"])
def test_western_letters_are_read_with_a_note(name: str) -> None:
    """Times are right; whoever reads names is told to look."""
    title = TITLE.replace("–", "-")
    content = calendar(event(f"{TIMES}\nSUMMARY:{title}")).decode()
    reading = read_busy(content.encode(name), "hall.ics", YEAR_2026, LONDON)
    assert [time.title for time in reading.times] == [title]
    assert codes(reading) == ["odd-letters"]
    assert "check names" in reading.problems[0].message


@pytest.mark.parametrize("name", ["utf-8", "utf-16"])
def test_a_broken_octet_spoils_no_other_letter(name: str) -> None:
    """Most letters are good: the text is read as it was meant, one letter is missing."""
    content = calendar(event(f"{TIMES}\nSUMMARY:{TITLE} x")).decode().encode(name)
    broken = b"\xff" if name == "utf-8" else b"\x00\xd8"
    place = content.rindex(" x".encode(name)[-2:]) if name == "utf-8" else content.rindex(b"x\x00")
    reading = read_busy(content[:place] + broken + content[place:], "hall.ics", YEAR_2026, LONDON)
    assert reading.times[0].title.startswith(TITLE)
    assert codes(reading) == ["odd-letters"]
