"""Examples worked out by hand: what each session costs, to the last penny.

Nobody outside made them; each docstring shows the sum as it is done on paper.
"""

from __future__ import annotations

from fractions import Fraction

from clubplanner.domain.money.charging import charge_floodlights, withdrawn_late
from clubplanner.domain.money.lines import Debtor, Reduction
from clubplanner.domain.money.tariffs import InLight, Payer, Per, Spot
from tests.domain.money.money_builders import (
    LONDON,
    TOP,
    lines_of,
    make_range,
    make_tariff,
    make_use,
    told,
)

HALF, THIRD = Fraction(1, 2), Fraction(1, 3)


def test_a_session_on_the_whole_pitch() -> None:
    """An hour and a half at 20.00 an hour: 1.5 × 20.00 = 30.00."""
    assert told(lines_of([make_use("2026-11-25 18:00", "2026-11-25 19:30")], [make_tariff(2000)]))[
        0
    ] == ("18:00", "19:30", 90, 3000)


def test_half_a_pitch() -> None:
    """An hour and a half of half a pitch at 20.00: 1.5 × 20.00 × ½ = 15.00."""
    use = make_use("2026-11-25 18:00", "2026-11-25 19:30", HALF)
    assert [line.amount for line in lines_of([use], [make_tariff(2000)])] == [1500]


def test_a_tariff_that_changes_within_a_session() -> None:
    """16:30 to 18:15, 12.00 before 17:00 and 21.00 after: 6.00 and 1.25 × 21.00 = 26.25."""
    tariffs = [make_tariff(1200), make_tariff(2100, 2, from_min=17 * 60)]
    lines = lines_of([make_use("2026-11-25 16:30", "2026-11-25 18:15")], tariffs)
    assert told(lines) == [("16:30", "17:00", 30, 600), ("17:00", "18:15", 75, 2625)]


def test_over_midnight() -> None:
    """Friday 23:00 to Saturday 01:30, Saturdays dearer: 1 × 10.00 and 1.5 × 16.00 = 24.00."""
    tariffs = [make_tariff(1000), make_tariff(1600, 2, weekdays=frozenset({5, 6}))]
    lines = lines_of([make_use("2026-11-27 23:00", "2026-11-28 01:30")], tariffs)
    assert told(lines) == [("23:00", "00:00", 60, 1000), ("00:00", "01:30", 90, 2400)]


def test_the_night_the_clocks_go_back() -> None:
    """London, 25 October 2026, 00:30 to 02:30 by the clock is three hours: 3 × 10.00 = 30.00."""
    lines = lines_of([make_use("2026-10-24 23:30", "2026-10-25 02:30")], [make_tariff(1000)])
    assert told(lines) == [("00:30", "02:30", 180, 3000)]


def test_an_hour_that_comes_twice_costs_twice() -> None:
    """From 01:30 on the hour costs 20.00: the clock shows 01:30 to 02:00 twice that night.

    00:30 to 01:30 10.00; 01:30 to 02:00 10.00; 01:00 to 01:30 again 5.00; from 01:30 20.00.
    """
    tariffs = [make_tariff(1000), make_tariff(2000, 2, from_min=90)]
    lines = lines_of([make_use("2026-10-24 23:30", "2026-10-25 02:30")], tariffs)
    assert told(lines) == [
        ("00:30", "01:30", 60, 1000),
        ("01:30", "01:00", 30, 1000),
        ("01:00", "01:30", 30, 500),
        ("01:30", "02:30", 60, 2000),
    ]


def test_the_night_the_clocks_go_forward() -> None:
    """London, 29 March 2026, 00:30 to 03:00 by the clock is one hour and a half: 15.00.

    From 02:00 on it costs 30.00, and 02:00 is not shown: 00:30 to 01:00 is 5.00, and from then on,
    when the clock shows 02:00, one hour is 30.00.
    """
    use = make_use("2026-03-29 00:30", "2026-03-29 02:00")
    assert told(lines_of([use], [make_tariff(1000)])) == [("00:30", "03:00", 90, 1500)]
    tariffs = [make_tariff(1000), make_tariff(3000, 2, from_min=120)]
    assert told(lines_of([use], tariffs)) == [
        ("00:30", "02:00", 30, 500),
        ("02:00", "03:00", 60, 3000),
    ]


