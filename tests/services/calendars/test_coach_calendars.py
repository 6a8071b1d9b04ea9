"""A coach's calendar is a person's: it outlives their spelling, and says what passed to others."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import icalendar
import pytest

from clubplanner.domain.club.people import Role
from clubplanner.errors import FaultyInputError, MissingError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.calendars.calendar_page import see_calendar
from clubplanner.services.calendars.feeds import build_feed
from clubplanner.services.evening.bookings import withdraw_booking
from clubplanner.services.people.people import PersonDraft, change_person
from clubplanner.services.rows.snapshot import load_squads
from clubplanner.services.setup.loading import load_files
from clubplanner.services.setup.squads.first_coach import SAME
from clubplanner.services.setup.squads.forms import save_squad, see_squad_form
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import HARRIERS, KESTRELS, SQUADS, book, load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

ADDRESS = "https://pitches.example.org"
LATER = NOW + timedelta(hours=3)
MUCH_LATER = NOW + timedelta(hours=5)
WITH_MAIL = (
    SQUADS.replace(",coach,", ",coach,coach e-mail,")
    .replace("Robin Hale,", "Robin Hale,robin@example.org,")
    .replace("Sam Reed,", "Sam Reed,,")
)


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club; Robin has a mail address, Sam has none."""
    return load_small_club(empty_store, squads=WITH_MAIL)


def make(store: Store, coach: str) -> str:
    """Make a coach's address and return its secret part."""
    made = create_link(store, LinkWish(LinkKind.COACH, coach, coach), NOW)
    return made.path.rpartition("/")[2]


def events(store: Store, secret: str, now: datetime = LATER) -> list[Any]:
    """Return the events of a calendar, by start."""
    data = build_feed(store, secret, ADDRESS, now).data
    found = icalendar.Calendar.from_ical(data).walk("VEVENT")
    return sorted(found, key=lambda event: event["DTSTART"].dt)


def load(store: Store, squads: str, now: datetime = LATER) -> None:
    """Load a squads file."""
    load_files(store, [ClubFile("squads.csv", squads.encode())], now)


def coaches(store: Store) -> dict[str, list[str]]:
    """Return the names of each squad's coaches, the first one first."""
    with store.read() as session:
        return {s.key: [coach.name for coach in s.coaches] for s in load_squads(session)}


def number_of(store: Store, name: str) -> int:
    """Return the number of a coach."""
    with store.read() as session:
        all_of = [coach for squad in load_squads(session) for coach in squad.coaches]
    return next(coach.number for coach in all_of if coach.name == name)


def test_a_file_that_corrects_a_name_keeps_the_calendar(store: Store) -> None:
    """The same mail address is the same person, whatever they are called now."""
    book(store)
    secret = make(store, "Robin Hale")
    (before,) = events(store, secret)
    load(store, WITH_MAIL.replace("Robin Hale", "Robyn Hale"))
    (after,) = events(store, secret)
    assert after["UID"] == before["UID"]
    assert "STATUS" not in after or after["STATUS"] != "CANCELLED"


def test_a_form_that_corrects_a_name_keeps_the_calendar(store: Store) -> None:
    """With no address to go by, the form is told that it is the same person."""
    book(store, HARRIERS)
    secret = make(store, "Sam Reed")
    form = see_squad_form(store, HARRIERS)
    cells = {**form.squad, "coach": "Sam Reid"}
    with pytest.raises(FaultyInputError) as told:
        save_squad(store, HARRIERS, cells, form.asks, form.seen, LATER)
    (problem,) = told.value.problems
    assert problem.where == "coach_is"
    assert problem.message.startswith("Say whether this is still Sam Reed, whose name is corrected")
    save_squad(store, HARRIERS, cells, form.asks, form.seen, LATER, SAME)
    (after,) = events(store, secret)
    assert after["STATUS"] == "CONFIRMED"
    assert coaches(store)[HARRIERS] == ["Sam Reid"]
    assert build_feed(store, secret, ADDRESS, LATER).feed.name.startswith("Sam Reid, ")


def test_a_name_corrected_on_the_people_page_keeps_the_calendar(store: Store) -> None:
    """It is the person who is called otherwise now, in every squad of theirs."""
    book(store)
    secret = make(store, "Robin Hale")
    number = number_of(store, "Robin Hale")
    draft = PersonDraft("Robyn Hale", Role.COACH, "robin@example.org", (KESTRELS,), "01632 960001")
    change_person(store, number, 0, draft, LATER)
    assert [str(event["STATUS"]) for event in events(store, secret)] == ["CONFIRMED"]
    assert see_squad_form(store, KESTRELS).squad["coach"] == "Robyn Hale"
    assert see_squad_form(store, KESTRELS).squad["coach phone"] == "01632 960001"


