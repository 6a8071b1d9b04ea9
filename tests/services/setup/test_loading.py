"""Loading a club's files: all of them or nothing."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import FaultyInputError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.club_files.settings import read_settings
from clubplanner.inputs.club_files.squads_file.squads import read_squads
from clubplanner.inputs.ground_files.grounds import read_grounds
from clubplanner.resources import FILE_KINDS, invented_club_files
from clubplanner.services.rows.ground.known_sizes import format_codes, published_formats
from clubplanner.services.rows.ground.own_sizes import load_own_formats
from clubplanner.services.rows.snapshot import (
    load_asks,
    load_breaks,
    load_club,
    load_squads,
    load_stretches,
    load_venues,
)
from clubplanner.services.setup import loading
from clubplanner.services.setup.loading import load_files
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import NOW
from tests.outputs.tables.tables import as_workbook
from tests.services.club_files import (
    GROUNDS,
    SETTINGS,
    SQUADS,
    club_files,
    grounds,
    set_booking,
    settings,
    text_of,
)
from tests.stores import count_rows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.domain.problems import Problem
    from clubplanner.store.engine import Store


SQUAD_COUNT = len(text_of(SQUADS).splitlines()) - 1


def areas_in(name: str) -> int:
    """Count the areas of a grounds file."""
    return sum(len(pitch.areas) for pitch in read_grounds(text_of(name), name).pitches)


def faults_of(store: Store, files: Sequence[ClubFile]) -> tuple[Problem, ...]:
    """Load files that have faults and return these, having made sure that nothing changed."""
    before = count_rows(store)
    with pytest.raises(FaultyInputError, match="nothing was changed") as caught:
        load_files(store, files, NOW)
    assert count_rows(store) == before
    return caught.value.problems


def codes_of(store: Store, files: Sequence[ClubFile]) -> list[tuple[str, str]]:
    """Return place and code of each fault of some files."""
    return [(problem.where, problem.code) for problem in faults_of(store, files)]


def test_a_club_is_loaded_and_told_in_sentences(empty_store: Store) -> None:
    """The report counts what was written, of one and of several."""
    report = load_files(empty_store, club_files(), NOW)
    assert report.lines == (
        "Tarnholt Wanderers",
        "2 venues, 3 stretches and 3 breaks",
        f"3 pitches with {areas_in('millrace-centre.geojson')} areas at Millrace Centre",
        f"3 pitches with {areas_in(GROUNDS)} areas at Osier Lane",
        f"{SQUAD_COUNT} squads with {SQUAD_COUNT} asks",
        "2 sizes of the club's own",
        "3 set bookings",
    )


def test_what_is_kept_is_what_the_files_say(club_store: Store) -> None:
    """Values read back from the records equal those read from the files."""
    said = read_settings(text_of(SETTINGS), SETTINGS)
    squads = read_squads(text_of(SQUADS), SQUADS, format_codes(published_formats()))
    with club_store.read() as session:
        assert load_club(session) == said.club
        assert load_stretches(session) == said.stretches
        assert load_breaks(session) == said.breaks
        kept_squads = load_squads(session)
        assert {squad.coach_number > 0 for squad in kept_squads} == {True}
        assert [replace(squad, coach_number=0) for squad in kept_squads] == list(squads.squads)
        assert [ask for _, ask in load_asks(session)] == [row.ask for row in squads.asks]
        venues = {venue.key: venue for venue in load_venues(session)}
    for name in (GROUNDS, "millrace-centre.geojson"):
        read = read_grounds(text_of(name), name)
        assert venues[read.venue_key].pitches == read.pitches
    for venue in said.venues:
        kept = venues[venue.key]
        assert (kept.name, kept.lon, kept.lat) == (venue.name, venue.lon, venue.lat)
        assert (kept.opening, kept.lights_off_min) == (venue.opening, venue.lights_off_min)


def test_set_bookings_come_with_the_settings(club_store: Store) -> None:
    """A hire, a closure and a match stand at their wall-clock times and are fixed."""
    with club_store.read() as session:
        rows = session.scalars(select(BookingRow).order_by(BookingRow.starts_at)).all()
        found = [(row.holder, row.purpose, row.area.name, row.starts_at) for row in rows]
        squads = [row.squad and row.squad.key for row in rows]
    assert found == [
        (
            "Tarnholt Evening Runners",
            Purpose.HIRE,
            "Railway third",
            datetime(2026, 11, 25, 20, tzinfo=UTC),
        ),
        (
            "Frost on the brook side",
            Purpose.CLOSED,
            "Brook half",
            datetime(2026, 11, 28, 9, tzinfo=UTC),
        ),
        (
            "Men's First",
            Purpose.MATCH,
            "Whole of Top pitch",
            datetime(2026, 11, 28, 13, 30, tzinfo=UTC),
        ),
    ]
    assert squads == [None, None, "men-s-first"]
    assert all(row.is_fixed and row.sequence == 0 for row in rows)


def test_the_order_of_the_files_does_not_matter(empty_store: Store, club_store: Store) -> None:
    """Squads before settings give the same club as settings before squads."""
    load_files(empty_store, club_files()[::-1], NOW)
    with empty_store.read() as one, club_store.read() as other:
        assert load_squads(one) == load_squads(other)
        assert set(load_venues(one)) == set(load_venues(other))
    assert count_rows(empty_store) == count_rows(club_store)


def test_every_fault_of_every_file_is_found_at_once(empty_store: Store) -> None:
    """Faults in settings, grounds and squads are told together, and nothing is written."""
    files = club_files(
        club=text_of(SETTINGS).replace("lat = 52.3146", "lat = 152"),
        osier_lane=text_of(GROUNDS).replace('"role": "entrance"', '"role": "gate"', 1),
        squads=text_of(SQUADS).replace("U7 Wrens,U7,12,0", "U7 Wrens,U7,twelve,0"),
    )
    assert codes_of(empty_store, files) == [
        ("club.toml, [[venues]] 1 lat", "out-of-range"),
        ("osier-lane.geojson, feature 2, property role", "unknown"),
        ("squads.csv, row 2, column players", "not-a-number"),
    ]
    assert set(count_rows(empty_store).values()) == {0}


def test_a_faulty_file_leaves_a_loaded_club_alone(club_store: Store) -> None:
    """One bad row in one file keeps the good files out too."""
    files = club_files(squads=text_of(SQUADS).replace("U7 Wrens,U7,12,0", "U7 Wrens,U7,12,13"))
    files.append(settings(set_booking()))
    problems = faults_of(club_store, files)
    assert "squads.csv, row 2, column goalkeepers" in [problem.where for problem in problems]


def test_no_file_is_a_fault(club_store: Store) -> None:
    """Loading nothing says what to name."""
    assert codes_of(club_store, []) == [("", "no-files")]


def test_a_file_of_another_kind_is_told_what_to_be(club_store: Store) -> None:
    """Endings decide what a file is; capitals do not."""
    (problem,) = faults_of(club_store, [ClubFile("squads.xls", b"")])
    assert (problem.where, problem.code) == ("squads.xls", "unknown-kind")
    assert ".toml, grounds in .geojson, squads and sizes in .csv" in problem.message
    load_files(club_store, [ClubFile("SQUADS.CSV", text_of(SQUADS).encode())], NOW)


def test_the_demo_needs_no_other_kind_of_file() -> None:
    """Every ending that is listed for loading can be loaded."""
    assert {path.suffix for path in invented_club_files()} <= set(FILE_KINDS)


def test_a_file_too_large_is_not_read(club_store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file beyond the limit is told as such and never parsed."""
    monkeypatch.setattr(loading, "LARGEST_FILE_BYTES", 10)
    assert codes_of(club_store, [ClubFile("a.csv", b"x" * 11)]) == [("a.csv", "too-large")]


