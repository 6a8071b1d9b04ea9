"""The club's settings from a TOML file."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.settings import ClubSettings
from clubplanner.domain.club.sharing_rules import (
    AgeRule,
    PitchLimit,
    rules_as_json,
    rules_from_json,
)
from clubplanner.domain.club.spread import Evenings
from clubplanner.domain.money.tariffs import Per, Spot
from clubplanner.domain.times.seasons import Break, Stretch
from clubplanner.domain.times.times import Window
from clubplanner.inputs.club_files.settings import SettingsRead, read_settings
from clubplanner.inputs.reading.faults import decode_text

if TYPE_CHECKING:
    from collections.abc import Sequence

CLUB = ("[club]", 'name = "Alderby Rovers"', 'time_zone = "Europe/London"')
VENUE = (
    "[[venues]]",
    'name = "Marsh Lane"',
    "lon = -1.2",
    "lat = 52.9",
    'opening = "Mon-Fri 17:00-22:00"',
)
STRETCH = ("[[stretches]]", 'name = "Autumn"', "starts = 2026-09-07", "ends = 2026-10-23")
BREAK = ("[[breaks]]", 'name = "Half-term"', "starts = 2026-10-26", "ends = 2026-10-26")
BOOKING = (
    "[[bookings]]",
    'who = "Evening Runners"',
    'venue = "Marsh Lane"',
    'pitch = "Top"',
    "date = 2026-11-25",
    'from = "20:00"',
    'to = "21:00"',
)


def changed(block: Sequence[str], line: str) -> tuple[str, ...]:
    """Return a block with a line put in the place of the one of the same key, or added."""
    key = line.partition("=")[0].strip()
    kept = [old for old in block if old.partition("=")[0].strip() != key]
    return (*kept, line)


def without(block: Sequence[str], key: str) -> tuple[str, ...]:
    """Return a block that lacks a key."""
    return tuple(line for line in block if line.partition("=")[0].strip() != key)


def read(*blocks: Sequence[str]) -> SettingsRead:
    """Read a file made of blocks of lines."""
    return read_settings("\n".join(line for block in blocks for line in block), "club.toml")


def faults_of(result: SettingsRead) -> list[tuple[str, str]]:
    """Return place and code of every problem, the file's name left out."""
    return [(p.where.removeprefix("club.toml, "), p.code) for p in result.problems]


def test_a_whole_file_is_read() -> None:
    """Club, venues, stretches, breaks and set bookings become values."""
    result = read(
        (*CLUB, "step_minutes = 10", "changeover_minutes = 5", "travel_minutes = 20"),
        (*VENUE, 'lights_off = "21:30"', "dusk_margin_minutes = -10", 'address = "Marsh Lane"'),
        STRETCH,
        BREAK,
        (*BOOKING, 'area = "Clubhouse third"', 'purpose = "match"', 'note = "Cup"'),
    )
    assert not result.problems
    assert result.club == ClubSettings("Alderby Rovers", "Europe/London", 10, 5, 20)
    assert result.club.time_zone.utcoffset(None) is None
    assert result.club.time_zone.key == ZoneInfo("Europe/London").key
    (venue,) = result.venues
    assert (venue.key, venue.name, venue.address) == ("marsh-lane", "Marsh Lane", "Marsh Lane")
    assert (venue.lon, venue.lat) == (-1.2, 52.9)
    assert venue.opening == tuple(Window(day, 1020, 1320) for day in range(5))
    assert (venue.lights_off_min, venue.dusk_margin_minutes) == (1290, -10)
    assert result.stretches == (Stretch("autumn", "Autumn", date(2026, 9, 7), date(2026, 10, 23)),)
    assert result.breaks == (Break("Half-term", date(2026, 10, 26), date(2026, 10, 26)),)
    (booking,) = result.bookings
    assert booking.place == "[[bookings]] 1"
    assert (booking.venue_key, booking.pitch_name) == ("marsh-lane", "Top")
    assert (booking.area_name, booking.note) == ("Clubhouse third", "Cup")
    assert (booking.day, booking.start_min, booking.end_min) == (date(2026, 11, 25), 1200, 1260)
    assert (booking.purpose, booking.holder) == (Purpose.MATCH, "Evening Runners")


