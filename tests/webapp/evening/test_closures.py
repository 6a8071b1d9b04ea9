"""Closing ground from the pages."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, NOW, make_range
from tests.small_club import book, load_small_club
from tests.stores import area_number, booking_row, make_wish, put_booking
from tests.webapp.conftest import ADDRESS, send, sign_in, token

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/season/closures"


def fields(store: Store, **changes: str) -> dict[str, str]:
    """Return the closing form, filled in: the top pitch on the Wednesday from 17:40."""
    return {
        "area": str(area_number(store, "whole")),
        "date": str(A_WEDNESDAY),
        "from": "17:40",
        "until_date": str(A_WEDNESDAY),
        "until": "24:00",
        "condition": "closed",
        "reason": "waterlogged",
        "words": "",
        **changes,
    }


def test_look_decide_close_and_open_again(desk: FlaskClient, club_store: Store) -> None:
    """The page says who has to go and where to, closes, lists the closure and opens it again."""
    number = put_booking(club_store, make_wish(club_store), NOW)
    look = desk.get(f"{PAGE}/look", query_string=fields(club_store))
    assert "U13 Kestrels" in look.text
    assert "Tarnholt Evening Runners" in look.text
    assert look.text.count("Withdraw it: nothing is free") == 2
    assert "2 sessions have to go, and nothing is free for them." in look.text
    assert "places proposed" not in look.text
    assert not booking_row(club_store, number).is_withdrawn, "looking changes nothing"
    names = re.findall(r'name="(place-\d+)"', look.text)
    assert f"place-{number}" in names
    sent = {**fields(club_store), **dict.fromkeys(names, "withdraw")}
    answer = desk.post(PAGE, data={**sent, "csrf_token": token(desk, PAGE)}, follow_redirects=True)
    assert "is closed. 2 sessions withdrawn." in answer.text
    assert booking_row(club_store, number).is_withdrawn
    assert "Wed 25 Nov, 17:40–24:00" in answer.text
    assert "Closed: waterlogged" in desk.get(f"/desk/evening?date={A_WEDNESDAY}&at=18:00").text
    text = send(desk, f"{PAGE}/1/open", PAGE)
    assert "is open again." in text
    assert "is closed: waterlogged" not in text
    assert "is closed: Frost on the brook side" in text, "closed by the settings, opened by hand"


def test_faults_are_told_at_once_and_nothing_typed_is_lost(
    desk: FlaskClient, club_store: Store
) -> None:
    """Each field says what is missing; what was typed comes back."""
    answer = desk.get(
        f"{PAGE}/look",
        query_string=fields(
            club_store, area="", reason="", until="17:00", condition="other", **{"from": "18:00"}
        ),
    )
    assert answer.status_code == 422
    for words in (
        "Choose the ground.",
        "Say why, so that people are told",
        "Say what is allowed",
        "The end must come after the start.",
    ):
        assert words in answer.text
    assert 'value="18:00"' in answer.text
    odd = desk.get(f"{PAGE}/look", query_string=fields(club_store, condition="on fire"))
    assert "Choose how far it is closed." in odd.text
    late = desk.get(
        f"{PAGE}/look", query_string=fields(club_store, date="2020-01-01", until_date="2020-01-01")
    )
    assert "This time has passed" in late.text


def test_a_decision_that_no_longer_holds_comes_back_with_the_reason(
    desk: FlaskClient, club_store: Store
) -> None:
    """A session booked after the look is not swept away."""
    put_booking(club_store, make_wish(club_store), NOW)
    text = send(
        desk,
        PAGE,
        PAGE,
        **{("from_" if k == "from" else k): v for k, v in fields(club_store).items()},
    )
    assert "U13 Kestrels have been booked there too" in text
    assert "waterlogged" in text


def test_the_coach_reads_the_condition(desk: FlaskClient, club_store: Store, secret: str) -> None:
    """“No studs” stands on the coach's page for that ground first, not as another day's."""
    put_booking(club_store, make_wish(club_store), NOW)
    sent = fields(club_store, condition="no studs", reason="soft")
    desk.post(PAGE, data={**sent, "csrf_token": token(desk, PAGE)})
    assert "no studs (soft)" in desk.get(f"/ground/{secret}?date={A_WEDNESDAY}").text
    assert "With a condition on" in desk.get(f"/ground/{secret}?date={A_WEDNESDAY}").text
    assert "With a condition on" not in desk.get(f"/ground/{secret}?date=2026-11-24").text


def test_the_evening_leads_to_closing_a_pitch(desk: FlaskClient, club_store: Store) -> None:
    """Each pitch has a link that fills the form: from now today, from midnight on another day."""
    evening = desk.get(f"/desk/evening?venue=osier-lane&date={A_WEDNESDAY}").text
    link = re.search(r'href="(/desk/season/closures\?[^"]+)">Close', evening)
    assert link is not None
    page = desk.get(link[1].replace("&amp;", "&")).text
    whole = area_number(club_store, "whole")
    assert f'value="{whole}" selected' in page
    assert f'value="{A_WEDNESDAY}"' in page
    assert 'value="00:00"' in page
    assert 'value="12:00"' in desk.get(PAGE).text, "today the form begins at the present time"


@pytest.mark.parametrize(
    ("now", "shown", "offered"),
    [
        (datetime(2026, 11, 25, 19, 30, tzinfo=UTC), "19:30", "19:30"),
        (datetime(2026, 11, 25, 19, 30, 59, 999_999, tzinfo=UTC), "19:30", "19:30"),
        (datetime(2026, 11, 25, 19, 33, 27, 654_321, tzinfo=UTC), "19:33", "19:30"),
    ],
)
def test_a_groundskeeper_sees_the_present(
    empty_store: Store, now: datetime, shown: str, offered: str
) -> None:
    """At half past seven neither page shows or offers the busiest moment, which is past."""
    load_small_club(empty_store)
    book(empty_store, start_min=18 * 60 + 20, end_min=19 * 60 + 15)
    app = create_app(empty_store, Config("", ADDRESS), lambda: now)
    keeper = sign_in(app, empty_store, Role.GROUNDSKEEPER)
    evening = keeper.get("/desk/evening").text
    assert f"On the ground at <strong>{shown}</strong>" in evening
    closures = keeper.get("/desk/season/closures").text
    assert re.search(rf'<input[^>]* name="from"[^>]* value="{offered}"', closures)


@pytest.mark.parametrize(
    ("start", "end", "field", "message"),
    [
        ("01:00", "02:00", "until", "Nothing is left between these times: the clocks change there"),
        ("01:15", "06:00", "from", "01:15 does not come on Sunday 28 March 2027"),
        ("00:00", "01:15", "until", "01:15 does not come on Sunday 28 March 2027"),
        ("06:00", "05:00", "until", "The end must come after the start."),
    ],
)
def test_ground_is_not_closed_at_a_time_that_does_not_come(
    desk: FlaskClient, club_store: Store, start: str, end: str, field: str, message: str
) -> None:
    """The fault is the clocks', not an end that would lie before the start."""
    wish = {"from": start, "date": "2027-03-28", "until_date": "2027-03-28", "until": end}
    look = desk.get(f"{PAGE}/look", query_string=fields(club_store, **wish))
    assert message in look.text
    assert f'aria-describedby="fault-{field}"' in look.text