def test_the_first_files_must_hold_the_settings(empty_store: Store) -> None:
    """Without a club there is nothing to add pitches and squads to."""
    files = [file for file in club_files() if file.name != SETTINGS]
    codes = codes_of(empty_store, files)
    assert ("", "no-club") in codes
    assert ("osier-lane.geojson", "no-such-venue") in codes


def test_faulty_settings_are_not_called_missing(empty_store: Store) -> None:
    """A settings file with a fault has its fault told, and no venue is called unknown for it."""
    files = club_files(club=text_of(SETTINGS).replace('lights_off = "', 'lights_off = "late ', 1))
    assert [code for _, code in codes_of(empty_store, files)] == ["not-a-time"]


def test_grounds_of_a_venue_nobody_knows_are_refused(club_store: Store) -> None:
    """The message names the venues there are."""
    text = text_of(GROUNDS).replace('"venue": "Osier Lane"', '"venue": "Osier Lain"')
    (problem,) = faults_of(club_store, [ClubFile(GROUNDS, text.encode())])
    assert problem.code == "no-such-venue"
    assert "“osier-lain” (known: millrace-centre or osier-lane)" in problem.message


def test_longitude_and_latitude_the_wrong_way_round_are_noticed(club_store: Store) -> None:
    """A pitch traced with latitude first lies far from its venue and is refused."""
    data = json.loads(text_of("millrace-centre.geojson"))
    (court,) = (f for f in data["features"] if f["geometry"])
    ring = court["geometry"]["coordinates"][0]
    court["geometry"]["coordinates"] = [[[lat, lon] for lon, lat in ring]]
    (problem,) = faults_of(
        club_store, [ClubFile("millrace-centre.geojson", json.dumps(data).encode())]
    )
    assert (problem.where, problem.code) == ("millrace-centre.geojson, “Court”", "far-away")
    assert re.search(
        r"lies \d{4} km from its venue, and beside it with longitude and latitude the",
        problem.message,
    )


