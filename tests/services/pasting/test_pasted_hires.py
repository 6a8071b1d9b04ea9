"""Hires of a table as clubs have them: understood, booked, known again, changed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.day_words import Order
from clubplanner.domain.times.times import range_from_wall
from clubplanner.inputs.pasting.kinds import HIRES
from clubplanner.inputs.pasting.understanding import NOWHERE, Said
from clubplanner.inputs.reading.sheets import read_pasted, read_sheets
from clubplanner.language import speaking
from clubplanner.outputs.tables.text_files import write_csv
from clubplanner.services.evening.bookings import move_booking
from clubplanner.services.hires.hire_rows import load_hires
from clubplanner.services.hires.pages import list_hires, see_hire
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.pasting.sent import CHANGED, NEW, SAME, SentTable
from clubplanner.services.pasting.tables import look_at_table, take_table
from clubplanner.services.pasting.taken_away import hires_table
from clubplanner.services.pasting.templates import EMPTY, FILLED, write_template
from tests.builders import LONDON, NOW
from tests.services.hires.builders import TUESDAY, WEEK, hires_booked
from tests.small_club import HALL, book, find_area_id

if TYPE_CHECKING:
    from clubplanner.services.pasting.tables import TableLook
    from clubplanner.store.engine import Store

GERMAN = """\
Fremdbelegung Halle 2026/27;;;;;;;
Mieter;Wochentag;von;bis;Uhrzeit;Sportstätte;Ansprechpartner;Telefon
Wandergruppe;Dienstag;1.12.2026;5.1.2027;18–19.30 Uhr;Hall;Ada Nyman;01632/960-123
Schachklub;Mi + Do;1.12.2026;17.12.2026;20 Uhr - 21 Uhr;Top pitch, Road third;Bo Ek;
Grundschule;;13.12.2026;;10:00-13:00;hall;;
"""
ENGLISH = """\
Hired by,Date,Start,End,Where,Part,Notes
Walking club,Tue 1 Dec 2026,6pm,7:30pm,Hall,,keys at the bar
Chess club,05/12/2026,10:00,12:00,Hall,half-1,
"""


def sent(text: str, **values: object) -> SentTable:
    """Return a pasted table of hires."""
    (sheet,) = read_pasted(text, "pasted").sheets
    return replace(SentTable(HIRES, sheet.rows), **values)  # type: ignore[arg-type]


def taken(store: Store, text: str, **values: object) -> TableLook:
    """Take a table in, which has to go without a question."""
    look = take_table(store, sent(text, **values), NOW)
    assert look.taken.asked == ()
    assert look.taken.problems == ()
    return look


def row(**cells: str) -> str:
    """Return a table of one series, changed by the cells given."""
    own = {
        "hirer": "Walking club",
        "weekday": "Tue",
        "first": "2026-12-01",
        "last": "2027-01-05",
        "every": "",
        "time": "18:00-19:30",
        "pitch": "Hall",
        "part": "",
        "contact": "",
        "phone": "",
        **cells,
    }
    return "\t".join(own) + "\n" + "\t".join(own.values()) + "\n"


def whats(look: TableLook) -> list[str]:
    """Return what becomes of each hire."""
    return [change.what for change in look.taken.changes]


def test_a_german_table_books_series_and_single_hires(small: Store) -> None:
    """Two weekdays are two series; the telephone's signs go; a part stands beside its pitch."""
    look = taken(small, GERMAN)
    assert whats(look) == [NEW] * 4
    assert look.taken.lines == ("4 hires are new, 0 changed",)
    assert [(line.name, line.place, line.rhythm) for line in list_hires(small, NOW)] == [
        ("Grundschule", "Whole of Hall", "10:00–13:00"),
        ("Schachklub", "Road third, Top pitch", "Wednesday 20:00–21:00, every week"),
        ("Schachklub", "Road third, Top pitch", "Thursday 20:00–21:00, every week"),
        ("Wandergruppe", "Whole of Hall", "Tuesday 18:00–19:30, every week"),
    ]
    assert list_hires(small, NOW)[-1].phone == "01632 960 123"
    assert len(hires_booked(small, "Schachklub")) == 3 + 3
    assert hires_booked(small, "Grundschule") == [("12-13 10:00", "13:00", "Hall, whole")]


