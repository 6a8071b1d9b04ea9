"""A session passed on: what its address shows, what it lets one do, and how it ends."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.people import Role
from clubplanner.domain.times.times import range_from_wall
from clubplanner.services.addresses.links import create_squad_link, hash_secret, revoke_squad_links
from clubplanner.services.evening.bookings import add_booking, move_booking, withdraw_booking
from clubplanner.services.giving.passing_on import MOST_LINKS
from clubplanner.services.journal.changes import list_changes
from clubplanner.services.rows.bookings.booking_rows import BookingWish
from clubplanner.services.rows.people.turnouts import load_turnout
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, LONDON, NOW
from tests.small_club import HARRIERS, KESTRELS, book, find_area_id, find_squad_id
from tests.stores import ALL_THE_SAME
from tests.webapp.conftest import ADDRESS, send, sign_in, token

if TYPE_CHECKING:
    from datetime import datetime

    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.domain.club.turnouts import Turnout
    from clubplanner.store.engine import Store

THEIRS = {"squad": HARRIERS}


class Clock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> datetime:
        """Return what it shows."""
        return self.now


@pytest.fixture
def clock() -> Clock:
    """Give a clock that shows the present of all tests."""
    return Clock()


@pytest.fixture
def app(small: Store, clock: Clock) -> Flask:
    """Make the app of the small club, its clock in the test's hand."""
    return create_app(small, Config("", ADDRESS), clock)


@pytest.fixture
def number(small: Store) -> int:
    """Book the Kestrels on Wednesday, 18:00 to 19:15."""
    return book(small)


@pytest.fixture
def coach(app: Flask, small: Store) -> FlaskClient:
    """Sign the Kestrels' coach in."""
    return sign_in(app, small, Role.COACH, KESTRELS, name="Robin Hale")


def pass_on(coach: FlaskClient, number: int, **fields: str) -> str:
    """Pass a session on by its form; return the path of the address."""
    path = f"/coach/sessions/{number}/pass-on"
    page = send(coach, path, path, **{"holder": "Kim Vale", **fields})
    found = re.search(rf'href="{ADDRESS}(/session/[^"]+)"', page)
    assert found is not None, page
    return found[1]


def said(store: Store) -> Turnout:
    """Return what is said of the Kestrels' Wednesday."""
    with store.read() as session:
        return load_turnout(session, find_squad_id(store, KESTRELS), A_WEDNESDAY)


def test_an_address_shows_one_session_and_nothing_else(
    app: Flask, small: Store, coach: FlaskClient, number: int
) -> None:
    """Where, which way, what fits and how to get there; no later one, no calendar, no address."""
    other = book(small, day=A_WEDNESDAY + timedelta(days=7))
    address = pass_on(coach, number)
    kim = app.test_client()
    page = kim.get(address).text
    for words in ("U12 Kestrels", "18:00–19:15", "What fits here", "How to get there"):
        assert words in page
    assert "Passed on by Robin Hale. This address opens until 20:15." in page
    for words in ("Coming sessions", "2 December", ".ics", "head-count", "Pass this session on"):
        assert words not in page
    assert kim.get(f"{address}/map/{number}.png").status_code == 200
    assert kim.get(f"{address}/map/{other}.png").status_code == 404
    assert kim.get(f"{address}/fits.json?players=12").status_code == 200
    picture = f"{address}/fit/{number}/1.png?players=12&goalkeepers=1"
    assert kim.get(picture).status_code == 200
    assert kim.get(f"{address}/fit/{other}/1.png").status_code == 404
    secret = address.rpartition("/")[2]
    for path in (f"/ground/{secret}", f"/ground/{secret}/sessions.ics", f"/calendar/{secret}"):
        assert kim.get(path).status_code == 404
    assert kim.get("/coach").status_code == 302


def test_only_its_own_coach_passes_a_session_on(
    app: Flask, small: Store, coach: FlaskClient, number: int
) -> None:
    """Another squad's coach finds no such session, by looking, sending or taking back."""
    address = pass_on(coach, number)
    sam = sign_in(app, small, Role.COACH, HARRIERS, name="Sam Reed")
    path = f"/coach/sessions/{number}/pass-on"
    assert sam.get(path).status_code == 404
    given = {"csrf_token": token(sam, "/me")}
    assert sam.post(path, data=given).status_code == 404
    assert sam.post(f"{path}/1/take-back", data=given).status_code == 404
    own = book(small, HARRIERS, "third-2")
    elsewhere = f"/coach/sessions/{own}/pass-on/1/take-back"
    assert sam.post(elsewhere, data=given).status_code == 404
    assert app.test_client().get(address).status_code == 200


