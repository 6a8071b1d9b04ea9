"""Prices and what floodlights cost, from before there were tariffs, become tariffs."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.money.tariffs import InLight, Payer, Per, Spot, Tariff
from clubplanner.services.rows.club.money_rows import load_tariffs, load_terms
from clubplanner.services.rows.snapshot import load_club
from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import check_store, migrate
from tests.store.earlier import put_earlier
from tests.store.upkeep.test_migrate import run_sql

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.files

RULES = {
    "ages": [],
    "limits": [],
    "prices": [
        ["marsh  LANE", "", 2000, 500],
        ["Marsh Lane", "Top pitch", 2400, 0],
        ["Moon Lane", "", 1, 1],
    ],
    "wants_compact": True,
}


def upgraded(path: Path, currency: str) -> Store:
    """Return a lived-in club of before, with prices and floodlights in a currency, upgraded."""
    put_earlier(path, "0016")
    run_sql(path, f"UPDATE club SET rules = '{json.dumps(RULES)}'")  # noqa: S608 - our own words
    run_sql(path, f"UPDATE lamp_cost SET per_hour = 8.255, currency = '{currency}'")  # noqa: S608 - our own words
    store = open_store(f"sqlite:///{path}")
    migrate(store)
    check_store(store)
    return store


@pytest.mark.parametrize(
    ("called", "currency", "lamps"),
    [("GBP", "GBP", 826), ("€", "EUR", 826), ("¥", "JPY", 8), ("Taler", "", 826)],
)
def test_what_was_typed_before_holds_on(
    tmp_path: Path, called: str, currency: str, lamps: int
) -> None:
    """Each price is a tariff that the club pays, floodlights add to it; the words say in what."""
    store = upgraded(tmp_path / "club.sqlite", called)
    lane, top = Spot("marsh-lane"), Spot("marsh-lane", "marsh-lane-top-pitch")
    with store.read() as session:
        assert load_tariffs(session) == (
            Tariff(1, Payer.CLUB, lane, 2000),
            Tariff(2, Payer.CLUB, lane, 500, Per.OPENING),
            Tariff(3, Payer.CLUB, top, 2400),
            Tariff(4, Payer.CLUB, lane, lamps, adds=True, light=InLight.FLOODLIGHT),
        )
        assert load_terms(session).currency == currency
        assert load_club(session).rules.wants_compact
    store.close()
