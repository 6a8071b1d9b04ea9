"""Tests of time zone descriptions, read by code that shares nothing with the writer."""

from __future__ import annotations

import calendar
import importlib.resources
import io
import struct
from bisect import bisect_right
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo, available_timezones

import pytest
from dateutil.rrule import rrulestr  # type: ignore[import-untyped]
from dateutil.tz import tzical  # type: ignore[import-untyped]
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.outputs.calendars import timezones
from clubplanner.outputs.calendars.timezones import DATA_RELEASE, build_timezone, wall_time

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    WriteZone = Callable[..., str]
    Part = Any  # properties of a component have no type of their own until they are read

FIRST_YEAR = int(DATA_RELEASE[:4])
"""Descriptions promise to hold from here on; 2026 with the data of that year."""
YEARS = range(FIRST_YEAR, FIRST_YEAR + 3)
ZONES = (
    "Europe/London",
    "Europe/Dublin",
    "America/New_York",
    "America/St_Johns",
    "Australia/Sydney",
    "Australia/Lord_Howe",
    "Pacific/Chatham",
    "Antarctica/Troll",
    "Asia/Kathmandu",
)
DAY_NAMES = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")


def zone_from_package(zone: str) -> ZoneInfo:
    """Return a zone's exact offsets from the same release that the descriptions come from."""
    path = importlib.resources.files("tzdata").joinpath("zoneinfo", *zone.split("/"))
    with path.open("rb") as file:
        return ZoneInfo.from_file(file, key=zone)


def zones_in_package() -> list[str]:
    """Return every zone known to Python that the package has too."""
    listed = importlib.resources.files("tzdata").joinpath("zones").read_text("utf-8").split()
    return sorted(available_timezones() & set(listed))


def days_of_rule(rule: Part, year: int) -> list[date]:
    """Count out the days in a year that a yearly BYMONTH and BYDAY rule means."""
    parts = dict(part.split("=") for part in rule.to_ical().decode().split(";"))
    month, by_day = int(parts.pop("BYMONTH")), parts.pop("BYDAY")
    assert parts == {"FREQ": "YEARLY"}
    weekday, nth = DAY_NAMES.index(by_day[-2:]), int(by_day[:-2])
    days = range(1, calendar.monthrange(year, month)[1] + 1)
    hits = [date(year, month, d) for d in days if date(year, month, d).weekday() == weekday]
    return [hits[nth - 1 if nth > 0 else nth]]


def onsets(component: Part, years: range) -> list[tuple[datetime, timedelta]]:
    """Return when each offset of a description starts, in order, from long before the years."""
    found = []
    for part in component.subcomponents:
        start = part["DTSTART"].dt
        before, after = part["TZOFFSETFROM"].td, part["TZOFFSETTO"].td
        days = [start.date()]
        if "RRULE" in part:
            for year in range(years[0] - 1, years[-1] + 2):
                days += days_of_rule(part["RRULE"], year)
        for day in days:
            instant = datetime.combine(day, start.time(), UTC) - before
            found.append((instant, after))
    return sorted(found)


def read_by_dateutil(zone: str) -> tzical:
    """Read a description with dateutil."""
    component = build_timezone(zone)
    assert component is not None
    return tzical(io.StringIO(component.to_ical().decode())).get(zone)


@pytest.fixture(scope="module")
def components() -> dict[str, Part]:
    """Return the description of every zone, or None."""
    return {zone: build_timezone(zone) for zone in zones_in_package()}


