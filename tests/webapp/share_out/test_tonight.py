"""The pages of an evening that is shared out: who comes, one press, before and after, published."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.people import Role
from clubplanner.services.evening.bookings import see_booking, withdraw_booking
from clubplanner.services.rows.people.turnouts import load_turnouts
from clubplanner.services.setup.loading import load_files
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import book, kept_bookings, small_club_files
from tests.tonight_club import NO_PLAN, load_tonight_club, say, squad_lines
from tests.webapp.asked_runs import asked
from tests.webapp.conftest import sign_in, token

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from clubplanner.store.engine import Store
    from tests.stores import Filled

PATH = f"/desk/share-outs/tonight?date={A_WEDNESDAY}"


def five_squads(store: Store) -> None:
    """Load a club of five squads and two pitches that plans no weeks."""
    load_tonight_club(store, 5, 2)


def many_squads(store: Store) -> None:
    """Load one of more squads than are shared out while a page waits."""
    load_tonight_club(store, 25, 6)


@pytest.fixture
def club(filled: Filled) -> Store:
    """Give a small club of evenings."""
    return filled(five_squads)


@pytest.fixture
def app_of(club: Store) -> Flask:
    """Make its app."""
    return create_app(club, Config("", "http://127.0.0.1:8000"), lambda: NOW)


@pytest.fixture
def kim(app_of: Flask, club: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(app_of, club, name="Kim")


def fields_of(page: str) -> dict[str, str]:
    """Return what the form of a page would send, as it stands."""
    fields = {}
    for tag in re.findall(r"<input [^>]*>", page):
        name, value = re.search(r'name="([^"]+)"', tag), re.search(r'value="([^"]*)"', tag)
        if name is None or name[1] == "date":
            continue
        if 'type="checkbox"' in tag:
            if " checked" in tag:
                fields[name[1]] = "on"
        else:
            fields[name[1]] = value[1] if value else ""
    return fields


def press(client: FlaskClient, *untick: str, path: str = PATH, **typed: str) -> TestResponse:
    """Fill the form in and press the button; names have hyphens for underscores."""
    fields = fields_of(client.get(path).text)
    for squad in untick:
        del fields[f"on-{squad}"]
    fields.update({name.replace("_", "-"): value for name, value in typed.items()})
    return client.post(path, data=fields, follow_redirects=True)


def publish(client: FlaskClient, page: TestResponse) -> TestResponse:
    """Publish the proposal that a page shows."""
    action = re.search(r'action="([^"]+/publish)"', page.text)
    assert action is not None
    return client.post(action[1], data=fields_of(page.text), follow_redirects=True)


def test_from_the_evening_to_published_sessions(kim: FlaskClient, club: Store) -> None:
    """The evening leads to the form, that to the proposal, and one press books all of it."""
    assert f'href="{PATH}"' in kim.get(f"/desk/evening?date={A_WEDNESDAY}").text
    page = press(kim, players_squad_01="6", keepers_squad_01="0")
    assert page.status_code == 200
    assert "All 5 sessions asked for have a place" in page.text
    assert page.text.count("<svg") == 2, "each pitch once: nobody was on it before"
    assert "nobody on it before" in page.text
    done = publish(kim, page)
    assert "5 sessions added" in done.text
    assert "Take it back" in done.text
    assert len(kept_bookings(club)) == 5


def test_publishing_is_taken_back_as_one_change(kim: FlaskClient, club: Store) -> None:
    """What one press booked, one press withdraws."""
    done = publish(kim, press(kim))
    action = re.search(r'action="([^"]*/changes/\d+/undo)"', done.text)
    assert action is not None
    kim.post(action[1], data=fields_of(done.text), follow_redirects=True)
    assert kept_bookings(club) == []


def test_numbers_are_kept_without_sharing_out(kim: FlaskClient, club: Store) -> None:
    """What was said is there again, with who said it; untouched squads have nothing said."""
    page = press(kim, "squad-04", players_squad_02="9", keepers_squad_02="1", keep="1")
    assert "Noted who comes" in page.text
    assert "said by Kim at 12:00" in page.text
    assert "stays away tonight" in page.text
    with club.read() as session:
        said = load_turnouts(session, A_WEDNESDAY)
    assert set(said) == {"squad-02", "squad-04"}
    assert said["squad-02"].players == 9
    assert kept_bookings(club) == []


def test_what_a_coach_says_meanwhile_is_not_overwritten(kim: FlaskClient, club: Store) -> None:
    """Only the fields that somebody changed on the page are kept."""
    fields = fields_of(kim.get(PATH).text)
    say(club, "Squad 03", players=7, goalkeepers=1)
    say(club, "Squad 05", is_coming=False)
    kim.post(PATH, data={**fields, "players-squad-01": "8"}, follow_redirects=True)
    with club.read() as session:
        said = load_turnouts(session, A_WEDNESDAY)
    assert said["squad-03"].players == 7
    assert said["squad-05"].is_coming is False
    assert said["squad-01"].players == 8


def test_faults_are_told_all_at_once_and_nothing_typed_is_lost(kim: FlaskClient) -> None:
    """Too many players, keepers who are no players, a closure that ends before it begins."""
    page = press(
        kim,
        players_squad_01="600",
        players_squad_02="3",
        keepers_squad_02="4",
        closed_marsh_lane_pitch_1="marsh-lane-pitch-1/whole",
        closed_from_marsh_lane_pitch_1="19:00",
        closed_to_marsh_lane_pitch_1="18:00",
        from_all="late",
        to_all="21:00",
    )
    assert page.status_code == 422
    for words in (
        "Enter a whole number from 1 to 60.",
        "Squad 02: goalkeepers are counted among the players.",
        "The end must come after the start, on the same day.",
        "Enter a time of day, like 17:30.",
        'value="600"',
        'value="late"',
    ):
        assert words in page.text


def test_no_evening_but_the_one_that_was_sent_is_shared_out(kim: FlaskClient) -> None:
    """A date that cannot be read is a fault; today is not taken in its place."""
    fields = fields_of(kim.get(PATH).text) | {"date": "31.12.2026"}
    answer = kim.post(PATH, data=fields)
    assert answer.status_code == 422
    assert "Enter the date as year-month-day" in answer.text


def test_times_for_all_hold_for_who_has_no_place(kim: FlaskClient) -> None:
    """Everybody is placed between the times typed once."""
    page = press(kim, from_all="19:00", to_all="20:15", minutes_all="60")
    times = re.findall(r'<td class="times">(\d\d:\d\d)–(\d\d:\d\d)</td>', page.text)
    assert len(times) == 5
    assert all(start >= "19:00" and end <= "20:15" for start, end in times)


def test_a_match_that_overruns_moves_who_comes_after(kim: FlaskClient, club: Store) -> None:
    """Its ground is held until the time typed, and whoever stood there goes elsewhere."""
    publish(kim, press(kim))
    match = book(
        club,
        "Brook End",
        "whole",
        pitch_key="marsh-lane-pitch-1",
        start_min=1020,
        end_min=1050,
        purpose=Purpose.MATCH,
    )
    early = press(kim, **{f"over_{match}": "17:15"})
    assert "Enter a time after its end" in early.text
    page = press(kim, **{f"over_{match}": "18:00"})
    assert "The match lasts longer" in page.text
    done = publish(kim, page)
    assert "Ground closed." in done.text
    assert not [
        one
        for one in kept_bookings(club)
        if one.area.startswith("marsh-lane-pitch-1")
        and "17:30" <= one.local[1] < "18:00"
        and one.holder.startswith("Squad")
    ]


def test_a_change_by_somebody_else_refuses_publishing_and_is_shown(
    kim: FlaskClient, club: Store
) -> None:
    """The page says what changed since, the numbers stay, and the next press works."""
    publish(kim, press(kim))
    page = press(kim, "squad-01")
    number = next(n for n in range(1, 6) if see_booking(club, n).holder == "Squad 02")
    withdraw_booking(club, number, 0, NOW + timedelta(minutes=1))
    refused = publish(kim, page)
    assert refused.status_code == 409
    assert "Nothing was published" in refused.text
    assert "Changed since this was proposed" in refused.text
    assert re.search(r"Squad 02, [^<]+: withdrawn\.", refused.text)
    assert len(kept_bookings(club)) == 4
    assert "stays away tonight" in kim.get(PATH).text


def test_many_squads_are_shared_out_beside_the_page(
    filled: Filled, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where it takes longer than anybody waits, a run does it and shows its progress."""
    club = filled(many_squads)
    app = create_app(club, Config("", "http://127.0.0.1:8000"), lambda: NOW)
    monkeypatch.setattr("clubplanner.webapp.base.runner.Runner.launch", lambda *_: None)
    page = press(sign_in(app, club))
    assert "Sharing out Wednesday 25 November 2026" in page.text
    request = asked(club)
    assert request.work.value == "tonight"
    assert request.disruption.fills


