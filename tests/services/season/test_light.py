"""Sessions that begin or end in the dark, and the page of light."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.money.terms import MoneyTerms
from clubplanner.errors import ClashError, MissingError, RefusedError
from clubplanner.services.rows.club.money_rows import load_tariffs, save_terms
from clubplanner.services.season.figures import measure_light
from clubplanner.services.season.light.in_the_dark import (
    list_in_the_dark,
    move_out_of_the_dark,
    offer_light,
)
from clubplanner.services.season.light.page import see_light, set_lamp_cost
from clubplanner.services.season.light.year import see_light_year
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import (
    HALL,
    KESTRELS,
    LOW,
    SETTINGS,
    TOP,
    book,
    find_area_id,
    kept_bookings,
    load_small_club,
)

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

LAST = date(2026, 12, 20)


def week(n: int) -> date:
    """Return the Wednesday n weeks on."""
    return A_WEDNESDAY + timedelta(weeks=n)


def test_a_pattern_in_the_dark_says_when_and_what_works(small: Store) -> None:
    """Three Wednesdays on the unlit pitch at 18:00: one entry, with lit and indoor ground."""
    numbers = [book(small, KESTRELS, "half-1", pitch_key=LOW, day=week(n)) for n in range(3)]
    (ending,) = offer_light(small, list_in_the_dark(small, A_WEDNESDAY, LAST, NOW), NOW)
    assert (ending.holder, ending.when) == ("U12 Kestrels", "Wednesday 18:00–19:15")
    assert ending.place == "Clubhouse half, Low pitch"
    assert ending.dates == "Wed 25 Nov, Wed 2 Dec, Wed 9 Dec"
    assert ending.numbers == tuple(numbers)
    assert ending.worst.startswith("too dark from 15:5")
    assert ending.offers
    assert all("18:00" in offer.words for offer in ending.offers), "as the ask says"
    assert not any("Low pitch" in offer.words for offer in ending.offers)
    offer = ending.offers[0]
    words = move_out_of_the_dark(small, numbers, offer.area_id, offer.start_min, NOW)
    assert words.startswith("Moved U12 Kestrels: 3 sessions to ")
    assert list_in_the_dark(small, A_WEDNESDAY, LAST, NOW) == ()
    assert {kept.sequence for kept in kept_bookings(small)} == {1}


def test_an_offer_is_free_on_every_one_of_the_dates(small: Store) -> None:
    """Ground that somebody else holds on one date is not offered for the pattern."""
    for n in range(3):
        book(small, KESTRELS, "half-1", pitch_key=LOW, day=week(n))
    for key in ("third-1", "third-2"):
        book(small, "Choir", key, day=week(1), purpose=Purpose.HIRE)
    (ending,) = offer_light(small, list_in_the_dark(small, A_WEDNESDAY, LAST, NOW), NOW)
    grounds = {offer.area_id for offer in ending.offers}
    assert find_area_id(small, TOP, "third-1") not in grounds
    assert find_area_id(small, TOP, "half-1") not in grounds


def test_what_is_lit_indoors_over_or_closed_is_not_listed(small: Store) -> None:
    """Light before the curfew, roofs, the past and closures are no concern."""
    book(small, KESTRELS, "third-1")
    book(small, "Choir", "half-1", pitch_key=HALL, purpose=Purpose.HIRE, end_min=23 * 60)
    book(small, "Frost", "half-1", pitch_key=LOW, purpose=Purpose.CLOSED)
    book(small, "Late", "half-2", pitch_key=LOW, purpose=Purpose.HIRE)
    after = NOW + timedelta(days=10)
    assert list_in_the_dark(small, A_WEDNESDAY, LAST, after) == ()
    (ending,) = list_in_the_dark(small, A_WEDNESDAY, LAST, NOW)
    assert ending.holder == "Late"


def test_the_curfew_of_floodlights_is_an_end_in_the_dark(small: Store) -> None:
    """Floodlights go out at 21:30."""
    book(small, "Choir", "third-1", purpose=Purpose.HIRE, start_min=1260, end_min=1320)
    (ending,) = list_in_the_dark(small, A_WEDNESDAY, LAST, NOW)
    assert ending.worst == "too dark from 21:30"


def test_a_pattern_that_begins_before_dawn_is_offered_what_is_later_or_lit(
    empty_store: Store,
) -> None:
    """Three Wednesdays from 7:30 on the unlit pitch: it is light at 8:05 by the last of them."""
    store = load_small_club(
        empty_store, settings=SETTINGS.replace("Mon-Fri 17:00-22:00", "Mon-Fri 06:00-22:00")
    )
    numbers = [
        book(store, "Choir", "half-1", pitch_key=LOW, day=week(n), purpose=Purpose.HIRE,
             start_min=450, end_min=510)
        for n in range(3)
    ]  # fmt: skip
    (ending,) = offer_light(store, list_in_the_dark(store, A_WEDNESDAY, LAST, NOW), NOW)
    assert ending.is_early
    assert ending.numbers == tuple(numbers)
    assert ending.worst == "too dark until 07:56"
    low = find_area_id(store, LOW, "half-1")
    starts = {offer.start_min for offer in ending.offers if offer.area_id == low}
    assert all(start >= 480 for start in starts)
    assert {offer.start_min for offer in ending.offers} <= set(range(450, 541, 15))
    offer = ending.offers[0]
    move_out_of_the_dark(store, numbers, offer.area_id, offer.start_min, NOW)
    assert list_in_the_dark(store, A_WEDNESDAY, LAST, NOW) == ()


def test_the_year_counts_what_begins_before_dawn(small: Store) -> None:
    """In its month and in words, though the picture is one of evenings."""
    book(small, KESTRELS, "half-1", pitch_key=LOW, start_min=360, end_min=420)
    year = see_light_year(small, "marsh-lane", A_WEDNESDAY, NOW, lambda _day: "")
    assert year is not None
    dark = {month.first.month: month.dark for month in year.months if month.dark}
    assert dark == {A_WEDNESDAY.month: 1}
    assert "1 begins before it is light." in year.drawn.summary
    assert year.drawn.dark == ()


def test_moving_is_all_or_nothing(small: Store) -> None:
    """Held ground, dark ground, begun and withdrawn sessions each refuse the whole move."""
    numbers = [book(small, KESTRELS, "half-1", pitch_key=LOW, day=week(n)) for n in range(2)]
    book(small, "Choir", "third-1", day=week(1), purpose=Purpose.HIRE)
    third, low = find_area_id(small, TOP, "third-1"), find_area_id(small, LOW, "half-2")
    with pytest.raises(ClashError, match="held by Choir"):
        move_out_of_the_dark(small, numbers, third, 1080, NOW)
    with pytest.raises(RefusedError, match="Wed 25 Nov: Low pitch has no lights; it is too dark"):
        move_out_of_the_dark(small, numbers, low, 1080, NOW)
    with pytest.raises(RefusedError, match="has begun"):
        move_out_of_the_dark(small, numbers, third, 1080, NOW + timedelta(days=12))
    with pytest.raises(MissingError, match="withdrawn"):
        move_out_of_the_dark(small, [*numbers, 99], third, 1080, NOW)
    assert {kept.sequence for kept in kept_bookings(small)} == {0}


def test_no_other_rule_is_broken_by_moving_out_of_the_dark(small: Store) -> None:
    """Nobody is sent to closed gates; what the squad itself asked for does not bind."""
    number = book(small, KESTRELS, "half-1", pitch_key=LOW)
    third = find_area_id(small, TOP, "third-1")
    with pytest.raises(RefusedError, match="Wed 25 Nov: Marsh Lane is open 17:00–22:00"):
        move_out_of_the_dark(small, [number], third, 16 * 60, NOW)
    book(small, KESTRELS, "half-1", pitch_key=HALL, start_min=1230, end_min=1290)
    with pytest.raises(RefusedError, match="U12 Kestrels also have Clubhouse half, Hall"):
        move_out_of_the_dark(small, [number], third, 20 * 60, NOW)
    assert "19:00" in move_out_of_the_dark(small, [number], third, 19 * 60, NOW)


def test_the_page_shows_each_date_and_counts_lamp_hours(small: Store) -> None:
    """Marsh Lane keeps unlit ground for ten minutes after sunset; lamps burn while it is dark."""
    book(small, KESTRELS, "third-1")
    page = see_light(small, None, A_WEDNESDAY, A_WEDNESDAY + timedelta(days=1))
    first, second = page.rows
    assert page.margin == "from 10 minutes before sunrise until 10 minutes after sunset"
    assert page.curfew == "21:30"
    assert first.day_words == "Wed 25 Nov"
    assert first.sunset < first.usable_until < first.civil_dusk
    assert (first.lamps, second.lamps) == ("1:15 h", "")
    assert page.lamp_hours == 1.25
    assert page.ends[0].words.startswith("in the dark Wed 25 Nov to ")
    assert page.ends[0].words.count(" to ") == 2, "this winter and the next"
    with pytest.raises(MissingError, match="no such venue"):
        see_light(small, "moon", A_WEDNESDAY, A_WEDNESDAY)


def test_lamps_that_are_out_are_counted_and_paid_nowhere(small: Store) -> None:
    """They go out at 21:30, and somebody holds ground until 22:30: an hour, on every page."""
    set_lamp_cost(small, "marsh-lane", "12")
    with small.write() as session:
        save_terms(session, MoneyTerms("EUR"))
    book(
        small,
        "Walkers",
        "third-1",
        purpose=Purpose.HIRE,
        start_min=20 * 60 + 30,
        end_min=22 * 60 + 30,
    )
    page = see_light(small, None, A_WEDNESDAY, A_WEDNESDAY)
    assert (page.lamp_hours, page.lamp_cost) == (1.0, "€12.00")
    (figures,) = measure_light(small, "marsh-lane", A_WEDNESDAY, A_WEDNESDAY)
    assert figures.lamp_minutes == 60
    year = see_light_year(small, None, A_WEDNESDAY, NOW)
    assert year is not None
    (lit,) = year.drawn.lamps
    assert (lit.from_min, lit.until_min) == (20 * 60 + 30, 21 * 60 + 30)


def test_what_floodlights_cost_is_hours_times_price(small: Store) -> None:
    """An hour and a quarter at 12.40; without a price there is no figure; faults are told."""
    book(small, KESTRELS, "third-1")
    assert see_light(small, None, A_WEDNESDAY, A_WEDNESDAY).lamp_cost == ""
    assert set_lamp_cost(small, "marsh-lane", "12.40") == (
        "Marsh Lane: an hour of floodlights costs 12.40."
    )
    with small.write() as session:
        save_terms(session, MoneyTerms("EUR"))
    assert see_light(small, None, A_WEDNESDAY, A_WEDNESDAY).lamp_cost == "€15.50"
    assert "€13.00" in set_lamp_cost(small, "marsh-lane", "13")
    with small.read() as session:
        assert [tariff.amount for tariff in load_tariffs(session)] == [1300]
    assert "not known" in set_lamp_cost(small, "marsh-lane", "")
    assert see_light(small, None, A_WEDNESDAY, A_WEDNESDAY).lamp_cost == ""
    with pytest.raises(RefusedError, match="an amount like"):
        set_lamp_cost(small, "marsh-lane", "much")
    with pytest.raises(MissingError, match="no such venue"):
        set_lamp_cost(small, "moon", "1")