def test_every_described_zone_agrees_with_its_exact_offsets(
    components: dict[str, Part],
) -> None:
    """All descriptions give the database's offsets for three years, at every change and between."""
    start = datetime(YEARS[0], 1, 1, tzinfo=UTC)
    count = (datetime(YEARS[-1] + 1, 1, 1, tzinfo=UTC) - start) // timedelta(hours=25)
    between = [start + timedelta(hours=25) * step for step in range(count)]
    wrong = set()
    for zone, component in components.items():
        if component is None:
            continue
        info = zone_from_package(zone)
        changes = onsets(component, YEARS)
        instants = [instant for instant, _ in changes]
        edges = [i + timedelta(seconds=s) for i in instants for s in (-1, 0)]
        for instant in between + [edge for edge in edges if edge.year in YEARS]:
            _, offset = changes[bisect_right(instants, instant) - 1]
            if offset != instant.astimezone(info).utcoffset():
                wrong.add(zone)
    assert not wrong


def test_most_zones_can_be_described(components: dict[str, Part]) -> None:
    """Nearly every zone has a description, and those without it are few."""
    described = [component for component in components.values() if component is not None]
    changing = [component for component in described if len(component.subcomponents) == 2]
    assert len(changing) > 150
    assert len(described) > 500
    assert len(components) - len(described) < 40


def test_first_onset_is_in_1970_and_follows_the_rule(
    components: dict[str, Part],
) -> None:
    """Every part starts in 1970, at a moment that its own rule names."""
    for component in filter(None, components.values()):
        for part in component.subcomponents:
            start = part["DTSTART"].dt
            assert start.year == 1970
            if "RRULE" in part:
                assert rrulestr(part["RRULE"].to_ical().decode(), dtstart=start)[0] == start


@pytest.mark.parametrize("zone", ZONES)
def test_dateutil_reads_the_same_instants(zone: str) -> None:
    """A wall-clock time given out is the right instant to another reader of the description."""
    reader = read_by_dateutil(zone)
    instant = datetime(FIRST_YEAR, 1, 1, tzinfo=UTC)
    told = 0
    while instant.year in YEARS:
        wall = wall_time(zone, instant)
        if wall is not None:
            told += 1
            assert wall.replace(tzinfo=reader).astimezone(UTC) == instant
        instant += timedelta(hours=29)
    assert told > 890


@given(
    zone=st.sampled_from(ZONES),
    instant=st.datetimes(
        datetime.fromisoformat(f"{FIRST_YEAR}-01-02"),
        datetime.fromisoformat(f"{FIRST_YEAR + 30}-01-01"),
        timezones=st.just(UTC),
    ),
)
def test_a_wall_time_means_one_instant_only(zone: str, instant: datetime) -> None:
    """Whatever is told is the exact wall time, and no other instant shows it."""
    info = zone_from_package(zone)
    wall = wall_time(zone, instant)
    first, second = (instant.astimezone(info).replace(fold=fold).astimezone(UTC) for fold in (0, 1))
    if first == second:
        assert wall == instant.astimezone(info).replace(tzinfo=None)
    else:
        assert wall is None


