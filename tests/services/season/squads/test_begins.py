"""A squad begins in mid-season and gets what is free."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import OutdatedError, RefusedError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.coach.ground_page import see_ground
from clubplanner.services.history.fairness import see_fairness
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.season.squads.begins import begin_squad
from clubplanner.services.season.squads.begins_page import see_squad_begin
from clubplanner.services.setup.loading import load_files
from clubplanner.services.setup.squads.ends import end_squad_from
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.sharing.values.problem import Effort
from tests.builders import NOW
from tests.small_club import (
    HALL,
    HARRIERS,
    KESTRELS,
    LOW,
    SETTINGS,
    SQUADS,
    TOP,
    book,
    kept_bookings,
    load_small_club,
)

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

FROM = date(2027, 3, 1)
WEDNESDAYS = [date(2027, 3, 3) + n * timedelta(days=7) for n in range(6)]
LATE = date(2027, 3, 31)


def test_what_is_free_is_shown_and_booked_to_the_end(small: Store) -> None:
    """The Kestrels' one Wednesday session, on the least ground that does; an address is made."""
    page = see_squad_begin(small, KESTRELS, FROM, NOW)
    (sought,) = page.sought
    best = sought.options[0]
    assert best.words.startswith("Wednesday 18:00–19:15, ")
    assert (best.count, best.lost) == (6, ())
    assert kept_bookings(small) == []
    began = begin_squad(small, KESTRELS, FROM, [best.value], NOW)
    assert began.words == "U12 Kestrels begin: 6 sessions booked."
    assert [kept.local[0] for kept in kept_bookings(small)] == WEDNESDAYS
    assert see_ground(small, began.secret, WEDNESDAYS[0], NOW).sessions
    assert see_squad_begin(small, KESTRELS, FROM, NOW).sought == ()
    later = NOW.replace(year=2027, month=4, day=2)
    hours = {one.key: one.asked for one in see_fairness(small, later).squads}
    assert hours[KESTRELS] == pytest.approx(1.25 * 33 / 7)


def test_what_stands_is_gone_round_and_dates_that_are_held_are_told(small: Store) -> None:
    """A place held on one date is offered for the others, with who holds it."""
    for pitch in (TOP, LOW, HALL):
        book(small, "Fair", "whole", pitch_key=pitch, day=LATE, start_min=17 * 60, end_min=22 * 60)
    option = see_squad_begin(small, KESTRELS, FROM, NOW).sought[0].options[0]
    assert option.count == 5
    assert option.lost[0].startswith("Wed 31 Mar: ")
    assert "Fair" in option.lost[0]
    words = begin_squad(small, KESTRELS, FROM, [option.value], NOW).words
    assert words.endswith("5 sessions booked. One date left out.")


def test_two_sessions_go_together(small: Store) -> None:
    """The second is looked for beside the first: another day, by the rule of one a day."""
    page = see_squad_begin(small, HARRIERS, FROM, NOW)
    assert len(page.sought) == 2
    first, second = (one.options[0].value for one in page.sought)
    assert first.split("@")[0] != second.split("@")[0]
    begin_squad(small, HARRIERS, FROM, [first, second], NOW)
    days = [kept.local[0] for kept in kept_bookings(small)]
    assert len(days) == len(set(days)) == 12


def test_a_later_stretch_that_is_planned_without_it_is_named(empty_store: Store) -> None:
    """Who books to the end of the stretch learns that after it there is nothing, and what to do."""
    spring = '[[stretches]]\nname = "Spring"\nstarts = 2027-04-12\nends = 2027-05-28\n'
    heading, kestrels, harriers = SQUADS.splitlines(keepends=True)
    load_small_club(empty_store, settings=f"{SETTINGS}\n{spring}", squads=heading + harriers)
    number = run_share_out(empty_store, "spring", Effort(seconds=2.0), NOW).number
    publish_share_out(empty_store, number, NOW)
    load_files(empty_store, [ClubFile("squads.csv", (heading + kestrels).encode())], NOW)
    option = see_squad_begin(empty_store, KESTRELS, FROM, NOW).sought[0].options[0]
    words = begin_squad(empty_store, KESTRELS, FROM, [option.value], NOW).words
    assert words.endswith(
        "booked. Spring is shared out already, without U12 Kestrels: look for free places from "
        "Mon 12 Apr on, too."
    )


def test_somebody_was_quicker(small: Store) -> None:
    """Ground that was taken since is not left out in silence."""
    option = see_squad_begin(small, KESTRELS, FROM, NOW).sought[0].options[0]
    begin_squad(small, HARRIERS, FROM, [option.value], NOW)
    with pytest.raises(OutdatedError, match="look again"):
        begin_squad(small, KESTRELS, FROM, [option.value], NOW)


def test_what_cannot_be_had_is_said(empty_store: Store) -> None:
    """A squad that only ever could on Sunday nights, when nothing is open, is told why."""
    squads = (
        "squad,age group,players,goalkeepers,sessions a week,minutes,possible,least ground\n"
        "U12 Kestrels,U12,14,1,1,75,Sun 19:00-21:00,third\n"
    )
    load_small_club(empty_store, squads=squads)
    (sought,) = see_squad_begin(empty_store, KESTRELS, FROM, NOW).sought
    assert sought.options == ()
    assert sought.why


def test_it_is_taken_back_as_one(small: Store) -> None:
    """All sessions go, and its season is the club's again."""
    option = see_squad_begin(small, KESTRELS, FROM, NOW).sought[0].options[0]
    begin_squad(small, KESTRELS, FROM, [option.value], NOW)
    undo_change(small, list_changes(small, NOW)[0].number, NOW)
    assert kept_bookings(small) == []
    assert see_squad_begin(small, KESTRELS, date(2027, 1, 4), NOW).sought[0].options


def test_a_squad_that_ends_does_not_begin(small: Store) -> None:
    """The end has to be taken back first; so has a date to lie ahead."""
    with pytest.raises(RefusedError, match="has passed"):
        see_squad_begin(small, KESTRELS, date(2026, 11, 2), NOW)
    end_squad_from(small, KESTRELS, date(2027, 1, 1), NOW)
    with pytest.raises(RefusedError, match="with no session from"):
        see_squad_begin(small, KESTRELS, FROM, NOW)