def test_it_ends_an_hour_after_the_session(
    app: Flask, coach: FlaskClient, number: int, clock: Clock
) -> None:
    """To the second; afterwards it says what it was for and whom to ask, and opens nothing."""
    address = pass_on(coach, number)
    kim = app.test_client()
    ends = range_from_wall(A_WEDNESDAY, 18 * 60, 19 * 60 + 15, LONDON).ends_at + timedelta(hours=1)
    clock.now = ends - timedelta(seconds=1)
    assert kim.get(address).status_code == 200
    clock.now = ends
    gone = kim.get(address)
    assert gone.status_code == 410
    assert "U12 Kestrels, Wednesday 25 November 2026, 18:00–19:15" in gone.text
    assert "ask the squad&#39;s coach" in gone.text
    assert "What fits" not in gone.text
    assert kim.get(f"{address}/map/{number}.png").status_code == 404
    assert kim.get(f"{address}/fits.json?players=12").status_code == 404
    assert "Kim Vale" not in coach.get(f"/coach/sessions/{number}/pass-on").text


def test_a_moved_session_takes_its_address_along(
    app: Flask, small: Store, coach: FlaskClient, number: int, clock: Clock
) -> None:
    """To other ground, another date, and its end with it; the page says that it was moved."""
    address = pass_on(coach, number)
    kim = app.test_client()
    next_day = A_WEDNESDAY + timedelta(days=1)
    during = range_from_wall(next_day, 19 * 60, 20 * 60, LONDON)
    area = find_area_id(small, "marsh-lane-top-pitch", "third-3")
    move_booking(small, number, 0, area, during, NOW, ALL_THE_SAME)
    page = kim.get(address).text
    assert "19:00–20:00" in page
    assert "Thursday 26 November 2026" in page
    assert "state-moved" in page
    clock.now = during.ends_at + timedelta(minutes=59)
    assert kim.get(address).status_code == 200
    clock.now += timedelta(minutes=1)
    assert kim.get(address).status_code == 410


def test_what_was_made_in_its_place_is_the_session_now(
    app: Flask, small: Store, coach: FlaskClient, number: int
) -> None:
    """One that is off and stands elsewhere the same day leads to where it stands."""
    address = pass_on(coach, number)
    withdraw_booking(small, number, 0, NOW)
    instead = BookingWish(
        area_id=find_area_id(small, "marsh-lane-hall", "whole"),
        during=range_from_wall(A_WEDNESDAY, 18 * 60, 19 * 60 + 15, LONDON),
        purpose=Purpose.TRAINING,
        squad_id=find_squad_id(small, KESTRELS),
        holder=KESTRELS,
        note="",
        is_fixed=True,
    )
    add_booking(small, instead, NOW + timedelta(minutes=5), ALL_THE_SAME)
    page = app.test_client().get(address).text
    assert "Hall" in page
    assert "What fits here" in page


def test_a_session_that_is_off_says_so(
    app: Flask, small: Store, coach: FlaskClient, number: int
) -> None:
    """With its reason, before anything else; nothing to lay out, and whom to ask."""
    address = pass_on(coach, number, may_count="yes")
    withdraw_booking(small, number, 0, NOW, why="Frost")
    kim = app.test_client()
    page = kim.get(address)
    assert page.status_code == 200
    assert "state-off" in page.text
    assert "Frost" in page.text
    assert "If in doubt, ask Robin Hale." in page.text
    assert "What fits here" not in page.text
    answer = send(kim, f"{address}/count/{number}", "/sign-in", players="9", goalkeepers="1")
    assert "This session is off" in answer
    assert said(small).players is None


def test_the_coach_takes_an_address_back(app: Flask, coach: FlaskClient, number: int) -> None:
    """It is listed by who has it, and once withdrawn looks like one that never was."""
    address, kept = pass_on(coach, number), pass_on(coach, number, holder="")
    path = f"/coach/sessions/{number}/pass-on"
    page = coach.get(path).text
    assert ">Kim Vale<" in page
    assert ">the assistant<" in page
    assert address not in page
    withdrawal = re.search(r'action="([^"]+/take-back)"', page)
    assert withdrawal is not None
    assert "the address of Kim Vale opens nothing" in send(coach, withdrawal[1], path)
    kim = app.test_client()
    gone, never = kim.get(address), kim.get("/session/never")
    assert gone.status_code == never.status_code == 404
    assert "ask the squad&#39;s coach for a new one" in gone.text
    assert kim.get(kept).status_code == 200


