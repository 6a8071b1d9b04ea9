"""Editing the year."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import MissingError, RefusedError
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.season.squads.own_seasons import set_squad_season
from clubplanner.services.season.year import (
    add_break,
    ask_again_about_holiday,
    keep_holiday,
    remove_break,
    save_stretch,
    see_year,
    set_holiday_place,
)
from tests.builders import A_WEDNESDAY, NOW
from tests.services.proposals.test_publishing import BEFORE, KESTRELS, propose, training
from tests.small_club import HARRIERS, LOW, book, kept_bookings
from tests.small_club import KESTRELS as SMALL_KESTRELS

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

GOOD_FRIDAY = date(2027, 3, 26)


def test_holidays_of_a_place_wait_for_a_decision(small: Store) -> None:
    """Christmas lies in the break; Good Friday and Easter Monday wait until decided."""
    assert see_year(small).undecided == ()
    assert set_holiday_place(small, "gb", "ENG") == "Public holidays of GB, ENG count."
    assert [h.day for h in see_year(small).undecided] == [GOOD_FRIDAY, date(2027, 3, 29)]
    keep_holiday(small, GOOD_FRIDAY)
    page = see_year(small)
    assert [h.day for h in page.kept] == [GOOD_FRIDAY]
    assert [h.day for h in page.undecided] == [date(2027, 3, 29)]
    ask_again_about_holiday(small, GOOD_FRIDAY)
    assert len(see_year(small).undecided) == 2
    with pytest.raises(RefusedError, match="not a known country"):
        set_holiday_place(small, "XX", "")
    with pytest.raises(RefusedError, match="not a known region of GB"):
        set_holiday_place(small, "GB", "Kent")
    assert set_holiday_place(small, "", "") == "No public holidays count."
    assert see_year(small).undecided == ()


def test_a_break_withdraws_what_a_share_out_booked(small: Store) -> None:
    """What was put there by hand, matches and hires stay; all of it can be taken back at once."""
    book(small, SMALL_KESTRELS, "third-1", is_fixed=False)
    book(small, HARRIERS, "third-2")
    book(small, "Choir", "third-3", purpose=Purpose.HIRE)
    words = add_break(small, "Half term", A_WEDNESDAY, A_WEDNESDAY, NOW, withdraws=True)
    assert words == "Half term is a break. 1 training withdrawn."
    assert [kept.holder for kept in kept_bookings(small)] == ["Choir", "U14 Harriers"]
    line = see_year(small).breaks[0]
    assert (line.name, line.dates, line.booked) == ("Half term", "Wed 25 Nov 2026", 1)
    change = list_changes(small, NOW)[0]
    assert change.words == "no training in Half term"
    undo_change(small, change.number, NOW)
    assert len(kept_bookings(small)) == 3
    assert "Half term" not in [gap.name for gap in see_year(small).breaks]
    with pytest.raises(MissingError, match="gone already"):
        remove_break(small, line.number)


def test_a_break_needs_a_name_and_runs_forward(small: Store) -> None:
    """Faults are told; training may be kept on purpose."""
    book(small, SMALL_KESTRELS, "third-1", is_fixed=False)
    with pytest.raises(RefusedError, match="what the break is called"):
        add_break(small, "", A_WEDNESDAY, A_WEDNESDAY, NOW, withdraws=True)
    before = A_WEDNESDAY - timedelta(days=1)
    with pytest.raises(RefusedError, match="must follow the first"):
        add_break(small, "Backwards", A_WEDNESDAY, before, NOW, withdraws=True)
    assert add_break(small, "Camp", A_WEDNESDAY, A_WEDNESDAY, NOW, withdraws=False) == (
        "Camp is a break."
    )
    assert len(kept_bookings(small)) == 1


def test_stretches_are_added_and_changed_without_overlap(small: Store) -> None:
    """Summer follows winter; two stretches never hold the same date."""
    assert save_stretch(small, "", "Summer", date(2027, 4, 12), date(2027, 7, 2)) == (
        "Summer: Mon 12 Apr to Fri 2 Jul 2027."
    )
    with pytest.raises(RefusedError, match="Summer holds some of these dates"):
        save_stretch(small, "winter", "Winter", date(2026, 10, 12), date(2027, 4, 12))
    save_stretch(small, "winter", "Dark months", date(2026, 10, 12), date(2027, 4, 2))
    names = [(s.key, s.name) for s in see_year(small).stretches]
    assert names == [("winter", "Dark months"), ("summer", "Summer")]
    for arguments, words in (
        (("autumn", "Autumn", date(2026, 9, 1), date(2026, 9, 2)), "no such stretch"),
        (("", "", date(2026, 9, 1), date(2026, 9, 2)), "what the stretch is called"),
        (("", "Summer", date(2026, 9, 1), date(2026, 9, 2)), "already"),
        (("", "Long", date(2026, 9, 2), date(2026, 9, 1)), "must follow the first"),
    ):
        with pytest.raises((RefusedError, MissingError), match=words):
            save_stretch(small, *arguments)


def test_clock_changes_of_the_season_are_named(small: Store) -> None:
    """Europe/London: back on 25 October 2026, forward on 28 March 2027 (IANA tz database)."""
    assert see_year(small).clock_changes == (
        "Sun 25 Oct 2026, back 1 h",
        "Sun 28 Mar 2027, forward 1 h",
    )


def test_publishing_books_nothing_outside_a_squads_own_season(club_store: Store) -> None:
    """A squad that ends on 31 March has no session after it; the others go on."""
    assert set_squad_season(club_store, "u13-kestrels", None, date(2027, 3, 31)) == (
        "U13 Kestrels train until 2027-03-31."
    )
    publish_share_out(club_store, propose(club_store, KESTRELS), BEFORE)
    days = [row.starts_at.date() for row in training(club_store, "u13-kestrels")]
    assert days[-1] == date(2027, 3, 30)
    assert set_squad_season(club_store, "u13-kestrels", None, None) == (
        "U13 Kestrels train as long as the club does."
    )
    publish_share_out(club_store, propose(club_store, KESTRELS), BEFORE)
    days = [row.starts_at.date() for row in training(club_store, "u13-kestrels")]
    assert days[-1] == date(2027, 4, 13)
    with pytest.raises(RefusedError, match="must not lie before"):
        set_squad_season(club_store, "u13-kestrels", date(2027, 4, 1), date(2027, 3, 1))


def test_the_light_says_when_a_stretch_asks_for_another_pattern(small: Store) -> None:
    """Sessions on the unlit pitch: dark from the first date on which one ends too late."""
    assert see_year(small, NOW).dark_from == {}
    for n in (1, 2):
        day = A_WEDNESDAY + timedelta(weeks=n)
        book(small, SMALL_KESTRELS, "half-1", pitch_key=LOW, day=day)
    assert see_year(small, NOW).dark_from == {"winter": "Wed 2 Dec"}