def test_an_empty_club_is_told_what_to_do_first(filled: Filled, empty_store: Store) -> None:
    """Without squads the page leads to them, without ground to the grounds."""
    for fill, words in (
        (_only_pitches, "Add the squads first"),
        (_only_squads, "Add the grounds first"),
    ):
        club = filled(fill)
        app = create_app(club, Config("", "http://127.0.0.1:8000"), lambda: NOW)
        assert words in sign_in(app, club).get(PATH).text
    app = create_app(empty_store, Config("", "http://127.0.0.1:8000"), lambda: NOW)
    none = sign_in(app, empty_store).get(PATH)
    assert none.status_code < 500
    assert "Share out" not in none.text


def test_a_coach_says_how_many_come_and_what_fits_begins_with_it(
    app_of: Flask, kim: FlaskClient, club: Store
) -> None:
    """The number is kept for the session: on the coach's page, and before the secretary."""
    publish(kim, press(kim))
    coach = sign_in(app_of, club, Role.COACH, "squad-01", name="Robin")
    number = next(n for n in range(1, 6) if see_booking(club, n).holder == "Squad 01")
    path = f"/coach/sessions/{number}"
    assert "We come with" in coach.get(path).text
    fields = {"csrf_token": token(coach, path), "players": "7", "keepers": "1"}
    page = coach.post(f"{path}/head-count", data=fields, follow_redirects=True)
    assert "7 players, 1 of them in goal" in page.text
    fits = coach.get(f"/coach/squads/squad-01/fits?date={A_WEDNESDAY}").text
    assert re.search(r'name="players"[^>]*value="7"', fits)
    assert "said by Robin" in kim.get(PATH).text
    odd = coach.post(f"{path}/head-count", data={**fields, "players": "3", "keepers": "4"})
    assert odd.status_code == 422
    assert "goalkeepers counted among them" in odd.text
    stranger = sign_in(app_of, club, Role.COACH, "squad-02", name="Sam")
    fields["csrf_token"] = token(stranger, "/me")
    assert stranger.post(f"{path}/head-count", data=fields).status_code == 404


