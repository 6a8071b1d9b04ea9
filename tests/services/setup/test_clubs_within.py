"""Clubs within a record: whose squads are whose, in files, forms and tables, moved and ended."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.club.people import Role
from clubplanner.errors import FaultyInputError, MissingError, RefusedError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.calendars.calendar_links import list_links
from clubplanner.services.coach.ground_page import see_ground
from clubplanner.services.evening.bookings import see_booking, withdraw_booking
from clubplanner.services.evening.evening import booking_choices, see_evening
from clubplanner.services.giving.swaps import accept_swap, offer_swap
from clubplanner.services.history.fairness import see_fairness
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.pasting.sent import SentTable
from clubplanner.services.pasting.tables import take_table
from clubplanner.services.people.people import (
    PersonDraft,
    add_person,
    change_person,
    end_access,
    list_people,
    see_person,
)
from clubplanner.services.rows.own_club import club_names_by_key, load_clubs
from clubplanner.services.setup.clubs.page import let_club_end, name_club, name_club_anew, see_clubs
from clubplanner.services.setup.loading import load_files
from clubplanner.services.setup.squads.ends import end_squad_from
from clubplanner.services.setup.squads.forms import (
    NEW,
    save_squad,
    see_squad_form,
    write_squads_file,
)
from clubplanner.services.setup.squads.page import see_squads
from clubplanner.store.tables.season_tables import WaitingAskRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow
from tests.builders import A_WEDNESDAY, NOW
from tests.council import (
    BROOK,
    BROOK_U10,
    BROOK_U14,
    COUNCIL_SETTINGS,
    COUNCIL_SQUADS,
    KIM,
    NOOR,
    OFFICE,
    PARKS,
    WEIR,
    WEIR_U10,
    WEIR_U12,
    as_secretary,
    book_squad,
    club_number,
    load_council,
    person_called,
)
from tests.small_club import SETTINGS, SQUADS, find_squad_id
from tests.stores import booking_row

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.stores import Filled


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give a council of this test's own."""
    return filled(load_council)


def clubs_of(store: Store) -> dict[str, str]:
    """Return the club of each squad, by the squad's name."""
    with store.read() as session:
        clubs = club_names_by_key(session)
        return {row.name: clubs.get(row.key, "") for row in session.scalars(select(SquadRow))}


def save(store: Store, key: str, **changes: str) -> str:
    """Save a squad's form with some cells changed; return its key."""
    form = see_squad_form(store, key)
    return save_squad(store, key, {**form.squad, **changes}, form.asks, form.seen, NOW)


def squads_seen(store: Store) -> list[str]:
    """Return the names of the squads that somebody's list has."""
    return [shown.squad.name for shown in see_squads(store, NOW).squads]


def test_two_clubs_have_squads_of_one_name(store: Store) -> None:
    """Each is called by its club, too; each secretary sees one's own squads and no others."""
    assert clubs_of(store) == {
        "Weir Rovers U12 Kestrels": WEIR,
        "Brook Athletic U14 Harriers": BROOK,
        "Weir Rovers U10": WEIR,
        "Brook Athletic U10": BROOK,
        "Parks squad": "",
    }
    assert squads_seen(as_secretary(store, KIM)) == ["Weir Rovers U12 Kestrels", "Weir Rovers U10"]
    assert squads_seen(as_secretary(store, NOOR)) == [
        "Brook Athletic U14 Harriers",
        "Brook Athletic U10",
    ]
    assert len(squads_seen(store)) == 5


def test_the_squads_file_comes_back_the_same(store: Store) -> None:
    """The file has a column of clubs; loaded again it changes nothing, in any order of words."""
    text = write_squads_file(store)
    assert text.decode().splitlines()[0].endswith(",club")
    before, changes = clubs_of(store), len(list_changes(store, NOW, count=99))
    load_files(store, [ClubFile("squads.csv", text)], NOW)
    assert (clubs_of(store), write_squads_file(store)) == (before, text)
    assert len(list_changes(store, NOW, count=99)) == changes
    own = write_squads_file(as_secretary(store)).decode()
    assert "Brook" not in own
    assert own.count(WEIR) == 4


