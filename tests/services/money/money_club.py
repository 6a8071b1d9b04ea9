"""The small club with tariffs: what each session of its November costs is easily told."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.money.lines import Reduction
from clubplanner.domain.money.tariffs import InLight, Payer, Spot, Tariff
from clubplanner.domain.money.terms import MoneyTerms
from clubplanner.domain.times.times import range_from_wall
from clubplanner.services.money.drafts import month_of
from clubplanner.services.money.statements import issue
from clubplanner.services.money.tariff_book import save_reduction, save_tariff, settle_terms
from clubplanner.services.rows.bookings.booking_rows import BookingWish, insert_booking
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from tests.small_club import HARRIERS, KESTRELS, book, load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

NOVEMBER = date(2026, 11, 1)
DECEMBER_3 = datetime(2026, 12, 3, 9, tzinfo=UTC)
LANE, CHOIR = Spot("marsh-lane"), "The choir"
TERMS = MoneyTerms("EUR", 24, 50, "To the treasurer by the 15th.\nThank you!")


def load_tariffed_club(store: Store) -> Store:
    """Load the club, its tariffs and terms.

    The club pays 20.00 an hour and 9.00 for floodlights, squads 6.00 (Kestrels, U12, half of it),
    hirers 30.00.
    """
    load_small_club(store)
    settle_terms(store, TERMS)
    save_tariff(store, Tariff(0, Payer.CLUB, LANE, 0, name="Ground"), "20")
    lamps = Tariff(0, Payer.CLUB, LANE, 0, adds=True, light=InLight.FLOODLIGHT, name="Lamps")
    save_tariff(store, lamps, "9.00")
    save_tariff(store, Tariff(0, Payer.SQUAD, LANE, 0), "6.00")
    save_tariff(store, Tariff(0, Payer.HIRER, LANE, 0, name="Evening"), "30")
    save_reduction(store, Reduction(0, Payer.SQUAD, up_to_age=12, percent=50, name="Young"))
    return store


def book_november(store: Store) -> None:
    """Put a Wednesday's sessions on the top pitch: two squads beside each other, then the choir."""
    book(store, KESTRELS, "third-1")
    book(store, HARRIERS, "third-2")
    start, end = 19 * 60 + 15, 20 * 60 + 15
    book(store, CHOIR, "half-1", purpose=Purpose.HIRE, start_min=start, end_min=end)


def fill_money(store: Store, now: datetime) -> dict[str, str]:
    """Let somebody owe for last month and issue a statement; return addresses by their rules."""
    month = month_of(month_of(now.date()) - timedelta(days=1))
    settle_terms(store, TERMS)
    with store.write() as session:
        area = session.scalars(
            select(AreaRow).join(AreaRow.pitch).order_by(PitchRow.position, AreaRow.position)
        ).first()
        if area is None:
            raise ValueError("Make a club with ground.")
        venue, number = area.pitch.venue.key, area.id
        during = range_from_wall(month, 6 * 60, 7 * 60 + 30, load_zone(session))
        wish = BookingWish(number, during, Purpose.HIRE, None, CHOIR, "", is_fixed=True)
        insert_booking(session, wish, now)
    hourly = Tariff(0, Payer.HIRER, Spot(venue), 0, name="Early", to_min=22 * 60)
    tariff = save_tariff(store, hourly, "30")
    save_tariff(store, Tariff(0, Payer.SQUAD, Spot(venue), 0), "6.00")
    save_reduction(store, Reduction(0, Payer.HIRER, CHOIR, percent=20, name="Neighbours"))
    statement = issue(store, Payer.HIRER, CHOIR, month, now)
    draft = f"/desk/money/hirer/{CHOIR}/draft?month={month:%Y-%m}"
    return {
        "/desk/money/<payer>/<path:key>/draft": draft,
        "/desk/money/statements/<int:number>": f"/desk/money/statements/{statement}",
        "/desk/money/tariffs/<int:number>": f"/desk/money/tariffs/{tariff}",
    }
