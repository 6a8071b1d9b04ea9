"""A folder is taken in as a whole into an empty database, or all its faults are told."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest
from sqlalchemy import select

from clubplanner.domain.club.people import Role
from clubplanner.errors import FaultyInputError, NoClubError, RefusedError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.resources import invented_club_files
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.folder.exporting import export_folder
from clubplanner.services.folder.sheets.statement_lines import StatementLines
from clubplanner.services.folder.taking_in import has_room_for_a_club, take_in_folder
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.store.tables.notice_tables import NoticeRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.season_tables import ChangeRow
from clubplanner.store.upkeep.migrate import check_store
from tests.builders import NOW
from tests.council import person_called
from tests.small_club import load_small_club
from tests.stores import count_rows, make_wish, put_booking

if TYPE_CHECKING:
    from collections.abc import Iterable

    from clubplanner.services.folder.sheets.names import Names
    from clubplanner.store.engine import Store

THERE = "marsh-lane-top-pitch/third-1"
BOOKED = "uid,ground,starts,ends,purpose,squad,who,note,withdrawn,fixed,overruled,share-out,"
BOOKED += "times changed,created,changed,pieces\n"


def small_folder(store: Store) -> dict[str, ClubFile]:
    """Return the small club as files by their names."""
    load_small_club(store)
    return {file.name: file for file in export_folder(store)}


def changed(folder: dict[str, ClubFile], **texts: str) -> list[ClubFile]:
    """Return a folder with some sheets written otherwise; underscores stand for hyphens."""
    named = {f"{name.replace('_', '-')}.csv": text for name, text in texts.items()}
    new = {name: ClubFile(name, text.encode()) for name, text in named.items()}
    return list((folder | new).values())


def faults_of(store: Store, files: Iterable[ClubFile]) -> list[str]:
    """Return the faults of a folder, and see that it has changed nothing."""
    before = count_rows(store)
    with pytest.raises(FaultyInputError) as raised:
        take_in_folder(store, files, NOW)
    assert count_rows(store) == before
    check_store(store)
    return [str(problem) for problem in raised.value.problems]


def test_what_was_never_typed_stays(club_store: Store, empty_store: Store) -> None:
    """Nobody is mailed anew, addresses do not come along, and the journal has one line."""
    put_booking(club_store, make_wish(club_store))
    create_squad_link(club_store, "u13-kestrels", "a test", NOW)
    report = take_in_folder(empty_store, export_folder(club_store), NOW)
    assert report.lines[-1] == "4 bookings"
    counts = count_rows(empty_store)
    assert counts["link"] == counts["notice"] == counts["mail"] == 0
    with empty_store.read() as session:
        assert session.scalars(select(NoticeRow)).all() == []
        assert session.scalars(select(ChangeRow.words)).all() == ["took in the club's folder"]


def test_a_club_goes_on_after_it_was_taken_in(club_store: Store, empty_store: Store) -> None:
    """The guard stands again, and new bookings are numbered after those that came in."""
    put_booking(club_store, make_wish(club_store))
    take_in_folder(empty_store, export_folder(club_store), NOW)
    check_store(empty_store)
    assert put_booking(empty_store, make_wish(empty_store, "third-2")) == 5


def test_files_that_somebody_wrote_are_a_folder_too(empty_store: Store) -> None:
    """Settings, grounds and squads with their coaches make a club without any sheet."""
    files = [ClubFile(path.name, path.read_bytes()) for path in invented_club_files()]
    take_in_folder(empty_store, files, NOW)
    with empty_store.read() as session:
        assert session.scalar(select(PersonRow.name).where(PersonRow.name == "Ada Thornlow"))


def test_a_club_is_not_mixed_with_another(club_store: Store) -> None:
    """Where there are records already it is refused with what to do, and nothing changes."""
    files, before = list(export_folder(club_store)), count_rows(club_store)
    with pytest.raises(RefusedError, match="empty database"):
        take_in_folder(club_store, files, NOW)
    assert count_rows(club_store) == before
    assert not has_room_for_a_club(club_store)


def test_there_is_nothing_to_send_without_a_club(empty_store: Store) -> None:
    """Without a club nothing goes out, and that is said."""
    with pytest.raises(NoClubError):
        list(export_folder(empty_store))
    assert has_room_for_a_club(empty_store)


def test_all_faults_are_told_at_once(small: Store, empty_store: Store) -> None:
    """Each fault of each sheet is told with its file, row and column."""
    folder = small_folder(small)
    files = changed(
        folder,
        people="number,name,e-mail,phone,role,may sign in,created,ended\n"
        "1,Robin,,,captain,perhaps,,\n1,Sam,,,coach,no,yesterday,\n,Kim,,,coach,no,,\n",
        coaches="squad,person,position,began,ended\nU99 Owls,1,0,,\nU12 Kestrels,77,x,,\n",
        bookings=BOOKED
        + f"a,{THERE},2026-11-25 18:00,2026-11-25 17:00,training,,X,,no,no,,,0,,,\n"
        + "b,nowhere/third-1,2026-11-25 18:00,2026-11-25 19:00,party,,X,,no,no,,9,0,,,\n"
        + f"c,{THERE},2026-11-25 18:00,2026-11-25 19:00,training,,X,,no,no,,,0,,,,too many\n",
        turnouts="squad,date\nU12 Kestrels,2026-11-25\n",
        closures="",
    )
    told = faults_of(empty_store, [*files, ClubFile("notes.docx", b"x")])
    for place in (
        "people.csv, row 2, column role",
        "people.csv, row 2, column may sign in",
        "people.csv, row 3, column created",
        "people.csv, row 3, column number",
        "people.csv, row 4, column number",
        "coaches.csv, row 3, column position",
        "bookings.csv, row 2",
        "bookings.csv, row 3, column purpose",
        "bookings.csv, row 4",
        "turnouts.csv, row 1",
        "closures.csv",
        "notes.docx",
    ):
        assert any(one.startswith(place) for one in told), (place, told)


def test_what_does_not_exist_is_told_where_it_is_named(small: Store, empty_store: Store) -> None:
    """A squad, a person, ground or a proposal that is not in the folder is told by its name."""
    files = changed(
        small_folder(small),
        coaches="squad,person,position,began,ended\nU99 Owls,1,0,,\nU12 Kestrels,77,0,,\n",
        bookings=BOOKED
        + "b,nowhere/third-1,2026-11-25 18:00,2026-11-25 19:00,hire,,X,,no,no,,9,0,,,\n",
    )
    told = faults_of(empty_store, files)
    where = ["coaches.csv, row 2, column squad", "coaches.csv, row 3, column person"]
    where += ["bookings.csv, row 2, column ground", "bookings.csv, row 2, column share-out"]
    assert [one.partition(": ")[0] for one in told] == where
    missing = ["squad “U99 Owls”", "person “77”", "part of a pitch “nowhere/third-1”"]
    for one, called in zip(told, [*missing, "share-out “9”"], strict=True):
        words = f"There is no {called} in this folder; correct it, or add it there."
        assert one.endswith(words)


def test_two_bookings_of_one_ground_are_told(small: Store, empty_store: Store) -> None:
    """Bookings that overlap are told by both their rows; withdrawn ones are in nobody's way."""
    line = "{},marsh-lane-top-pitch/{},2026-11-25 {},2026-11-25 {},hire,,X,,{},no,,,0,,,\n"
    files = changed(
        small_folder(small),
        bookings=BOOKED
        + line.format("a", "third-1", "18:00", "19:00", "no")
        + line.format("b", "third-2", "18:00", "19:00", "no")
        + line.format("c", "whole", "18:30", "20:00", "no")
        + line.format("d", "whole", "18:30", "20:00", "yes")
        + line.format("e", "third-1", "20:00", "21:00", "no"),
    )
    held = "Its ground is held in row {} at the same time; move or withdraw one of them."
    assert faults_of(empty_store, files) == [
        f"bookings.csv, row 4: {held.format(2)}",
        f"bookings.csv, row 4: {held.format(3)}",
    ]


