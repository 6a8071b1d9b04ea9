"""The small club with tariffs: what each session of its November costs is easily told."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.money.lines import Reduction
from clubplanner.domain.money.tariffs import InLight, Payer, Spot, Tariff
from clubplanner.domain.money.terms import MoneyTerms
from clubplanner.services.money.tariff_book import save_reduction, save_tariff, settle_terms
from tests.small_club import HARRIERS, KESTRELS, TOP, book, load_small_club

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
    evening = {"start_min": 19 * 60 + 15, "end_min": 20 * 60 + 15}
    book(store, CHOIR, "half-1", pitch_key=TOP, purpose=Purpose.HIRE, **evening)
