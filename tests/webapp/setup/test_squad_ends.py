"""The page on which a squad ends: told first, done by a second press."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.setup.squads.ends import end_squad_from
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import HARRIERS, KESTRELS, book, kept_bookings
from tests.webapp.conftest import ADDRESS, send, sign_in

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


def test_a_squad_ends_in_two_presses(small: Store) -> None:
    """The first changes nothing; the second withdraws, and the squad's page says so from then."""
    for n in range(2):
        book(small, day=A_WEDNESDAY + n * timedelta(days=7))
    desk = sign_in(create_app(small, Config("", ADDRESS), lambda: NOW), small)
    path = f"/desk/squads/{KESTRELS}/end"
    assert path in desk.get(f"/desk/squads/{KESTRELS}").text
    told = desk.get(f"{path}?from={A_WEDNESDAY}&why=too+few").text
    assert "Wednesday 18:00–19:15" in told
    assert "End it and withdraw 2 sessions" in told
    assert len(kept_bookings(small)) == 2
    seen = re.search(r'name="seen" value="(\w+)"', told)
    assert seen is not None
    page = f"{path}?from={A_WEDNESDAY}"
    fields = {"from": str(A_WEDNESDAY), "why": "too few", "mails": "yes"}
    done = send(desk, path, page, seen=seen[1], **fields)
    assert "U12 Kestrels end, with no session from Wed 25 Nov on, 2 sessions withdrawn." in done
    assert kept_bookings(small) == []
    assert "none from Wed 25 Nov 2026 on" in desk.get("/desk/squads").text
    again = send(desk, path, "/desk/squads", seen=seen[1], **fields)
    assert "with no session from Wednesday 25 November 2026 on: too few" in again


def test_a_date_that_has_passed_is_told_at_its_field(small: Store) -> None:
    """What was typed is still there."""
    desk = sign_in(create_app(small, Config("", ADDRESS), lambda: NOW), small)
    answer = desk.get(f"/desk/squads/{KESTRELS}/end?from=2026-11-01&why=too+few")
    assert answer.status_code == 422
    assert "a squad ends today at the earliest" in answer.text
    assert 'value="too few"' in answer.text


def test_families_and_coach_read_that_their_squad_ends(small: Store) -> None:
    """From the day it is known, beside what is still to come; the other squad's coach does not."""
    for n in range(2):
        book(small, day=A_WEDNESDAY + n * timedelta(days=7))
    app = create_app(small, Config("", ADDRESS), lambda: NOW)
    theirs = f"/ground/{create_squad_link(small, KESTRELS, 'Parents', NOW)}"
    coach, other = (sign_in(app, small, Role.COACH, key, name=key) for key in (KESTRELS, HARRIERS))
    from_day = A_WEDNESDAY + timedelta(days=7)
    end_squad_from(small, KESTRELS, from_day, NOW, why="too few", goes_on_in=HARRIERS)
    told = (
        "U12 Kestrels end, with no session from Wednesday 2 December 2026 on: too few; "
        "they go on as U14 Harriers."
    )
    assert told in app.test_client().get(theirs).text
    assert told in app.test_client().get(f"{theirs}?date={from_day}").text
    for path in ("/coach", "/coach/weeks"):
        assert told in coach.get(path).text
        assert "U12 Kestrels end" not in other.get(path).text