def test_ground_that_a_part_never_had_is_told(small: Store, empty_store: Store) -> None:
    """A booking to come holds the pieces of its part, whatever its row says."""
    line = f"a,{THERE},2026-11-25 18:00,2026-11-25 19:00,hire,,X,,no,no,,,0,,,4096\n"
    (told,) = faults_of(empty_store, changed(small_folder(small), bookings=BOOKED + line))
    assert told.startswith("bookings.csv, row 2: A booking does not go with")


def test_what_the_records_refuse_is_told_at_its_row(small: Store, empty_store: Store) -> None:
    """What only the database knows to be wrong, such as two of one kind, has its row as well."""
    files = changed(
        small_folder(small),
        squad_seasons="squad,starts,ends\nU12 Kestrels,2026-09-01,\nU14 Harriers,,\n"
        "U12 Kestrels,2026-10-01,\n",
    )
    (told,) = faults_of(empty_store, files)
    assert told.startswith("squad-seasons.csv, row 4: The records do not take this row")


def test_coaches_stand_in_one_place(small: Store, empty_store: Store) -> None:
    """A squads file with coaches beside a sheet of them is told, as one would be lost."""
    folder = small_folder(small)
    squads = "squad,players,coach,sessions a week,minutes,possible\nU12 Kestrels,14,Robin,0,,\n"
    (told, *_others) = faults_of(empty_store, changed(folder, squads=squads))
    assert told.startswith("squads.csv: Who coaches stands in coaches.csv")