def test_floodlit_part_of_a_session() -> None:
    """17:00 to 18:30 at 20.00, lit from 17:20 for 9.00 more: 30.00 and 70/60 × 9.00 = 10.50."""
    lamps = make_tariff(900, 2, adds=True, light=InLight.FLOODLIGHT)
    lit = (make_range("2026-11-25 17:20", "2026-11-25 18:30"),)
    use = make_use("2026-11-25 17:00", "2026-11-25 18:30", lit=lit)
    assert told(lines_of([use], [make_tariff(2000), lamps])) == [
        ("17:00", "18:30", 90, 3000),
        ("17:20", "18:30", 70, 1050),
    ]


def test_a_price_of_its_own_in_the_light_of_floodlights() -> None:
    """17:00 to 18:30, 20.00 by day and 32.00 lit from 17:45: 15.00 and 0.75 × 32.00 = 24.00."""
    lit_price = make_tariff(3200, 2, light=InLight.FLOODLIGHT)
    lit = (make_range("2026-11-25 17:45", "2026-11-25 18:30"),)
    use = make_use("2026-11-25 17:00", "2026-11-25 18:30", lit=lit)
    assert told(lines_of([use], [make_tariff(2000), lit_price])) == [
        ("17:00", "17:45", 45, 1500),
        ("17:45", "18:30", 45, 2400),
    ]


def test_two_squads_under_the_same_floodlights() -> None:
    """The club pays for the pitch's floodlights once: 17:20 to 19:30 at 9.00 is 19.50."""
    lamps = make_tariff(900, payer=Payer.CLUB, adds=True, light=InLight.FLOODLIGHT)
    span = make_range("2026-11-25 17:20", "2026-11-25 19:30")
    charges = charge_floodlights([(Spot("lane", "top"), span)], [lamps], LONDON)
    assert [(one.minutes, one.share) for one in charges] == [(130, Fraction(1))]
    halves = [
        make_use("2026-11-25 17:20", "2026-11-25 19:30", HALF, n, lit=(span,)) for n in (1, 2)
    ]
    assert lines_of(halves, [lamps], debtor=Debtor(Payer.CLUB, "lane")) == ()


def test_a_free_hour_used_up() -> None:
    """One hour free a month: of 90 minutes at 20.00 thirty are owed, 10.00; the next all, 30.00."""
    uses = [
        make_use(f"2026-11-{day} 18:00", f"2026-11-{day} 19:30", number=day) for day in (25, 18)
    ]
    free = Reduction(1, Payer.SQUAD, free_minutes=60)
    lines = lines_of(uses, [make_tariff(2000)], [free])
    assert [(line.charge.use.number, line.free_minutes, line.amount) for line in lines] == [
        (18, 60, 1000),
        (25, 0, 3000),
    ]


def test_free_hours_leave_what_floodlights_cost() -> None:
    """An hour that is free still costs its floodlights: 0.00 and 9.00."""
    lamps = make_tariff(900, 2, adds=True, light=InLight.FLOODLIGHT)
    during = make_range("2026-11-25 18:00", "2026-11-25 19:00")
    use = make_use("2026-11-25 18:00", "2026-11-25 19:00", lit=(during,))
    lines = lines_of(
        [use], [make_tariff(2000), lamps], [Reduction(1, Payer.SQUAD, free_minutes=60)]
    )
    assert [line.amount for line in lines] == [0, 900]


def test_a_reduction_for_the_young() -> None:
    """Squads up to under 14 pay 60 % of 20.00 for an hour: 12.00; adults pay all of it."""
    young = Reduction(1, Payer.SQUAD, up_to_age=14, percent=40)
    use = make_use("2026-11-25 18:00", "2026-11-25 19:00")
    assert [line.amount for line in lines_of([use], [make_tariff(2000)], [young])] == [1200]
    adults = Debtor(Payer.SQUAD, "seniors")
    assert [line.amount for line in lines_of([use], [make_tariff(2000)], [young], adults)] == [2000]