def test_a_file_without_the_column_leaves_squads_whose_they_are(store: Store) -> None:
    """Only a column of clubs says whose squads are; a blank cell of it says of none."""
    rows = "squad,players,sessions a week,minutes,possible\nWeir Rovers U10,11,1,60,Mon 17:00-19:00"
    load_files(store, [ClubFile("squads.csv", rows.encode())], NOW)
    assert clubs_of(store)["Weir Rovers U10"] == WEIR
    with_column = rows.replace("squad,", "club,squad,").replace("\nWeir", "\n,Weir")
    load_files(store, [ClubFile("squads.csv", with_column.encode())], NOW)
    assert clubs_of(store)["Weir Rovers U10"] == ""


def test_a_file_puts_a_squad_of_no_club_into_one(store: Store) -> None:
    """It stays the squad that it was, with its bookings, and is called by the club."""
    number = book_squad(store, PARKS)
    text = COUNCIL_SQUADS.replace(",Parks squad,", "Brook Athletic,Parks squad,")
    load_files(store, [ClubFile("squads.csv", text.encode())], NOW)
    row = booking_row(store, number)
    assert (row.holder, row.sequence) == ("Brook Athletic Parks squad", 1)
    assert clubs_of(store)["Brook Athletic Parks squad"] == BROOK


@pytest.mark.parametrize(
    ("club", "squad", "code"),
    [("Nobody", "U9", "no-such-club"), (WEIR, "Brook Athletic U9", "other-club")],
)
def test_a_file_names_clubs_that_are_there(store: Store, club: str, squad: str, code: str) -> None:
    """Neither an unknown club nor the name of another one in front of a squad is taken."""
    text = f"{COUNCIL_SQUADS}{club},{squad},U9,8,1,,,,1,60,Mon-Fri 17:00-18:00,third\n"
    with pytest.raises(FaultyInputError) as fault:
        load_files(store, [ClubFile("squads.csv", text.encode())], NOW)
    assert [problem.code for problem in fault.value.problems] == [code]


def test_a_single_club_knows_of_no_clubs(small: Store) -> None:
    """Its file has no column of clubs, and takes none; its forms have no list of them."""
    assert b"club" not in write_squads_file(small)
    assert see_squad_form(small, "u12-kestrels").clubs == ()
    assert not see_squads(small, NOW).names_clubs
    with pytest.raises(FaultyInputError) as fault:
        load_files(small, [ClubFile("squads.csv", f"club,{SQUADS}".encode())], NOW)
    assert "unknown-column" in {problem.code for problem in fault.value.problems}


def test_settings_name_clubs_and_end_them(store: Store) -> None:
    """Clubs left out of a file that names some end, unless squads of theirs go on."""
    text = COUNCIL_SETTINGS.replace(f'[[clubs]]\nname = "{BROOK}"', '[[clubs]]\nname = "Mill End"')
    with pytest.raises(FaultyInputError, match="1 fault") as fault:
        load_files(store, [ClubFile("club.toml", text.encode())], NOW)
    assert "Brook Athletic has 2 squads that go on" in fault.value.problems[0].message
    for key in (BROOK_U10, BROOK_U14):
        save(store, key, club=WEIR, squad=f"Old {key}")
    load_files(store, [ClubFile("club.toml", text.encode())], NOW)
    assert [(one.name, one.has_ended) for one in see_clubs(store)] == [
        *((WEIR, False), ("Mill End", False), (BROOK, True))
    ]
    silent = SETTINGS.replace("Alderby Rovers", "Alderby Council")
    load_files(store, [ClubFile("club.toml", silent.encode())], NOW)
    assert len(see_clubs(store)) == 3