def test_pins_are_kept_when_it_is_shared_out_again(kim: FlaskClient, club: Store) -> None:
    """Whoever is ticked keeps its place in the next proposal."""
    page = press(kim)
    action = re.search(r'action="([^"]+/pinned)"', page.text)
    assert action is not None
    fields = {**fields_of(page.text), "pin": "0"}
    again = kim.post(action[1], data=fields, follow_redirects=True)
    assert 'class="tag">pinned' in again.text


def _only_pitches(store: Store) -> None:
    load_files(store, small_club_files(settings=NO_PLAN)[:2], NOW)


def _only_squads(store: Store) -> None:
    files = small_club_files(settings=NO_PLAN, squads=squad_lines(3))
    load_files(store, [files[0], files[2]], NOW)


def test_a_coach_takes_a_hand_back_back_and_comes_again(
    app_of: Flask, kim: FlaskClient, club: Store
) -> None:
    """Staying away was a slip: the session is there again, and the squad is reckoned with."""
    publish(kim, press(kim))
    coach = sign_in(app_of, club, Role.COACH, "squad-01", name="Robin")
    number = next(n for n in range(1, 6) if see_booking(club, n).holder == "Squad 01")
    path = f"/coach/sessions/{number}"
    fields = {"csrf_token": token(coach, path), "sequence": "0"}
    page = coach.post(f"{path}/hand-back", data=fields, follow_redirects=True)
    action = re.search(r'class="message take-back" method="post" action="([^"]+)"', page.text)
    assert action is not None
    coach.post(action[1], data=fields_of(page.text), follow_redirects=True)
    assert len(kept_bookings(club)) == 5
    with club.read() as session:
        assert not load_turnouts(session, A_WEDNESDAY)
