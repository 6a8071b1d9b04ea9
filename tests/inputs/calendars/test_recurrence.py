"""Tests of rules of recurrence: the standard's own examples, and another implementation."""

from __future__ import annotations

import itertools
import signal
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import rrulestr  # type: ignore[import-untyped]
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from clubplanner.domain.times.times import TimeRange
from clubplanner.inputs.calendars.busy import read_busy
from clubplanner.inputs.calendars.recurrence import Budget, BudgetError, expand
from clubplanner.inputs.calendars.recurrence_rules import WEEKDAYS, read_rule
from tests.inputs.foreign_calendars import LONDON, calendar, event

if TYPE_CHECKING:
    from collections.abc import Iterable


START = datetime(1997, 9, 2, 9)  # noqa: DTZ001 - a wall clock's
PLENTY = 10_000_000
NEW_YORK = ZoneInfo("America/New_York")


def days(text: str, clock: str = "09:00") -> list[str]:
    """Read "1997-09 2-4,7; 1997-10 1" as times on those days."""
    found = []
    for part in text.split(";"):
        month, _, numbers = part.strip().partition(" ")
        for piece in numbers.split(","):
            first, _, last = piece.partition("-")
            found += [
                f"{month}-{day:02}T{clock}" for day in range(int(first), int(last or first) + 1)
            ]
    return found


def clocks(text: str, *dates: str) -> list[str]:
    """Read "09:00,09:20" as times on some days."""
    return [f"{day}T{clock}" for day in dates for clock in text.split(",")]


TWENTY = ",".join(f"{hour:02}:{minute}" for hour in range(9, 17) for minute in ("00", "20", "40"))


