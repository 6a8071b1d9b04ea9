"""Loading changed files over a club that is in use."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from clubplanner.domain.booked.closures import Condition
from clubplanner.errors import ClashError, FaultyInputError
from clubplanner.geometry.frame import Frame
from clubplanner.geometry.shapes import interior_overlap_m2, rectangle
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.evening.bookings import withdraw_booking
from clubplanner.services.evening.closures.closing import ClosureWish, close_ground
from clubplanner.services.places.closure_list import list_closures
from clubplanner.services.rows.snapshot import load_asks, load_breaks, load_squads, load_stretches
from clubplanner.services.setup.loading import load_files
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.club_tables import StretchRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from tests.builders import NOW, NOW_KEPT, make_range
from tests.services.club_files import (
    SETTINGS,
    SQUADS,
    club_files,
    grounds,
    set_booking,
    settings,
    text_of,
)
from tests.stores import TOP, area_number, booking_row, count_rows, make_wish, put_booking

if TYPE_CHECKING:
    from collections.abc import Callable

    from shapely import Polygon

    from clubplanner.store.engine import Store

LATER = NOW + timedelta(days=365)


def cuts(*names: str) -> Callable[[dict[str, Any]], None]:
    """Return a change of a pitch's cuts."""
    return lambda properties: properties.update(cuts=list(names))


def drawn(store: Store, name: str, shape: Polygon) -> dict[str, Any]:
    """Return the feature of an area drawn on the top pitch, given in metres of its frame."""
    with store.read() as session:
        stored = session.scalars(select(PitchRow.frame).where(PitchRow.key == TOP)).one()
    assert stored is not None
    frame = Frame(*stored)
    corners = [list(frame.lonlat_from_local(x, y)) for x, y in shape.exterior.coords]
    return {
        "type": "Feature",
        "properties": {"role": "area", "pitch": "Top pitch", "name": name},
        "geometry": {"type": "Polygon", "coordinates": [corners]},
    }


def rows_of(store: Store) -> list[tuple[Any, ...]]:
    """Return all bookings, column by column."""
    with store.read() as session:
        return [tuple(row) for row in session.execute(select(BookingRow.__table__))]


def check_cells(store: Store) -> None:
    """Make sure that cells tell of the ground: two areas share one exactly when they overlap."""
    with store.read() as session:
        areas = session.scalars(
            select(AreaRow).join(AreaRow.pitch).where(PitchRow.key == TOP)
        ).all()
        for one in areas:
            for other in areas:
                overlap = interior_overlap_m2(one.polygon, other.polygon) > 1
                assert bool(one.cells & other.cells) == overlap, (one.key, other.key)
        for row in session.scalars(select(BookingRow).where(BookingRow.ends_at > NOW)):
            assert row.cells == row.area.cells


def test_the_same_files_again_change_nothing(club_store: Store) -> None:
    """Every row keeps its number, and no set booking is doubled."""
    put_booking(club_store, make_wish(club_store), NOW)
    before, bookings = count_rows(club_store), rows_of(club_store)
    number = area_number(club_store)
    report = load_files(club_store, club_files(), NOW)
    assert report.lines[-1] == "0 set bookings"
    assert count_rows(club_store) == before
    assert rows_of(club_store) == bookings
    assert area_number(club_store) == number


def test_a_set_booking_withdrawn_by_hand_stays_withdrawn(club_store: Store) -> None:
    """Loading the settings again does not book anew what somebody gave back."""
    with club_store.read() as session:
        row = session.scalars(
            select(BookingRow).where(BookingRow.holder == "Tarnholt Evening Runners")
        ).one()
    withdraw_booking(club_store, row.id, 0, NOW)
    load_files(club_store, [settings()], NOW)
    assert count_rows(club_store)["booking"] == 3
    assert booking_row(club_store, row.id).is_withdrawn


