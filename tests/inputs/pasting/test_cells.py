"""Cells as they stand in clubs' tables, German and English: what each means, or what is asked."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.times.day_words import Order
from clubplanner.inputs.pasting import values
from clubplanner.inputs.pasting.clocks import read_clock, read_clocks, read_duration
from clubplanner.inputs.pasting.dates import find_order, part_clock, read_date
from clubplanner.inputs.pasting.hire_times import read_dates, read_every, read_times
from clubplanner.inputs.pasting.training_times import derive_sessions, put_together
from clubplanner.inputs.pasting.weekdays import read_days, read_spans, read_windows

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.inputs.pasting.reading import Reading

TODAY = date(2026, 11, 29)


FAULT = "? "
"""What is meant begins so where a fault is told, with some of its words."""


def said(reading: Reading) -> str | tuple[str, ...]:
    """Return what was read, or, where something is asked, the choices or the first fault."""
    if not reading.faults:
        return reading.text
    return reading.choices or FAULT + reading.faults[0]


def is_said(reading: Reading, meant: str | tuple[str, ...]) -> bool:
    """Tell whether a reading is what was meant, or its fault has the words that it has to have."""
    if isinstance(meant, str) and meant.startswith(FAULT):
        return any(meant.removeprefix(FAULT) in fault for fault in reading.faults)
    return said(reading) == meant


@pytest.mark.parametrize(
    ("cell", "meant"),
    [
        ("18:30", "18:30"),
        ("18.30 Uhr", "18:30"),
        ("1830", "18:30"),
        ("6:30pm", "18:30"),
        ("7 p.m.", "19:00"),
        ("19h", "19:00"),
        ("9 Uhr", "09:00"),
        ("12am", "00:00"),
        ("0.75", "18:00"),
        ("0,7708333333", "18:30"),
        ("24:00", "24:00"),
        ("7", ("07:00", "19:00")),
        ("5 Uhr", ("05:00", "17:00")),
        ("13pm", "? “13pm” is no time of day; write it like 18:30"),
        ("25:00", "? “25:00” is no time of day; write it like 18:30"),
        ("1.0", "? “1.0” is no time of day; write it like 18:30"),
        ("abends", "? “abends” is no time of day; write it like 18:30"),
    ],
)
def test_a_time_of_day(cell: str, meant: str | tuple[str, ...]) -> None:
    """Marked, joined, in either half of the day, or as a spreadsheet keeps it; else it is asked."""
    assert is_said(read_clock(cell), meant)


@pytest.mark.parametrize(
    ("cell", "meant"),
    [
        ("14:00", "14:00"),
        ("10:00-14:00", "10:00-14:00"),
        ("10 bis 14 Uhr", "10:00-14:00"),
        ("11-1pm", "11:00-13:00"),
        ("7-9pm", "19:00-21:00"),
        ("7-9", ("07:00-09:00", "19:00-21:00")),
        ("19:00-18:00", "? “19:00-18:00” runs backwards; turn it round"),
        ("10-abends", "? “10-abends” is no time; write 14:00, or 10:00-14:00 for a span"),
        ("11pm-1pm", "? “11pm-1pm” runs backwards; turn it round"),
    ],
)
def test_a_time_or_a_span(cell: str, meant: str | tuple[str, ...]) -> None:
    """A kick-off is a time or lies between two; the same half of the day is meant first."""
    assert is_said(read_clocks(cell), meant)


@pytest.mark.parametrize(
    ("cell", "meant"),
    [
        ("90", "90"),
        ("90 min", "90"),
        ("90'", "90"),
        ("75.0", "75"),
        ("1:30", "90"),
        ("1 h 30", "90"),
        ("2 Std. und 15 Min.", "135"),
        ("1,5 h", "90"),
        ("1½ Stunden", "90"),
        ("2 hours", "120"),
        ("0.0625", "90"),
        ("2", ("120",)),
        ("lang", "? “lang” is no length of time; write minutes, like 90, or 1:30"),
    ],
)
def test_a_length_of_time(cell: str, meant: str | tuple[str, ...]) -> None:
    """Minutes, hours, both, or a part of a day; a small bare number may be hours and is asked."""
    assert is_said(read_duration(cell), meant)


@pytest.mark.parametrize(
    ("cell", "order", "meant"),
    [
        ("05.09.2026", Order.UNKNOWN, "2026-09-05"),
        ("Sa, 5.9.26", Order.UNKNOWN, "2026-09-05"),
        ("5 September 2026", Order.UNKNOWN, "2026-09-05"),
        ("Sept. 5, 2026", Order.UNKNOWN, "2026-09-05"),
        ("2026/9/5", Order.UNKNOWN, "2026-09-05"),
        ("9/5/26", Order.MONTH, "2026-09-05"),
        ("9/5/26", Order.DAY, "2026-05-09"),
        ("9/5/26", Order.UNKNOWN, ("2026-05-09", "2026-09-05")),
        ("5.12.", Order.UNKNOWN, "2026-12-05"),
        ("5.11.", Order.UNKNOWN, "2026-11-05"),
        ("5.10.", Order.UNKNOWN, "2027-10-05"),
        ("46270", Order.UNKNOWN, "2026-09-05"),
        ("46270,0", Order.UNKNOWN, "2026-09-05"),
        ("05.09.2026 14:00 Uhr", Order.UNKNOWN, "2026-09-05"),
        ("31.4.2026", Order.UNKNOWN, "? is not a date"),
        ("5.9.1899", Order.UNKNOWN, "? is not a date"),
        ("29.2.", Order.UNKNOWN, "? is not a date"),
        ("5 Wonnemond", Order.UNKNOWN, "? is not a date"),
    ],
)
def test_a_date(cell: str, order: Order, meant: str | tuple[str, ...]) -> None:
    """Figures, words, a spreadsheet's number; without a year the next, up to a month back."""
    assert is_said(read_date(cell, order, TODAY), meant)