@pytest.mark.parametrize("name", ["", "Weir Rovers", "Weir", "Weir Rovers Juniors", "x" * 61])
def test_clubs_can_be_told_apart_by_their_names(store: Store, name: str) -> None:
    """A name that is blank, taken, too long, or the beginning of another one's is refused."""
    with pytest.raises(FaultyInputError):
        name_club(store, name)


def test_a_club_gets_another_name_and_its_squads_with_it(store: Store) -> None:
    """Bookings, keys and wishes follow; calendars take the new name."""
    number = book_squad(store, WEIR_U10)
    name_club_anew(store, club_number(store, WEIR), "Weirside", NOW)
    row = booking_row(store, number)
    assert (row.holder, row.sequence) == ("Weirside U10", 1)
    assert squads_seen(as_secretary(store)) == ["Weirside U12 Kestrels", "Weirside U10"]


def test_a_squad_moves_between_clubs(store: Store) -> None:
    """It keeps bookings and addresses, is called by its new club, and changes its secretary."""
    number = book_squad(store, WEIR_U12)
    secret = create_squad_link(store, WEIR_U12, "parents", NOW)
    key = save(store, WEIR_U12, club=BROOK)
    assert key == "brook-athletic-u12-kestrels"
    assert booking_row(store, number).holder == "Brook Athletic U12 Kestrels"
    assert see_ground(store, secret, None, NOW).squad.name == "Brook Athletic U12 Kestrels"
    with pytest.raises(RefusedError, match="Brook Athletic"):
        see_booking(as_secretary(store, KIM), number)
    assert see_booking(as_secretary(store, NOOR), number).number == number
    numbers = [line.number for line in list_changes(as_secretary(store, KIM), NOW)]
    assert list_changes(store, NOW)[0].number not in numbers
    save(store, key, club="")
    assert clubs_of(store)["U12 Kestrels"] == ""


def test_a_move_that_would_make_two_of_one_name_is_refused(store: Store) -> None:
    """The other club has an under ten already."""
    with pytest.raises(FaultyInputError, match="fault"):
        save(store, WEIR_U10, club=BROOK)
    assert clubs_of(store)["Weir Rovers U10"] == WEIR


def test_what_a_clubs_secretary_saves_is_of_the_club(store: Store) -> None:
    """A new squad is the club's; a saved one stays it; others keep their asks, row by row."""
    with store.read() as session:
        others = {row.id for row in session.scalars(select(AskRow))}
    kim = as_secretary(store)
    form = see_squad_form(kim, WEIR_U12)
    assert form.clubs == ()
    key = save_squad(kim, NEW, {"squad": "U8", "players": "9", "club": BROOK}, form.asks, "", NOW)
    assert key == "weir-rovers-u8"
    save(kim, WEIR_U10, players="11", squad="U10 Owls")
    assert clubs_of(store)["Weir Rovers U8"] == clubs_of(store)["Weir Rovers U10 Owls"] == WEIR
    with store.read() as session:
        assert others <= {row.id for row in session.scalars(select(AskRow))} | {3}
    with pytest.raises(RefusedError, match=f"Brook Athletic \\({NOOR}\\)"):
        see_squad_form(kim, BROOK_U10)


def test_a_pasted_table_is_of_the_own_club(store: Store) -> None:
    """Squads of a club's own table go by their own names; the office's table has a column."""
    rows = [["Squad", "Players", "Training", "Minutes"], ["U10", "13", "Mon 17:00-18:30", "60"]]
    look = take_table(as_secretary(store), SentTable("squads", rows), NOW)
    assert look.can_be_taken, look.taken
    assert [change.name for change in look.taken.changes] == ["Weir Rovers U10"]
    assert all("Brook" not in name for _key, name in look.taken.left_over)
    with store.read() as session:
        players = {row.name: row.players for row in session.scalars(select(SquadRow))}
    assert (players["Weir Rovers U10"], players["Brook Athletic U10"]) == (13, 12)
    rows = [["Verein", *rows[0]], [BROOK, "U10", "14", "Mon 17:00-18:30", "60"]]
    look = take_table(store, SentTable("squads", rows), NOW)
    assert look.can_be_taken, look.taken
    with store.read() as session:
        assert session.get_one(SquadRow, find_squad_id(store, BROOK_U10)).players == 14