def test_a_reduction_for_one_hirer_before_that_for_all() -> None:
    """All hirers have 10 % off, the school 50 %: 20.00 for an hour is 18.00, and 10.00."""
    tariffs = [make_tariff(2000, payer=Payer.HIRER)]
    reductions = [
        Reduction(1, Payer.HIRER, "School", percent=50),
        Reduction(2, Payer.HIRER, percent=10),
    ]
    use = make_use("2026-11-25 18:00", "2026-11-25 19:00")
    amounts = [
        [line.amount for line in lines_of([use], tariffs, reductions, Debtor(Payer.HIRER, who))]
        for who in ("School", "Choir")
    ]
    assert amounts == [[1000], [1800]]


def test_each_line_is_rounded_once_and_a_half_goes_up() -> None:
    """A third of an hour of a third at 10.00 is 1.111… → 1.11; at 0.45 it is 5 pence exactly.

    Half an hour of half a pitch at 0.10 is 2.5 pence → 3; three such lines are 9, though 7.5 is
    what an exact sum would round from: what is printed adds up.
    """
    use = make_use("2026-11-25 18:00", "2026-11-25 18:20", THIRD)
    assert [line.amount for line in lines_of([use], [make_tariff(1000)])] == [111]
    assert [line.amount for line in lines_of([use], [make_tariff(45)])] == [5]
    halves = [
        make_use(f"2026-11-{day} 18:00", f"2026-11-{day} 18:30", HALF) for day in (23, 24, 25)
    ]
    assert [line.amount for line in lines_of(halves, [make_tariff(10)])] == [3, 3, 3]


def test_nothing_is_rounded_on_the_way() -> None:
    """50 minutes of 7/12 at 9.99, a third off: 9.99 × 5/6 × 7/12 × 67/100 = 3.2537… → 3.25."""
    use = make_use("2026-11-25 18:00", "2026-11-25 18:50", Fraction(7, 12))
    reduction = Reduction(1, Payer.SQUAD, percent=33)
    assert [line.amount for line in lines_of([use], [make_tariff(999)], [reduction])] == [325]


def test_an_opening_is_charged_once_a_date() -> None:
    """Two sessions on one date and one on the next at 8.00 an opening: 8.00 twice."""
    opening = make_tariff(800, per=Per.OPENING)
    uses = [
        make_use("2026-11-25 17:00", "2026-11-25 18:00", HALF, 1),
        make_use("2026-11-25 18:00", "2026-11-25 19:00", HALF, 2),
        make_use("2026-11-26 18:00", "2026-11-26 19:00", HALF, 3),
    ]
    lines = lines_of(uses, [opening])
    assert [(line.charge.use.number, line.amount) for line in lines] == [(1, 800), (3, 800)]


def test_what_was_withdrawn_late() -> None:
    """Half is owed of an hour at 20.00, 10.00, and floodlights that did not burn are not."""
    lamps = make_tariff(900, 2, adds=True, light=InLight.FLOODLIGHT)
    during = make_range("2026-11-25 18:00", "2026-11-25 19:00")
    use = make_use("2026-11-25 18:00", "2026-11-25 19:00", lit=(during,))
    lines = lines_of([withdrawn_late(use, 50)], [make_tariff(2000), lamps])
    assert [line.amount for line in lines] == [1000]


def test_a_part_with_a_price_of_its_own() -> None:
    """The cage costs 6.00 an hour as it is, not a share of the pitch's 20.00."""
    cage = Spot("lane", "top", "cage")
    tariffs = [make_tariff(2000), make_tariff(600, 2, spot=cage)]
    in_cage = make_use("2026-11-25 18:00", "2026-11-25 19:00", Fraction(1, 10), spot=cage)
    whole = make_use("2026-11-25 18:00", "2026-11-25 19:00", spot=TOP)
    assert [line.amount for line in lines_of([in_cage], tariffs)] == [600]
    assert [line.amount for line in lines_of([whole], tariffs)] == [2000]