def test_an_english_table_asks_only_which_number_is_the_month(small: Store) -> None:
    """One question for the column; then both dates are one hire each."""
    look = look_at_table(small, sent(ENGLISH), NOW)
    assert look.understood.order is Order.UNKNOWN
    look = taken(small, ENGLISH, said=Said(order=Order.DAY))
    assert hires_booked(small) == [("12-01 18:00", "19:30", "Hall, whole")]
    assert hires_booked(small, "Chess club") == [("12-05 10:00", "12:00", "Hall, half-1")]


def test_loading_again_changes_nothing(small: Store) -> None:
    """All of them are known, whatever the order of the rows; the journal gets no change."""
    taken(small, GERMAN)
    before = list_changes(small, NOW)[0].number
    lines = GERMAN.splitlines()
    again = taken(small, "\n".join([*lines[:2], *reversed(lines[2:])]) + "\n")
    assert whats(again) == [SAME] * 4
    assert list_changes(small, NOW)[0].number == before


def test_what_is_held_is_left_out_and_told_and_stays_so(small: Store) -> None:
    """A date that another hirer has is told with the rule; loading again does not ask once more."""
    book(small, "Chess club", "whole", pitch_key=HALL, day=TUESDAY, purpose=Purpose.HIRE)
    look = taken(small, row())
    (change,) = look.taken.changes
    assert change.as_read[1] == "5 dates booked"
    assert change.as_read[2].startswith("Tue 1 Dec: Chess club have Hall 18:00")
    assert whats(taken(small, row())) == [SAME]
    assert len(hires_booked(small)) == 5


@pytest.mark.parametrize(
    ("cells", "column", "count"),
    [
        ({"last": "2027-01-19"}, "last", 8),
        ({"last": "2026-12-15"}, "last", 3),
        ({"first": "2026-12-15"}, "first", 4),
        ({"first": "2026-11-24"}, "first", 7),
        ({"every": "14-tägig"}, "every", 3),
        ({"time": "19:00-20:00"}, "times", 6),
        ({"pitch": "Top pitch", "part": "third-1"}, "pitch", 6),
        ({"contact": "Bo", "phone": "01632 960 900"}, "phone", 6),
    ],
)
def test_what_changed_is_shown_and_done(
    small: Store, cells: dict[str, str], column: str, count: int
) -> None:
    """Each change is told with before and after, is one act, and can be taken back."""
    taken(small, row())
    before = hires_booked(small)
    look = look_at_table(small, sent(row(**cells)), NOW)
    assert whats(look) == [CHANGED]
    assert column in [detail[0] for detail in look.taken.changes[0].details]
    assert hires_booked(small) == before
    taken(small, row(**cells))
    assert len(hires_booked(small)) == count
    assert len(list_hires(small, NOW)) == 1
    assert whats(taken(small, row(**cells))) == [SAME]
    undo_change(small, list_changes(small, NOW, count=1)[0].number, NOW)
    assert hires_booked(small) == before


def test_dates_are_left_out_and_given_back_where_they_stood(small: Store) -> None:
    """A series knows on which dates it is not there; one that stood is given back, and told."""
    taken(small, row(**{"not on": "22.12.2026; 29 Dec"}))
    assert [start[:5] for start, _end, _place in hires_booked(small)] == [
        *["12-01", "12-08", "12-15", "01-05"],
    ]
    look = taken(small, row(**{"not on": "2026-12-22, 2026-12-08"}))
    assert whats(look) == [CHANGED]
    assert look.taken.changes[0].details == (("not on", "", "Tue 8 Dec 2026"),)
    again = row(**{"not on": "2026-12-08; 2026-12-22; 2026-12-29"})
    assert whats(taken(small, again)) == [SAME]
    assert len(hires_booked(small)) == 3
    with pytest.raises(AssertionError):
        taken(small, row(**{"not on": "some day"}))