# Source: RFC 5545, section 3.8.5.3, its examples in their order. Where the standard ends a list
# with "...", only what it prints is compared. The example "every 3 hours" has the corrected UNTIL
# of erratum 3883 (its number from memory): 17:00Z would be 13:00 in New York.
EXAMPLES = [
    ("19970902", "FREQ=DAILY;COUNT=10", days("1997-09 2-11"), True),
    (
        "19970902",
        "FREQ=DAILY;UNTIL=19971224T000000Z",
        days("1997-09 2-30; 1997-10 1-31; 1997-11 1-30; 1997-12 1-23"),
        True,
    ),
    (
        "19970902",
        "FREQ=DAILY;INTERVAL=2",
        days("1997-09 2,4,6,8,10,12,14,16,18,20,22,24,26,28,30; 1997-10 2,4,6"),
        False,
    ),
    ("19970902", "FREQ=DAILY;INTERVAL=10;COUNT=5", days("1997-09 2,12,22; 1997-10 2,12"), True),
    (
        "19980101",
        "FREQ=YEARLY;UNTIL=20000131T140000Z;BYMONTH=1;BYDAY=SU,MO,TU,WE,TH,FR,SA",
        days("1998-01 1-31; 1999-01 1-31; 2000-01 1-31"),
        True,
    ),
    (
        "19980101",
        "FREQ=DAILY;UNTIL=20000131T140000Z;BYMONTH=1",
        days("1998-01 1-31; 1999-01 1-31; 2000-01 1-31"),
        True,
    ),
    (
        "19970902",
        "FREQ=WEEKLY;COUNT=10",
        days("1997-09 2,9,16,23,30; 1997-10 7,14,21,28; 1997-11 4"),
        True,
    ),
    (
        "19970902",
        "FREQ=WEEKLY;UNTIL=19971224T000000Z",
        days("1997-09 2,9,16,23,30; 1997-10 7,14,21,28; 1997-11 4,11,18,25; 1997-12 2,9,16,23"),
        True,
    ),
    (
        "19970902",
        "FREQ=WEEKLY;INTERVAL=2;WKST=SU",
        days(
            "1997-09 2,16,30; 1997-10 14,28; 1997-11 11,25; 1997-12 9,23; 1998-01 6,20; 1998-02 3"
        ),
        False,
    ),
    (
        "19970902",
        "FREQ=WEEKLY;UNTIL=19971007T000000Z;WKST=SU;BYDAY=TU,TH",
        days("1997-09 2,4,9,11,16,18,23,25,30; 1997-10 2"),
        True,
    ),
    (
        "19970902",
        "FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH",
        days("1997-09 2,4,9,11,16,18,23,25,30; 1997-10 2"),
        True,
    ),
    (
        "19970901",
        "FREQ=WEEKLY;INTERVAL=2;UNTIL=19971224T000000Z;WKST=SU;BYDAY=MO,WE,FR",
        days(
            "1997-09 1,3,5,15,17,19,29; 1997-10 1,3,13,15,17,27,29,31; "
            "1997-11 10,12,14,24,26,28; 1997-12 8,10,12,22"
        ),
        True,
    ),
    (
        "19970902",
        "FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH",
        days("1997-09 2,4,16,18,30; 1997-10 2,14,16"),
        True,
    ),
    (
        "19970905",
        "FREQ=MONTHLY;COUNT=10;BYDAY=1FR",
        days(
            "1997-09 5; 1997-10 3; 1997-11 7; 1997-12 5; 1998-01 2; 1998-02 6; 1998-03 6; "
            "1998-04 3; 1998-05 1; 1998-06 5"
        ),
        True,
    ),
    (
        "19970905",
        "FREQ=MONTHLY;UNTIL=19971224T000000Z;BYDAY=1FR",
        days("1997-09 5; 1997-10 3; 1997-11 7; 1997-12 5"),
        True,
    ),
    (
        "19970907",
        "FREQ=MONTHLY;INTERVAL=2;COUNT=10;BYDAY=1SU,-1SU",
        days("1997-09 7,28; 1997-11 2,30; 1998-01 4,25; 1998-03 1,29; 1998-05 3,31"),
        True,
    ),
    (
        "19970922",
        "FREQ=MONTHLY;COUNT=6;BYDAY=-2MO",
        days("1997-09 22; 1997-10 20; 1997-11 17; 1997-12 22; 1998-01 19; 1998-02 16"),
        True,
    ),
    (
        "19970928",
        "FREQ=MONTHLY;BYMONTHDAY=-3",
        days("1997-09 28; 1997-10 29; 1997-11 28; 1997-12 29; 1998-01 29; 1998-02 26"),
        False,
    ),
    (
        "19970902",
        "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=2,15",
        days("1997-09 2,15; 1997-10 2,15; 1997-11 2,15; 1997-12 2,15; 1998-01 2,15"),
        True,
    ),
    (
        "19970930",
        "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1",
        days("1997-09 30; 1997-10 1,31; 1997-11 1,30; 1997-12 1,31; 1998-01 1,31; 1998-02 1"),
        True,
    ),
    (
        "19970910",
        "FREQ=MONTHLY;INTERVAL=18;COUNT=10;BYMONTHDAY=10,11,12,13,14,15",
        days("1997-09 10-15; 1999-03 10-13"),
        True,
    ),
    (
        "19970902",
        "FREQ=MONTHLY;INTERVAL=2;BYDAY=TU",
        days("1997-09 2,9,16,23,30; 1997-11 4,11,18,25; 1998-01 6,13,20,27; 1998-03 3,10,17,24,31"),
        False,
    ),
    (
        "19970610",
        "FREQ=YEARLY;COUNT=10;BYMONTH=6,7",
        days(
            "1997-06 10; 1997-07 10; 1998-06 10; 1998-07 10; 1999-06 10; 1999-07 10; "
            "2000-06 10; 2000-07 10; 2001-06 10; 2001-07 10"
        ),
        True,
    ),
    (
        "19970310",
        "FREQ=YEARLY;INTERVAL=2;COUNT=10;BYMONTH=1,2,3",
        days(
            "1997-03 10; 1999-01 10; 1999-02 10; 1999-03 10; 2001-01 10; 2001-02 10; "
            "2001-03 10; 2003-01 10; 2003-02 10; 2003-03 10"
        ),
        True,
    ),
    (
        "19970101",
        "FREQ=YEARLY;INTERVAL=3;COUNT=10;BYYEARDAY=1,100,200",
        days(
            "1997-01 1; 1997-04 10; 1997-07 19; 2000-01 1; 2000-04 9; 2000-07 18; "
            "2003-01 1; 2003-04 10; 2003-07 19; 2006-01 1"
        ),
        True,
    ),
    ("19970519", "FREQ=YEARLY;BYDAY=20MO", days("1997-05 19; 1998-05 18; 1999-05 17"), False),
    (
        "19970512",
        "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO",
        days("1997-05 12; 1998-05 11; 1999-05 17"),
        False,
    ),
    (
        "19970313",
        "FREQ=YEARLY;BYMONTH=3;BYDAY=TH",
        days("1997-03 13,20,27; 1998-03 5,12,19,26; 1999-03 4,11,18,25"),
        False,
    ),
    (
        "19970605",
        "FREQ=YEARLY;BYDAY=TH;BYMONTH=6,7,8",
        days(
            "1997-06 5,12,19,26; 1997-07 3,10,17,24,31; 1997-08 7,14,21,28; 1998-06 4,11,18,25; "
            "1998-07 2,9,16,23,30; 1998-08 6,13,20,27"
        ),
        False,
    ),
    (
        "19970902",
        "FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13\nEXDATE;TZID=America/New_York:19970902T090000",
        days("1998-02 13; 1998-03 13; 1998-11 13; 1999-08 13; 2000-10 13"),
        False,
    ),
    (
        "19970913",
        "FREQ=MONTHLY;BYDAY=SA;BYMONTHDAY=7,8,9,10,11,12,13",
        days(
            "1997-09 13; 1997-10 11; 1997-11 8; 1997-12 13; 1998-01 10; 1998-02 7; 1998-03 7; "
            "1998-04 11; 1998-05 9; 1998-06 13"
        ),
        False,
    ),
    (
        "19961105",
        "FREQ=YEARLY;INTERVAL=4;BYMONTH=11;BYDAY=TU;BYMONTHDAY=2,3,4,5,6,7,8",
        days("1996-11 5; 2000-11 7; 2004-11 2"),
        False,
    ),
    (
        "19970904",
        "FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3",
        days("1997-09 4; 1997-10 7; 1997-11 6"),
        True,
    ),
    (
        "19970929",
        "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2",
        days("1997-09 29; 1997-10 30; 1997-11 27; 1997-12 30; 1998-01 29; 1998-02 26; 1998-03 30"),
        False,
    ),
    (
        "19970902",
        "FREQ=HOURLY;INTERVAL=3;UNTIL=19970902T210000Z",
        clocks("09:00,12:00,15:00", "1997-09-02"),
        True,
    ),
    (
        "19970902",
        "FREQ=MINUTELY;INTERVAL=15;COUNT=6",
        clocks("09:00,09:15,09:30,09:45,10:00,10:15", "1997-09-02"),
        True,
    ),
    (
        "19970902",
        "FREQ=MINUTELY;INTERVAL=90;COUNT=4",
        clocks("09:00,10:30,12:00,13:30", "1997-09-02"),
        True,
    ),
    (
        "19970902",
        "FREQ=DAILY;BYHOUR=9,10,11,12,13,14,15,16;BYMINUTE=0,20,40",
        clocks(TWENTY, "1997-09-02", "1997-09-03"),
        False,
    ),
    (
        "19970902",
        "FREQ=MINUTELY;INTERVAL=20;BYHOUR=9,10,11,12,13,14,15,16",
        clocks(TWENTY, "1997-09-02", "1997-09-03"),
        False,
    ),
    (
        "19970805",
        "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO",
        days("1997-08 5,10,19,24"),
        True,
    ),
    (
        "19970805",
        "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU",
        days("1997-08 5,17,19,31"),
        True,
    ),
    (
        "20070115",
        "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5",
        days("2007-01 15,30; 2007-02 15; 2007-03 15,30"),
        True,
    ),
]


