"""Adding, moving and withdrawing bookings."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select
from sqlalchemy.exc import IntegrityError

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import TimeRange, range_from_wall
from clubplanner.errors import ClashError, HinderedError, MissingError, OutdatedError, RefusedError
from clubplanner.services.evening.bookings import (
    add_booking,
    move_booking,
    see_booking,
    withdraw_booking,
)
from clubplanner.services.places.free_instead import LATER_STEPS, MOST_SUGGESTIONS
from clubplanner.services.places.ruling import Overruling
from clubplanner.services.rows.bookings import booking_rows
from clubplanner.services.rows.bookings.booking_rows import BookingWish, flush
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow
from tests.builders import A_WEDNESDAY, LONDON, NOW, NOW_KEPT, make_range
from tests.stores import ALL_THE_SAME, MEADOW, TOP, area_number, booking_row, make_wish

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

SOON = NOW + timedelta(minutes=5)
SOON_KEPT = NOW_KEPT + timedelta(minutes=5)


def held(store: Store, key: str = "third-1", during: TimeRange | None = None) -> int:
    """Book ground for a hirer at whatever hour and return the booking's number."""
    wish = make_wish(store, key, during, squad_key=None, purpose=Purpose.HIRE, holder="Choir")
    return add_booking(store, wish, NOW, ALL_THE_SAME).number


def wish_from_suggestion(store: Store, text: str, asked: BookingWish) -> BookingWish:
    """Turn a suggestion back into a wish: "Inner half, Top pitch" or "Whole from 19:15"."""
    later = re.fullmatch(r"(.+) from (\d\d):(\d\d)", text)
    query = select(AreaRow.id).join(AreaRow.pitch)
    during = asked.during
    if later:
        with store.read() as session:
            area = session.get_one(AreaRow, asked.area_id)
            assert area.name == later[1]
        starts_at = asked.during.starts_at
        while starts_at.astimezone(LONDON).strftime("%H:%M") != f"{later[2]}:{later[3]}":
            starts_at += timedelta(minutes=15)
        during = TimeRange(starts_at, starts_at + (asked.during.ends_at - asked.during.starts_at))
        return BookingWish(asked.area_id, during, asked.purpose, None, "Second choice", "", False)
    area_name, pitch_name = text.rsplit(", ", 1)
    with store.read() as session:
        number = session.scalars(
            query.where(AreaRow.name == area_name, PitchRow.name == pitch_name)
        ).one()
    return BookingWish(number, during, asked.purpose, None, "Second choice", "", False)


def test_a_booking_is_kept_as_wished(club_store: Store) -> None:
    """Area, cells, time, squad and purpose are stored; the squad's own name is the holder."""
    done = add_booking(club_store, make_wish(club_store, holder="typed wrongly"), NOW)
    row = booking_row(club_store, done.number)
    with club_store.read() as session:
        area = session.get_one(AreaRow, row.area_id)
    assert (row.area_id, row.pitch_id, row.cells) == (area.id, area.pitch_id, area.cells)
    assert TimeRange(row.starts_at, row.ends_at) == make_range()
    assert (row.holder, row.purpose) == ("U13 Kestrels", Purpose.TRAINING)
    assert (row.sequence, row.is_withdrawn, row.is_fixed) == (0, False, False)
    assert row.created_at == row.changed_at == NOW_KEPT
    assert row.uid.endswith("@clubplanner")


def test_a_booking_is_shown_in_local_words(club_store: Store) -> None:
    """Date and times are those of the wall clock."""
    done = add_booking(club_store, make_wish(club_store, during=make_range(date(2027, 6, 2))), NOW)
    shown = see_booking(club_store, done.number)
    assert (shown.day, shown.starts, shown.ends) == ("2027-06-02", "18:00", "19:15")
    assert (shown.area_name, shown.pitch_name) == ("Railway third", "Top pitch")
    assert (shown.venue_key, shown.holder, shown.purpose) == (
        "osier-lane",
        "U13 Kestrels",
        "training",
    )
    assert (shown.number, shown.sequence, shown.note) == (done.number, 0, "")


def test_every_booking_has_an_identity_of_its_own(club_store: Store) -> None:
    """No two bookings share one in calendars."""
    numbers = [held(club_store, f"quarter-{n}") for n in range(1, 5)]
    assert len({booking_row(club_store, number).uid for number in numbers}) == 4