def test_a_closure_is_not_changed_to_a_time_that_does_not_come(
    desk: FlaskClient, club_store: Store
) -> None:
    """Told at its end, and it stays as it was."""
    wish = {"date": "2027-03-27", "until_date": "2027-03-28", "until": "08:00"}
    sent = {**fields(club_store, **wish), "csrf_token": token(desk, PAGE)}
    desk.post(PAGE, data=sent)
    changed = {**fields(club_store, **wish), "until": "01:15", "csrf_token": token(desk, PAGE)}
    answer = desk.post(f"{PAGE}/1", data=changed)
    assert "01:15 does not come on Sunday 28 March 2027" in answer.text
    assert "08:00" in desk.get(PAGE).text


def test_a_groundskeeper_is_not_led_to_what_only_the_secretary_changes(
    app: Flask, club_store: Store, desk: FlaskClient
) -> None:
    """Ground that the settings close has a booking's page, which is the secretary's alone."""
    keeper = sign_in(app, club_store, Role.GROUNDSKEEPER)
    link = re.compile(r'href="(/desk/bookings/\d+)"')
    assert link.search(desk.get(PAGE).text) is not None
    page = keeper.get(PAGE).text
    assert "The secretary changes it" in page
    assert link.search(page) is None


def _closed(desk: FlaskClient, store: Store) -> dict[str, str]:
    """Close the top pitch and withdraw who is there; return the ticks that opening offers."""
    number = put_booking(store, make_wish(store), NOW)
    look = desk.get(f"{PAGE}/look", query_string=fields(store)).text
    names = re.findall(r'name="(place-\d+)"', look)
    assert f"place-{number}" in names
    sent = {**fields(store), **dict.fromkeys(names, "withdraw")}
    desk.post(PAGE, data={**sent, "csrf_token": token(desk, PAGE)})
    return ticks(desk.get(f"{PAGE}/1").text)


def ticks(text: str) -> dict[str, str]:
    """Return the ticked fields of a page."""
    return dict(re.findall(r'name="(back-\d+)" value="(\d+)" checked', text))


def test_opening_brings_back_whoever_is_ticked(desk: FlaskClient, club_store: Store) -> None:
    """Each with where it was and is; all that can are ticked; the evening offers it, too."""
    back = _closed(desk, club_store)
    assert len(back) == 2
    page = desk.get(f"{PAGE}/1").text
    assert re.search(r" third, Top pitch, Wed 25 Nov, 18:00–19:15", page)
    assert "Now: withdrawn" in page
    evening = desk.get(f"/desk/evening?venue=osier-lane&date={A_WEDNESDAY}").text
    assert f'href="{PAGE}/1"' in evening
    text = send(desk, f"{PAGE}/1/open", f"{PAGE}/1", shown="1", **back)
    assert "2 sessions are back where they were." in text
    assert not booking_row(club_store, int(next(iter(back)).removeprefix("back-"))).is_withdrawn


