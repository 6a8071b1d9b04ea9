"""Days and times as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.times.times import Window
from clubplanner.domain.times.windows import (
    EXAMPLE,
    file_days,
    join_windows,
    parse_days,
    parse_windows,
    told_days,
    write_windows,
)
from clubplanner.language import speaking
from tests.strategies import windows


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", ()),
        (" ; ; ", ()),
        ("Wed 17:30-19:00", (Window(2, 1050, 1140),)),
        ("wednesday 17.30 – 19.00", (Window(2, 1050, 1140),)),
        ("Mon, Wed 17:30-19:00", (Window(0, 1050, 1140), Window(2, 1050, 1140))),
        ("Sat 9:00-12:00; Mon 18:00-19:00", (Window(0, 1080, 1140), Window(5, 540, 720))),
        ("Sat–Sun", (Window(5, 0, 1440), Window(6, 0, 1440))),
        ("Fri 20:00-24:00", (Window(4, 1200, 1440),)),
        ("Wed 17.30-19.00 Uhr", (Window(2, 1050, 1140),)),
        ("Wed 17.30 Uhr - 19.00 uhr ", (Window(2, 1050, 1140),)),
        ("Mon 18:00-19:00; Mon 18:00-19:00", (Window(0, 1080, 1140),)),
    ],
)
def test_windows_are_read(text: str, expected: tuple[Window, ...]) -> None:
    """Days alone, listed and spanned, with and without a time, in any order, twice only once."""
    assert parse_windows(text) == expected


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("Mon", (0,)),
        ("mo", (0,)),
        ("Tues, Thurs", (1, 3)),
        ("Mon-Thu", (0, 1, 2, 3)),
        ("Sat-Mon", (0, 5, 6)),
        ("Wed-Wed", (2,)),
        ("Mon-Wed, Tue, Fri", (0, 1, 2, 4)),
    ],
)
def test_days_are_read(text: str, days: tuple[int, ...]) -> None:
    """Short and long names, lists, spans, spans over the weekend."""
    assert parse_days(text) == days


@pytest.mark.parametrize("text", ["", "T", "S", "M", "Noday", "Mon-Noday", "Mon,,Tue", "Mon/Tue"])
def test_what_is_no_weekday_is_refused_with_the_choices(text: str) -> None:
    """One letter, two meanings or no meaning: the message lists what to write."""
    with pytest.raises(ValueError, match="is not a weekday; write Mon, Tue, Wed"):
        parse_days(text)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("Mon 19:00-17:30", "ends before it starts"),
        ("Mon 19:00-19:00", "ends before it starts"),
        ("Mon 7-9", "has no time that can be read"),
        ("Mon 17:30", "has no time that can be read"),
        ("Mon 17:30-25:00", "is not a time of day"),
        ("17:30-19:00", "is not a weekday"),
        ("Mon 17:00-18:00; Xyz 17:00-18:00", "“Xyz” is not a weekday"),
    ],
)
def test_what_cannot_be_read_is_refused(text: str, message: str) -> None:
    """Each fault says what is wrong with what was written."""
    with pytest.raises(ValueError, match=message):
        parse_windows(text)


def test_the_example_in_the_messages_can_be_read() -> None:
    """People who copy the example are understood."""
    assert parse_windows(EXAMPLE) == (Window(0, 1050, 1140), Window(2, 1020, 1200))


@given(chosen=st.sets(windows(), max_size=5))
def test_written_windows_read_back(chosen: set[Window]) -> None:
    """Writing and reading gives the same windows in order."""
    expected = tuple(sorted(chosen))
    assert parse_windows(write_windows(expected)) == expected


@pytest.mark.parametrize(
    ("windows_", "text"),
    [
        ((), ""),
        ((Window(0, 1050, 1140),), "Mon 17:30-19:00"),
        ((Window(0, 600, 660), Window(1, 600, 660)), "Mon, Tue 10:00-11:00"),
        (tuple(Window(day, 600, 660) for day in (0, 1, 2)), "Mon-Wed 10:00-11:00"),
        (tuple(Window(day, 600, 660) for day in (0, 1, 2, 4)), "Mon-Wed, Fri 10:00-11:00"),
        (tuple(Window(day, 600, 660) for day in (0, 2, 4)), "Mon, Wed, Fri 10:00-11:00"),
        ((Window(6, 0, 1440),), "Sun 00:00-24:00"),
        (
            (Window(0, 600, 660), Window(0, 700, 760), Window(3, 600, 660)),
            "Mon, Thu 10:00-11:00; Mon 11:40-12:40",
        ),
    ],
)
def test_windows_are_written_as_people_write_them(windows_: tuple[Window, ...], text: str) -> None:
    """Days with equal times together, three in a row or more as a span."""
    assert write_windows(windows_) == text


def test_days_are_written_in_order_whatever_the_order_of_the_windows() -> None:
    """A span is seen in windows that come mixed up."""
    mixed = tuple(Window(day, 600, 660) for day in (2, 0, 1))
    assert write_windows(mixed) == "Mon-Wed 10:00-11:00"


def test_messages_repeat_what_was_written_without_blanks_round_it() -> None:
    """And name every day that can be written, the last after "or"."""
    days = "Mon, Tue, Wed, Thu, Fri, Sat or Sun"
    with pytest.raises(ValueError, match=f"^“Xyz” is not a weekday; write {days}$"):
        parse_days(" Xyz ")
    with pytest.raises(ValueError, match=f"^“Mon 9:00-8:00” ends before .* {EXAMPLE}$"):
        parse_windows(" Mon 9:00-8:00 ")
    with pytest.raises(ValueError, match=f"^“Mon 9-8” has no time .* {EXAMPLE}$"):
        parse_windows(" Mon 9-8 ")
    with speaking("de"):
        with pytest.raises(ValueError, match=r"^„Di, Do 9-8“ hat keine"):
            parse_windows(file_days("Di, Do 9-8"))
        with pytest.raises(ValueError, match=r"^„Di 9:00-8:00“ endet"):
            parse_windows(file_days("Di 9:00-8:00"))


def test_days_are_spoken_in_the_readers_language_and_filed_in_english() -> None:
    """Short and long names, large and small letters; words that are no days stay as they are."""
    with speaking("de"):
        assert told_days("mon, Fri 17:30-19:00; noon") == "Mo, Fr 17:30-19:00; noon"
        assert file_days("MO, Freitag 17:30-19:00; mittags") == "Mon, Fri 17:30-19:00; mittags"
    assert told_days("Mon, Sun 9:00-10:00") == "Mon, Sun 9:00-10:00"


def test_days_are_read_in_the_language_in_which_a_fault_names_them() -> None:
    """Who reads German may write what the message says, in a file as in a form; English holds."""
    with speaking("de"):
        assert parse_days("Di, Donnerstag-Sa") == (1, 3, 4, 5)
        assert parse_windows("So 9:00-10:00; Mon 18:00-19:00") == (
            Window(0, 1080, 1140),
            Window(6, 540, 600),
        )
    with pytest.raises(ValueError, match="is not a weekday"):
        parse_days("Di")


def test_windows_that_touch_are_joined() -> None:
    """Who may come until six and from six may stay on; other weekdays and gaps stay apart."""
    text = "Mon 17:00-19:00; Mon 19:00-20:00; Mon 17:30-18:00; Tue 20:00-21:00; Tue 21:15-22:00"
    expected = parse_windows("Mon 17:00-20:00; Tue 20:00-21:00; Tue 21:15-22:00")
    assert join_windows(parse_windows(text)) == expected
