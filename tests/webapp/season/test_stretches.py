"""The page on which a stretch gets other dates: told first, done by a second press."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import TYPE_CHECKING

from clubplanner.config import Config
from clubplanner.services.season.stretch_dates import see_stretch_dates
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import book, kept_bookings
from tests.webapp.conftest import ADDRESS, send, sign_in

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

LAST_WEDNESDAY = date(2027, 4, 7)
PAGE = "/desk/season/year/stretches/winter"


def test_a_stretch_is_made_longer_in_two_presses(small: Store) -> None:
    """The form of the year leads to what would change; what clashes is chosen there."""
    for n in range(4):
        book(small, day=LAST_WEDNESDAY - n * timedelta(days=7), is_fixed=False)
    book(small, "Fair", "third-1", day=LAST_WEDNESDAY + timedelta(days=7))
    desk = sign_in(create_app(small, Config("", ADDRESS), lambda: NOW), small)
    fields = {
        "stretch_name": "Winter",
        "stretch_first": "2026-10-12",
        "stretch_last": "2027-04-23",
    }
    told = send(
        desk, "/desk/season/year/stretches", "/desk/season/year", stretch="winter", **fields
    )
    assert "so far Monday 12 October 2026 to " in told
    assert "One session is booked, as in the weeks before." in told
    assert "One cannot be as in the weeks before" in told
    assert len(kept_bookings(small)) == 5
    seen = re.search(r'name="seen" value="(\w+)"', told)
    assert seen is not None
    args = "&".join(f"{name}={value}" for name, value in fields.items())
    last = date(2027, 4, 23)
    foreseen = see_stretch_dates(small, "winter", "Winter", date(2026, 10, 12), last, NOW)
    (clash,) = foreseen.clashes
    choice = {f"at-{clash.key}": clash.choices[0].value}
    done = send(desk, PAGE, f"{PAGE}?{args}", seen=seen[1], **fields, **choice)
    assert "2 sessions booked." in done
    assert len(kept_bookings(small)) == 7
    again = send(desk, PAGE, f"{PAGE}?{args}", seen="0", **fields)
    assert "look again" in again


def test_another_name_alone_is_saved_at_once(small: Store) -> None:
    """Nothing that is booked changes, so nothing is asked."""
    book(small, day=LAST_WEDNESDAY)
    desk = sign_in(create_app(small, Config("", ADDRESS), lambda: NOW), small)
    done = send(
        desk,
        "/desk/season/year/stretches",
        "/desk/season/year",
        stretch="winter",
        stretch_name="Cold half",
        stretch_first="2026-10-12",
        stretch_last="2027-04-09",
    )
    assert "Cold half: Mon 12 Oct to Fri 9 Apr 2027." in done