def test_the_secretary_sees_and_withdraws_them(
    app: Flask, small: Store, coach: FlaskClient, number: int, clock: Clock
) -> None:
    """Among the addresses in use, until they end; a squad's withdrawal takes them along."""
    first, second = pass_on(coach, number), pass_on(coach, number, holder="Lee Orr")
    desk, kim = sign_in(app, small), app.test_client()
    page = desk.get("/desk/addresses").text
    assert "U12 Kestrels, Wed 25 Nov 18:00, passed on by Robin Hale; until 20:15" in page
    withdrawal = re.search(r'action="(/desk/addresses/sessions/\d+/withdraw)"', page)
    assert withdrawal is not None
    send(desk, withdrawal[1], "/desk/addresses")
    assert kim.get(first).status_code == 404
    create_squad_link(small, KESTRELS, "x", NOW)
    assert kim.get(second).status_code == 200
    assert revoke_squad_links(small, KESTRELS, NOW) == 2
    assert kim.get(second).status_code == 404
    pass_on(coach, number)
    clock.now += timedelta(days=30)
    assert "passed on by" not in desk.get("/desk/addresses").text


def test_who_takes_a_session_counts_only_where_the_coach_lets_them(
    app: Flask, small: Store, coach: FlaskClient, number: int
) -> None:
    """The count is noted under their name and begins what fits, for everybody; else nothing is."""
    silent, counting = pass_on(coach, number), pass_on(coach, number, may_count="yes")
    kim = app.test_client()
    assert "We come with these" not in kim.get(silent).text
    numbers = {"players": "9", "goalkeepers": "2"}
    assert "for the coach to say" in send(kim, f"{silent}/count/{number}", "/sign-in", **numbers)
    assert said(small).players is None
    noted = send(kim, f"{counting}/count/{number}", counting, **numbers)
    assert "Noted for Wednesday 25 November 2026: 9 players, 2 of them in goal." in noted
    assert (said(small).players, said(small).goalkeepers) == (9, 2)
    assert said(small).said_by == "Kim Vale"
    assert list_changes(small, NOW)[0].by == "Kim Vale"
    again = send(kim, f"{counting}/count/{number}", counting, players="0", goalkeepers="0")
    assert "Enter how many players come" in again
    assert kim.post(f"{counting}/count/{number}", data=numbers).status_code == 400, "no token"


def test_the_head_count_begins_what_fits_for_everybody(
    app: Flask, small: Store, coach: FlaskClient, number: int
) -> None:
    """Told from what fits with one press; then coach, parents and assistant begin with it."""
    page = f"/coach/squads/{KESTRELS}/fits?date={A_WEDNESDAY}"
    assert 'name="players" type="text" value="14"' in coach.get(page).text
    path = f"/coach/squads/{KESTRELS}/count/{number}"
    assert f'formaction="{path}"' in coach.get(page).text
    answer = send(coach, path, page, players="11", goalkeepers="2", date=str(A_WEDNESDAY))
    assert "Noted for Wednesday 25 November 2026: 11 players, 2 of them in goal." in answer
    squad = f"/ground/{create_squad_link(small, KESTRELS, 'x', NOW)}/fits"
    for client, where in (
        (coach, page),
        (app.test_client(), squad),
        (app.test_client(), pass_on(coach, number)),
    ):
        shown = client.get(where).text
        assert 'name="players" type="text" value="11"' in shown
        assert 'name="goalkeepers" type="text" value="2"' in shown
        assert 'data-kept-first="11"' in shown, "kept for when there is no signal, too"
    assert "We come with these" not in app.test_client().get(squad).text
    none = send(coach, path, page, players="", goalkeepers="")
    assert "Enter how many players come, 1 to 60." in none
    other = book(small, HARRIERS, "third-2")
    foreign = f"/coach/squads/{KESTRELS}/count/{other}"
    refused = coach.post(foreign, data={"players": "5", "csrf_token": token(coach, "/me")})
    assert refused.status_code == 404


def test_no_more_are_made_than_anybody_needs(coach: FlaskClient, number: int) -> None:
    """A button pressed for ever fills no table."""
    for _unused in range(MOST_LINKS):
        pass_on(coach, number)
    path = f"/coach/sessions/{number}/pass-on"
    answer = coach.post(path, data={"holder": "x", "csrf_token": token(coach, path)})
    assert answer.status_code == 422
    assert "take one back before you make more" in answer.text


def test_only_hashes_are_kept(coach: FlaskClient, number: int, small: Store) -> None:
    """Nobody opens a session with what the database holds."""
    secret = pass_on(coach, number).rpartition("/")[2]
    with small.engine.connect() as connection:
        raw = connection.exec_driver_sql("SELECT * FROM session_link").all()
    assert hash_secret(secret) in str(raw)
    assert secret not in str(raw)
