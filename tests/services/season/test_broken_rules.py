"""What stands against a rule, on the list of what needs a hand."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.told.concerns import Concern, ConcernKind
from clubplanner.language import speaking
from clubplanner.services.season.ahead import list_concerns, list_concerns_of_day
from clubplanner.services.season.grass.wear import set_wear_limit
from clubplanner.services.season.year import add_break
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.squad_tables import AskRow
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import (
    HALL,
    HARRIERS,
    KESTRELS,
    LOW,
    SETTINGS,
    SQUADS,
    TOP,
    book,
    load_small_club,
)

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

RULE, TWO, DARK = ConcernKind.AGAINST_A_RULE, ConcernKind.TWO_PLACES, ConcernKind.DARK


@pytest.fixture
def small(empty_store: Store) -> Store:
    """Give the small club's database; Marsh Lane is closed on Sundays here."""
    settings = SETTINGS.replace("Sat-Sun 09:00-18:00", "Sat 09:00-18:00")
    return load_small_club(empty_store, settings=settings)


def told(store: Store, kind: ConcernKind, weeks: int = 4) -> list[str]:
    """Return the sentences of one kind."""
    return [c.words for c in listed(store, kind, weeks)]


def listed(store: Store, kind: ConcernKind, weeks: int = 4) -> list[Concern]:
    """Return the concerns of one kind."""
    return [c for c in list_concerns(store, weeks, NOW) if c.kind is kind]


def overrule(store: Store, number: int, reason: str) -> None:
    """Note why a booking stands where it does against a rule."""
    with store.write() as session:
        session.get_one(BookingRow, number).overruled = reason


def ask_rest(store: Store, days: int) -> None:
    """Let all squads ask for days of rest."""
    with store.write() as session:
        for row in session.query(AskRow):
            row.rest_days = days


def test_training_at_three_in_the_night_is_told(small: Store) -> None:
    """With the words of the rule, and a link to move it."""
    number = book(small, KESTRELS, "third-1", start_min=180, end_min=240)
    (concern,) = [c for c in listed(small, RULE) if "open" in c.words]
    assert concern.words == (
        "U12 Kestrels, Wednesday 03:00–04:00, Clubhouse third, Top pitch, Wed 25 Nov: "
        "Marsh Lane is open 17:00–22:00 on a Wednesday."
    )
    assert concern.target == f"desk.booking {number}"
    assert concern.remedy == "Move it, or withdraw it."
    assert [c.kind for c in list_concerns_of_day(small, A_WEDNESDAY, NOW)] == [RULE]


def test_a_venue_closed_that_day_is_told(small: Store) -> None:
    """Of training, match and hire alike."""
    sunday = A_WEDNESDAY + timedelta(days=4)
    book(small, KESTRELS, "third-1", day=sunday, purpose=Purpose.MATCH)
    book(small, "Choir", "half-1", pitch_key=HALL, day=sunday, purpose=Purpose.HIRE)
    words = told(small, RULE)
    assert [one.split(",")[0] for one in words] == ["Choir", "U12 Kestrels"]
    assert all(one.endswith("Sun 29 Nov: Marsh Lane is closed on a Sunday.") for one in words)


def test_a_hire_at_eleven_is_told_for_its_hours_and_for_its_lamps(small: Store) -> None:
    """Two rules, two lines, each of its own kind."""
    book(small, "Choir", "third-1", start_min=1380, end_min=1430, purpose=Purpose.HIRE)
    assert told(small, RULE)[0].endswith("Marsh Lane is open 17:00–22:00 on a Wednesday.")
    assert told(small, DARK)[0].endswith("The floodlights of Marsh Lane go out at 21:30.")


def test_a_dark_meadow_is_told_with_the_earliest_darkness(small: Store) -> None:
    """Sunset still moves forward until the middle of December."""
    for n in range(3):
        book(small, KESTRELS, "half-1", pitch_key=LOW, day=A_WEDNESDAY + timedelta(weeks=n))
    (concern,) = listed(small, DARK)
    assert concern.words.startswith(
        "U12 Kestrels, Wednesday 18:00–19:15, Clubhouse half, Low pitch, "
        "Wed 25 Nov, Wed 2 Dec, Wed 9 Dec: Low pitch has no lights; it is too dark from 15:5"
    )
    assert concern.target == "season.light"


def test_a_dark_morning_is_told_with_the_latest_dawn(small: Store) -> None:
    """Sunrise moves backward until the end of December."""
    for n in range(3):
        book(small, KESTRELS, "half-1", pitch_key=LOW, day=A_WEDNESDAY + timedelta(weeks=n),
             start_min=7 * 60, end_min=8 * 60)  # fmt: skip
    (concern,) = listed(small, DARK)
    assert concern.words.startswith(
        "U12 Kestrels, Wednesday 07:00–08:00, Clubhouse half, Low pitch, "
        "Wed 25 Nov, Wed 2 Dec, Wed 9 Dec: Low pitch has no lights; it is too dark until 07:56"
    )


def test_the_evening_after_is_told_once_where_a_squad_wants_rest(small: Store) -> None:
    """Tuesday and Wednesday are one pair, in each of two weeks: one line."""
    ask_rest(small, 1)
    for n in range(2):
        for day in (-1, 0):
            book(small, KESTRELS, "third-1", day=A_WEDNESDAY + timedelta(days=day, weeks=n))
    (concern,) = listed(small, RULE)
    assert concern.words == (
        "U12 Kestrels, Tuesday 18:00–19:15, Clubhouse third, Top pitch, Tue 24 Nov, Tue 1 Dec: "
        "U12 Kestrels also train on Wednesday; between two trainings they want 1 day of rest."
    )
    assert concern.remedy == "Move one of them, or withdraw it."


