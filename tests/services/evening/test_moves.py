"""Moving a booking by looking: every place, who is affected, all or nothing."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import ClashError, HinderedError, MissingError, OutdatedError, RefusedError
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.evening.moves import foresee_move, move_with_others, see_moves
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.places.displaced import WITHDRAW
from clubplanner.services.places.ruling import Overruling
from clubplanner.store.tables.booking_tables import BookingRow
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
    find_area_id,
    kept_bookings,
    load_small_club,
)
from tests.stores import ALL_THE_SAME, booking_row

if TYPE_CHECKING:
    from clubplanner.services.evening.move_places import PlaceLine
    from clubplanner.store.engine import Store


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with the Kestrels on a third and the Harriers on the next one."""
    load_small_club(empty_store)
    book(empty_store)
    book(empty_store, HARRIERS, "third-2", end_min=19 * 60)
    return empty_store


def lines_of(store: Store, number: int = 1, start_min: int | None = None) -> dict[str, PlaceLine]:
    """Return the places of a booking on its own day by the name of pitch and area."""
    page = see_moves(store, number, None, start_min)
    return {f"{p.name}: {line.name}": line for p in page.pitches for line in p.lines}


def ground_of(store: Store) -> dict[str, str]:
    """Return who stands where."""
    return {kept.holder: kept.area for kept in kept_bookings(store)}


def test_every_place_is_shown_with_who_holds_it(store: Store) -> None:
    """All areas of all pitches, each free, held by whom, closed, or where it is now."""
    book(store, "Frost", "whole", pitch_key=LOW, purpose=Purpose.CLOSED)
    lines = lines_of(store)
    assert len(lines) == 6 + 3 + 3
    assert lines["Top pitch: Clubhouse third"].is_here
    assert lines["Top pitch: Middle third"].held == ("U14 Harriers 18:00–19:00",)
    assert lines["Top pitch: Road third"].held == ()
    assert lines["Top pitch: Whole of Top pitch"].held == ("U14 Harriers 18:00–19:00",)
    assert lines["Low pitch: Road half"].is_closed
    assert lines["Hall: Clubhouse half"].size == "15 × 20 m (16 × 22 yd)"


def test_another_time_is_looked_at_with_the_length_kept(store: Store) -> None:
    """From 20:00 nobody is there, and the booking is not here yet."""
    page = see_moves(store, 1, A_WEDNESDAY + timedelta(days=1), 20 * 60)
    assert (page.starts, page.ends) == ("20:00", "21:15")
    assert page.day_words == "Thursday 26 November 2026"
    lines = lines_of(store, start_min=20 * 60)
    assert not any(line.held or line.is_here for line in lines.values())


def test_a_free_place_affects_nobody(store: Store) -> None:
    """The booking goes there, is fixed, counts a change, and the journal says so."""
    area = find_area_id(store, TOP, "third-3")
    foreseen = foresee_move(store, 1, area, None, None, NOW)
    assert (foreseen.place, foreseen.displaced) == ("Road third, Top pitch", ())
    words = move_with_others(store, 1, 0, area, None, None, {}, NOW)
    assert words == "U12 Kestrels moved to Road third, Top pitch."
    kept = next(k for k in kept_bookings(store) if k.holder == "U12 Kestrels")
    assert (kept.area, kept.sequence) == (f"{TOP}/third-3", 1)
    assert list_changes(store, NOW)[0].words == "U12 Kestrels moved to Road third, Top pitch"


def test_two_change_places_in_one_go(store: Store) -> None:
    """Whoever has to go may take the ground that becomes free; both move or neither."""
    area = find_area_id(store, TOP, "third-2")
    foreseen = foresee_move(store, 1, area, None, None, NOW)
    (other,) = foreseen.displaced
    assert other.holder == "U14 Harriers"
    swap = next(c.value for c in other.choices if c.words.startswith("Clubhouse third"))
    words = move_with_others(store, 1, 0, area, None, None, {other.number: swap}, NOW)
    assert words.endswith("1 session moved.")
    assert ground_of(store) == {
        "U12 Kestrels": f"{TOP}/third-2",
        "U14 Harriers": f"{TOP}/third-1",
    }
    undo_change(store, list_changes(store, NOW)[0].number, NOW)
    assert ground_of(store) == {
        "U12 Kestrels": f"{TOP}/third-1",
        "U14 Harriers": f"{TOP}/third-2",
    }