def test_a_club_ends_when_its_squads_have(store: Store) -> None:
    """Its secretary comes in no more, its past stays, and it can take part again."""
    number = club_number(store, BROOK)
    with pytest.raises(FaultyInputError):
        let_club_end(store, number, NOW)
    book_squad(store, BROOK_U10, day=A_WEDNESDAY - timedelta(days=14))
    for key in (BROOK_U10, BROOK_U14):
        end_squad_from(store, key, NOW.date() + timedelta(days=1), NOW)
    later = NOW + timedelta(days=2)
    assert let_club_end(store, number, later) == BROOK
    with store.read() as session:
        assert [club.name for club in load_clubs(session)] == [WEIR]
    with pytest.raises(MissingError):
        see_person(store, person_called_number(store, NOOR))
    assert [club.name for club in see_fairness(store, later).clubs] == [WEIR, BROOK, ""]
    name_club(store, BROOK)
    assert not any(club.has_ended for club in see_clubs(store))


def test_squads_are_saved_after_a_club_has_ended(store: Store) -> None:
    """Those of others, and its own, which stay its own; no other squad is put into it."""
    let_brook_end(store)
    save(store, WEIR_U10, players="11")
    form = see_squad_form(store, BROOK_U10)
    assert [one.value for one in form.clubs] == [WEIR, BROOK]
    assert save(store, BROOK_U10, players="13") == BROOK_U10
    assert clubs_of(store)["Brook Athletic U10"] == BROOK
    assert [one.value for one in see_squad_form(store, PARKS).clubs] == [WEIR]
    rows = [["Squad", "Players", "Training", "Minutes"], ["U10", "14", "Mon 17:00-18:30", "60"]]
    assert take_table(as_secretary(store), SentTable("squads", rows), NOW).can_be_taken
    text = "club,squad,players,sessions a week,minutes,possible\nBrook Athletic,U8,9,0,,\n"
    with pytest.raises(FaultyInputError) as raised:
        load_files(store, [ClubFile("squads.csv", text.encode())], NOW)
    (told,) = map(str, raised.value.problems)
    assert "Brook Athletic takes part no longer" in told


def test_no_club_is_called_so_that_its_squads_have_long_names(store: Store) -> None:
    """No squads file takes them: no squad could be saved any more."""
    save(store, WEIR_U10, squad="U10 " + "x" * 40)
    with pytest.raises(FaultyInputError) as raised:
        name_club_anew(store, club_number(store, WEIR), "W" * 40, NOW)
    (told,) = map(str, raised.value.problems)
    assert "use at most 80" in told
    name_club_anew(store, club_number(store, WEIR), "W" * 30, NOW)
    save(store, PARKS, players="11")


def let_brook_end(store: Store) -> None:
    """Let one of the clubs end, and its squads before it."""
    for key in (BROOK_U10, BROOK_U14):
        end_squad_from(store, key, NOW.date() + timedelta(days=1), NOW)
    let_club_end(store, club_number(store, BROOK), NOW + timedelta(days=2))


def person_called_number(store: Store, name: str) -> int:
    """Return the number of somebody, let in or not."""
    return person_called(store, name).number


def test_hours_are_summed_by_club(store: Store) -> None:
    """Beside hours by squad the office sees those of each club, and its part of all."""
    for squad, minutes in ((WEIR_U10, 60), (WEIR_U12, 30), (BROOK_U10, 30)):
        book_squad(
            store, squad, day=A_WEDNESDAY - timedelta(days=14), minutes=minutes,
            area_key=f"third-{1 + [WEIR_U10, WEIR_U12, BROOK_U10].index(squad)}",
        )  # fmt: skip
    clubs = see_fairness(store, NOW).clubs
    assert [(one.name, one.squads, one.hours, one.share) for one in clubs] == [
        *((WEIR, 2, 1.5, 0.75), (BROOK, 2, 0.5, 0.25), ("", 1, 0.0, 0.0))
    ]