def test_a_clash_names_who_holds_what_until_when(club_store: Store) -> None:
    """Every holder in the way is named with ground and times, in order of time."""
    held(club_store, "third-3", make_range(start_min=19 * 60, end_min=20 * 60))
    add_booking(club_store, make_wish(club_store, "quarter-1"), NOW, ALL_THE_SAME)
    with pytest.raises(ClashError) as caught:
        add_booking(club_store, make_wish(club_store, "whole", squad_key="u14-harriers"), NOW)
    assert [clash.sentence for clash in caught.value.clashes] == [
        "Railway quarter is held by U13 Kestrels 18:00–19:15",
        "Clubhouse third is held by Choir 19:00–20:00",
    ]
    assert str(caught.value).startswith("Railway quarter is held by U13 Kestrels 18:00–19:15; ")


def test_a_clash_says_what_is_free_nearby(club_store: Store) -> None:
    """First other ground of about that size on the same pitch, then elsewhere, then later."""
    during = make_range(A_WEDNESDAY + timedelta(days=7))
    held(club_store, "third-1", during)
    with pytest.raises(ClashError) as caught:
        add_booking(club_store, make_wish(club_store, "third-1", during), NOW)
    free = caught.value.free
    assert free == ("Clubhouse third, Top pitch", "Clubhouse half, Top pitch"), (
        "the middle third has no goal, the meadow no light, and at 19:15 it is too late for them"
    )
    assert len(free) <= MOST_SUGGESTIONS
    assert "Free instead: " in str(caught.value)
    with pytest.raises(ClashError) as of_hirer:
        add_booking(club_store, make_wish(club_store, "third-1", during, squad_key=None), NOW)
    assert of_hirer.value.free[0] == "Clubhouse third, Top pitch"
    assert of_hirer.value.free[-1] == "Railway third from 19:15"


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["half-1", "third-1", "third-2", "quarter-3", "corner-4", "whole"]),
            st.sampled_from([TOP, MEADOW]),
            st.integers(0, 8),
        ),
        max_size=6,
    ),
    st.sampled_from(["half-2", "third-2", "quarter-1", "whole"]),
    st.integers(0, 3000),
)
def test_whatever_is_suggested_can_be_booked(
    club_store: Store, others: list[tuple[str, str, int]], wanted: str, day: int
) -> None:
    """With any bookings about, each suggestion taken by itself is free by every rule."""
    day_on = date(2027, 1, 4) + timedelta(days=day)
    during = make_range(day_on)
    for area, pitch, quarter in [("third-2", TOP, 2), ("quarter-1", TOP, 0), *others]:
        key = area if pitch == TOP or not area.startswith(("third", "corner")) else "half-2"
        start = 18 * 60 + 15 * (quarter - 4)
        try:
            add_booking(
                club_store,
                make_wish(
                    club_store,
                    key,
                    make_range(day_on, start, start + 60),
                    pitch_key=pitch,
                    squad_key=None,
                ),
                NOW,
                ALL_THE_SAME,
            )
        except ClashError:
            continue
    asked = make_wish(club_store, wanted, during, squad_key=None)
    free: tuple[str, ...] = ()
    try:
        add_booking(club_store, asked, NOW, ALL_THE_SAME)
    except ClashError as clash:
        free = clash.free
    for text in free:
        other = wish_from_suggestion(club_store, text, asked)
        number = add_booking(club_store, other, NOW).number
        withdraw_booking(club_store, number, 0, NOW)
    with club_store.write() as session:
        for row in session.scalars(select(BookingRow).where(BookingRow.id > 3)):
            row.is_withdrawn = True


def test_nothing_is_suggested_where_nothing_is_free(club_store: Store) -> None:
    """With the venue closed all evening the clash stands alone."""
    with club_store.read() as session:
        venue = session.scalars(select(VenueRow).where(VenueRow.key == "osier-lane")).one()
        pitches = [pitch.key for pitch in venue.pitches]
    evening = make_range(A_WEDNESDAY + timedelta(days=7), 17 * 60, 24 * 60)
    for pitch in pitches:
        closed = make_wish(
            club_store,
            "whole",
            evening,
            pitch_key=pitch,
            squad_key=None,
            purpose=Purpose.CLOSED,
            holder="Snow",
        )
        add_booking(club_store, closed, NOW)
    with pytest.raises(ClashError) as caught:
        add_booking(
            club_store,
            make_wish(club_store, "third-1", make_range(A_WEDNESDAY + timedelta(days=7))),
            NOW,
        )
    assert caught.value.free == ()
    assert str(caught.value) == "Whole of Top pitch is held by Snow 17:00–24:00."
    assert 18 * 60 + LATER_STEPS * 15 < 24 * 60


