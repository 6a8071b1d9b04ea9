"""The page on which a squad that begins sees what is free, and takes it."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.store.tables.club_tables import StretchRow
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import KESTRELS, kept_bookings
from tests.webapp.conftest import ADDRESS, send, sign_in

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

PAGE = f"/desk/season/squads/{KESTRELS}/begin"


def test_a_squad_takes_what_is_free_in_one_press(small: Store) -> None:
    """The best is chosen beforehand; afterwards its address is shown, once."""
    desk = sign_in(create_app(small, Config("", ADDRESS), lambda: NOW), small)
    assert PAGE in desk.get(f"/desk/squads/{KESTRELS}").text
    shown = desk.get(f"{PAGE}?from=2027-03-01").text
    assert "Wednesday 18:00–19:15" in shown
    found = re.search(r'name="(session-\d+-0)" value="([^"]+)" checked', shown)
    assert found is not None
    fields = {found[1]: found[2], "from": "2027-03-01"}
    done = send(desk, PAGE, f"{PAGE}?from=2027-03-01", **fields)
    assert "U12 Kestrels begin: 6 sessions booked." in done
    assert f"{ADDRESS}/ground/" in done
    assert len(kept_bookings(small)) == 6
    again = send(desk, PAGE, f"{PAGE}?from=2027-03-01", **fields)
    assert "look again" in again
    assert "It has all that it asks for." in desk.get(f"{PAGE}?from=2027-03-01").text


def test_dates_outside_the_season_are_told_at_their_field(small: Store) -> None:
    """The date stays as it was typed, and the remedy stands beside it."""
    desk = sign_in(create_app(small, Config("", ADDRESS), lambda: NOW), small)
    answer = desk.get(f"{PAGE}?from=2027-08-01")
    assert answer.status_code == 422
    assert "lies in no stretch" in answer.text
    assert 'value="2027-08-01"' in answer.text


def test_the_page_opens_between_stretches_and_after_the_last(small: Store) -> None:
    """It was there under every squad, and led nowhere in August."""
    desk = sign_in(create_app(small, Config("", ADDRESS), lambda: NOW), small)
    _let_winter_be(small, date(2026, 12, 7), date(2027, 4, 9))
    between = desk.get(PAGE)
    assert between.status_code == 200
    assert 'value="2026-12-07"' in between.text
    _let_winter_be(small, date(2026, 8, 31), date(2026, 11, 13))
    after_the_last = desk.get(PAGE)
    assert after_the_last.status_code == 200
    assert "No stretch is to come; make the next season first." in after_the_last.text
    assert desk.get("/desk/season/squads/nobody/begin").status_code == 404


def _let_winter_be(store: Store, first: date, last: date) -> None:
    with store.write() as session:
        row = session.scalars(select(StretchRow)).one()
        row.starts_on, row.ends_on = first, last