def test_two_places_at_once_are_told_once(small: Store) -> None:
    """The same squad on two grounds, on two dates."""
    for n in range(2):
        day = A_WEDNESDAY + timedelta(weeks=n)
        book(small, KESTRELS, "third-1", day=day)
        book(small, KESTRELS, "half-1", pitch_key=HALL, day=day, purpose=Purpose.MATCH)
    (concern,) = listed(small, TWO)
    assert concern.words == (
        "U12 Kestrels, Wednesday 18:00–19:15, Clubhouse third, Top pitch, Wed 25 Nov, Wed 2 Dec: "
        "U12 Kestrels also have Clubhouse half, Hall 18:00–19:15."
    )
    assert concern.target == "desk.evening 2026-11-25 marsh-lane"


def test_ten_identical_weeks_are_one_line(small: Store) -> None:
    """The dates in words."""
    for n in range(10):
        day = A_WEDNESDAY + timedelta(weeks=n)
        book(small, HARRIERS, "third-1", day=day, start_min=960, end_min=1020)
    (concern,) = listed(small, RULE, 26)
    assert "10 dates, Wed 25 Nov to Wed 27 Jan: Marsh Lane is open" in concern.words
    assert concern.remedy == "Move them, or withdraw them."
    assert concern.day == A_WEDNESDAY


def test_a_rule_that_was_overruled_is_listed_with_its_reason(small: Store) -> None:
    """As long as it is broken; the squad's own wishes are told then, too."""
    number = book(small, KESTRELS, "third-1", start_min=960, end_min=1020)
    overrule(small, number, "a school visits")
    words = told(small, RULE)
    assert len(words) == 2
    assert all(one.endswith(" Because: a school visits.") for one in words)
    assert any("U12 Kestrels ask for Wed 18:00-19:15." in one for one in words)
    fine = book(small, KESTRELS, "third-1", day=A_WEDNESDAY + timedelta(weeks=1))
    overrule(small, fine, "nothing is broken there")
    assert len(told(small, RULE)) == 2


def test_wishes_of_the_squad_alone_are_not_told(small: Store) -> None:
    """Who agreed to another time needs no hand."""
    book(small, KESTRELS, "third-1", start_min=1140, end_min=1215)
    assert told(small, RULE) == []


def test_grass_over_its_limit_is_told_once(small: Store) -> None:
    """The weekly measure says it; the rule of load does not say it again."""
    saturday = A_WEDNESDAY + timedelta(days=3)
    noon = {"day": saturday, "start_min": 720, "end_min": 795}
    number = book(small, KESTRELS, "half-1", pitch_key=LOW, **noon)  # type: ignore[arg-type]
    set_wear_limit(small, LOW, 0.2, None, "own measure")
    (words,) = told(small, ConcernKind.WORN)
    assert "of what it bears" in words
    overrule(small, number, "the last one before frost")
    assert any(". Because: the last one" in one for one in told(small, ConcernKind.WORN))


def test_a_load_limit_of_the_settings_is_told_once_a_week(empty_store: Store) -> None:
    """However many sessions it has, and whatever its surface."""
    limit = '\n[[limits]]\nvenue = "Marsh Lane"\npitch = "Top pitch"\nsessions = 1\n'
    load_small_club(empty_store, settings=SETTINGS + limit)
    for n in range(2):
        day = A_WEDNESDAY + timedelta(weeks=n)
        book(empty_store, KESTRELS, "third-1", day=day)
        book(empty_store, HARRIERS, "third-2", day=day, end_min=19 * 60)
    assert told(empty_store, ConcernKind.WORN) == [
        f"Top pitch would be used more than it bears in the week of Mon {day}."
        for day in ("23 Nov", "30 Nov")
    ]


def test_training_in_a_break_is_counted_and_what_was_overruled_named(small: Store) -> None:
    """One line a break, one for each that has a reason."""
    number = book(small, KESTRELS, "third-1")
    book(small, HARRIERS, "third-2", end_min=19 * 60)
    add_break(small, "Camp", A_WEDNESDAY, A_WEDNESDAY, NOW, withdraws=False)
    (words,) = told(small, ConcernKind.IN_BREAK)
    assert words == (
        "Camp, Wed 25 Nov to Wed 25 Nov: there is no training then. "
        "2 trainings are booked all the same."
    )
    overrule(small, number, "they leave later")
    summed, own = sorted(told(small, ConcernKind.IN_BREAK))
    assert summed.endswith("1 training is booked all the same.")
    assert own.endswith("there is no training then. Because: they leave later.")


def test_coaches_of_two_squads_are_told_by_name_and_in_german(empty_store: Store) -> None:
    """One line for the pair, in the language of who looks."""
    load_small_club(empty_store, squads=SQUADS.replace("Sam Reed", " ROBIN hale"))
    book(empty_store, KESTRELS, "third-1")
    book(empty_store, HARRIERS, "third-2", start_min=1140, end_min=1200)
    (words,) = told(empty_store, TWO)
    assert words.endswith(
        "Robin Hale is also with U14 Harriers on Middle third, Top pitch 19:00–20:00."
    )
    book(empty_store, HARRIERS, "third-3", pitch_key=TOP, day=date(2026, 11, 29))
    with speaking("de"):
        (two,) = told(empty_store, TWO)
        rules = listed(empty_store, RULE)
    assert two.startswith("U12 Kestrels, Mittwoch 18:00–19:15")
    assert rules[0].remedy == "Verlegen oder streichen Sie sie."