@pytest.mark.parametrize(
    ("zone", "change", "quarters"),
    [
        ("Europe/London", datetime(2026, 10, 25, 1, tzinfo=UTC), 8),
        ("America/New_York", datetime(2026, 11, 1, 6, tzinfo=UTC), 8),
        ("Australia/Lord_Howe", datetime(2026, 4, 4, 15, tzinfo=UTC), 4),
        ("Antarctica/Troll", datetime(2026, 10, 25, 1, tzinfo=UTC), 16),
        ("Europe/London", datetime(2026, 3, 29, 1, tzinfo=UTC), 0),
    ],
)
def test_only_times_shown_twice_are_held_back(zone: str, change: datetime, quarters: int) -> None:
    """No wall time is told for what the clock shows twice, and for nothing else that night."""
    steps = [change + timedelta(minutes=15) * step for step in range(-24, 24)]
    held_back = [step for step in steps if wall_time(zone, step) is None]
    around = range(-quarters // 2, quarters // 2)
    assert held_back == [change + timedelta(minutes=15) * step for step in around]


def test_times_before_the_present_rule_are_held_back() -> None:
    """A year in which the clocks changed on other days is not told by the present rule."""
    between_old_and_new_start = datetime(2005, 3, 20, 17, tzinfo=UTC)
    assert wall_time("America/New_York", between_old_and_new_start) is None
    shown_twice_at_the_old_end = datetime(2005, 10, 30, 5, 30, tzinfo=UTC)
    assert wall_time("America/New_York", shown_twice_at_the_old_end) is None
    assert wall_time("America/New_York", datetime(2005, 7, 20, 17, tzinfo=UTC)) is not None


def test_daylight_time_is_the_one_further_east() -> None:
    """Summer time in Ireland is its legal standard time, and is still written as DAYLIGHT."""
    component: Part = build_timezone("Europe/Dublin")
    assert component is not None
    parts = {part.name: part for part in component.subcomponents}
    assert parts["DAYLIGHT"]["TZOFFSETTO"].td == timedelta(hours=1)
    assert parts["STANDARD"]["TZOFFSETTO"].td == timedelta(0)
    assert (parts["DAYLIGHT"]["TZNAME"], parts["STANDARD"]["TZNAME"]) == ("IST", "GMT")


def test_a_zone_without_clock_changes_has_one_part() -> None:
    """Where the clocks never change there is a single STANDARD part without a rule."""
    component: Part = build_timezone("Asia/Kathmandu")
    assert component is not None
    (part,) = component.subcomponents
    assert part.name == "STANDARD"
    assert "RRULE" not in part
    assert part["TZOFFSETFROM"].td == part["TZOFFSETTO"].td == timedelta(hours=5, minutes=45)


@pytest.mark.parametrize("zone", ["Africa/Cairo", "America/Nuuk", "Asia/Gaza", "Asia/Jerusalem"])
def test_zones_no_rule_can_say_have_no_description(zone: str) -> None:
    """Changes on "the day after" some weekday leave a zone without description and wall times."""
    assert build_timezone(zone) is None
    assert wall_time(zone, datetime(2026, 7, 1, tzinfo=UTC)) is None


@pytest.mark.parametrize(
    "zone",
    ["", "Europe", "Europe/", "/Europe/London", "Europe/Nowhere", "../zoneinfo/UTC", "zones",
     "Europe\\London", "Europe/London\n", "tzdata.zi", "localtime", "x" * 5000],
)  # fmt: skip
def test_unknown_zones_are_refused(zone: str) -> None:
    """A name that is no zone is refused in words, and never leads out of the database."""
    with pytest.raises(ValueError, match="There is no time zone called"):
        build_timezone(zone)
    with pytest.raises(ValueError, match="There is no time zone called"):
        wall_time(zone, datetime(2026, 7, 1, tzinfo=UTC))


def test_an_instant_needs_a_zone() -> None:
    """A time without a zone is refused rather than guessed at."""
    with pytest.raises(ValueError, match="Give the time with its zone"):
        wall_time("Europe/London", datetime(2026, 7, 1))  # noqa: DTZ001 - the fault under test


@pytest.fixture
def write_zone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[WriteZone]:
    """Return a function that writes a zone file of our own making and returns its name."""
    monkeypatch.setattr(importlib.resources, "files", lambda _package: tmp_path)
    timezones._load_zone.cache_clear()
    (tmp_path / "zoneinfo").mkdir()

    def write(footer: str, listed: tuple[tuple[datetime, int], ...] = ()) -> str:
        # Version 2 layout of RFC 9636, section 3.1: offset types 0 = UTC, 1 = an hour east.
        head = struct.pack(">4sc15x6l", b"TZif", b"2", 0, 0, 0, 0, 1, 4)
        body = struct.pack(">lbB", 0, 0, 0) + b"AAA\0"
        second = struct.pack(">4sc15x6l", b"TZif", b"2", 0, 0, 0, len(listed), 2, 8)
        times = b"".join(struct.pack(">q", int(instant.timestamp())) for instant, _ in listed)
        kinds = bytes(kind for _, kind in listed)
        types = struct.pack(">lbB", 0, 0, 0) + struct.pack(">lbB", 3600, 1, 4)
        data = head + body + second + times + kinds + types + b"AAA\0BBB\0"
        (tmp_path / "zoneinfo" / "Made").write_bytes(data + f"\n{footer}\n".encode())
        return "Made"

    yield write
    timezones._load_zone.cache_clear()


@pytest.mark.parametrize(
    ("footer", "parts"),
    [
        ("AAA0", 1),
        ("<+0130>-1:30", 1),
        ("AAA0BBB,M3.5.0/1,M10.5.0", 2),
        ("AAA-1BBB0,M10.5.0/2,M3.5.0/1", 2),
        ("<-03>3:30:30<-02>2:30,M9.1.6/23:59:59,M4.4.6/0", 2),
        ("AAA0BBB,J60/2,J300/2", None),
        ("AAA0BBB,59/2,299/2", None),
        ("AAA0BBB,M3.5.0/-1,M10.5.0/0", None),
        ("AAA0BBB,M3.4.4/50,M10.4.4/50", None),
        ("AAA0BBB,M3.5.0/24,M10.5.0/1", None),
        ("", None),
    ],
)
def test_every_form_of_rule_is_told_or_declined(
    write_zone: WriteZone, footer: str, parts: int | None
) -> None:
    """Rules by weekday of a month are told; those by day number or beyond midnight are not."""
    start = datetime(FIRST_YEAR, 1, 1, tzinfo=UTC)
    component = build_timezone(write_zone(footer))
    assert (component and len(component.subcomponents)) == parts
    if component is not None:
        made = (timezones._load_zone("Made").info, onsets(component, YEARS))
        for step in range(3 * 365):
            instant = start + timedelta(days=step)
            offset = made[1][bisect_right([i for i, _ in made[1]], instant) - 1][1]
            assert offset == instant.astimezone(made[0]).utcoffset()


def test_a_rule_that_starts_only_later_is_not_told(write_zone: WriteZone) -> None:
    """A zone whose file lists other changes first has no description, however far ahead."""
    spring, autumn = (
        datetime(FIRST_YEAR + 9, 3, 4, tzinfo=UTC),
        datetime(FIRST_YEAR + 9, 5, 6, tzinfo=UTC),
    )
    assert build_timezone(write_zone("AAA0", ((spring, 1), (autumn, 0)))) is None


def test_a_year_the_clocks_stay_put_is_noticed(write_zone: WriteZone) -> None:
    """A rule whose changes are left out in a year to come is not told for that zone."""
    rule = "AAA0BBB,M3.5.0/1,M10.5.0"
    component: Part = build_timezone(write_zone(rule))
    usual = [
        (instant, offset // timedelta(hours=1))
        for instant, offset in onsets(component, YEARS)
        if instant.year in YEARS
    ]
    timezones._load_zone.cache_clear()
    assert build_timezone(write_zone(rule, tuple(usual))) is not None
    skipped = [change for change in usual if change[0].year != FIRST_YEAR + 1]
    timezones._load_zone.cache_clear()
    assert build_timezone(write_zone(rule, tuple(skipped))) is None


def test_changes_of_the_past_do_not_matter(write_zone: WriteZone) -> None:
    """What the clocks did before the data's own year keeps no zone from being described."""
    long_ago = (datetime(1980, 3, 4, tzinfo=UTC), 1), (datetime(1980, 5, 6, tzinfo=UTC), 0)
    assert build_timezone(write_zone("AAA0", long_ago)) is not None
    assert wall_time("Made", datetime(1980, 4, 1, tzinfo=UTC)) is None


def test_a_damaged_file_is_no_zone(write_zone: WriteZone, tmp_path: Path) -> None:
    """A file that holds no time zone is refused in words."""
    (tmp_path / "zoneinfo" / "Broken").write_bytes(b"TZif2 but not really")
    with pytest.raises(ValueError, match="There is no time zone called 'Broken'"):
        build_timezone("Broken")