def test_whoever_has_to_go_may_be_withdrawn(store: Store) -> None:
    """Decided so, the other session is given up."""
    area = find_area_id(store, TOP, "third-2")
    move_with_others(store, 1, 0, area, None, None, {2: WITHDRAW}, NOW)
    assert ground_of(store) == {"U12 Kestrels": f"{TOP}/third-2"}


def test_nothing_is_moved_when_somebody_came_meanwhile(store: Store) -> None:
    """A session that the person did not see stands in the way; nothing is changed."""
    area = find_area_id(store, TOP, "third-3")
    book(store, "Hill Runners", "third-3", start_min=18 * 60 + 30, end_min=20 * 60)
    before = ground_of(store)
    with pytest.raises(OutdatedError, match="Hill Runners have been booked there too"):
        move_with_others(store, 1, 0, area, None, None, {}, NOW)
    taken = f"{area}@{int(kept_bookings(store)[1].during.starts_at.timestamp())}"
    with pytest.raises(ClashError):
        move_with_others(
            store, 1, 0, find_area_id(store, TOP, "third-2"), None, None, {2: taken}, NOW
        )
    assert ground_of(store) == before


def test_the_later_of_two_is_told(store: Store) -> None:
    """Whoever looked before the other moved it is told where it is now."""
    move_booking(
        store, 1, 0, find_area_id(store, TOP, "third-3"), kept_bookings(store)[0].during, NOW
    )
    with pytest.raises(OutdatedError, match="Road third, Top pitch, Wednesday 25 November"):
        move_with_others(store, 1, 0, find_area_id(store, LOW, "half-1"), None, None, {}, NOW)


def test_free_means_that_no_rule_stands_in_the_way(store: Store) -> None:
    """A place is free, held, closed, or against a rule; common rules are told once above."""
    page = see_moves(store, 1, None, None)
    assert page.against == ()
    dark = next(pitch for pitch in page.pitches if pitch.name == "Low pitch")
    (words,) = dark.against
    assert words.startswith("Low pitch has no lights; it is too dark from ")
    lines = lines_of(store)
    free = {name for name, line in lines.items() if line.is_free and not line.is_here}
    assert free == {
        "Top pitch: Road third",
        "Hall: Whole of Hall",
        "Hall: Clubhouse half",
        "Hall: Road half",
    }
    assert all(line.against == () for line in lines.values())


def test_a_place_of_its_own_may_break_a_rule_of_its_own(empty_store: Store) -> None:
    """What only one place breaks stands with it: the middle third has no goal."""
    squads = SQUADS.replace("least ground\n", "least ground,needs goal\n").replace(
        "third\n", "third,yes\n"
    )
    store = load_small_club(empty_store, squads=squads)
    book(store)
    lines = lines_of(store)
    words = "No goal stands on Middle third; U12 Kestrels ask for one."
    assert lines["Top pitch: Middle third"].against == (words,)
    assert not lines["Top pitch: Middle third"].is_free
    assert lines["Top pitch: Road third"].is_free