def test_opened_without_them_they_stay_on_offer(desk: FlaskClient, club_store: Store) -> None:
    """The closures page and the evening say who is still away; a tick later they are back."""
    back = _closed(desk, club_store)
    text = send(desk, f"{PAGE}/1/open", f"{PAGE}/1", only="1", shown="1", **back)
    assert "Open again, somebody still away" in text
    assert "2 sessions can come back" in text
    path = f"/desk/evening?venue=osier-lane&date={A_WEDNESDAY}"
    assert "2 sessions can come back" in desk.get(path).text
    assert "Tick who comes back." in send(desk, f"{PAGE}/1/back", f"{PAGE}/1", shown="1")
    back = ticks(desk.get(f"{PAGE}/1").text)
    text = send(desk, f"{PAGE}/1/back", f"{PAGE}/1", shown="1", **back)
    assert "2 sessions are back" in text
    assert "somebody still away" not in text
    assert "can come back" not in desk.get(path).text


def test_what_was_ticked_stays_ticked_when_it_cannot_be_done(
    desk: FlaskClient, club_store: Store
) -> None:
    """One of two ticked, and a number that is too old: the page says so and keeps the choice."""
    first, second = _closed(desk, club_store).items()
    stale = {first[0]: "0", "shown": "1"}
    data = {**stale, "csrf_token": token(desk, PAGE)}
    answer = desk.post(f"{PAGE}/1/open", data=data)
    assert answer.status_code == 422
    assert "somebody has decided about" in answer.text
    assert set(ticks(answer.text)) == {first[0]}
    assert second[0] in answer.text


def test_a_closure_is_changed_and_keeps_its_number(desk: FlaskClient, club_store: Store) -> None:
    """Shorter: who is set free is ticked; what was typed wrongly comes back with its fault."""
    _closed(desk, club_store)
    page = desk.get(f"{PAGE}/1").text
    assert 'name="until"' in page
    assert 'value="24:00"' in page
    change = {k: v for k, v in fields(club_store).items() if k not in ("date", "from")}
    wrong = desk.get(f"{PAGE}/1/look", query_string={**change, "until": "late", "reason": ""})
    assert wrong.status_code == 422
    assert 'value="late"' in wrong.text
    early = desk.get(f"{PAGE}/1/look", query_string={**change, "until": "17:00"})
    assert "must come after the start" in early.text
    change |= {"until": "18:00", "reason": "frost"}
    look = desk.get(f"{PAGE}/1/look", query_string=change).text
    back = ticks(look)
    assert back
    data = {**change, **back, "shown": "1", "csrf_token": token(desk, PAGE)}
    done = desk.post(f"{PAGE}/1", data=data, follow_redirects=True)
    assert done.request.path == f"{PAGE}/1"
    assert "is closed: frost. Wed 25 Nov, 17:40–18:00." in done.text
    assert "changed the closure of Whole of Top pitch" in done.text


def test_a_longer_closure_asks_where_everybody_goes(desk: FlaskClient, club_store: Store) -> None:
    """Who has come since the look is told of on the same page, with what was chosen."""
    _closed(desk, club_store)
    change = {k: v for k, v in fields(club_store).items() if k not in ("date", "from")}
    change |= {"until_date": "2026-11-26"}
    thursday = make_range(day=A_WEDNESDAY.replace(day=26))
    number = put_booking(club_store, make_wish(club_store, during=thursday), NOW)
    look = desk.get(f"{PAGE}/1/look", query_string=change).text
    assert f'name="place-{number}"' in look
    data = {**change, "csrf_token": token(desk, PAGE)}
    answer = desk.post(f"{PAGE}/1", data=data)
    assert answer.status_code == 422
    assert "have been booked there too" in answer.text
    data[f"place-{number}"] = "withdraw"
    assert desk.post(f"{PAGE}/1", data=data).status_code == 302
    assert booking_row(club_store, number).is_withdrawn


def test_a_pitch_is_closed_for_a_usual_reason_without_typing(
    desk: FlaskClient, club_store: Store
) -> None:
    """Where the ground is known, a reason is a button that leads to who has to go."""
    assert 'name="reason" value="waterlogged"' not in desk.get(PAGE).text
    page = desk.get(f"{PAGE}?area={area_number(club_store, 'whole')}").text
    assert '<button name="reason" value="waterlogged">Waterlogged</button>' in page


def test_a_closure_that_is_not_there_is_told(desk: FlaskClient, club_store: Store) -> None:
    """By number, on every page of it."""
    assert desk.get(f"{PAGE}/99").status_code == 404
    csrf = token(desk, PAGE)
    for path in ("99/open", "99/back"):
        assert desk.post(f"{PAGE}/{path}", data={"csrf_token": csrf}).status_code == 404
    change = {k: v for k, v in fields(club_store).items() if k not in ("date", "from")}
    assert desk.get(f"{PAGE}/99/look", query_string=change).status_code == 404