@pytest.mark.parametrize(
    "names",
    [
        ("thirds",),
        ("thirds", "halves"),
        ("quarters", "thirds"),
        ("grid", "thirds", "quarters", "halves"),
    ],
)
def test_other_cuts_keep_bookings_on_their_ground(
    club_store: Store, names: tuple[str, ...]
) -> None:
    """After a reload a booking holds the cells of its area, calendars see no change in it."""
    before = [
        booking_row(club_store, put_booking(club_store, make_wish(club_store, key), NOW))
        for key in ("third-1", "third-3")
    ]
    load_files(club_store, [grounds(cuts(*names))], NOW)
    check_cells(club_store)
    for row in before:
        after = booking_row(club_store, row.id)
        assert (after.area_id, after.starts_at, after.uid) == (row.area_id, row.starts_at, row.uid)
        assert (after.sequence, after.changed_at, after.is_withdrawn) == (0, NOW_KEPT, False)
    with pytest.raises(ClashError, match="is held by U13 Kestrels"):
        put_booking(club_store, make_wish(club_store, "whole"), NOW)
    put_booking(club_store, make_wish(club_store, "third-2"), NOW)


def test_what_is_over_keeps_the_cells_of_its_day(club_store: Store) -> None:
    """Ground that is redrawn says when, so that what was over by then is told from what was not."""
    past = NOW - timedelta(days=7)
    during = make_range(past.date())
    over = put_booking(club_store, make_wish(club_store, during=during), past - timedelta(days=1))
    coming = put_booking(club_store, make_wish(club_store), NOW)
    before = booking_row(club_store, over).cells
    load_files(club_store, [grounds(cuts("thirds"))], NOW)
    row, kept = booking_row(club_store, coming), booking_row(club_store, over)
    assert kept.cells == before != row.cells
    assert row.area.redrawn_at == NOW_KEPT
    assert kept.ends_at <= NOW_KEPT < row.ends_at
    earlier = NOW - timedelta(days=3)  # a clock that was put back
    load_files(club_store, [grounds(cuts("grid", "thirds"))], earlier)
    assert booking_row(club_store, coming).area.redrawn_at == NOW_KEPT


def test_a_new_area_splits_the_cells_of_bookings(club_store: Store) -> None:
    """A drawn area across two thirds can be booked beside neither of them."""
    put_booking(club_store, make_wish(club_store, "third-1"), NOW)
    patch = drawn(club_store, "Patch", rectangle(25, 10, 20, 20))
    load_files(club_store, [grounds(lambda _: None, patch)], NOW)
    check_cells(club_store)
    with pytest.raises(ClashError, match="Railway third is held"):
        put_booking(club_store, make_wish(club_store, "drawn-patch"), NOW)
    put_booking(club_store, make_wish(club_store, "third-3"), NOW)


def test_an_area_with_bookings_to_come_cannot_be_dropped(club_store: Store) -> None:
    """The refusal counts the bookings and says what to do; everything stays as it was."""
    for offset in (0, 7):
        during = make_range(date(2026, 11, 25) + timedelta(days=offset))
        put_booking(club_store, make_wish(club_store, "third-1", during), NOW)
    before, bookings = count_rows(club_store), rows_of(club_store)
    with pytest.raises(FaultyInputError) as caught:
        load_files(club_store, [grounds(cuts("halves"))], NOW)
    (problem,) = caught.value.problems
    assert (problem.where, problem.code) == ("Top pitch, “Railway third”", "booked")
    assert "3 bookings still to come stand on it; move or withdraw them first" in problem.message
    assert count_rows(club_store) == before
    assert rows_of(club_store) == bookings
    check_cells(club_store)


def test_an_area_that_nobody_booked_is_dropped(club_store: Store) -> None:
    """Areas that left the file are gone where nothing refers to them."""
    load_files(club_store, [grounds(cuts("thirds"))], NOW)
    with club_store.read() as session:
        keys = session.scalars(
            select(AreaRow.key).join(AreaRow.pitch).where(PitchRow.key == TOP)
        ).all()
    assert sorted(keys) == ["third-1", "third-2", "third-3", "whole"]
    check_cells(club_store)


