"""Sessions are charged the same as if each of their minutes were looked at by itself."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.money.charging import charge
from clubplanner.domain.money.lines import exact_amount
from clubplanner.domain.money.tariffs import InLight, Moment, Payer, Per, Spot, Tariff, choose
from clubplanner.domain.times.times import TimeRange
from tests.domain.money.money_builders import LONDON, TOP, make_tariff, make_use

NIGHTS = [
    datetime(2026, 3, 28, 20, tzinfo=UTC),
    datetime(2026, 10, 24, 20, tzinfo=UTC),
    datetime(2026, 11, 27, 20, tzinfo=UTC),
]
"""Evenings before both clock changes in London, and a Friday evening in winter."""
SPOTS = [Spot("lane"), Spot("lane", "top"), TOP]
MARKS = st.integers(0, 24 * 4).map(lambda quarter: quarter * 15)


@st.composite
def tariffs(draw: st.DrawFn, number: int) -> Tariff:
    """Draw a tariff with any conditions."""
    start, end = sorted(draw(st.lists(MARKS, min_size=2, max_size=2, unique=True)))
    return make_tariff(
        draw(st.integers(0, 5000)),
        number,
        spot=draw(st.sampled_from(SPOTS)),
        adds=draw(st.booleans()),
        light=draw(st.sampled_from(InLight)),
        weekdays=draw(st.frozensets(st.integers(0, 6))),
        from_min=start,
        to_min=end,
    )


@given(data=st.data())
def test_minute_by_minute(data: st.DataObject) -> None:
    """On any night, with any tariffs: the sum of the charges is the sum of the minutes."""
    known = [data.draw(tariffs(number)) for number in range(1, 5)]
    start = data.draw(st.sampled_from(NIGHTS)) + timedelta(minutes=data.draw(st.integers(0, 300)))
    end = start + timedelta(minutes=data.draw(st.integers(1, 400)))
    dark = start + timedelta(minutes=data.draw(st.integers(0, 400)))
    lit = (TimeRange(dark, end),) if dark < end else ()
    share = Fraction(1, 3)
    use = make_use("2026-01-01 00:00", "2026-01-01 01:00", share)
    use = type(use)(1, TOP, share, TimeRange(start, end), lit)
    found = charge([use], known, Payer.SQUAD, LONDON)
    total = Fraction(0)
    at = start
    while at < end:
        local = at.astimezone(LONDON)
        moment = Moment(local.date(), local.hour * 60 + local.minute, bool(lit) and at >= dark)
        for adds in (False, True):
            chosen = choose([one for one in known if one.adds is adds], moment)
            if chosen is not None:
                total += Fraction(chosen.amount, 60) * (1 if chosen.spot.area else share)
        at += timedelta(minutes=1)
    assert sum(map(exact_amount, found), Fraction(0)) == total
    assert all(one.tariff.per is Per.HOUR for one in found)