def test_a_date_of_another_weekday_is_asked_with_what_may_be_meant() -> None:
    """The year before is likely where it would fit, then the days near it, then as it stands."""
    reading = read_date("Sa 6.9.2026", Order.DAY, TODAY)
    assert "is no Saturday" in reading.faults[0]
    assert reading.choices == ("2025-09-06", "2026-09-05", "2026-09-12", "2026-09-06")
    assert read_date("Mo 29.2.2028", Order.DAY, TODAY).choices[-1] == "2028-02-29"


def test_a_time_behind_a_date_is_parted_from_it() -> None:
    """A figure of the date itself is no time."""
    assert part_clock("5.9.2026, 14:30 Uhr") == ("5.9.2026", "14:30")
    assert part_clock("2026-09-05T14:30:00") == ("2026-09-05", "14:30")
    assert part_clock("5. 9.26") == ("5. 9.26", "")
    assert part_clock("14:30") == ("14:30", "")
    assert part_clock("Samstag 14:30") == ("Samstag 14:30", "")


def test_one_clear_date_tells_the_order_of_a_column() -> None:
    """Dots tell it by themselves; where nothing tells it, the order is asked once."""
    assert find_order(["5/9/26", "13/9/26"]) is Order.DAY
    assert find_order(["5/9/26", "9/13/26"]) is Order.MONTH
    assert find_order(["5/9/26", "6/9/26"]) is Order.UNKNOWN
    assert find_order(["5.9.26", "9/9/26", "soon"]) is None


@pytest.mark.parametrize(
    ("cell", "meant"),
    [
        ("ab 18:30", "? has no day"),
        ("Mo ab 18:30", "Mon 18:30-24:00"),
        ("Mo bis 19:00", "Mon 00:00-19:00"),
        ("Mo-Mi 17:30-19:00", "Mon-Wed 17:30-19:00"),
        ("Fr-Mo 17:30-19:00", "Mon, Fri-Sun 17:30-19:00"),
        ("MoMiFr 17-18 Uhr", "Mon, Wed, Fri 17:00-18:00"),
        ("every day 17:00-18:00", "Mon-Sun 17:00-18:00"),
        ("werktags 17:00-18:00", "Mon-Fri 17:00-18:00"),
        ("Wochenende", "Sat, Sun 00:00-24:00"),
        ("Mo 5-7", ("Mon 05:00-07:00", "Mon 17:00-19:00")),
        ("Mo 18:30", "? “18:30” is one time; write from when to when, like 17:30-19:00"),
        ("Mo 19:00-18:00", "? “19:00-18:00” ends before it starts; turn it round"),
        ("Mo 27:00-28:00", "? “27:00” is not understood"),
        ("17:30-19:00", "? “17:30-19:00” has no day; write on which days"),
        ("Mo § 17:00", "? “§” is not understood"),
        ("und", "? “und” is not understood"),
    ],
)
def test_days_with_times(cell: str, meant: str | tuple[str, ...]) -> None:
    """Days, then the times that hold for all of them; what is no part of that is named."""
    assert is_said(read_windows(cell), meant)