def test_an_area_with_a_condition_is_kept(club_store: Store) -> None:
    """What was said of it (“no studs”) goes on to have its ground, though nobody booked there."""
    during = make_range(date(2026, 11, 25))
    wish = ClosureWish(area_number(club_store, "half-1"), during, Condition.NO_STUDS, "soft")
    close_ground(club_store, wish, None, NOW)
    load_files(club_store, [grounds(cuts("thirds"))], NOW)
    kept = next(one for one in list_closures(club_store, NOW) if "soft" in one.words)
    assert "half" in kept.place
    check_cells(club_store)


def test_a_dropped_area_of_withdrawn_bookings_cannot_be_booked_over(club_store: Store) -> None:
    """An area kept for the sake of old bookings holds all the ground it reaches into."""
    done = put_booking(club_store, make_wish(club_store, "quarter-2"), NOW)
    withdraw_booking(club_store, done, 0, NOW)
    wish = make_wish(club_store, "quarter-2")
    load_files(club_store, [grounds(cuts("thirds"))], NOW)
    assert booking_row(club_store, done).is_withdrawn
    for third in ("third-1", "third-2"):
        held = put_booking(club_store, make_wish(club_store, third), NOW)
        with pytest.raises(ClashError, match="is held by U13 Kestrels"):
            put_booking(club_store, wish, NOW)
        withdraw_booking(club_store, held, 0, NOW)
    put_booking(club_store, make_wish(club_store, "third-3"), NOW)
    put_booking(club_store, wish, NOW)


def test_cuts_that_would_make_two_bookings_meet_are_refused(club_store: Store) -> None:
    """An area redrawn over a neighbour's is not taken while both are booked at once."""
    apart = [
        drawn(club_store, "Left patch", rectangle(0, 0, 30, 30)),
        drawn(club_store, "Right patch", rectangle(40, 0, 30, 30)),
    ]
    load_files(club_store, [grounds(lambda _: None, *apart)], NOW)
    for key in ("drawn-left-patch", "drawn-right-patch"):
        put_booking(club_store, make_wish(club_store, key), NOW)
    bookings = rows_of(club_store)
    apart[1] = drawn(club_store, "Right patch", rectangle(20, 0, 30, 30))
    with pytest.raises(FaultyInputError) as caught:
        load_files(club_store, [grounds(lambda _: None, *apart)], NOW)
    (problem,) = caught.value.problems
    assert (problem.where, problem.code) == ("Top pitch", "clash")
    assert problem.message.startswith("With these cuts two bookings would meet: ")
    assert "patch is held by U13 Kestrels 18:00–19:15" in problem.message
    assert rows_of(club_store) == bookings
    load_files(club_store, [grounds(lambda _: None, *apart)], LATER)  # when both are over


def test_what_is_over_never_stands_in_the_way(club_store: Store) -> None:
    """Once bookings have passed, their areas may go; the rows stay as they were."""
    done = [
        put_booking(club_store, make_wish(club_store, key), NOW)
        for key in ("quarter-1", "quarter-2", "corner-3", "corner-4")
    ]
    before = [booking_row(club_store, number).cells for number in done]
    load_files(club_store, [grounds(cuts("thirds"))], LATER)
    assert [booking_row(club_store, number).cells for number in done] == before
    assert not any(booking_row(club_store, number).is_withdrawn for number in done)


def test_a_pitch_is_brought_up_to_date(club_store: Store) -> None:
    """Lights, goals and obstacles follow the file."""

    def change(properties: dict[str, Any]) -> None:
        box = {"x_m": 1, "y_m": 1, "length_m": 2, "width_m": 2}
        properties.update(floodlights=False, goals=[], portable_goals=1, obstacles=[box, box])

    load_files(club_store, [grounds(change)], NOW)
    load_files(club_store, [grounds(change)], NOW)
    with club_store.read() as session:
        row = session.scalars(select(PitchRow).where(PitchRow.key == TOP)).one()
        assert (row.is_lit, row.goals, row.portable_goals) == (False, [], 1)
        assert len(row.obstacles) == 2
        assert row.obstacles[0].polygon.bounds == (1, 1, 3, 3)