def test_people_are_those_of_own_squads(store: Store) -> None:
    """A club's secretary lists its coaches, changes those of it alone, and makes no secretaries."""
    kim = as_secretary(store)
    lines = {line.person.name: line for line in list_people(kim, NOW)}
    assert sorted(lines) == ["Alex Moss", KIM, "Robin Hale"]
    assert lines["Alex Moss"].squad_names == ("Weir Rovers U10",)
    shared = see_person(kim, lines["Alex Moss"].person.number)
    assert "Brook Athletic (Noor Aziz)" in shared.who_may
    robin = see_person(kim, lines["Robin Hale"].person.number)
    assert robin.who_may == ""
    draft = PersonDraft("Robin Hill", Role.COACH, "", (WEIR_U12,))
    change_person(kim, robin.person.number, robin.version, draft, NOW)
    for role in (Role.SECRETARY, Role.GROUNDSKEEPER, Role.CLUB_SECRETARY):
        with pytest.raises(RefusedError, match=OFFICE):
            add_person(kim, PersonDraft("Eve", role, "", (WEIR_U12,), club=1), NOW)
    with pytest.raises(FaultyInputError):
        add_person(kim, PersonDraft("Eve", Role.COACH, ""), NOW)
    with pytest.raises(FaultyInputError):
        add_person(kim, PersonDraft("Eve", Role.COACH, "", (BROOK_U10,)), NOW)
    with pytest.raises(RefusedError):
        see_person(kim, person_called(store, "Sam Reed").number)
    assert add_person(kim, PersonDraft("Eve", Role.COACH, "", (WEIR_U10,)), NOW)


def test_the_journal_shows_and_takes_back_what_is_own(store: Store) -> None:
    """A club's secretary takes back any change of own squads alone, whoever made it."""
    kim = as_secretary(store)
    mine, other = book_squad(store, WEIR_U10), book_squad(store, BROOK_U10, "third-2")
    withdraw_booking(store, mine, 0, NOW)
    own = list_changes(store, NOW)[0].number
    withdraw_booking(store, other, 0, NOW)
    others = list_changes(store, NOW)[0].number
    seen = list_changes(kim, NOW)
    assert own in [line.number for line in seen]
    assert others not in [line.number for line in seen]
    text = " ".join(words for line in seen for words in line.lines)
    assert BROOK not in text
    first = list_changes(store, NOW, count=99)[-1].number  # the files, with everybody's squads
    assert next(line for line in seen if line.number == first).obstacles
    with pytest.raises(RefusedError):
        undo_change(kim, others, NOW)
    undo_change(kim, own, NOW)
    assert not booking_row(store, mine).is_withdrawn


def test_the_evening_shows_everybody_and_lets_own_be_booked(store: Store) -> None:
    """Who has which ground stands there for all clubs; a form offers own squads alone."""
    book_squad(store, BROOK_U10)
    kim = as_secretary(store)
    page = see_evening(kim, None, A_WEDNESDAY, None)
    assert [row.holder for row in page.rows] == ["Brook Athletic U10"]
    assert [one.words for one in booking_choices(kim, None).squads] == [
        "Weir Rovers U12 Kestrels",
        "Weir Rovers U10",
    ]