def test_days_alone_and_times_alone() -> None:
    """Each column takes its own, and says what does not belong there."""
    assert read_days("Mo, Mi + Fr").text == "Mon, Wed, Fri"
    assert "There are times in" in read_days("Mo 17-18 Uhr").faults[0]
    assert "not understood" in read_days("und").faults[0]
    assert read_spans("17:30-19:00; 18:00-19:30").text == "17:30-19:00; 18:00-19:30"
    assert "There are days in" in read_spans("Mo 17:30-19:00").faults[0]
    assert "not understood" in read_spans("immer").faults[0]
    assert read_spans("5-7").choices == ("05:00-07:00", "17:00-19:00")


@pytest.mark.parametrize(
    ("cells", "minutes", "possible"),
    [
        ({"days": "Mo, Mi", "times": "17:30-19:00"}, None, "Mon, Wed 17:30-19:00"),
        (
            {"days": "Mo, Mi", "times": "17-18 Uhr; 18-19 Uhr"},
            None,
            "Mon 17:00-18:00; Wed 18:00-19:00",
        ),
        ({"days": "Mo", "from": "17:30", "until": "19:00"}, None, "Mon 17:30-19:00"),
        ({"days": "Mo", "from": "17:30-19:00"}, None, "Mon 17:30-19:00"),
        ({"days": "Mo", "from": "17:30"}, 75, "Mon 17:30-18:45"),
        ({"days": "Mo", "from": "17:30"}, None, "Mon 17:30-24:00"),
        ({"days": "Mo", "from": "22:00", "until": "24:00"}, None, "Mon 22:00-24:00"),
        ({"days": "Mo 17:30-19:00"}, None, "Mon 17:30-19:00"),
        ({"times": "Mo 17:30-19:00"}, None, "Mon 17:30-19:00"),
        ({"days": "Mo"}, None, "Mon 00:00-24:00"),
        ({}, None, ""),
    ],
)
def test_when_a_squad_may_train(
    cells: Mapping[str, str], minutes: int | None, possible: str
) -> None:
    """Columns that part days from times, or start from end, are put together."""
    found = put_together(cells, minutes)
    assert found.asked == {}
    assert found.text == possible


@pytest.mark.parametrize(
    ("cells", "column", "words"),
    [
        ({"days": "Mo", "from": "19:00", "until": "18:00"}, "until", "is not after 19:00"),
        ({"days": "Mo", "from": "24:00"}, "from", "is not after 24:00"),
        ({"days": "Mo", "from": "soon", "until": "late"}, "until", "no time of day"),
        ({"times": "17:30-19:00"}, "times", "has no day"),
        ({"days": "Mo, Di, Mi", "times": "17-18 Uhr; 18-19 Uhr"}, "times", "belongs to which day"),
        ({"days": "Falken"}, "days", "not understood"),
        ({"times": "Falken"}, "times", "not understood"),
    ],
)
def test_what_does_not_go_together_is_asked(
    cells: Mapping[str, str], column: str, words: str
) -> None:
    """The question stands at the column in which it can be mended."""
    found = put_together(cells, None)
    assert found.text == ""
    assert words in found.asked[column].faults[0]


def test_sessions_and_minutes_are_told_from_days_and_times() -> None:
    """As many as days, as long as the shortest; whole days say nothing of minutes."""
    assert derive_sessions("Mon, Wed 17:30-19:00; Fri 17:00-18:00") == ("3", "60")
    assert derive_sessions("Mon 00:00-24:00") == ("1", "")
    assert derive_sessions("") == ("", "")


CODES = ("5v5", "7v7")


