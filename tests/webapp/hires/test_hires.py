"""The pages of hires: looked at, booked, changed; nothing typed is lost."""

from __future__ import annotations

import html
import re
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.services.hires.booking import book_hire
from clubplanner.services.hires.pages import list_hires
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.services.hires.builders import TUESDAY, WEEK, hire_wish, hires_booked
from tests.small_club import HALL, LOW, book, find_area_id
from tests.webapp.conftest import ADDRESS, sign_in, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from clubplanner.store.engine import Store

PAGE = "/desk/season/hires"
_TAG = re.compile(r"<(input|option|select|button)\b([^>]*)>")
_PART = re.compile(r'(\w[\w-]*)(?:="([^"]*)")?')


@pytest.fixture
def desk(small: Store) -> FlaskClient:
    """Give the secretary's browser of the small club."""
    return sign_in(create_app(small, Config("", ADDRESS), lambda: NOW), small)


def post(desk: FlaskClient, path: str, **fields: str) -> TestResponse:
    """Send a form and follow where it leads."""
    values = {"csrf_token": token(desk, PAGE), **{k.rstrip("_"): v for k, v in fields.items()}}
    return desk.post(path, data=values, follow_redirects=True)


def form_of(page: str, action: str) -> dict[str, str]:
    """Return what a browser would send of the form with an action, as it stands, but the act."""
    form = page[page.index(f'action="{action}"') :]
    form = form[: form.index("</form>")]
    found: dict[str, str] = {}
    selected = ""
    for tag, rest in _TAG.findall(form):
        parts = {name: html.unescape(value) for name, value in _PART.findall(rest)}
        if tag == "select":
            selected = parts["name"]
        elif tag == "option" and "selected" in parts:
            found[selected] = parts["value"]
        elif tag == "input" and parts.get("type") != "checkbox":
            found[parts["name"]] = parts.get("value", "")
    del found["once"]
    return found


def typed(store: Store, **changes: str) -> dict[str, str]:
    """Return what somebody types for six Tuesdays in the hall."""
    return {
        "name": "Walking club",
        "contact": "Ada Nyman",
        "phone": "01632 960 123",
        "area": str(find_area_id(store, HALL, "whole")),
        "first": "2026-12-01",
        "last": "2027-01-05",
        "every": "1",
        "from": "18:00",
        "to": "19:30",
        "note": "",
        **changes,
    }


def test_a_series_is_looked_at_and_booked_by_one_press(desk: FlaskClient, small: Store) -> None:
    """Clash and break are told with what can be done; one press books the rest."""
    book(small, "Chess club", "whole", pitch_key=HALL, day=TUESDAY + WEEK, purpose=Purpose.HIRE)
    page = post(desk, PAGE, act="look", **typed(small)).text
    assert "5 of 6 dates can be booked" in page
    assert "Chess club" in page
    assert "In the break" in page
    assert "Call Ada Nyman 01632 960 123." in page
    assert hires_booked(small) == []
    answer = post(desk, PAGE, act="book", **form_of(page, PAGE))
    assert "5 dates booked; left out: Tue 8 Dec" in answer.text
    assert len(hires_booked(small)) == 5
    assert "Walking club" in desk.get(PAGE).text


def test_what_changed_since_the_look_books_nothing_and_asks_again(
    desk: FlaskClient, small: Store
) -> None:
    """Somebody took a date meanwhile: the page names it, keeps all that was chosen, asks again."""
    page = post(desk, PAGE, act="look", **typed(small)).text
    book(small, "Chess club", "whole", pitch_key=HALL, day=TUESDAY, purpose=Purpose.HIRE)
    answer = post(desk, PAGE, act="book", **form_of(page, PAGE))
    assert answer.status_code == 422
    assert "Tue 1 Dec is no longer as it was" in answer.text
    assert "choose again" in answer.text
    assert hires_booked(small) == []
    again = form_of(answer.text, PAGE) | {"on-2026-12-01": "out"}
    assert "5 dates booked" in post(desk, PAGE, act="book", **again).text


def test_a_rule_is_overruled_with_a_reason_that_is_asked_for(
    desk: FlaskClient, small: Store
) -> None:
    """The unlit pitch in December: without a reason nothing is booked and the choice stays."""
    values = typed(small, area=str(find_area_id(small, LOW, "whole")), last="")
    page = post(desk, PAGE, act="look", **values).text
    (mark,) = set(re.findall(r'value="(against \d+)"', page))
    chosen = form_of(page, PAGE) | {"on-2026-12-01": mark}
    refused = post(desk, PAGE, act="book", **chosen)
    assert refused.status_code == 422
    assert "Say why it is done all the same." in refused.text
    assert f'value="{mark}" selected' in refused.text
    done = post(desk, PAGE, act="book", **{**chosen, "because": "they bring lamps"})
    assert "1 date booked" in done.text
    assert "they bring lamps" in done.text


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"name": ""}, "Enter who takes the ground."),
        ({"area": ""}, "Choose the ground."),
        ({"area": "99999"}, "This area no longer exists"),
        ({"first": "soon"}, "Enter the date as year-month-day"),
        ({"last": "2026-01-05"}, "must not lie before the first"),
        ({"to": "18:00"}, "The end must come after the start."),
        ({"every": "9"}, "every second week"),
        ({"phone": "ask Jo"}, "ask Jo"),
        ({"last": "2060-01-01"}, "end the series after at most 110"),
    ],
)
def test_faults_stand_at_their_fields_and_nothing_typed_is_lost(
    desk: FlaskClient, small: Store, changes: dict[str, str], words: str
) -> None:
    """Each fault says what to do; the form comes back as it was typed."""
    answer = post(desk, PAGE, act="look", **typed(small, **changes, note="keys at the bar"))
    assert answer.status_code == 422
    assert words in html.unescape(answer.text)
    assert 'value="keys at the bar"' in answer.text