@pytest.mark.parametrize(("first", "rule", "wanted", "is_all"), EXAMPLES)
def test_the_examples_of_the_standard(
    first: str, rule: str, wanted: list[str], is_all: bool
) -> None:
    """Each published example gives the published times, on New York's wall clock.

    Source: RFC 5545, section 3.8.5.3.
    """
    lines = f"DTSTART;TZID=America/New_York:{first}T090000\nDURATION:PT1M\nRRULE:{rule}"
    start = datetime.strptime(first, "%Y%m%d").replace(tzinfo=UTC)
    stretch = timedelta(days=4000) if is_all else _until(wanted[-1]) - start
    reading = read_busy(calendar(event(lines)), "x.ics", TimeRange(start, start + stretch), LONDON)
    assert reading.problems == ()
    found = [
        f"{time.during.starts_at.astimezone(NEW_YORK):%Y-%m-%dT%H:%M}" for time in reading.times
    ]
    assert found == wanted


def _until(text: str) -> datetime:
    """Return a moment on the day of a time, after it, and before the day is over in New York."""
    return datetime.fromisoformat(text[:10] + "T23:30:00+00:00")


NUMBERS = {
    "BYMONTH": st.integers(1, 12),
    "BYMONTHDAY": st.integers(-31, 31).filter(bool),
    "BYYEARDAY": st.integers(-366, 366).filter(bool),
    "BYWEEKNO": st.integers(-53, 53).filter(bool),
    "BYHOUR": st.integers(0, 23),
    "BYMINUTE": st.integers(0, 59),
    "BYSECOND": st.integers(0, 59),
    "BYSETPOS": st.integers(-10, 10).filter(bool),
}
FREQUENCIES = ("YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY", "MINUTELY", "SECONDLY")