def test_ground_is_free_up_to_the_minute(club_store: Store) -> None:
    """One session may begin when the one before it ends."""
    numbers = [
        held(club_store),
        held(club_store, during=make_range(start_min=19 * 60 + 15, end_min=20 * 60)),
        held(club_store, during=make_range(start_min=17 * 60, end_min=18 * 60)),
    ]
    rows = [booking_row(club_store, number) for number in numbers]
    assert [row.is_withdrawn for row in rows] == [False] * 3
    assert rows[0].ends_at == rows[1].starts_at
    assert rows[0].starts_at == rows[2].ends_at


@pytest.mark.parametrize(
    ("wish", "message"),
    [
        ({"area_id": 9999}, "This area no longer exists; choose another one."),
        ({"squad_id": 9999}, "This squad no longer exists; choose another one."),
    ],
)
def test_what_is_gone_cannot_be_booked(
    club_store: Store, wish: dict[str, int], message: str
) -> None:
    """A form left open while the club changed is told which part is gone."""
    asked = make_wish(club_store)
    stale = BookingWish(
        wish.get("area_id", asked.area_id),
        asked.during,
        asked.purpose,
        wish.get("squad_id", asked.squad_id),
        asked.holder,
        "",
        False,
    )
    with pytest.raises(MissingError, match=message):
        add_booking(club_store, stale, NOW)


def test_times_that_have_passed_cannot_be_booked(club_store: Store) -> None:
    """A session that has begun can be written down; one that is over cannot."""
    wish = make_wish(club_store)
    with pytest.raises(RefusedError, match="This time has passed; choose a later one"):
        add_booking(club_store, wish, wish.during.ends_at)
    add_booking(club_store, wish, wish.during.ends_at - timedelta(seconds=1))


def test_a_booking_lasts_at_most_a_day(club_store: Store) -> None:
    """Longer closures are told to be booked day by day; 25 hours still go in."""
    start = datetime(2027, 1, 4, 0, 0, tzinfo=UTC)
    held(club_store, during=TimeRange(start, start + timedelta(hours=25)))
    with pytest.raises(RefusedError, match="book each day by itself"):
        held(club_store, "third-2", TimeRange(start, start + timedelta(hours=25, minutes=1)))


