"""What arrays and the database add up is what one booking after the other adds up to."""

from __future__ import annotations

from collections import defaultdict
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING

from hypothesis import HealthCheck, given, settings
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause
from clubplanner.domain.money.amounts import rounded
from clubplanner.services.reports.report import make_report
from clubplanner.services.reports.sums.report_values import Amount
from clubplanner.services.reports.sums.slices import cut_at, cut_into_months
from clubplanner.services.season.light.page import set_lamp_cost
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import LONDON
from tests.drawn_bookings import DAYS, FIRST, Drawn, drawn_bookings, put_drawn
from tests.services.reports.test_report import SPANS
from tests.small_club import LOW, TOP

if TYPE_CHECKING:
    from collections.abc import Iterable

    from clubplanner.services.reports.sums.slices import Slice
    from clubplanner.store.engine import Store

NOW_THEN = datetime(2026, 10, 24, 19, 30, 7, tzinfo=UTC)
"""Within what is drawn, and within an evening."""
WHOLE = {TOP: 100 * 64 * 1200, LOW: 60 * 40 * 1200}
"""Pitches, in twelfths of square decimetres."""
drawing = settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])


@drawing
@given(drawn=drawn_bookings(), days=SPANS)
def test_who_had_how_much_where_is_the_sum_of_bookings(
    small: Store, drawn: list[Drawn], days: tuple[date, date]
) -> None:
    """By user and by pitch, each month, purpose, and before and after the present."""
    put_drawn(small, drawn)
    report = make_report(small, *days, NOW_THEN)
    by_user: dict[tuple[object, ...], Amount] = defaultdict(Amount)
    by_pitch: dict[tuple[object, ...], Amount] = defaultdict(Amount)
    parts = cut_at(cut_into_months(*days, LONDON), NOW_THEN)
    for row in _rows(small, is_withdrawn=False):
        for part in parts:
            amount = _amount(row, part)
            if amount.seconds and row.purpose is not Purpose.CLOSED:
                who = row.squad.key if row.squad else row.holder
                kind = part.month, row.purpose, part.is_past
                by_user[who, *kind] += amount
                by_pitch[row.pitch.key, *kind] += amount
    assert by_user == _keyed((use.user.key, use) for use in report.uses)
    assert by_pitch == _keyed((use.place.pitch_key, use) for use in report.on_ground)


@drawing
@given(drawn=drawn_bookings(), days=SPANS)
def test_what_no_journal_tells_of_is_lost_for_no_reason_and_added_up(
    small: Store, drawn: list[Drawn], days: tuple[date, date]
) -> None:
    """Sessions called off so long ago that the journal was cut: by pitch and month, none twice."""
    put_drawn(small, drawn)
    report = make_report(small, *days, NOW_THEN)
    lost: dict[tuple[object, ...], Amount] = defaultdict(Amount)
    for row in _rows(small, is_withdrawn=True):
        for part in cut_into_months(*days, LONDON):
            amount = _amount(row, part)
            if amount.seconds and row.purpose is not Purpose.CLOSED:
                lost[row.pitch.key, part.month] += amount
    found: dict[tuple[object, ...], Amount] = defaultdict(Amount)
    for one in report.lost:
        assert (one.cause, one.words) == (Cause.UNSAID, "")
        found[one.place.pitch_key, one.month] += one.amount
    assert found == lost


@drawing
@given(drawn=drawn_bookings())
def test_floodlights_cost_their_hours_however_many_burn_alike(
    small: Store, drawn: list[Drawn]
) -> None:
    """Times that are the same on several pitches are charged once and count for each."""
    put_drawn(small, drawn)
    set_lamp_cost(small, "marsh-lane", "7.30")
    report = make_report(small, FIRST, FIRST + timedelta(days=DAYS), NOW_THEN)
    for one in report.lamps:
        assert one.units == rounded(Fraction(730 * one.seconds, 3600))
    burnt = [time for time in report.times if time.lamp_seconds]
    assert [(one.place, one.month) for one in report.lamps] == [
        (time.place, time.month) for time in burnt
    ]


def _rows(store: Store, *, is_withdrawn: bool) -> list[BookingRow]:
    with store.read() as session:
        rows = session.scalars(select(BookingRow).where(BookingRow.is_withdrawn.is_(is_withdrawn)))
        found = list(rows)
        for row in found:
            _ = row.pitch.key, row.area.key, row.holder, row.squad and row.squad.key
        session.expunge_all()
    return found


def _amount(row: BookingRow, part: Slice) -> Amount:
    """Return what of a booking lies in a part of time."""
    cut = min(row.ends_at, part.ends_at) - max(row.starts_at, part.starts_at)
    seconds = max(0, int(cut.total_seconds()))
    share = {"whole": 1, "half-1": 2, "half-2": 2}.get(row.area.key, 3)
    return Amount(
        seconds, seconds * (WHOLE[row.pitch.key] // share), int(row.starts_at >= part.starts_at)
    )


def _keyed(uses: Iterable[tuple[str, object]]) -> dict[tuple[object, ...], Amount]:
    found: dict[tuple[object, ...], Amount] = {}
    for who, use in uses:
        key = who, use.month, use.purpose, use.is_past  # type: ignore[attr-defined]
        assert key not in found
        found[key] = use.amount  # type: ignore[attr-defined]
    return found