@st.composite
def rules(draw: st.DrawFn) -> str:
    """Draw the text of a rule that the standard allows."""
    frequency = draw(st.sampled_from(FREQUENCIES))
    parts = [f"FREQ={frequency}"]
    ruled_out = {
        "YEARLY": set(),
        "MONTHLY": {"BYWEEKNO", "BYYEARDAY"},
        "WEEKLY": {"BYWEEKNO", "BYYEARDAY", "BYMONTHDAY"},
        "DAILY": {"BYWEEKNO", "BYYEARDAY"},
    }.get(frequency, {"BYWEEKNO", "BYYEARDAY", "BYMONTHDAY", "BYMONTH", "BYSETPOS"})
    names = draw(st.sets(st.sampled_from(sorted(set(NUMBERS) - ruled_out)), max_size=3))
    for name in sorted(names):
        numbers = draw(st.lists(NUMBERS[name], min_size=1, max_size=4, unique=True))
        parts.append(f"{name}={','.join(map(str, numbers))}")
    has_week = "BYWEEKNO" in names
    if has_week or draw(st.booleans()):
        is_numbered = frequency in {"YEARLY", "MONTHLY"} and not has_week and draw(st.booleans())
        most = 5 if frequency == "MONTHLY" or "BYMONTH" in names else 53
        number = st.integers(-most, most).filter(bool) if is_numbered else st.just(0)
        chosen = draw(
            st.lists(st.tuples(number, st.sampled_from(WEEKDAYS)), min_size=1, max_size=3)
        )
        parts.append("BYDAY=" + ",".join(f"{n or ''}{weekday}" for n, weekday in chosen))
    parts.append(f"INTERVAL={draw(st.integers(1, 40))}")
    parts.append(f"WKST={draw(st.sampled_from(WEEKDAYS))}")
    if draw(st.booleans()):
        parts.append(f"COUNT={draw(st.integers(1, 60))}")
    return ";".join(parts)


