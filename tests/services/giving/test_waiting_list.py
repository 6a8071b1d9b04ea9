"""Handing back, asking, and the waiting list."""

from __future__ import annotations

import re
from datetime import date, timedelta
from functools import partial
from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.booked.waiting import AskState
from clubplanner.domain.club.people import Person, Role
from clubplanner.domain.times.hours_typed import range_typed_until
from clubplanner.domain.times.times import instant_from_wall
from clubplanner.errors import FaultyInputError, MissingError, RefusedError
from clubplanner.services.evening.bookings import withdraw_booking
from clubplanner.services.evening.closures.closing import ClosureWish, close_ground
from clubplanner.services.evening.closures.reopening import reopen_ground
from clubplanner.services.giving.requests import (
    MOST_WAITING,
    SessionAsk,
    ask_for_more,
    ask_for_session,
    hand_back,
    take_back_ask,
)
from clubplanner.services.giving.waiting_list import grant_ask, list_asks, refuse_ask, serve_waiting
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.season.year import add_break
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import A_WEDNESDAY, LONDON, NOW
from tests.small_club import (
    HALL,
    HARRIERS,
    KESTRELS,
    LOW,
    SETTINGS,
    SQUADS,
    TOP,
    book,
    find_area_id,
    kept_bookings,
    load_small_club,
)

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

ROBIN = Person(1, "Robin Hale", Role.COACH, "", frozenset({KESTRELS}))
SAM = Person(2, "Sam Reed", Role.COACH, "", frozenset({HARRIERS}))
KIM = Person(3, "Kim", Role.SECRETARY, "")
SIX, SEVEN = 18 * 60, 19 * 60


def wish(squad: str = KESTRELS, **changes: object) -> SessionAsk:
    """Return an ask for an hour on the Wednesday between six and seven, a third at least."""
    values = {
        "squad_key": squad,
        "day": A_WEDNESDAY,
        "from_min": SIX,
        "to_min": SEVEN,
        "minutes": 60,
        "least_share": 1 / 3,
        **changes,
    }
    return SessionAsk(**values)  # type: ignore[arg-type]


def fill(store: Store) -> list[int]:
    """Book everything lit or indoors between six and seven for hirers."""
    return [
        book(store, "Choir", area, pitch_key=pitch, purpose=Purpose.HIRE, end_min=SEVEN)
        for pitch, area in (
            (TOP, "third-1"),
            (TOP, "third-2"),
            (TOP, "third-3"),
            (HALL, "half-1"),
            (HALL, "half-2"),
        )
    ]


def states(store: Store) -> list[AskState]:
    """Return what has become of the asks."""
    return [line.state for line in list_asks(store, NOW)]


def test_free_ground_is_booked_at_once(small: Store) -> None:
    """The session is booked, fixed, and told in words."""
    words = ask_for_session(small, ROBIN, wish(), NOW)
    assert words.startswith("U12 Kestrels have ")
    assert words.endswith("Wed 25 Nov 18:00–19:00, by fair turn.")
    (kept,) = kept_bookings(small)
    assert (kept.holder, kept.local) == ("U12 Kestrels", (A_WEDNESDAY, "18:00", "19:00"))
    assert states(small) == [AskState.GRANTED]
    assert list_changes(small, NOW)[0].words == "the waiting list was served"


def test_without_free_ground_one_waits_and_gets_what_is_handed_back(small: Store) -> None:
    """The session another coach hands back goes to who waits, in the same breath."""
    fill(small)
    other = book(small, HARRIERS, "third-1", start_min=SEVEN, end_min=SEVEN + 60)
    book(
        small, "Choir", "whole", pitch_key=HALL, purpose=Purpose.HIRE, start_min=SEVEN, end_min=1200
    )
    late = wish(from_min=SEVEN, to_min=20 * 60, least_share=1.0)
    assert "waiting list" in ask_for_session(small, ROBIN, late, NOW)
    (line,) = list_asks(small, NOW, with_places=True)
    assert line.words == "60 minutes on Wed 25 Nov between 19:00–20:00, at least a whole pitch"
    assert (line.state, line.places) == (AskState.WAITING, ())
    assert hand_back(small, SAM, other, 0, NOW) == (
        "Handed back: U14 Harriers, Wed 25 Nov. The ground is free. U12 Kestrels have Whole of "
        "Top pitch, Wed 25 Nov 19:00–20:00, by fair turn."
    )
    assert states(small) == [AskState.GRANTED]