def test_the_database_decides_when_two_ask_at_once(
    club_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where looking first missed the other, the guard's refusal becomes a clash in words."""
    held(club_store)
    monkeypatch.setattr(booking_rows, "refuse_clash", lambda *_, **__: None)
    with pytest.raises(ClashError, match="Somebody else has just taken this ground") as caught:
        add_booking(club_store, make_wish(club_store), NOW)
    assert caught.value.clashes == ()
    assert "Clubhouse third, Top pitch" in caught.value.free


def test_an_error_that_is_no_clash_is_not_hidden(club_store: Store) -> None:
    """Any other refusal of the database comes through as it is."""

    def break_a_rule() -> None:
        with club_store.write() as session:
            session.scalars(select(BookingRow)).first().sequence = None  # type: ignore[union-attr]
            flush(session)

    with pytest.raises(IntegrityError, match=r"(?i)not.null"):
        break_a_rule()


def test_a_move_changes_ground_time_and_count(club_store: Store) -> None:
    """A booking keeps number and identity; the change is counted and dated."""
    number = add_booking(club_store, make_wish(club_store), NOW).number
    before = booking_row(club_store, number)
    to = area_number(club_store, "half-1", MEADOW)
    during = make_range(date(2026, 11, 26), 17 * 60, 18 * 60)
    done = move_booking(club_store, number, 0, to, during, SOON, ALL_THE_SAME)
    row = booking_row(club_store, number)
    assert done.number == number
    assert (row.area_id, row.starts_at, row.ends_at) == (to, during.starts_at, during.ends_at)
    with club_store.read() as session:
        area = session.get_one(AreaRow, to)
        assert (row.pitch_id, row.cells) == (area.pitch_id, area.cells)
    assert (row.uid, row.created_at) == (before.uid, NOW_KEPT)
    assert (row.sequence, row.changed_at) == (1, SOON_KEPT)
    assert row.is_fixed
    held(club_store)  # the old ground is free again


def test_a_move_to_where_it_is_counts_for_nothing(club_store: Store) -> None:
    """No calendar is told of a change that is none."""
    number = held(club_store)
    move_booking(club_store, number, 0, area_number(club_store), make_range(), SOON)
    row = booking_row(club_store, number)
    assert (row.sequence, row.changed_at, row.is_fixed) == (0, NOW_KEPT, False)


def test_a_move_may_overlap_where_it_was(club_store: Store) -> None:
    """A booking is not in its own way, in time or on the ground."""
    number = held(club_store, "half-1")
    move_booking(
        club_store, number, 0, area_number(club_store, "half-1"), make_range(start_min=1110), SOON
    )
    move_booking(
        club_store, number, 1, area_number(club_store, "third-2"), make_range(start_min=1110), SOON
    )
    assert booking_row(club_store, number).sequence == 2


def test_a_move_onto_held_ground_is_refused_and_counts_for_nothing(club_store: Store) -> None:
    """The clash names the holder, what is suggested is free, and the booking stays."""
    held(club_store, "third-2")
    number = add_booking(club_store, make_wish(club_store, "third-1"), NOW).number
    with pytest.raises(ClashError, match="Middle third is held by Choir") as caught:
        move_booking(club_store, number, 0, area_number(club_store, "third-2"), make_range(), SOON)
    assert "Railway third, Top pitch" in caught.value.free  # its own ground counts as free
    row = booking_row(club_store, number)
    assert (row.area_id, row.sequence) == (area_number(club_store, "third-1"), 0)
    assert row.changed_at == NOW_KEPT


def test_a_change_by_somebody_else_is_not_overwritten(club_store: Store) -> None:
    """A form that shows an older state is told what stands now; nothing is changed."""
    number = add_booking(club_store, make_wish(club_store), NOW).number
    to = area_number(club_store, "third-3")
    move_booking(club_store, number, 0, to, make_range(start_min=18 * 60 + 15), SOON)
    with pytest.raises(OutdatedError) as caught:
        move_booking(club_store, number, 0, area_number(club_store), make_range(), SOON)
    assert str(caught.value) == (
        "Somebody has changed this booking in the meantime: U13 Kestrels now has Clubhouse third "
        "18:15–19:15. Look again before you change it."
    )
    with pytest.raises(OutdatedError, match="Look again"):
        withdraw_booking(club_store, number, 0, SOON)
    row = booking_row(club_store, number)
    assert (row.area_id, row.sequence, row.is_withdrawn) == (to, 1, False)


def test_a_booking_that_is_over_cannot_be_moved(club_store: Store) -> None:
    """Neither can one be moved into the past."""
    number = held(club_store)
    to, later = area_number(club_store, "third-2"), make_range(date(2026, 12, 2))
    with pytest.raises(RefusedError, match="can only be moved ahead"):
        move_booking(club_store, number, 0, to, later, make_range().ends_at)
    with pytest.raises(RefusedError, match="can only be moved ahead"):
        move_booking(club_store, number, 0, to, make_range(date(2026, 11, 11)), NOW)
    assert booking_row(club_store, number).sequence == 0


def test_a_move_to_ground_that_is_gone_is_told(club_store: Store) -> None:
    """An area dropped in the meantime cannot be moved to."""
    number = held(club_store)
    with pytest.raises(MissingError, match="This area no longer exists"):
        move_booking(club_store, number, 0, 9999, make_range(), NOW)


def test_a_withdrawal_gives_the_ground_back_and_is_counted(club_store: Store) -> None:
    """The row stays for calendars; the ground can be booked at once."""
    number = held(club_store)
    withdraw_booking(club_store, number, 0, SOON)
    row = booking_row(club_store, number)
    assert (row.is_withdrawn, row.sequence, row.changed_at) == (True, 1, SOON_KEPT)
    shown = see_booking(club_store, number)
    assert (shown.sequence, shown.is_withdrawn) == (1, True)
    assert shown.state is not None
    assert shown.state.label == "Off"
    held(club_store)


def test_what_is_withdrawn_cannot_be_changed(club_store: Store) -> None:
    """A second withdrawal, a move, and a number that never was are told the same way."""
    number = held(club_store)
    withdraw_booking(club_store, number, 0, NOW)
    with pytest.raises(MissingError, match="already been withdrawn"):
        withdraw_booking(club_store, number, 1, NOW)
    with pytest.raises(MissingError, match="already been withdrawn"):
        move_booking(club_store, number, 1, area_number(club_store), make_range(), NOW)
    with pytest.raises(MissingError, match="no booking of this number"):
        see_booking(club_store, 9999)
    assert booking_row(club_store, number).sequence == 1


def refused(store: Store, wish: BookingWish) -> tuple[str, ...]:
    """Return the words of the rules for which a booking is refused; nothing when it is made."""
    try:
        number = add_booking(store, wish, NOW).number
    except HinderedError as fault:
        return tuple(one.words for one in fault.hindrances)
    withdraw_booking(store, number, 0, NOW)
    return ()


def test_darkness_on_unlit_ground_is_told_before(club_store: Store) -> None:
    """In November an evening on unlit ground is told until when there is light; in June none is."""
    wish = make_wish(club_store, "half-2", pitch_key=MEADOW, squad_key=None, purpose=Purpose.HIRE)
    (words,) = refused(club_store, wish)
    # Sunset at 52.31° N 2.61° W on 25 November is about 16:02 GMT; the club adds ten minutes.
    assert re.fullmatch(r"Meadow has no lights; it is too dark from 16:1\d\.", words)
    assert refused(club_store, replace(wish, during=make_range(date(2027, 6, 16)))) == ()


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (date(2026, 12, 9), ("Meadow has no lights, and the sun does not rise on that day.",)),
        (date(2027, 6, 16), ()),
    ],
)
def test_far_north_there_may_be_no_day_or_no_night(
    club_store: Store, day: date, words: tuple[str, ...]
) -> None:
    """In the polar night it is dark all day, in the polar summer never."""
    with club_store.write() as session:
        session.scalars(select(VenueRow).where(VenueRow.key == "osier-lane")).one().lat = 78.2
    wish = make_wish(club_store, "half-2", make_range(day), pitch_key=MEADOW, squad_key=None)
    assert refused(club_store, wish) == words