def test_faults_of_the_typed_files_hide_no_others(small: Store, empty_store: Store) -> None:
    """With a fault in the settings, sheets are read all the same; what they name is not doubted."""
    folder = small_folder(small)
    settings = folder["settings.toml"].data.replace(b"step_minutes = 15", b"step_minutes = 99")
    files = [
        *changed(folder, training_holidays="date\nsoon\n").copy(),
        ClubFile("settings.toml", settings),
    ]
    files = list({file.name: file for file in files}.values())
    told = faults_of(empty_store, files)
    assert len(told) == 2
    assert told[0].startswith("settings.toml, [club] step_minutes")
    assert told[1].startswith("training-holidays.csv, row 2, column date")


def test_a_sheet_that_a_spreadsheet_saved_is_read(small: Store, empty_store: Store) -> None:
    """Semicolons, CRLF, a byte order mark and blank rows at the end change nothing."""
    folder = small_folder(small)
    text = folder["coaches.csv"].data.decode()
    saved = "\ufeff" + text.replace(",", ";").replace("\n", "\r\n") + ";;;;\r\n"
    take_in_folder(empty_store, changed(folder, coaches=saved), NOW)
    assert {file.name: file for file in export_folder(empty_store)} == folder


def test_what_computers_put_into_folders_is_left_alone(small: Store, empty_store: Store) -> None:
    """Files that no person put there are no fault."""
    files = [
        *small_folder(small).values(),
        ClubFile(".DS_Store", b"\0"),
        ClubFile("Thumbs.db", b""),
    ]
    assert take_in_folder(empty_store, files, NOW).lines


def test_who_is_signed_in_stays_so(small: Store, empty_store: Store) -> None:
    """The secretary who takes the club in is the one of the file, and keeps their rights."""
    draft = PersonDraft("Mo Brook", Role.SECRETARY, "mo@rovers.example", ())
    add_person(small, draft, NOW)
    number = add_person(empty_store, draft, NOW)
    with empty_store.write() as session:
        session.get_one(PersonRow, number).password_hash = "kept"
    files = small_folder(small)
    take_in_folder(empty_store, files.values(), NOW)
    with empty_store.read() as session:
        (found,) = session.scalars(select(PersonRow).where(PersonRow.name == "Mo Brook"))
        assert (found.id, found.password_hash, found.may_sign_in) == (number, "kept", True)
    assert {file.name: file for file in export_folder(empty_store)} == files


def test_clubs_are_named_in_one_place(small: Store, empty_store: Store) -> None:
    """Clubs in the settings beside a sheet of them are told; so is a column beside a sheet."""
    folder = small_folder(small)
    settings = folder["settings.toml"].data + b'\n[[clubs]]\nname = "Weir Rovers"\n'
    squads = "squad,club,players,sessions a week,minutes,possible\nU12,Weir Rovers,14,0,,\n"
    files = changed(
        folder | {"settings.toml": ClubFile("settings.toml", settings)},
        clubs="name,position,ended\nWeir Rovers,0,\n",
        squad_clubs="squad,club\nWeir Rovers U12,Weir Rovers\n",
        squads=squads,
    )
    told = faults_of(empty_store, files)
    assert told[0].startswith("clubs.csv: Which clubs there are stands in the settings, too")
    assert told[1].startswith("squads.csv: Which club a squad is of stands in squad-clubs.csv")


def test_clubs_of_the_settings_have_secretaries(small: Store, empty_store: Store) -> None:
    """A folder that somebody wrote names clubs where settings do, and sheets speak of them."""
    folder = small_folder(small)
    settings = folder["settings.toml"].data + b'\n[[clubs]]\nname = "Weir Rovers"\n'
    squads = "squad,club,players,sessions a week,minutes,possible\nU12,Weir Rovers,14,0,,\n"
    files = changed(
        {"settings.toml": ClubFile("settings.toml", settings)},
        squads=squads,
        people="number,name,e-mail,phone,role,may sign in,created,ended\n1,Kim,,,coach,yes,,\n",
        club_secretaries="person,club\n1,weir rovers\n",
    )
    take_in_folder(empty_store, files, NOW)
    kim = person_called(empty_store, "Kim")
    assert (kim.role, kim.squad_keys) == (Role.CLUB_SECRETARY, frozenset({"weir-rovers-u12"}))