def test_sessions_of_a_squad_that_is_handed_over_pass_to_the_other_calendar(store: Store) -> None:
    """Cancelled here and new there, both newer than what calendars know; what was, stays."""
    past = book(store, day=NOW.date() - timedelta(days=5), now=NOW - timedelta(days=9))
    coming = book(store)
    old, new = make(store, "Robin Hale"), make(store, "Sam Reed")
    before = events(store, old)[1]
    assert events(store, new) == []
    load(store, WITH_MAIL.replace("Robin Hale,robin@example.org", "Sam Reed,"))
    left, gone = events(store, old)
    came = events(store, new)[-1]
    assert [str(one["STATUS"]) for one in (left, gone, came)] == [
        "CONFIRMED",
        "CANCELLED",
        "CONFIRMED",
    ]
    assert gone["UID"] == came["UID"] == before["UID"]
    assert gone["SEQUENCE"] == came["SEQUENCE"] == before["SEQUENCE"] + 1
    assert gone["DTSTAMP"].dt == came["DTSTAMP"].dt == LATER.replace(microsecond=0)
    assert past != coming
    later = book(store, area_key="third-2", day=A_WEDNESDAY + timedelta(days=1), now=MUCH_LATER)
    assert len(events(store, old)) == 2, f"booking {later} was never theirs"
    over = datetime(2026, 11, 26, tzinfo=UTC)
    assert len(events(store, old, over)) == 1, "what is over needs no cancelling"


def test_what_passed_to_others_is_told_as_going_on(store: Store) -> None:
    """Whoever has handed a squad on reads nowhere that there is no training; page and calendar."""
    number = book(store)
    secret = make(store, "Robin Hale")
    load(store, WITH_MAIL.replace("Robin Hale,robin@example.org", "Sam Reed,"))
    (gone,) = events(store, secret)
    assert gone["SUMMARY"] == "No longer yours: U12 Kestrels, training"
    assert gone["DESCRIPTION"].startswith("No longer yours: the session itself goes on")
    assert "No training" not in gone["DESCRIPTION"]
    ((entry,),) = (day.entries for day in see_calendar(store, secret, ADDRESS, LATER).days)
    assert entry.state is not None
    assert (entry.number, entry.state.label) == (number, "No longer yours")
    withdraw_booking(store, number, 1, MUCH_LATER, why="Frost")
    (off,) = events(store, secret, MUCH_LATER)
    assert off["SUMMARY"] == "Off: U12 Kestrels, training", "then it does not go on"


def test_a_squad_that_comes_back_is_confirmed_again(store: Store) -> None:
    """Each hand-over counts, so that calendars take the last one."""
    book(store)
    secret = make(store, "Robin Hale")
    handed = WITH_MAIL.replace("Robin Hale,robin@example.org", "Sam Reed,")
    counts = []
    for text in (WITH_MAIL, handed, WITH_MAIL):
        load(store, text)
        (event,) = events(store, secret)
        counts.append((int(event["SEQUENCE"]), str(event["STATUS"])))
    assert counts == [(0, "CONFIRMED"), (1, "CANCELLED"), (2, "CONFIRMED")]


def test_an_assistant_has_the_sessions_while_they_assist(store: Store) -> None:
    """They come when the assistant does and are cancelled when they leave."""
    book(store)
    with_kim = (
        WITH_MAIL.replace(",coach,", ",assistants,coach,")
        .replace("14,1,", "14,1,Kim Vale <kim@example.org>; Lee Orr,")
        .replace("16,2,", "16,2,,")
    )
    load(store, with_kim)
    secret = make(store, "kim@example.org")
    assert [str(event["STATUS"]) for event in events(store, secret)] == ["CONFIRMED"]
    load(store, with_kim.replace("Kim Vale <kim@example.org>; ", ""), LATER + timedelta(hours=1))
    (event,) = events(store, secret, LATER + timedelta(hours=2))
    assert (event["STATUS"], event["SEQUENCE"]) == ("CANCELLED", 1)
    assert coaches(store)[KESTRELS] == ["Robin Hale", "Lee Orr"]


def test_two_of_one_name_are_two_people(store: Store) -> None:
    """Their addresses differ, so each has a calendar of their own; the name alone is not enough."""
    book(store)
    book(store, HARRIERS, "third-2")
    load(store, WITH_MAIL.replace("Sam Reed,", "Robin Hale,other@example.org"))
    with pytest.raises(MissingError, match=r"Several coaches .* \d+ \(Robin Hale, U12 Kestrels\)"):
        make(store, "Robin Hale")
    titles = [
        [str(event["SUMMARY"]).partition(":")[0] for event in events(store, make(store, email))]
        for email in ("robin@example.org", "other@example.org")
    ]
    assert titles == [["U12 Kestrels"], ["U14 Harriers"]]