def test_on_the_night_the_clocks_skip_an_hour_an_ask_has_the_time_that_is_left(
    empty_store: Store,
) -> None:
    """An hour that is skipped holds no session; an ask that begins in it waits, and is listed."""
    opening = "Mon-Fri 17:00-22:00; Sat-Sun 09:00-18:00"
    settings = SETTINGS.replace(opening, "Mon-Sun 00:00-24:00").replace('lights_off = "21:30"', "")
    small = load_small_club(empty_store, settings=settings)
    spring = date(2027, 3, 28)
    for pitch in (TOP, LOW, HALL):
        night = partial(book, small, "Night Runners", "whole", start_min=0, end_min=300)
        night(pitch_key=pitch, day=spring, purpose=Purpose.HIRE)
    for end_min, why in ((120, "Nothing is left between"), (150, "does not fit between")):
        with pytest.raises(RefusedError, match=why):
            ask_for_session(small, ROBIN, wish(day=spring, from_min=60, to_min=end_min), NOW)
    ask = wish(day=spring, from_min=60, to_min=240)
    assert "waiting list" in ask_for_session(small, ROBIN, ask, NOW)
    (line,) = list_asks(small, NOW, with_places=True)
    assert line.words.startswith("60 minutes on Sun 28 Mar between 01:00–04:00")


def test_the_list_is_served_by_fair_turn(small: Store) -> None:
    """Of two that wait, the squad that got nothing from the list yet is served first."""
    ask_for_session(small, ROBIN, wish(day=A_WEDNESDAY - timedelta(days=1), least_share=0), NOW)
    numbers = fill(small)
    ask_for_session(small, ROBIN, wish(), NOW)
    ask_for_session(small, SAM, wish(HARRIERS), NOW + timedelta(minutes=1))
    waiting = [x.squad_name for x in list_asks(small, NOW) if x.state is AskState.WAITING]
    assert waiting == ["U14 Harriers", "U12 Kestrels"]
    with small.write() as session:
        session.get_one(BookingRow, numbers[0]).is_withdrawn = True
    assert serve_waiting(small, NOW) == (
        "U14 Harriers have Clubhouse third, Top pitch, Wed 25 Nov 18:00–19:00, by fair turn.",
    )
    assert serve_waiting(small, NOW) == ()


def test_more_ground_is_taken_at_the_same_time(small: Store) -> None:
    """A third becomes a half or more where it is free, keeping identity; else it waits."""
    number = book(small, KESTRELS, "third-1")
    before = kept_bookings(small)[0].uid
    words = ask_for_more(small, ROBIN, number, "two squads together", NOW)
    assert "18:00–19:15" in words
    (kept,) = kept_bookings(small)
    assert kept.uid == before
    assert kept.area == f"{TOP}/half-1"
    book(small, HARRIERS, "half-2")
    book(small, "Choir", "whole", pitch_key=HALL, purpose=Purpose.HIRE, end_min=SEVEN + 60)
    assert "waiting list" in ask_for_more(small, ROBIN, number, "", NOW)
    with pytest.raises(RefusedError, match="waits for more ground already"):
        ask_for_more(small, ROBIN, number, "", NOW)
    waiting = next(x for x in list_asks(small, NOW) if x.state is AskState.WAITING)
    assert waiting.words == "more ground on Wed 25 Nov, 18:00–19:15"


def close(store: Store, *pitches: str) -> None:
    """Close pitches on the Wednesday evening for frost."""
    during = range_typed_until(A_WEDNESDAY, SIX, A_WEDNESDAY, 22 * 60, LONDON)
    for pitch in pitches:
        area = find_area_id(store, pitch, "whole")
        close_ground(store, ClosureWish(area, during, Condition.CLOSED, "frost"), None, NOW)


def test_ground_that_opens_again_goes_to_who_waits(small: Store) -> None:
    """A lifted closure serves the list."""
    close(small, TOP)
    book(small, "Choir", "whole", pitch_key=HALL, purpose=Purpose.HIRE)
    assert "waiting list" in ask_for_session(small, ROBIN, wish(), NOW)
    words = reopen_ground(small, 1, NOW)
    assert words.startswith("Whole of Top pitch is open again. U12 Kestrels have ")


def test_the_secretary_grants_ground_that_is_free_by_the_rules_only(small: Store) -> None:
    """The low pitch stands empty, but in the dark: neither listed nor granted by its value."""
    fill(small)
    ask_for_session(small, ROBIN, wish(), NOW)
    (line,) = list_asks(small, NOW, with_places=True)
    assert line.places == ()
    six = int(instant_from_wall(A_WEDNESDAY, SIX, LONDON).timestamp())
    with pytest.raises(MissingError, match="no longer free"):
        grant_ask(small, line.number, f"{find_area_id(small, LOW, 'half-1')}@{six}", NOW)
    assert len(kept_bookings(small)) == 5