def test_who_does_something_else_is_no_clubs_secretary(small: Store, empty_store: Store) -> None:
    """Whoever takes a club in keeps their own rights, and a role that is no coach's is told."""
    draft = PersonDraft("Mo Brook", Role.SECRETARY, "mo@rovers.example", ())
    add_person(empty_store, draft, NOW)
    people = "number,name,e-mail,phone,role,may sign in,created,ended\n"
    files = changed(
        small_folder(small),
        coaches="squad,person,position,began,ended\n",
        people=people + "1,Mo Brook,mo@rovers.example,,coach,yes,,\n2,Sam,,,groundskeeper,yes,,\n",
        clubs="name,position,ended\nWeir Rovers,0,\n",
        club_secretaries="person,club\n1,Weir Rovers\n2,Weir Rovers\n",
    )
    told = faults_of(empty_store, files)
    assert [one.partition(" has another role")[0] for one in told] == [
        "club-secretaries.csv: Mo Brook",
        "club-secretaries.csv: Sam",
    ]


def test_a_row_without_what_it_is_called_by_is_told(small: Store, empty_store: Store) -> None:
    """A club without a name, and a person without a number, are told at their cells."""
    files = changed(
        small_folder(small),
        clubs="name,position,ended\n ,0,\n",
        coaches="squad,person,position,began,ended\n",
        people="number,name,e-mail,phone,role,may sign in,created,ended\n"
        ",Kim,,,club's secretary,yes,,\n",
    )
    blank = "The cell is blank; write what no other row has there."
    unknown = "“club's secretary” is not known here; write secretary, groundskeeper or coach."
    assert faults_of(empty_store, files) == [
        f"clubs.csv, row 2, column name: {blank}",
        f"people.csv, row 2, column role: {unknown}",
        f"people.csv, row 2, column number: {blank}",
    ]


def test_calendars_of_others_that_are_none_are_told(small: Store, empty_store: Store) -> None:
    """A file of a calendar that no row speaks of is told."""
    files = [*small_folder(small).values(), ClubFile("other-calendar-7.ics", b"BEGIN")]
    (told,) = faults_of(empty_store, files)
    assert told.startswith("other-calendar-7.ics: There is no calendar of others")


@pytest.mark.parametrize("text", ["", "[]", '{"sort": "stretch"}', "{", '{"stretch":1}'])
def test_a_proposal_that_is_none_is_told(small: Store, empty_store: Store, text: str) -> None:
    """A file of a proposal that cannot be read is told, and no page ever meets it."""
    files = [*small_folder(small).values(), ClubFile("share-out-1.json", text.encode())]
    (told,) = faults_of(empty_store, files)
    assert told.startswith("share-out-1.json")


WHOLE_LINE = (
    '{"day": "2025-11-26", "start": "18:00", "end": "19:15", "place": "Top pitch", '
    '"purpose": "hire", "who": "", "tariff": "", "per": "hour", "adds": false, "rate": 1500, '
    '"minutes": 75, "free_minutes": 0, "share": "1", "percent_owed": 100, "reduction": "", '
    '"percent_off": 0, "amount": 1875}'
)


@pytest.mark.parametrize(
    "lines",
    [
        "soon",
        "{}",
        "[1]",
        '[{"day": "2025-11-26"}]',
        f"[{WHOLE_LINE}]".replace("2025-11-26", "26 November"),
        f"[{WHOLE_LINE}]".replace('"hour"', '"week"'),
        f"[{WHOLE_LINE}]".replace('"1"', '"1/0"'),
        f"[{WHOLE_LINE}]".replace("1875", '"1875"'),
    ],
)
def test_lines_of_a_statement_come_in_whole_or_not_at_all(lines: str) -> None:
    """No page meets a line that it cannot show or add up."""
    kind, names = StatementLines(), cast("Names", None)
    kept = kind.read(f"[{WHOLE_LINE}]", names)
    assert kind.read(kind.write(kept, names), names) == kept
    with pytest.raises(ValueError, match="no lines of a statement"):
        kind.read(lines, names)