@pytest.mark.parametrize(
    ("cell", "meant"),
    [
        ("halber Platz", "half"),
        ("1/3", "third"),
        ("mind. 1500 qm", "1500 m2"),
        ("at least 40 x 30 m", "1200 m2"),
        ("1.500 qm", "1500 m2"),
        ("1500 m2", "1500 m2"),
        ("40 x 30 m", "1200 m2"),
        ("7 gegen 7", "7v7"),
        ("7v7, Drittel", "7v7, third"),
        ("1/4 Platz + 5v5", "quarter, 5v5"),
        ("egal", ""),
        ("9 gegen 9", FAULT),
        ("900 x 900", FAULT),
    ],
)
def test_the_least_ground(cell: str, meant: str) -> None:
    """Shares, square metres, sides, games; what is no size is asked with the shares there are."""
    reading = values.read_least_ground(cell, CODES)
    assert is_said(reading, meant)
    assert not reading.faults or "half" in reading.choices


@pytest.mark.parametrize(
    ("cell", "meant"),
    [
        ("U 13", "U13"),
        ("u13 w", "U13 w"),
        ("D-Jugend", ("U13", "U12")),
        ("D2-Junioren", ("U13", "U12")),
        ("Bambini", ("U7", "U6")),
        ("Senioren", "Senioren"),
        ("Walking  football", "Walking football"),
    ],
)
def test_an_age_group(cell: str, meant: str | tuple[str, ...]) -> None:
    """A German class of two years is asked about; other words stay as they are."""
    assert said(values.read_age_group(cell)) == meant


def test_counts_yes_and_no_surfaces_and_addresses() -> None:
    """Words about numbers, ticks and dashes, surfaces by any name, what mail programs add."""
    assert said(values.read_count("ca. 14 Kinder")) == "14"
    assert is_said(values.read_count("viele"), "? is not one whole number")
    assert [said(values.read_yes(cell)) for cell in ("x", "Ja", "–", "nein")] == [
        "yes",
        "yes",
        "no",
        "no",
    ]
    assert values.read_yes("manchmal").choices == ("yes", "no")
    assert said(values.read_surfaces("Kunstrasen / Rasen", ("sand",))) == "artificial, grass"
    assert said(values.read_surfaces("Sand", ("sand",))) == "sand"
    assert values.read_surfaces("Moos", ("sand",)).faults
    assert said(values.read_surfaces("egal", ())) == ""
    assert values.read_email("Ida Fern <ida@club.example>").text == "ida@club.example"
    assert values.read_email("mailto:ida@club.example").text == "ida@club.example"
    assert values.read_phone("+44 (0)1632/960-123").text == "+44 1632 960 123"
    assert values.read_in_file_words("wishes")("Mon  18:00").text.startswith("Mon 18:00")


@pytest.mark.parametrize(
    ("cell", "meant"),
    [
        ("wöchentlich", "weekly"),
        ("every week", "weekly"),
        ("14-tägig", "every second week"),
        ("alle 2 Wochen", "every second week"),
        ("fortnightly", "every second week"),
        ("einmalig", "once"),
        ("monatlich", ("weekly", "every second week", "once")),
    ],
)
def test_how_often(cell: str, meant: str | tuple[str, ...]) -> None:
    """Every week or every second one, in the usual words; anything else is asked."""
    assert is_said(read_every(cell), meant)


def test_the_dates_and_times_of_a_hire() -> None:
    """Two dates in one cell, hours past midnight, and what is asked of each."""
    assert read_dates("5.12.2026", Order.DAY, TODAY).text == "2026-12-05"
    assert read_dates("5.12. bis 19.12.2026", Order.DAY, TODAY).text == "2026-12-05/2026-12-19"
    assert "not a date" in read_dates("5.12.2026 – bald", Order.DAY, TODAY).faults[0]
    assert "not a date" in read_dates("bald – 5.12.2026", Order.DAY, TODAY).faults[0]
    assert "not a date" in read_dates("bald", Order.DAY, TODAY).faults[0]
    assert read_times("18–19.30 Uhr").text == "18:00-19:30"
    assert read_times("22:00-01:00").text == "22:00-01:00"
    assert "several times" in read_times("17:00-18:00; 19:00-20:00").faults[0]
    assert read_times("18:00-18:00").faults
    assert read_times("abends").faults