def test_what_is_left_out_has_a_usual_value() -> None:
    """Sessions start each quarter of an hour; lights have no rule; a set booking is a hire."""
    result = read(CLUB, VENUE, BOOKING)
    assert not result.problems
    assert result.club == ClubSettings("Alderby Rovers", "Europe/London", 15, 0, 30)
    assert (result.venues[0].lights_off_min, result.venues[0].dusk_margin_minutes) == (None, 0)
    assert result.bookings[0].purpose is Purpose.HIRE
    assert result.bookings[0].area_name == ""


def test_lights_that_go_out_at_midnight_have_no_rule() -> None:
    """24:00 is as late as there is."""
    assert read(CLUB, (*VENUE, 'lights_off = "24:00"')).venues[0].lights_off_min is None


@pytest.mark.parametrize("text", ["[club", "a = ", "a = " + "[" * 5000, "a = " + "1" * 5000])
def test_a_file_that_is_no_toml_is_told_as_such(text: str) -> None:
    """Broken files and absurd ones give one problem for the whole file."""
    (problem,) = read_settings(text, "club.toml").problems
    assert (problem.where, problem.code) == ("club.toml", "not-toml")
    assert problem.message.startswith("The file cannot be read: ")


def test_an_empty_file_says_what_the_club_needs() -> None:
    """Name and time zone are asked for, whatever else there is."""
    assert faults_of(read()) == [("[club] time_zone", "missing"), ("[club] name", "missing")]


@pytest.mark.parametrize(
    ("block", "line", "place", "code", "advice"),
    [
        (CLUB, "name = 7", "[club] name", "wrong-kind", "“7” will not do; write text in double"),
        (CLUB, 'name = " "', "[club] name", "missing", "“name” is blank; write what people call"),
        (CLUB, 'time_zone = ""', "[club] time_zone", "missing", "write one like Europe/London"),
        (CLUB, 'time_zone = "Europe/Alderby"', "[club] time_zone", "unknown-zone", "Europe/London"),
        (CLUB, "step_minutes = 4", "[club] step_minutes", "out-of-range", "write 5 to 60"),
        (CLUB, "step_minutes = 7.5", "[club] step_minutes", "wrong-kind", "a whole number from 5"),
        (CLUB, "step_minutes = true", "[club] step_minutes", "wrong-kind", "“true” will not do"),
        (CLUB, f"step_minutes = 0x{'F' * 5000}", "[club] step_minutes", "out-of-range", "5 to 60"),
        (CLUB, 'travel_minutes = "30"', "[club] travel_minutes", "wrong-kind", "“30” will not do"),
        (CLUB, "changeover_minutes = 61", "[club] changeover_minutes", "out-of-range", "0 to 60"),
        (CLUB, 'colour = "red"', "[club] colour", "unknown", "“colour” is not known here"),
        (VENUE, "lon = 181", "[[venues]] 1 lon", "out-of-range", "write -180 to 180"),
        (VENUE, "lon = nan", "[[venues]] 1 lon", "out-of-range", "write -180 to 180"),
        (VENUE, "lat = -inf", "[[venues]] 1 lat", "out-of-range", "write -90 to 90"),
        (VENUE, f"lat = 1{'0' * 400}", "[[venues]] 1 lat", "out-of-range", "write -90 to 90"),
        (VENUE, f"lat = -1{'0' * 400}", "[[venues]] 1 lat", "out-of-range", "write -90 to 90"),
        (VENUE, 'lat = "52.9"', "[[venues]] 1 lat", "wrong-kind", "a number from -90 to 90"),
        (VENUE, "lat = false", "[[venues]] 1 lat", "wrong-kind", "“false” will not do"),
        (VENUE, 'opening = "Someday"', "[[venues]] 1 opening", "not-a-window", "Mon, Tue, Wed"),
        (VENUE, "opening = []", "[[venues]] 1 opening", "wrong-kind", "text in double quotes"),
        (VENUE, 'lights_off = "late"', "[[venues]] 1 lights_off", "not-a-time", "like 17:30"),
        (VENUE, 'lights_off = ""', "[[venues]] 1 lights_off", "not-a-time", "like 17:30"),
        (VENUE, "lights_off = 21:30:00", "[[venues]] 1 lights_off", "wrong-kind", "double quotes"),
        (
            VENUE,
            "dusk_margin_minutes = 61",
            "[[venues]] 1 dusk_margin_minutes",
            "out-of-range",
            "write -120 to 60",
        ),
        (
            STRETCH,
            'starts = "2026-09-07"',
            "[[stretches]] 1 starts",
            "wrong-kind",
            "without quotes",
        ),
        (
            STRETCH,
            "starts = 2026-09-07T10:00:00",
            "[[stretches]] 1 starts",
            "wrong-kind",
            "Leave out",
        ),
        (STRETCH, "starts = 0001-01-01", "[[stretches]] 1 starts", "out-of-range", "2000–2099"),
        (STRETCH, "ends = 2026-09-06", "[[stretches]] 1 ends", "out-of-range", "follow the first"),
        (STRETCH, "ends = 2028-09-06", "[[stretches]] 1 ends", "out-of-range", "at most 400 days"),
        (BREAK, "ends = 2026-10-25", "[[breaks]] 1 ends", "out-of-range", "not lie before"),
        (BREAK, "ends = 9999-12-31", "[[breaks]] 1 ends", "out-of-range", "2000–2099"),
        (BOOKING, "date = 9999-12-31", "[[bookings]] 1 date", "out-of-range", "2000–2099"),
        (BOOKING, 'purpose = "party"', "[[bookings]] 1 purpose", "unknown", "hire or closed"),
        (BOOKING, 'to = "20:00"', "[[bookings]] 1 to", "out-of-range", "come after the start"),
        (BOOKING, 'from = ""', "[[bookings]] 1 from", "not-a-time", "write it like 17:30"),
        (BOOKING, 'venue = ""', "[[bookings]] 1 venue", "missing", "“venue” is blank"),
        (BOOKING, 'pitch = ""', "[[bookings]] 1 pitch", "missing", "“pitch” is blank"),
        (BOOKING, 'who = "\\t"', "[[bookings]] 1 who", "missing", "“who” is blank"),
        (BOOKING, "note = 1", "[[bookings]] 1 note", "wrong-kind", "text in double quotes"),
    ],
)
def test_a_faulty_value_is_told_with_what_to_write(
    block: tuple[str, ...], line: str, place: str, code: str, advice: str
) -> None:
    """Table and key are named, with one problem for one fault, and what will do instead."""
    rest = [other for other in (CLUB, VENUE, STRETCH, BREAK, BOOKING) if other is not block]
    result = read(*rest, changed(block, line))
    assert faults_of(result) == [(place, code)]
    assert advice in result.problems[0].message