def test_the_secretary_grants_refuses_and_takes_back(small: Store) -> None:
    """Each ask shows what is free; a grant can be undone like any change."""
    numbers = fill(small)
    ask_for_session(small, ROBIN, wish(), NOW)
    ask_for_session(small, SAM, wish(HARRIERS), NOW)
    first, second = list_asks(small, NOW)
    with pytest.raises(MissingError, match="no longer free"):
        grant_ask(small, first.number, "1@0", NOW)
    undo_change(small, numbers[4] + 1, NOW)  # the first change loaded the club
    line = next(x for x in list_asks(small, NOW, with_places=True) if x.number == second.number)
    value, words = line.places[0]
    assert "Hall" in words
    assert "by the secretary" in grant_ask(small, second.number, value, NOW)
    assert refuse_ask(small, first.number, "Come on Friday") == "Refused: U12 Kestrels."
    assert [x.answer for x in list_asks(small, NOW) if x.state is AskState.REFUSED] == [
        "Come on Friday"
    ]
    with pytest.raises(MissingError, match="no longer waits"):
        refuse_ask(small, first.number, "")
    refused, granted = list_changes(small, NOW)[:2]
    assert refused.words == "session asked for “U12 Kestrels” changed"
    undo_change(small, granted.number, NOW)
    assert "U14 Harriers" not in [kept.holder for kept in kept_bookings(small)]


def test_only_ones_own_sessions_and_asks_can_be_touched(small: Store) -> None:
    """Another coach's session looks as if it were not there; neither can matches be handed back."""
    number = book(small, KESTRELS, "third-1")
    match = book(small, KESTRELS, "third-2", purpose=Purpose.MATCH)
    for person, booking in ((SAM, number), (ROBIN, match), (ROBIN, 99)):
        with pytest.raises(MissingError, match="no such session of your squads"):
            hand_back(small, person, booking, 0, NOW)
    with pytest.raises(MissingError, match="no such squad"):
        ask_for_session(small, SAM, wish(), NOW)
    late = SIX + 90
    fill_free = wish(least_share=1.0, from_min=late, to_min=late + 60)
    for pitch in (TOP, HALL):
        book(
            small,
            "Choir",
            "whole",
            pitch_key=pitch,
            purpose=Purpose.HIRE,
            start_min=late,
            end_min=late + 60,
        )
    ask_for_session(small, ROBIN, fill_free, NOW)
    (line,) = list_asks(small, NOW, ROBIN)
    assert list_asks(small, NOW, SAM) == ()
    with pytest.raises(MissingError, match="no such ask of yours"):
        take_back_ask(small, SAM, line.number)
    assert take_back_ask(small, ROBIN, line.number) == "Taken back."
    assert hand_back(small, KIM, number, 0, NOW).startswith("Handed back")


def test_what_cannot_be_is_refused(small: Store) -> None:
    """Passed times, odd lengths, begun or changed sessions, too many asks."""
    for changes, words in (
        ({"minutes": 5}, "15 to 240 minutes"),
        ({"minutes": 90}, "does not fit between"),
        ({"day": A_WEDNESDAY - timedelta(days=30)}, "has passed"),
    ):
        with pytest.raises(RefusedError, match=words):
            ask_for_session(small, ROBIN, wish(**changes), NOW)
    number = book(small, KESTRELS, "third-1")
    with pytest.raises(RefusedError, match="Somebody has changed this session"):
        hand_back(small, ROBIN, number, 7, NOW)
    late = NOW + timedelta(days=9, hours=7)
    with pytest.raises(RefusedError, match="has begun"):
        hand_back(small, ROBIN, number, 0, late)
    with pytest.raises(RefusedError, match="has begun"):
        ask_for_more(small, ROBIN, number, "", late)
    for n in range(MOST_WAITING):
        day = A_WEDNESDAY + timedelta(days=7 * (n + 1 if n < 3 else n + 3))  # not at Christmas
        book(small, "Choir", "whole", pitch_key=HALL, day=day, purpose=Purpose.HIRE)
        book(small, "Choir", "whole", day=day, purpose=Purpose.HIRE)
        ask_for_session(small, ROBIN, wish(day=day, least_share=1.0), NOW)
    with pytest.raises(RefusedError, match="wait already"):
        ask_for_session(small, ROBIN, wish(least_share=1.0), NOW)


SUNDAY = A_WEDNESDAY + timedelta(days=4)
BOXING_DAY = date(2026, 12, 26)


