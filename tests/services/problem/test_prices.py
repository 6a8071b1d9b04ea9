"""The club's tariffs as prices of a share-out: by day and hour, by part, with floodlights."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from clubplanner.domain.ground.pitch_from_plan import build_pitch
from clubplanner.domain.money.tariffs import InLight, Payer, Per, Spot, Tariff
from clubplanner.services.problem.prices import LAST_MINUTE, prices_of
from clubplanner.sharing.values.prices import is_window, twice_priced
from clubplanner.sharing.values.problem import Day
from clubplanner.sharing.values.wants import Price
from tests.builders import LONDON, make_plan, make_venue

MONDAY, WEDNESDAY = date(2026, 11, 23), date(2026, 11, 25)
LIT = build_pitch(make_plan("Top", is_lit=True))
VENUE = replace(make_venue("Marsh Lane"), lon=-1.2, lat=52.9, pitches=(LIT,))
LANE, TOP = Spot(VENUE.key), Spot(VENUE.key, LIT.key)
DAYS = (
    Day(0, "Monday", 0, (MONDAY, MONDAY.replace(day=30))),
    Day(1, "Wednesday", 2, (WEDNESDAY,)),
)


def club_pays(amount: int, spot: Spot = LANE, **changes: object) -> Tariff:
    """Return what the club pays, an hour unless said otherwise."""
    return Tariff(1, Payer.CLUB, spot, amount, **changes)  # type: ignore[arg-type]


def prices(*tariffs: Tariff) -> tuple[Price, ...]:
    """Return the prices of the days, which go together."""
    numbered = [replace(one, number=n) for n, one in enumerate(tariffs, start=1)]
    found = prices_of(numbered, (VENUE,), DAYS, LONDON)
    assert all(is_window(price) for price in found)
    assert list(twice_priced(found)) == []
    return found


def test_what_always_holds_is_one_price_a_place() -> None:
    """As it was before there were tariffs; what squads and hirers pay is no aim."""
    opening = club_pays(20, per=Per.OPENING)
    others = [replace(club_pays(9), payer=payer) for payer in (Payer.SQUAD, Payer.HIRER)]
    assert prices(club_pays(10), opening, club_pays(15, TOP), *others) == (
        Price(VENUE.key, None, 10, 20),
        Price(VENUE.key, LIT.key, 15),
    )
    assert prices(*others) == ()


def test_a_price_of_some_days_and_hours_is_a_window_of_them() -> None:
    """Wednesdays from six on are dearer; other days cost what they always do."""
    evening = club_pays(30, weekdays=frozenset({2}), from_min=1080, to_min=1320)
    found = prices(club_pays(10), evening)
    assert found == (
        Price(VENUE.key, LIT.key, 10, day=0, from_min=0, until_min=LAST_MINUTE),
        Price(VENUE.key, LIT.key, 10, day=1, from_min=0, until_min=1080),
        Price(VENUE.key, LIT.key, 30, day=1, from_min=1080, until_min=1320),
        Price(VENUE.key, LIT.key, 10, day=1, from_min=1320, until_min=LAST_MINUTE),
    )


def test_a_day_of_many_dates_costs_what_they_cost_on_average() -> None:
    """Of two Mondays the second is dearer: (10 + 21) ÷ 2 = 15.5, rounded up to 16."""
    later = club_pays(21, starts_on=MONDAY.replace(day=30))
    assert [price.per_hour for price in prices(club_pays(10), later)] == [16, 10]
    opening = club_pays(8, per=Per.OPENING, starts_on=MONDAY.replace(day=30))
    assert [(price.day, price.per_opening) for price in prices(opening)][-1] == (0, 4)


def test_floodlights_cost_from_when_it_is_dark() -> None:
    """Sunset in the Midlands is shortly before four late in November, and the margin is kept."""
    found = prices(club_pays(900, adds=True, light=InLight.FLOODLIGHT))
    lamps = [price for price in found if price.for_floodlights]
    full = [price for price in lamps if price.per_hour == 900]
    assert {price.day for price in full} == {0, 1}
    assert all(15 * 60 + 30 < (price.from_min or 0) < 16 * 60 + 30 for price in full)
    dark = replace(VENUE, pitches=(replace(LIT, is_lit=False),))
    tariff = club_pays(900, adds=True, light=InLight.FLOODLIGHT)
    unlit = prices_of([tariff], (dark,), DAYS, LONDON)
    assert not any(price.for_floodlights or price.per_hour for price in unlit)


def test_a_part_with_its_own_price_pays_that() -> None:
    """A half costs 7 as it is, where the pitch costs 10 and a half of it 5."""
    found = prices(club_pays(10), club_pays(7, Spot(VENUE.key, LIT.key, "half-1")))
    own = [price for price in found if price.ground is not None]
    assert {(price.ground, price.per_hour) for price in own} == {(f"{LIT.key}/half-1", 7)}
    assert {price.per_hour for price in found if price.ground is None} == {10}