def test_a_squad_left_out_asks_for_nothing_and_keeps_its_bookings(club_store: Store) -> None:
    """It is named in the report, keeps what it has, and asks again once it is back."""
    done = put_booking(club_store, make_wish(club_store), NOW)
    lines = text_of(SQUADS).splitlines()
    fewer = "\n".join(line for line in lines if not line.startswith("U13 Kestrels"))
    report = load_files(club_store, [ClubFile(SQUADS, fewer.encode())], NOW)
    assert report.lines == (
        f"{len(lines) - 2} squads with {len(lines) - 2} asks",
        "no longer in the file, so nothing is asked for: U13 Kestrels",
    )
    with club_store.read() as session:
        assert len(load_squads(session)) == len(lines) - 1
        assert "u13-kestrels" not in {ask.squad_key for _, ask in load_asks(session)}
    assert not booking_row(club_store, done).is_withdrawn
    load_files(club_store, [ClubFile(SQUADS, text_of(SQUADS).encode())], NOW)
    with club_store.read() as session:
        assert "u13-kestrels" in {ask.squad_key for _, ask in load_asks(session)}


def test_stretches_and_breaks_follow_the_file(club_store: Store) -> None:
    """What left the settings is gone, unless a share-out speaks of it."""
    with club_store.write() as session:
        spring = session.scalars(select(StretchRow).where(StretchRow.key == "spring")).one()
        session.add(
            ShareOutRow(
                stretch_id=spring.id,
                sort="stretch",
                created_at=NOW,
                kind="first",
                outcome={},
                published_at=None,
            )
        )
    head = text_of(SETTINGS).partition("[[stretches]]")[0]
    lines = ("[[stretches]]", 'name = "Summer"', "starts = 2027-06-01", "ends = 2027-07-16")
    load_files(club_store, [ClubFile(SETTINGS, "\n".join((head, *lines)).encode())], NOW)
    with club_store.read() as session:
        assert [stretch.key for stretch in load_stretches(session)] == ["spring", "summer"]
        assert load_breaks(session) == ()


def test_a_set_booking_is_added_once(club_store: Store) -> None:
    """The same line read twice is one booking; a second line of the same ground is a clash."""
    assert load_files(club_store, [settings(set_booking())], NOW).lines[-1] == "1 set booking"
    assert load_files(club_store, [settings(set_booking())], NOW).lines[-1] == "0 set bookings"
    other = set_booking(who='"Other Runners"', area='"Railway half"')
    with pytest.raises(FaultyInputError, match="1 fault found"):
        load_files(club_store, [settings(set_booking(), other)], NOW)


def test_grounds_that_shrink_keep_old_areas_out_of_the_way(club_store: Store) -> None:
    """An area whose ground is no longer part of the pitch holds all of it, to be safe."""
    far = drawn(club_store, "Far patch", rectangle(80, 10, 15, 15))
    load_files(club_store, [grounds(lambda _: None, far)], NOW)
    done = put_booking(club_store, make_wish(club_store, "drawn-far-patch"), NOW)
    withdraw_booking(club_store, done, 0, NOW)
    wish = make_wish(club_store, "drawn-far-patch")
    file = grounds(lambda properties: properties.update(cuts=["halves"], length_m=40, width_m=30))
    data = json.loads(file.data)
    data["features"] = [f for f in data["features"] if f["properties"]["role"] != "entrance"]
    for feature in data["features"]:
        if feature["properties"].get("name") == "Top pitch":
            feature["geometry"] = None
            feature["properties"]["names"] = {}
    bookings = text_of(SETTINGS).partition("[[bookings]]")[0].encode()
    with club_store.write() as session:
        for row in session.scalars(select(BookingRow)):
            row.is_withdrawn = True
    load_files(
        club_store,
        [replace(file, data=json.dumps(data).encode()), ClubFile(SETTINGS, bookings)],
        NOW,
    )
    put_booking(club_store, make_wish(club_store, "half-1"), NOW)
    with pytest.raises(ClashError, match="is held by U13 Kestrels"):
        put_booking(club_store, wish, NOW)