def test_three_in_the_night_is_against_a_rule_everywhere(store: Store) -> None:
    """No place is free then, and a move says which rules it would break before it is made."""
    page = see_moves(store, 1, None, 3 * 60)
    assert page.against[0] == "Marsh Lane is open 17:00–22:00 on a Wednesday."
    assert not any(line.is_free for pitch in page.pitches for line in pitch.lines)
    area = find_area_id(store, TOP, "third-3")
    foreseen = foresee_move(store, 1, area, None, 3 * 60, NOW)
    with pytest.raises(HinderedError) as caught:
        move_with_others(store, 1, 0, area, None, 3 * 60, {}, NOW)
    assert tuple(one.words for one in caught.value.hindrances) == foreseen.against
    assert kept_bookings(store)[0].local[1] == "18:00"
    reason = Overruling("Night of the long run", frozenset(foreseen.against))
    words = move_with_others(store, 1, 0, area, None, 3 * 60, {}, NOW, reason)
    assert words.endswith("Because: Night of the long run.")
    assert booking_row(store, 1).overruled == "Night of the long run"


def test_moving_to_a_free_place_forgets_what_was_overruled(store: Store) -> None:
    """The reason was about the place it leaves."""
    with store.write() as session:
        session.get_one(BookingRow, 1).overruled = "Lamps"
        session.get_one(BookingRow, 2).overruled = "Lamps"
    area = find_area_id(store, TOP, "third-2")
    (other,) = foresee_move(store, 1, area, None, None, NOW).displaced
    move_with_others(store, 1, 0, area, None, None, {2: other.chosen}, NOW)
    assert [booking_row(store, number).overruled for number in (1, 2)] == ["", ""]


def test_the_others_are_not_put_where_a_rule_stands_in_the_way(store: Store) -> None:
    """Not even by a form that says so, nor by the reason given for the one that moves."""
    before = ground_of(store)
    start = int(booking_row(store, 2).starts_at.timestamp())
    dark = f"{find_area_id(store, LOW, 'half-1')}@{start}"
    area = find_area_id(store, TOP, "third-2")
    for overruling in (Overruling(), ALL_THE_SAME):
        with pytest.raises(HinderedError, match=r"too dark .* Choose another place for U14 Harr"):
            move_with_others(store, 1, 0, area, None, None, {2: dark}, NOW, overruling)
    assert ground_of(store) == before


def test_places_proposed_together_are_free_together(empty_store: Store) -> None:
    """With a quarter of an hour for changing over, two who have to go do not follow at once."""
    settings = SETTINGS.replace("step_minutes = 15", "step_minutes = 15\nchangeover_minutes = 15")
    store = load_small_club(empty_store, settings=settings)
    for number, area in enumerate(("half-1", "half-2")):
        book(store, f"Hirer {number}", area, purpose=Purpose.HIRE, end_min=19 * 60)
    book(store, "Choir", "whole", pitch_key=HALL, purpose=Purpose.HIRE)
    mine = book(store, KESTRELS, "whole", start_min=20 * 60, end_min=21 * 60)
    whole = find_area_id(store, TOP, "whole")
    foreseen = foresee_move(store, mine, whole, None, 18 * 60, NOW)
    decisions = {one.number: one.chosen for one in foreseen.displaced}
    assert len(decisions) == 2
    told = Overruling("The final", frozenset(foreseen.against))
    move_with_others(store, mine, 0, whole, None, 18 * 60, decisions, NOW, told)


def test_closed_past_and_gone_are_told(store: Store) -> None:
    """Closed ground, a time that has passed, a booking that was withdrawn, ground that is not."""
    book(store, "Frost", "whole", pitch_key=LOW, purpose=Purpose.CLOSED)
    half = find_area_id(store, LOW, "half-1")
    for act in (
        lambda: foresee_move(store, 1, half, None, None, NOW),
        lambda: move_with_others(store, 1, 0, half, None, None, {}, NOW),
    ):
        with pytest.raises(ClashError, match="open it first"):
            act()
    yesterday = A_WEDNESDAY - timedelta(days=30)
    with pytest.raises(RefusedError, match="only be moved ahead"):
        foresee_move(store, 1, find_area_id(store, TOP, "third-3"), yesterday, None, NOW)
    with pytest.raises(MissingError):
        foresee_move(store, 1, 999, None, None, NOW)
    withdraw_booking(store, 1, 0, NOW)
    with pytest.raises(MissingError, match="already been withdrawn"):
        see_moves(store, 1, None, None)