def test_a_date_put_elsewhere_comes_back_as_known(small: Store) -> None:
    """The table has it as a row of its own; loaded again it is neither moved nor booked twice."""
    taken(small, row())
    with small.read() as session:
        third = load_hires(session)[0].dates[2].booking
    assert third is not None
    area = find_area_id(small, HALL, "half-1")
    during = range_from_wall(TUESDAY + 2 * WEEK, 20 * 60, 21 * 60, LONDON)
    move_booking(small, third.id, third.sequence, area, during, NOW)
    before = hires_booked(small)
    text = write_csv(hires_table(small, NOW)).decode("utf-8-sig")
    assert "2026-12-15" in text.splitlines()[1]
    assert whats(taken(small, text)) == [SAME, SAME]
    assert hires_booked(small) == before


def test_a_move_leaves_what_cannot_go_and_says_so(small: Store) -> None:
    """One evening is held at the new time: that date stays, the others move."""
    taken(small, row())
    book(small, "Chess club", "whole", pitch_key=HALL, day=TUESDAY + WEEK, start_min=1200,
         end_min=1260, purpose=Purpose.HIRE)  # fmt: skip
    look = taken(small, row(time="19:30-21:00"))
    (change,) = look.taken.changes
    assert any(words.startswith("Tue 8 Dec stays: Chess club") for words in change.as_read)
    assert [start[-5:] for start, _end, _place in hires_booked(small)].count("19:30") == 5


def test_dates_that_are_over_are_not_touched(small: Store) -> None:
    """In the third week a table with another time changes what is still to come."""
    taken(small, row())
    later = NOW + 4 * WEEK
    assert take_table(small, sent(row(time="19:00-20:00")), later).can_be_taken
    assert [start[-5:] for start, _end, _place in hires_booked(small)] == [
        *["18:00"] * 2,
        *["19:00"] * 4,
    ]


def test_two_hirers_of_one_name_are_told_apart(small: Store) -> None:
    """Two rows of one name on one weekday are two; each is known again by its time."""
    text = row(contact="Ada") + row(time="20:00-21:00", contact="Bo").splitlines()[1] + "\n"
    assert whats(taken(small, text)) == [NEW, NEW]
    assert whats(taken(small, text)) == [SAME, SAME]
    lines = text.splitlines()
    turned = "\n".join([lines[0], lines[2].replace("20:00-21:00", "20:30-21:30"), lines[1]]) + "\n"
    look = taken(small, turned)
    assert whats(look) == [CHANGED, SAME]
    assert [line.contact for line in list_hires(small, NOW)] == ["Ada", "Bo"]


def test_two_rows_that_clash_with_each_other_are_told(small: Store) -> None:
    """The second of two hires at one time finds the first in its way, in the look already."""
    text = row() + row(hirer="Chess club").splitlines()[1] + "\n"
    look = look_at_table(small, sent(text), NOW)
    (asked,) = look.taken.asked
    assert asked.rows == (3,)
    assert "Walking club" in asked.faults[0]
    assert hires_booked(small) == []


@pytest.mark.parametrize(
    ("cells", "column", "words"),
    [
        ({"pitch": "Moon"}, "pitch", "There is no pitch “Moon”."),
        ({"pitch": ""}, "pitch", "Write which pitch"),
        ({"part": "attic"}, "area", "has no part “attic”"),
        ({"pitch": "Hall, attic"}, "pitch", "has no part “attic”"),
        ({"last": ""}, "last", "Write until when the series is"),
        ({"last": "2026-11-01"}, "last", "must not lie before"),
        ({"last": "2031-11-01"}, "last", "at most 110"),
        ({"first": ""}, "first", "Write the date"),
        ({"first": "2026-12-02", "last": "2026-12-02"}, "first", "is no Tuesday"),
        ({"time": ""}, "times", "Write from when to when"),
        ({"time": "6-7"}, "times", "morning or evening"),
        ({"time": "17:00-18:00; 19:00-20:00"}, "times", "several times"),
        ({"every": "now and then"}, "every", "weekly or every second week"),
        ({"phone": "ask Jo"}, "phone", "ask Jo"),
        ({"hirer": "W" * 90}, "hirer", "at most 80"),
        ({"time": "03:00-04:00"}, "first", "open"),
    ],
)
def test_what_is_not_understood_is_asked_at_its_cell(
    small: Store, cells: dict[str, str], column: str, words: str
) -> None:
    """Every fault has a cell and a remedy, and nothing is written meanwhile."""
    look = take_table(small, sent(row(**cells)), NOW)
    asked = [one for one in look.taken.asked if one.column == column]
    assert asked, look.taken
    assert words in " ".join(asked[0].faults)
    assert asked[0].place != NOWHERE
    assert list_hires(small, NOW) == ()