def test_a_squad_in_two_places_is_told_before(club_store: Store) -> None:
    """The same squad elsewhere at the same time may be meant, and is refused until it is said."""
    add_booking(club_store, make_wish(club_store), NOW)
    wish = make_wish(club_store, "third-2", purpose=Purpose.MATCH)
    assert refused(club_store, wish) == (
        "U13 Kestrels also have Railway third, Top pitch 18:00–19:15.",
    )


def test_a_coach_in_two_places_is_told_before(club_store: Store) -> None:
    """Two squads of one coach at the same time are told by the coach's name; a move tells too."""
    first = make_wish(club_store, squad_key="u12-girls-avocets", purpose=Purpose.MATCH)
    add_booking(club_store, first, NOW)
    after = make_range(start_min=19 * 60 + 15, end_min=20 * 60)
    wish = make_wish(
        club_store, "third-2", squad_key="u14-girls-ospreys", purpose=Purpose.MATCH, during=after
    )
    number = add_booking(club_store, wish, NOW).number
    words = "Lena Moss is also with U12 Girls Avocets on Railway third, Top pitch 18:00–19:15."
    with pytest.raises(HinderedError) as caught:
        move_booking(club_store, number, 0, wish.area_id, make_range(), NOW)
    assert str(caught.value) == words
    row = booking_row(club_store, number)
    assert (row.sequence, row.starts_at, row.overruled) == (0, after.starts_at, "")


def test_a_rule_is_overruled_with_a_reason_only(club_store: Store) -> None:
    """The reason is kept, and what was overruled is told; in other words nothing is done."""
    wish = make_wish(club_store, "half-2", pitch_key=MEADOW, squad_key=None, purpose=Purpose.HIRE)
    (words,) = refused(club_store, wish)
    for short in (Overruling(), Overruling("Lamps"), Overruling("", frozenset({words}))):
        with pytest.raises(HinderedError, match="too dark"):
            add_booking(club_store, wish, NOW, short)
    done = add_booking(club_store, wish, NOW, Overruling("Lamps", frozenset({words, "Other"})))
    assert done.against == (words,)
    shown = see_booking(club_store, done.number)
    assert (shown.overruled, shown.against) == ("Lamps", (words,))