def test_coaches_of_two_clubs_change_places_between_themselves(store: Store) -> None:
    """The secretary of one club cannot settle it for both; the coaches and the office can."""
    one, two = book_squad(store, WEIR_U12), book_squad(store, BROOK_U14, "third-2")
    robin, sam = (
        add_person(store, PersonDraft(name, Role.COACH, email, (squad,)), NOW)
        for name, email, squad in (
            ("Robin Hale", "robin@example.org", WEIR_U12),
            ("Sam Reed", "sam@example.org", BROOK_U14),
        )
    )
    people = {see_person(store, n).person.name: see_person(store, n).person for n in (robin, sam)}
    offer_swap(store, people["Robin Hale"], one, two, "", NOW)
    with pytest.raises(RefusedError, match=OFFICE):
        accept_swap(as_secretary(store, NOOR), person_called(store, NOOR), 1, NOW)
    accept_swap(store, people["Sam Reed"], 1, NOW)
    assert booking_row(store, one).area.key == "third-2"


def test_ground_given_back_goes_to_whose_turn_it_is(store: Store) -> None:
    """What a club's secretary lets end may serve a squad of the other club that waits."""
    for third in ("third-1", "third-2", "third-3"):
        book_squad(store, WEIR_U10 if third != "third-1" else WEIR_U12, third)
    with store.write() as session:
        session.add(
            WaitingAskRow(
                squad_id=find_squad_id(store, BROOK_U14),
                day=A_WEDNESDAY,
                from_min=1080,
                to_min=1140,
                minutes=60,
                least_share=0.33,
                wants_more=False,
                by="Alex Moss",
                note="",
                asked_at=NOW,
                state="waiting",
                answer="",
                booking_id=None,
            )
        )
    end_squad_from(as_secretary(store), WEIR_U12, A_WEDNESDAY, NOW)
    with store.read() as session:
        assert session.scalars(select(WaitingAskRow.state)).one() == "granted"


def test_addresses_are_those_of_own_squads(store: Store) -> None:
    """A club's secretary lists and makes addresses of own squads and their coaches."""
    create_squad_link(store, BROOK_U10, "parents", NOW)
    create_squad_link(as_secretary(store), WEIR_U10, "parents", NOW)
    assert [line.subject for line in list_links(as_secretary(store))] == ["Weir Rovers U10"]
    with pytest.raises(RefusedError):
        create_squad_link(as_secretary(store), BROOK_U10, "parents", NOW)


def test_a_clubs_secretary_is_made_and_ended_by_the_office(store: Store) -> None:
    """Nobody leaves a club without its secretary by ending their own access."""
    kim = person_called(store, KIM).number
    version = see_person(store, kim).version
    assert not see_person(as_secretary(store), kim).may_be_ended
    assert see_person(store, kim).may_be_ended
    with pytest.raises(RefusedError, match=OFFICE):
        end_access(as_secretary(store), kim, version, NOW)
    assert person_called(store, KIM).role is Role.CLUB_SECRETARY
    end_access(store, kim, version, NOW)
    assert person_called(store, KIM).role is Role.COACH


def test_others_wishes_follow_a_squad_that_a_clubs_secretary_renames(store: Store) -> None:
    """What another club's squad wishes about it is about it still, by its new name."""
    with store.write() as session:
        ask = session.scalars(select(AskRow).where(AskRow.squad.has(key=BROOK_U14))).one()
        ask.partners = [["share a pitch", WEIR_U12, 2]]
    kim = as_secretary(store)
    form = see_squad_form(kim, WEIR_U12)
    key = save_squad(
        kim, WEIR_U12, {**form.squad, "squad": "U12 Falcons"}, form.asks, form.seen, NOW
    )
    with store.read() as session:
        ask = session.scalars(select(AskRow).where(AskRow.squad.has(key=BROOK_U14))).one()
        assert ask.partners == [["share a pitch", key, 2]]


def test_a_club_takes_no_name_of_another_one(store: Store) -> None:
    """Nor of one that has ended: it may take part again, and is found by its name."""
    with pytest.raises(FaultyInputError):
        name_club_anew(store, club_number(store, WEIR), BROOK.lower(), NOW)
    let_brook_end(store)
    with pytest.raises(FaultyInputError) as raised:
        name_club_anew(store, club_number(store, WEIR), BROOK.upper(), NOW)
    (told,) = map(str, raised.value.problems)
    assert "Two clubs are called" in told