@pytest.mark.parametrize(
    ("changes", "where", "words"),
    [
        ({"from_min": 180, "to_min": 240}, "from", "No venue is open .* Marsh Lane 17:00–22:00"),
        ({"from_min": 21 * 60, "to_min": 23 * 60, "minutes": 90}, "from", "90 minutes between"),
        ({"day": SUNDAY}, "from", "Marsh Lane 09:00–18:00"),
        (
            {"day": BOXING_DAY, "from_min": 600, "to_min": 660},
            "date",
            "Christmas, .* Sunday 3 January",
        ),
    ],
    ids=["at night", "past closing", "shorter day", "break"],
)
def test_what_can_never_be_had_is_said_at_once(
    small: Store, changes: dict[str, Any], where: str, words: str
) -> None:
    """Opening hours and breaks: nothing waits, and the fault names its field."""
    with pytest.raises(FaultyInputError) as caught:
        ask_for_session(small, KIM, wish(**changes), NOW)
    (problem,) = caught.value.problems
    assert problem.where == where
    assert re.search(words, problem.message)
    assert list_asks(small, NOW) == ()


def test_no_one_waits_for_a_day_on_which_no_venue_opens(empty_store: Store) -> None:
    """The days on which one does are named."""
    weekdays = SETTINGS.replace("; Sat-Sun 09:00-18:00", "")
    load_small_club(empty_store, settings=weekdays)
    with pytest.raises(FaultyInputError) as caught:
        ask_for_session(empty_store, ROBIN, wish(day=SUNDAY), NOW)
    (problem,) = caught.value.problems
    assert problem.where == "date"
    assert problem.message.endswith("Marsh Lane Mon-Fri 17:00-22:00.")


def test_no_one_waits_for_ground_that_is_closed(small: Store) -> None:
    """Why it is closed is told; low ground without lights is no help in the dark."""
    close(small, TOP, HALL)
    with pytest.raises(FaultyInputError) as caught:
        ask_for_session(small, ROBIN, wish(), NOW)
    (problem,) = caught.value.problems
    assert problem.where == "date"
    assert "closed then: frost" in problem.message


@pytest.mark.parametrize(
    ("needs_light", "where", "words"),
    [("no", "to", "dark by then"), ("yes", "squad", "surface, the lights or the goal")],
)
def test_no_one_waits_for_ground_that_does_not_suit(
    empty_store: Store, needs_light: str, where: str, words: str
) -> None:
    """A squad that asks for grass has only an unlit pitch, and that not in the evening."""
    head, kestrels, harriers = SQUADS.splitlines()
    squads = "\n".join(
        [f"{head},surface,needs light", f"{kestrels},grass,{needs_light}", f"{harriers},,"]
    )
    load_small_club(empty_store, squads=squads)
    with pytest.raises(FaultyInputError) as caught:
        ask_for_session(empty_store, ROBIN, wish(), NOW)
    (problem,) = caught.value.problems
    assert problem.where == where
    assert words in problem.message


def test_no_one_waits_for_what_their_own_sessions_rule_out(small: Store) -> None:
    """A squad that trains at that time, or too near to it, is told so; others may hand back."""
    book(small, KESTRELS, "third-1")
    with pytest.raises(FaultyInputError, match="1 fault") as caught:
        ask_for_session(small, ROBIN, wish(), NOW)
    (problem,) = caught.value.problems
    assert problem.where == "from"
    assert "U12 Kestrels also have Clubhouse third, Top pitch 18:00–19:15." in problem.message


def test_a_break_that_comes_later_grants_nothing(small: Store) -> None:
    """Who waits for a day that becomes a break does not get training in it."""
    fill(small)
    ask_for_session(small, ROBIN, wish(), NOW)
    add_break(small, "Building work", A_WEDNESDAY, A_WEDNESDAY, NOW, withdraws=False)
    for number in range(1, 6):
        withdraw_booking(small, number, 0, NOW)
    assert serve_waiting(small, NOW) == ()


def test_no_one_waits_for_more_than_there_is(small: Store) -> None:
    """Who has the largest ground by far is told so."""
    number = book(small, KESTRELS, "whole")
    with pytest.raises(RefusedError, match="no larger ground"):
        ask_for_more(small, ROBIN, number, "", NOW)


def test_what_is_left_of_today_must_hold_the_session(small: Store) -> None:
    """Half an hour before the end an hour can no longer begin."""
    late = instant_from_wall(A_WEDNESDAY, SIX + 30, LONDON)
    with pytest.raises(FaultyInputError) as caught:
        ask_for_session(small, ROBIN, wish(), late)
    assert "What is left" in caught.value.problems[0].message