@pytest.mark.parametrize(
    ("block", "key"),
    [
        (CLUB, "name"),
        (CLUB, "time_zone"),
        (VENUE, "name"),
        (VENUE, "lon"),
        (VENUE, "opening"),
        (STRETCH, "starts"),
        (BREAK, "ends"),
        (BOOKING, "who"),
        (BOOKING, "date"),
        (BOOKING, "from"),
        (BOOKING, "pitch"),
    ],
)
def test_a_missing_value_is_asked_for(block: tuple[str, ...], key: str) -> None:
    """What a table cannot do without is named, once."""
    rest = [other for other in (CLUB, VENUE, STRETCH, BREAK, BOOKING) if other is not block]
    result = read(*rest, without(block, key))
    (problem,) = result.problems
    assert problem.code == "missing"
    assert f"“{key}” is missing; write" in problem.message


def test_unknown_parts_and_wrong_brackets_are_told() -> None:
    """A misspelt part, a table where a list belongs and a value where a table does."""
    result = read(
        ('venue = "x"', "stretches = [1]", "breaks = {}"), CLUB, ("[bookings]", 'who = "a"')
    )
    assert faults_of(result) == [
        ("[venue]", "unknown"),
        ("[[stretches]] 1", "not-a-table"),
        ("[[stretches]] 1 name", "missing"),
        ("[[stretches]] 1 starts", "missing"),
        ("[[stretches]] 1 ends", "missing"),
        ("[breaks]", "not-a-list"),
        ("[bookings]", "not-a-list"),
    ]
    assert (
        "write club, venues, stretches, breaks, bookings, ages, limits, clubs, keep, money, "
        "tariffs, reductions or prices" in result.problems[0].message
    )
    assert "Write it with double brackets: [[bookings]]" in result.problems[-1].message


@pytest.mark.parametrize(("block", "part"), [(VENUE, "venues"), (STRETCH, "stretches")])
def test_two_things_of_one_name_are_refused(block: tuple[str, ...], part: str) -> None:
    """Venues and stretches are known by their names, in any capitals."""
    twin = tuple(line.replace("M", "m").replace("A", "a") for line in block)
    assert faults_of(read(CLUB, block, twin, twin)) == [(f"[[{part}]]", "repeated")]