@settings(max_examples=50, deadline=None)
@given(
    text=rules(),
    first=st.datetimes(datetime(2024, 1, 1), datetime(2027, 1, 1)),  # noqa: DTZ001
    skipped=st.integers(0, 700),
    length=st.integers(1, 800),
)
def test_another_implementation_agrees(
    text: str, first: datetime, skipped: int, length: int
) -> None:
    """Drawn rules give what dateutil gives, between any two times, plus the first time itself.

    dateutil leaves out a first time that the rule would not give, and does not count it.
    """
    first = first.replace(microsecond=0)
    is_fast = any(f"FREQ={name}" in text for name in FREQUENCIES[4:])
    low = first + timedelta(days=skipped // (30 if is_fast else 1))
    high = low + timedelta(days=length // (30 if is_fast else 1) + 1)
    rule = read_rule(text)
    ended = f";UNTIL={first + timedelta(days=3000):%Y%m%dT%H%M%S}"
    try:
        other = rrulestr(text.partition(";COUNT=")[0] + ended, dtstart=first)
    except ValueError:  # it refuses some rules that give nothing
        assume(False)
    made = itertools.takewhile(lambda moment: moment < high, _soon(other, high))
    found = [first, *(moment for moment in made if moment != first)]
    wanted = [m for m in found[: rule.count or None] if low <= m < high]
    try:
        assert list(expand(rule, first, low, high, Budget(300_000))) == wanted
    except BudgetError:
        assume(False)


def _soon(other: Iterable[datetime], high: datetime) -> list[datetime]:
    """Return what dateutil finds up to a time; rules that keep it busy are not compared.

    It may take so much of the processor, which says the same on a machine that has much to do.
    """
    found: list[datetime] = []
    before = signal.signal(signal.SIGVTALRM, _give_up)
    try:
        try:
            signal.setitimer(signal.ITIMER_VIRTUAL, 0.2)
            for moment in other:
                found.append(moment)
                if moment >= high:
                    break
        finally:  # its time may be over here, too
            signal.setitimer(signal.ITIMER_VIRTUAL, 0)
    except (TimeoutError, ValueError):
        assume(False)
    finally:
        signal.signal(signal.SIGVTALRM, before)
    return found


def _give_up(number: int, frame: object) -> None:
    raise TimeoutError


def test_the_first_time_always_counts() -> None:
    """A first time that the rule would not give is there all the same, and is one of COUNT."""
    rule = read_rule("FREQ=WEEKLY;BYDAY=MO;COUNT=3")
    found = list(expand(rule, START, START, START + timedelta(days=60), Budget(PLENTY)))
    assert [f"{moment:%m-%d}" for moment in found] == ["09-02", "09-08", "09-15"]


def test_the_work_does_not_grow_with_age() -> None:
    """A series from long ago costs no more than one that has just begun."""
    rule = read_rule("FREQ=MINUTELY;INTERVAL=7;BYHOUR=9")
    low = datetime(2026, 9, 1)  # noqa: DTZ001 - a wall clock's
    budget = Budget(5_000)
    old = datetime(1903, 5, 17, 3, 2, 1)  # noqa: DTZ001 - a wall clock's
    found = list(expand(rule, old, low, low + timedelta(days=7), budget))
    assert len(found) in range(56, 64)
    minutes = {(moment - old) // timedelta(minutes=1) % 7 for moment in found}
    assert minutes == {0}


def test_a_used_up_budget_is_told() -> None:
    """Work stops where its budget ends, with what was found before."""
    made = expand(read_rule("FREQ=SECONDLY"), START, START, START + timedelta(days=1), Budget(100))
    with pytest.raises(BudgetError):
        for _ in made:
            pass


def test_weeks_at_the_edges_of_time() -> None:
    """Week numbers near the first and the last day of the calendar do not fail."""
    rule = read_rule("FREQ=YEARLY;BYWEEKNO=52,53,1;BYDAY=MO,FR")
    first, last = datetime(1, 1, 1), datetime(9999, 12, 31, 23)  # noqa: DTZ001
    assert list(expand(rule, first, first, first + timedelta(days=20), Budget(PLENTY)))
    late = datetime(9998, 1, 1)  # noqa: DTZ001 - a wall clock's
    assert len(list(expand(rule, late, late, last, Budget(PLENTY)))) in range(8, 14)