def test_a_table_without_dates_is_told_them_once_for_all(small: Store) -> None:
    """A plan of the week has no dates: the first and last are asked for all rows together."""
    text = "Mieter;Tag;Zeit;Halle\nYoga;Mo;18:00-19:00;Hall\nChor;Mi;18:00-19:00;Hall\n"
    look = look_at_table(small, sent(text), NOW)
    assert {one.column for one in look.taken.asked} == {"first"}
    assert all(one.place == NOWHERE for one in look.taken.asked)
    said = Said(for_all={"first": "2026-12-01", "last": "2026-12-16"})
    taken(small, text, said=said)
    assert len(hires_booked(small, "Yoga")) == 2
    assert len(hires_booked(small, "Chor")) == 3


def test_a_span_of_dates_and_the_hours_past_midnight_are_understood(small: Store) -> None:
    """One cell for both dates; a ball until one o'clock is asked about only where it is shut."""
    text = "Hirer;Period;Day;Hours;Pitch\nYoga;1.12.2026 – 15.12.2026;Tue;18:00-19:00;Hall\n"
    taken(small, text)
    assert len(hires_booked(small, "Yoga")) == 3
    ball = "Hirer;Date;From;To;Pitch\nBall;12.12.2026;21:00;01:00;Hall\n"
    look = look_at_table(small, sent(ball), NOW)
    assert look.understood.rows[0].cells["times"] == "21:00-01:00"
    (asked,) = look.taken.asked
    assert "open" in asked.faults[0]


def test_a_hirers_name_holds_for_the_rows_below_it(small: Store) -> None:
    """Merged cells name the hirer once."""
    text = row() + row(hirer="", weekday="Wed").splitlines()[1] + "\n"
    taken(small, text)
    assert [line.rhythm[:7] for line in list_hires(small, NOW)] == ["Tuesday", "Wednesd"]


@pytest.mark.parametrize("code", ["en", "de"])
def test_template_and_example_are_understood_again(small: Store, code: str) -> None:
    """What is downloaded is what is taken: every heading known, the example without a question."""
    with speaking(code):
        for ending in ("csv", "xlsx"):
            data, name = write_template(small, HIRES, FILLED, ending, NOW)
            (sheet, *_more) = read_sheets(data, name).sheets
            look = look_at_table(small, SentTable(HIRES, sheet.rows), NOW)
            assert not look.unsure
            assert look.taken.asked == ()
            assert whats(look) == [NEW, NEW]
        data, name = write_template(small, HIRES, EMPTY, "csv", NOW)
        assert "template" in name or "vorlage" in name.lower()
        assert data.count(b"\n") == 1


def test_five_hundred_rows_are_looked_at_and_taken_in(small: Store) -> None:
    """Single hires of a year, each a row of its own; loading again changes nothing."""
    head, _example = row().splitlines()
    lines = [head]
    for n in range(500):
        day = date(2026, 12, 5) + timedelta(days=7 * (n // 10))
        start = 9 * 60 + (n % 5) * 90
        time = f"{start // 60:02}:{start % 60:02}-{(start + 75) // 60:02}:{(start + 75) % 60:02}"
        part = ("half-1", "half-2")[n // 5 % 2]
        cells = [f"Hirer {n}", "", day.isoformat(), "", "", time, "Hall", part, "", ""]
        lines.append("\t".join(cells))
    text = "\n".join(lines) + "\n"
    look = taken(small, text)
    assert look.taken.lines == ("500 hires are new, 0 changed",)
    assert set(whats(taken(small, text))) == {SAME}
    assert see_hire(small, 1, NOW).line.coming == 1