def test_held_ground_is_never_overruled(club_store: Store) -> None:
    """Whoever holds it stays, whatever reason is given."""
    held(club_store)
    with pytest.raises(ClashError, match="is held by Choir"):
        add_booking(club_store, make_wish(club_store), NOW, ALL_THE_SAME)


def test_a_reason_is_kept_only_where_a_rule_was_overruled(club_store: Store) -> None:
    """Where none stood in the way it is nothing; moving to such a place forgets it."""
    wish = make_wish(club_store, "half-1", pitch_key=MEADOW)
    free = add_booking(club_store, make_wish(club_store, "third-1"), NOW, ALL_THE_SAME)
    assert (booking_row(club_store, free.number).overruled, free.against) == ("", ())
    withdraw_booking(club_store, free.number, 0, NOW)
    number = add_booking(club_store, wish, NOW, ALL_THE_SAME).number
    assert booking_row(club_store, number).overruled == "The committee wants it."
    move_booking(club_store, number, 0, area_number(club_store, "third-1"), make_range(), NOW)
    assert booking_row(club_store, number).overruled == ""


def test_other_squads_and_withdrawn_bookings_are_left_alone(club_store: Store) -> None:
    """Neighbours with a coach of their own, hirers and what was given back are left alone."""
    number = add_booking(club_store, make_wish(club_store), NOW).number
    withdraw_booking(club_store, number, 0, NOW)
    held(club_store, "third-2")
    add_booking(club_store, make_wish(club_store, "third-3", squad_key="u14-harriers"), NOW)
    assert refused(club_store, make_wish(club_store)) == ()


def test_a_booking_may_run_over_midnight(club_store: Store) -> None:
    """It is shown by the day it starts on and holds the ground into the next."""
    number = held(club_store, during=make_range(start_min=22 * 60, end_min=26 * 60))
    shown = see_booking(club_store, number)
    assert (shown.day, shown.starts, shown.ends) == ("2026-11-25", "22:00", "02:00")
    next_day = A_WEDNESDAY + timedelta(days=1)
    with pytest.raises(ClashError, match="held by Choir 22:00–02:00"):
        held(club_store, during=make_range(next_day, 90, 180))
    held(club_store, during=make_range(next_day, 120, 180))


def test_the_night_the_clocks_go_back_has_both_hours(club_store: Store) -> None:
    """From 00:30 to 03:00 on the wall are three and a half hours, and both 01:30s are held."""
    night = range_from_wall(date(2027, 10, 31), 30, 180, LONDON)
    assert night.minutes == 210
    shown = see_booking(club_store, held(club_store, during=night))
    assert (shown.day, shown.starts, shown.ends) == ("2027-10-31", "00:30", "03:00")
    first = datetime(2027, 10, 31, 0, 30, tzinfo=UTC)
    for half_past_one in (first, first + timedelta(hours=1)):
        assert half_past_one.astimezone(LONDON).strftime("%H:%M") == "01:30"
        again = TimeRange(half_past_one, half_past_one + timedelta(minutes=15))
        with pytest.raises(ClashError, match="held by Choir 00:30–03:00"):
            held(club_store, during=again)
    held(club_store, during=TimeRange(night.ends_at, night.ends_at + timedelta(hours=1)))


def test_the_night_the_clocks_go_forward_lacks_an_hour(club_store: Store) -> None:
    """From 00:30 to 03:00 on the wall is an hour and a half, and the next hour can be had."""
    night = range_from_wall(date(2027, 3, 28), 30, 180, LONDON)
    assert night.minutes == 90
    shown = see_booking(club_store, held(club_store, during=night))
    assert (shown.day, shown.starts, shown.ends) == ("2027-03-28", "00:30", "03:00")
    with pytest.raises(ClashError, match="held by Choir 00:30–03:00") as caught:
        held(club_store, during=range_from_wall(date(2027, 3, 28), 45, 180, LONDON))
    assert caught.value.free == (), "nothing is free while the venue is closed"
    held(club_store, during=TimeRange(night.ends_at, night.ends_at + timedelta(hours=1)))