def test_every_fault_of_a_file_is_found_at_once() -> None:
    """One bad table hides no other; good ones are still read."""
    result = read(
        changed(CLUB, 'time_zone = "Mars"'),
        changed(changed(VENUE, "lon = 500"), 'opening = "x"'),
        changed(STRETCH, "starts = 1"),
        BREAK,
        changed(changed(BOOKING, 'from = "25:00"'), 'colour = "red"'),
    )
    assert sorted(faults_of(result)) == [
        ("[[bookings]] 1 colour", "unknown"),
        ("[[bookings]] 1 from", "not-a-time"),
        ("[[stretches]] 1 starts", "wrong-kind"),
        ("[[venues]] 1 lon", "out-of-range"),
        ("[[venues]] 1 opening", "not-a-window"),
        ("[club] time_zone", "unknown-zone"),
    ]
    assert result.breaks
    assert (result.club, result.venues, result.stretches, result.bookings) == (None, (), (), ())


@given(st.text())
def test_no_text_is_thrown_back(text: str) -> None:
    """Any text gives problems, as no random text names a club."""
    assert read_settings(text, "club.toml").problems


@given(st.binary())
def test_no_bytes_are_thrown_back(data: bytes) -> None:
    """Bytes of any other program are told as a file that cannot be used."""
    assert read_settings(decode_text(data), "club.toml").problems


KEYS = st.sampled_from(
    [
        "name", "time_zone", "step_minutes", "lon", "lat", "opening", "lights_off", "starts",
        "ends", "who", "venue", "pitch", "area", "date", "from", "to", "purpose", "note",
        "dusk_margin_minutes",
    ]
)  # fmt: skip
VALUES = st.sampled_from(
    [
        '""', '"x"', '"Europe/London"', '"17:30"', '"Mon 17:00-18:00"', "1", "-1", "1e400", "nan",
        "9" * 400, "true", "[]", "{}", "[[[[]]]]", "2026-02-28", "2026-02-28T17:00:00Z", "17:30:00",
        '"closed"', '"hire"', "0xFF", "2100-01-01",
    ]
)  # fmt: skip
BLOCKS = st.tuples(
    st.sampled_from(["[club]", "[[venues]]", "[[stretches]]", "[[breaks]]", "[[bookings]]"]),
    st.dictionaries(KEYS, VALUES, max_size=9),
)


@given(st.lists(BLOCKS, max_size=4))
def test_no_value_is_thrown_back(blocks: list[tuple[str, dict[str, str]]]) -> None:
    """Any values under the right keys give problems, or a club that can be used."""
    lines = [
        (head, *(f"{key} = {value}" for key, value in values.items())) for head, values in blocks
    ]
    result = read(*lines)
    if not result.problems:
        assert result.club is not None
        assert result.club.time_zone.key == result.club.zone
        assert all(venue.lat is None or abs(venue.lat) <= 90 for venue in result.venues)
        assert all(b.start_min < b.end_min for b in result.bookings)


def test_rules_for_sharing_out_are_read() -> None:
    """Latest finish and wear by age, limits and prices; the lowest fitting age counts."""
    result = read(
        (*CLUB, "compact_evenings = true", 'evenings = "few"'),
        ("[[ages]]", "up_to = 12", 'latest_finish = "20:00"'),
        ("[[ages]]", "up_to = 9", 'latest_finish = "19:00"', 'earliest_start = "16:30"'),
        ("[[ages]]", "up_to = 7", "wear_percent = 50"),
        ("[[limits]]", 'venue = "Marsh Lane"', 'pitch = "Top"', "minutes = 600"),
        ("[[prices]]", 'venue = "Marsh Lane"', "per_hour = 2000", "per_opening = 500"),
    )
    assert not result.problems
    assert result.club is not None
    rules = result.club.rules
    assert rules.wants_compact
    assert rules.evenings is Evenings.FEW
    assert rules.for_age(7) == AgeRule(7, None, 50)
    assert rules.for_age(8) == AgeRule(9, 1140, 100, 990)
    assert rules.for_age(10) == AgeRule(12, 1200, 100)
    assert rules.for_age(13).latest_finish_min is None
    assert rules.for_age(None).wear_percent == 100
    assert rules.limits == (PitchLimit("Marsh Lane", "Top", 600, None),)
    lane = Spot("Marsh Lane")
    assert [(one.tariff.spot, one.tariff.per, one.amount) for one in result.tariffs or ()] == [
        (lane, Per.HOUR, 2000),
        (lane, Per.OPENING, 500),
    ]
    assert rules_from_json(rules_as_json(rules)) == rules  # type: ignore[arg-type]