def test_a_surface_that_no_pitch_has_is_told(club_store: Store) -> None:
    """The message lists the surfaces there are."""
    text = text_of(SQUADS).replace("quarter,artificial,", "quarter,carpet,", 1)
    row = 1 + next(n for n, line in enumerate(text.splitlines()) if "carpet" in line)
    (problem,) = faults_of(club_store, [ClubFile(SQUADS, text.encode())])
    assert (problem.where, problem.code) == (
        f"squads.csv, row {row}, column surface",
        "no-such-surface",
    )
    assert "“carpet”; write artificial, grass or indoor" in problem.message


def test_a_surface_of_a_faulty_pitch_is_not_called_unknown(empty_store: Store) -> None:
    """While a pitch has a fault nobody can say which surfaces there are."""
    text = text_of("millrace-centre.geojson").replace('"surface": "indoor"', '"surface": 1')
    codes = [code for _, code in codes_of(empty_store, club_files(millrace_centre=text))]
    assert set(codes) == {"wrong-kind"}


def test_squads_may_come_before_any_pitch(empty_store: Store) -> None:
    """Without any pitch surfaces are not looked at."""
    files = [settings(), ClubFile(SQUADS, text_of(SQUADS).encode())]
    text = files[0].data.decode().partition("[[bookings]]")[0]
    load_files(empty_store, [ClubFile(SETTINGS, text.encode()), files[1]], NOW)
    assert count_rows(empty_store)["squad"] == SQUAD_COUNT


@pytest.mark.parametrize(
    ("values", "code", "advice"),
    [
        ({"pitch": '"Top"'}, "no-such-pitch", "osier-lane has no pitch “Top”"),
        ({"venue": '"Mill"'}, "no-such-pitch", "mill has no pitch “Top pitch”"),
        ({"area": '"Railway fifth"'}, "no-such-area", "write one of: Whole of Top pitch, Railway"),
        (
            {"date": "2026-11-28", "from_": '"15:00"', "to": '"17:00"'},
            "clash",
            "Whole of Top pitch is held by Men's First 13:30–16:00.",
        ),
        (
            {"date": "2027-03-28", "from_": '"01:30"', "to": '"02:15"'},
            "not-a-time",
            "01:30 does not come on Sunday 28 March 2027: the clocks go from 01:00 to 02:00.",
        ),
    ],
)
def test_a_set_booking_that_cannot_be_is_told(
    club_store: Store, values: dict[str, str], code: str, advice: str
) -> None:
    """Its number in the file is named with what stands in its way; the rest is not written."""
    file = settings(set_booking(date="2026-12-01"), set_booking(**values))
    (problem,) = faults_of(club_store, [file])
    assert (problem.where, problem.code) == ("[[bookings]] 5", code)
    assert advice in problem.message


def test_set_bookings_are_real_on_both_nights_the_clocks_change(club_store: Store) -> None:
    """Four hours on the wall are five in autumn and three in spring."""
    night = {"from_": '"00:00"', "to": '"04:00"'}
    file = settings(
        set_booking(date="2026-10-25", **night), set_booking(date="2027-03-28", **night)
    )
    load_files(club_store, [file], NOW)
    with club_store.read() as session:
        query = select(BookingRow).where(BookingRow.holder == "Night Runners")
        rows = session.scalars(query.order_by(BookingRow.starts_at)).all()
    assert [(row.ends_at - row.starts_at).total_seconds() / 3600 for row in rows] == [5, 3]