def test_what_was_typed_can_be_changed_again(desk: FlaskClient, small: Store) -> None:
    """From the dates back to the form, with all that was typed."""
    page = post(desk, PAGE, act="look", **typed(small, skip_breaks="1")).text
    back = post(desk, PAGE, act="edit", **form_of(page, PAGE))
    assert back.status_code == 200
    form = form_of(back.text, PAGE)
    assert (form["name"], form["first"], form["to"]) == ("Walking club", "2026-12-01", "19:30")
    assert 'name="skip_breaks" value="1" checked' in back.text


def test_all_later_dates_move_after_a_look(desk: FlaskClient, small: Store) -> None:
    """First it is said what can go and what stays; one press moves it, and offers to undo."""
    book_hire(small, hire_wish(small), NOW)
    held = TUESDAY + 2 * WEEK + timedelta(days=2)
    book(small, "Chess club", "whole", pitch_key=HALL, day=held, purpose=Purpose.HIRE)
    path = f"{PAGE}/1/move"
    wanted = form_of(desk.get(f"{PAGE}/1").text, path) | {"weekday": "3", "from_on": "2026-12-08"}
    page = post(desk, path, act="look", **wanted).text
    assert "4 dates can go there." in page
    assert "Tue 15 Dec stays: " in page
    moved = post(desk, path, act="move", **form_of(page, path)).text
    assert "4 dates moved" in moved
    assert "Who knows" in moved
    assert "Take it back" in moved
    assert [start[:5] for start, _end, _place in hires_booked(small)][:3] == [
        "12-01",
        "12-10",
        "12-15",
    ]
    stale = post(desk, path, act="move", **{**form_of(page, path), "weekday": "4"})
    assert stale.status_code == 422
    assert "in the meantime" in stale.text


def test_a_series_is_made_longer_ended_and_given_another_name(
    desk: FlaskClient, small: Store
) -> None:
    """The other three forms of the page of a hire do what they say."""
    book_hire(small, hire_wish(small), NOW)
    path = f"{PAGE}/1"
    dates = form_of(desk.get(path).text, f"{path}/dates") | {"until": "2027-01-19"}
    page = post(desk, f"{path}/dates", act="look", **dates).text
    assert "2 of 2 dates can be booked" in page
    booked = post(desk, f"{path}/dates", act="book", **form_of(page, f"{path}/dates"))
    assert "2 dates booked" in booked.text
    early = post(desk, f"{path}/dates", act="look", until="2027-01-20")
    assert early.status_code == 422
    assert "Tue 26 Jan" in early.text
    who = form_of(desk.get(path).text, f"{path}/who") | {"name": "Ramblers", "phone": "x"}
    wrong = post(desk, f"{path}/who", **who)
    assert wrong.status_code == 422
    assert 'value="Ramblers"' in wrong.text
    assert "Kept: Ramblers" in post(desk, f"{path}/who", **{**who, "phone": ""}).text
    offered = form_of(desk.get(path).text, f"{path}/end")
    assert offered["end_on"] == "2027-01-19", "its own last date: a press too early ends nothing"
    assert "no date after that" in post(desk, f"{path}/end", act="end", **offered).text
    end = offered | {"end_on": "2026-12-08"}
    assert "6 dates given back" in post(desk, f"{path}/end", act="end", **end).text
    last = form_of(desk.get(path).text, f"{path}/end")
    assert "2 dates given back" in post(desk, f"{path}/end", act="all", **last).text
    assert list_hires(small, NOW) == ()
    assert desk.get(path).status_code == 404


def test_a_hire_is_ended_in_words_of_its_own(desk: FlaskClient, small: Store) -> None:
    """In German, too, it is the hire that ends, not a squad."""
    number = book_hire(small, hire_wish(small), NOW).number
    page = desk.get(f"{PAGE}/{number}", headers={"Accept-Language": "de"}).text
    assert "<h2>Vermietung beenden</h2>" in page
    assert "Mannschaft beenden" not in page


def test_a_booking_leads_to_its_hire(desk: FlaskClient, small: Store) -> None:
    """On the page of one date stands the way to all of them; other bookings have none."""
    book_hire(small, hire_wish(small), NOW)
    other = book(small)
    assert f'href="{PAGE}/1"' in desk.get("/desk/bookings/1").text
    assert PAGE + "/" not in desk.get(f"/desk/bookings/{other}").text


def test_hires_stand_in_the_drawn_week_as_what_they_are(desk: FlaskClient, small: Store) -> None:
    """The week names the hirer, and its key has the hire's dashed edge."""
    book_hire(small, hire_wish(small), NOW)
    week = desk.get("/desk/week?week=2026-12-01").text
    assert "Walking club" in week
    assert 'stroke-dasharray="6 3"' in week