def test_evenings_are_even_unless_something_else_is_said() -> None:
    """No word is even; a word that is none is told with those that are, at its line."""
    quiet = read(CLUB)
    assert quiet.club is not None
    assert quiet.club.rules.evenings is Evenings.EVEN
    result = read((*CLUB, 'evenings = "seldom"'))
    (problem,) = result.problems
    assert (problem.where, problem.code) == ("club.toml, [club] evenings", "unknown")
    assert "cheap" in problem.message
    assert "few" in problem.message


def test_faulty_rules_for_sharing_out_are_told() -> None:
    """No age, no limit, a price for opening a pitch."""
    result = read(
        CLUB,
        ("[[ages]]", 'latest_finish = "20:00"'),
        ("[[limits]]", 'venue = "Marsh Lane"', 'pitch = "Top"'),
        ("[[limits]]", 'venue = "Marsh Lane"', 'pitch = "Top"', "minutes = -1"),
        ("[[prices]]", 'venue = "Marsh Lane"', 'pitch = "Top"', "per_opening = 5"),
    )
    assert faults_of(result) == [
        ("[[ages]] 1 up_to", "out-of-range"),
        ("[[limits]] 1", "missing"),
        ("[[limits]] 2 minutes", "out-of-range"),
        ("[[prices]] 1 per_opening", "contradiction"),
    ]


def test_faulty_money_is_told() -> None:
    """No such currency, a part without its pitch, hours that run backwards, and the like."""
    result = read(
        CLUB,
        ("[money]", 'currency = "XXQ"', "late_percent = 101"),
        ("[[tariffs]]", 'venue = "Marsh Lane"', 'part = "half-1"', 'amount = "1"'),
        ("[[tariffs]]", 'venue = "Lane"', 'amount = "1"', 'from = "22:00"', 'to = "02:00"'),
        ("[[tariffs]]", 'venue = "Lane"', 'amount = "1"', 'season_from = "02-30"'),
        ("[[tariffs]]", 'venue = "Lane"', 'amount = "1"', 'payer = "nobody"'),
        ("[[reductions]]", 'hirer = "School"', "percent = 5"),
        ("[[reductions]]", 'payer = "hirer"'),
    )
    assert faults_of(result) == [
        ("[money] currency", "unknown"),
        ("[money] late_percent", "out-of-range"),
        ("[[tariffs]] 1 pitch", "missing"),
        ("[[tariffs]] 2 to", "contradiction"),
        ("[[tariffs]] 3 season_from", "contradiction"),
        ("[[tariffs]] 3 season_to", "contradiction"),
        ("[[tariffs]] 4 payer", "unknown"),
        ("[[reductions]] 1 hirer", "contradiction"),
        ("[[reductions]] 2 percent", "contradiction"),
    ]


def test_the_way_to_a_venue_is_read() -> None:
    """As typed, on one line; blank and hidden where it is left out."""
    told = (
        'way_in = "Gate by\\n the willow"',
        'parking = "Gravel lot"',
        'contact = "Ines Varley"',
        'contact_phone = "+44 1632  960417"',
        "phone_for_parents = true",
    )
    (venue,) = read(CLUB, (*VENUE, *told)).venues
    assert (venue.way_in, venue.parking) == ("Gate by the willow", "Gravel lot")
    assert (venue.contact, venue.contact_phone) == ("Ines Varley", "+44 1632 960417")
    assert venue.phone_for_parents
    (bare,) = read(CLUB, VENUE).venues
    assert (bare.way_in, bare.parking, bare.contact, bare.contact_phone) == ("", "", "", "")
    assert not bare.phone_for_parents


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('contact_phone = "ring Ines"', "is not a telephone number; write digits"),
        (f'parking = "{"x" * 201}"', "Write at most 200 letters"),
        ('phone_for_parents = "yes"', "write true or false"),
        ("way_in = 3", "write text in double quotes"),
    ],
)
def test_what_cannot_be_used_of_the_way_is_told(line: str, said: str) -> None:
    """At its key, with what to write instead."""
    problems = read(CLUB, (*VENUE, line)).problems
    assert [line.partition(" ")[0] in str(problem) for problem in problems] == [True]
    assert said in str(problems[0])