def test_one_settings_file_at_a_time(club_store: Store) -> None:
    """The second would undo the first, so neither is taken."""
    files = [settings(), ClubFile("more.toml", text_of(SETTINGS).encode())]
    assert codes_of(club_store, files) == [("", "two-settings")]


def test_squads_may_come_in_several_files(empty_store: Store) -> None:
    """Asks of both files stand; nobody is called left out for being in the other."""
    header, *rows = text_of(SQUADS).splitlines()
    halves = [
        ClubFile("young.csv", "\n".join([header, *rows[:10]]).encode()),
        ClubFile("old.csv", "\n".join([header, *rows[10:]]).encode()),
    ]
    files = [file for file in club_files() if file.name != SQUADS]
    report = load_files(empty_store, [*files, *halves], NOW)
    assert f"{SQUAD_COUNT} squads with {SQUAD_COUNT} asks" in report.lines
    assert not any("no longer" in line for line in report.lines)


def test_what_stands_in_two_files_is_refused(club_store: Store) -> None:
    """A squad or pitch in two files would lose one of its two descriptions."""
    squads, ground = text_of(SQUADS).encode(), text_of(GROUNDS).encode()
    files = [
        ClubFile("a.csv", squads),
        ClubFile("b.csv", squads),
        ClubFile("a.json", ground),
        ClubFile("b.json", ground),
    ]
    problems = faults_of(club_store, files)
    assert {problem.code for problem in problems} == {"repeated"}
    assert len(problems) == SQUAD_COUNT + 3
    assert problems[0].message == "The pitch “Top pitch” is in a.json too; keep it in one file."


def test_formats_are_known_smallest_first() -> None:
    """Squads may name the game formats of the published tables."""
    formats = format_codes(published_formats())
    assert {"5v5", "7v7", "9v9", "11v11"} <= set(formats)
    assert formats.index("5v5") < formats.index("7v7") < formats.index("11v11")


def test_a_spreadsheets_bytes_are_read(club_store: Store) -> None:
    """Windows-1252 with semicolons, as some spreadsheets save it, is loaded whole."""
    text = (
        "squad;players;sessions a week;minutes;possible;coach\r\n"
        "Mädchen;12;1;60;Mon 17:00-19:00;Zoë Brûlé\r\n"
    )
    load_files(club_store, [ClubFile("s.csv", text.encode("cp1252"))], NOW)
    with club_store.read() as session:
        squad = next(squad for squad in load_squads(session) if squad.key == "madchen")
    assert (squad.name, squad.coach) == ("Mädchen", "Zoë Brûlé")


def test_a_pitch_can_be_added_later(club_store: Store) -> None:
    """A grounds file with one more pitch adds just that."""
    more = {
        "type": "Feature",
        "properties": {
            "role": "pitch",
            "name": "Cage",
            "surface": "artificial",
            "length_m": 30,
            "width_m": 15,
        },
        "geometry": None,
    }
    before = count_rows(club_store)
    report = load_files(club_store, [grounds(lambda _: None, more)], NOW)
    assert report.lines == (f"4 pitches with {areas_in(GROUNDS) + 1} areas at Osier Lane",)
    after = count_rows(club_store)
    changed = {name: after[name] - before[name] for name in after if after[name] != before[name]}
    assert changed == {"pitch": 1, "area": 1, "booking_change": 1, "changed_record": 1}


def test_a_workbook_is_loaded_as_text_is(empty_store: Store) -> None:
    """Squads and sizes come from sheets of one workbook, fixtures are told where to go."""
    sizes = "code,players_a_side,age_from,age_to,length_m,width_m\nours,6,9,10,50.5,35\n"
    load_files(empty_store, club_files(), NOW)
    with empty_store.read() as session:
        squads, asks = load_squads(session), load_asks(session)
    book = as_workbook({"Squads": text_of(SQUADS), "Sizes": sizes})
    load_files(empty_store, [ClubFile("tables.xlsx", book)], NOW)
    with empty_store.read() as session:
        assert (load_squads(session), load_asks(session)) == (squads, asks)
        assert [(one.code, one.length_m) for one in load_own_formats(session)] == [("ours", 50.5)]
    fixtures = ClubFile("f.xlsx", as_workbook({"F": "date,kick-off,squad,opponent\n"}))
    with pytest.raises(FaultyInputError) as refused:
        load_files(empty_store, [fixtures], NOW)
    assert [problem.code for problem in refused.value.problems] == ["fixtures"]
