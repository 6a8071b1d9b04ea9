"""What would break a rule is said before it is done, and done all the same only on purpose."""

from __future__ import annotations

import html
import re
from datetime import date
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.services.journal.changes import list_changes
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import (
    HARRIERS,
    KESTRELS,
    LOW,
    TOP,
    book,
    find_area_id,
    find_squad_id,
    kept_bookings,
    load_small_club,
)
from tests.stores import booking_row
from tests.webapp.conftest import ADDRESS, sign_in, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from clubplanner.store.engine import Store

EVENING = f"/desk/evening?venue=marsh-lane&date={A_WEDNESDAY}"
ADD = "/desk/bookings?venue=marsh-lane"
LATE = "Marsh Lane is open 17:00–22:00 on a Wednesday."
LIGHTS = "The floodlights of Marsh Lane go out at 21:30."
DARK = "Low pitch has no lights; it is too dark from 16:05."
GERMAN = {"Accept-Language": "de"}


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with the Kestrels and the Harriers side by side on Wednesday at six."""
    load_small_club(empty_store)
    book(empty_store)
    book(empty_store, HARRIERS, "third-2", end_min=19 * 60)
    return empty_store


@pytest.fixture
def desk(store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(create_app(store, Config("", ADDRESS), lambda: NOW), store)


def wish(store: Store, **changes: str) -> dict[str, str]:
    """Return the booking form filled in for a hire at eleven at night, when all is closed."""
    return {
        "area": str(find_area_id(store, TOP, "third-3")),
        "date": str(A_WEDNESDAY),
        "from": "23:00",
        "to": "23:45",
        "purpose": "hire",
        "squad": "",
        "who": "Hill Runners",
        "note": "own keys",
        "csrf_token": "",
        **changes,
    }


def told_on(page: str) -> list[str]:
    """Return the rules that a page brings along as told."""
    return [html.unescape(words) for words in re.findall(r'name="told" value="([^"]*)"', page)]


def send(
    desk: FlaskClient, path: str, fields: dict[str, str], told: list[str] | None = None
) -> TestResponse:
    """Send a form; with rules told, by the button that does it all the same."""
    data: dict[str, str | list[str]] = {**fields, "csrf_token": token(desk, "/me")}
    if told is not None:
        data.update(told=told, overrule="1")
    return desk.post(path, data=data)


def test_a_hire_after_hours_is_not_booked_without_a_word(desk: FlaskClient, store: Store) -> None:
    """Every rule is told, everything typed is there again, and nothing is booked."""
    answer = send(desk, ADD, wish(store))
    assert answer.status_code == 422
    assert told_on(answer.text) == [LATE, LIGHTS]
    for kept in ("Hill Runners", "own keys", "23:00", "23:45"):
        assert f'value="{kept}"' in answer.text
    assert 'id="field-because"' in answer.text
    assert 'href="#field-because"' in answer.text
    assert "Book all the same" in answer.text
    assert len(kept_bookings(store)) == 2


def test_a_plain_form_asks_for_no_reason(desk: FlaskClient) -> None:
    """The field appears only where a rule stands in the way."""
    assert "field-because" not in desk.get(EVENING).text
    assert "field-because" not in desk.get("/desk/bookings/1").text


def test_with_a_reason_it_is_booked_and_the_journal_says_why(
    desk: FlaskClient, store: Store
) -> None:
    """The reason stands in the books, in the journal and on the booking's page."""
    told = told_on(send(desk, ADD, wish(store)).text)
    answer = send(desk, ADD, wish(store, because="The caretaker stays."), told)
    assert answer.status_code == 302
    row = booking_row(store, 3)
    assert (row.holder, row.overruled) == ("Hill Runners", "The caretaker stays.")
    assert list_changes(store, NOW)[0].words == (
        "Hill Runners have Road third, Top pitch, Wed 25 Nov 23:00–23:45, although: "
        f"{LATE} {LIGHTS} Because: The caretaker stays"
    )
    page = html.unescape(desk.get("/desk/bookings/3").text)
    assert "Against a rule" in page
    assert LATE in page
    assert "The caretaker stays." in page
    assert "Against a rule" not in desk.get("/desk/bookings/1").text


def test_it_takes_the_button_a_reason_and_the_rules_that_were_told(
    desk: FlaskClient, store: Store
) -> None:
    """A reason sent by the usual button, none at all, or other rules than were read do nothing."""
    told = told_on(send(desk, ADD, wish(store)).text)
    by_usual_button = send(desk, ADD, wish(store, because="Lamps"))
    assert by_usual_button.status_code == 422
    assert 'value="Lamps"' in by_usual_button.text
    silent = send(desk, ADD, wish(store, because="  "), told)
    assert silent.status_code == 422
    assert "Say why it is done all the same." in silent.text
    low = str(find_area_id(store, LOW, "half-1"))
    other = send(desk, ADD, wish(store, because="Lamps", area=low), told)
    assert other.status_code == 422
    assert any("too dark" in words for words in told_on(other.text))
    assert len(kept_bookings(store)) == 2


def test_what_was_mended_meanwhile_is_booked_as_any_other(desk: FlaskClient, store: Store) -> None:
    """Moved into opening hours, the reason typed before overrules nothing and is not kept."""
    told = told_on(send(desk, ADD, wish(store)).text)
    fields = wish(store, because="Lamps", **{"from": "20:00", "to": "21:00"})
    assert send(desk, ADD, fields, told).status_code == 302
    assert booking_row(store, 3).overruled == ""


@pytest.mark.parametrize("purpose", ["training", "match", "hire"])
def test_every_purpose_is_asked_about(desk: FlaskClient, store: Store, purpose: str) -> None:
    """Training, matches and hires end in the dark on the low pitch, and each is told so."""
    squad = str(find_squad_id(store, HARRIERS)) if purpose != "hire" else ""
    fields = wish(
        store,
        purpose=purpose,
        squad=squad,
        area=str(find_area_id(store, LOW, "whole")),
        date="2026-11-26",
        **{"from": "18:00", "to": "19:00"},
    )
    answer = send(desk, ADD, fields)
    assert answer.status_code == 422
    assert any(words.startswith("Low pitch has no lights") for words in told_on(answer.text))


def test_closing_ground_asks_no_rule(desk: FlaskClient, store: Store) -> None:
    """Ground may be closed at any hour, day or night."""
    fields = wish(store, purpose="closed", who="Frost")
    assert send(desk, ADD, fields).status_code == 302
    assert booking_row(store, 3).overruled == ""


def test_a_coach_in_two_places_is_told_before(desk: FlaskClient, store: Store) -> None:
    """A second booking of a squad at the same time is no word afterwards."""
    fields = wish(
        store,
        purpose="training",
        squad=str(find_squad_id(store, KESTRELS)),
        **{"from": "18:00", "to": "19:15"},
    )
    answer = send(desk, ADD, fields)
    assert answer.status_code == 422
    assert told_on(answer.text) == [
        "U12 Kestrels also have Clubhouse third, Top pitch 18:00–19:15.",
        "U12 Kestrels have 1 training that day already and ask for no more.",
    ]


def test_a_move_by_form_says_it_before(desk: FlaskClient, store: Store) -> None:
    """To the dark pitch a training goes only with a reason; back into the light clears it."""
    low = find_area_id(store, LOW, "half-1")
    fields = {
        "area": str(low),
        "date": str(A_WEDNESDAY),
        "from": "18:00",
        "to": "19:15",
        "sequence": "0",
    }
    answer = send(desk, "/desk/bookings/1/move", fields)
    assert answer.status_code == 422
    assert "Move all the same" in answer.text
    (dark,) = told_on(answer.text)
    assert dark.startswith("Low pitch has no lights; it is too dark from ")
    assert booking_row(store, 1).sequence == 0
    fields["because"] = "parents bring lamps"
    assert send(desk, "/desk/bookings/1/move", fields, [dark]).status_code == 302
    assert (booking_row(store, 1).area_id, booking_row(store, 1).overruled) == (
        low,
        "parents bring lamps",
    )
    assert list_changes(store, NOW)[0].words == (
        "U12 Kestrels moved to Clubhouse half, Low pitch, Wed 25 Nov 18:00–19:15, although: "
        f"{dark} Because: parents bring lamps"
    )
    back = {**fields, "area": str(find_area_id(store, TOP, "third-1")), "sequence": "1"}
    assert send(desk, "/desk/bookings/1/move", back).status_code == 302
    assert booking_row(store, 1).overruled == ""


def test_the_rules_are_told_in_german(desk: FlaskClient, store: Store) -> None:
    """Words of the rules, the field and the button are in the reader's language."""
    fields = {**wish(store), "csrf_token": token(desk, "/me")}
    answer = desk.post(ADD, data=fields, headers=GERMAN)
    page = html.unescape(answer.text)
    assert answer.status_code == 422
    assert "Trotzdem buchen" in page
    assert "Begründung" in page
    assert any("22:00" in words and "Marsh Lane" in words for words in told_on(answer.text))
    assert "is open" not in page


def test_places_tell_free_from_what_breaks_a_rule(desk: FlaskClient, store: Store) -> None:
    """By words: free, against a rule and which, held by whom, here now."""
    page = html.unescape(desk.get("/desk/bookings/1/places").text)
    assert page.count(">free<") == 4, "the road third, the hall and both its halves"
    assert "Low pitch has no lights" in page
    assert "against a rule" in page
    assert "U14 Harriers 18:00–19:00" in page


def test_at_three_in_the_night_nothing_is_free(desk: FlaskClient, store: Store) -> None:
    """What stands in the way wherever it goes is said once, and no place is called free."""
    page = html.unescape(desk.get("/desk/bookings/1/places?from=03:00").text)
    assert ">free<" not in page
    assert page.count("Marsh Lane is open 17:00–22:00 on a Wednesday.") == 1


def test_moving_to_the_night_takes_a_reason(desk: FlaskClient, store: Store) -> None:
    """The page before the move says which rules and asks why; without a reason nothing moves."""
    third = find_area_id(store, TOP, "third-1")
    look = desk.get(f"/desk/bookings/1/places/look?area={third}&date={A_WEDNESDAY}&from=03:00")
    told = told_on(look.text)
    assert LATE in told
    assert "Move it all the same" in look.text
    fields = {"area": str(third), "date": str(A_WEDNESDAY), "from": "03:00", "sequence": "0"}
    plain = send(desk, "/desk/bookings/1/places", fields)
    assert plain.status_code == 422
    assert told_on(plain.text) == told
    assert kept_bookings(store)[0].local[1] == "18:00"
    fields["because"] = "night of the long run"
    assert send(desk, "/desk/bookings/1/places", fields, told).status_code == 302
    assert booking_row(store, 1).overruled == "night of the long run"
    words = list_changes(store, NOW)[0].words
    assert words.startswith("U12 Kestrels moved to Clubhouse third, Top pitch, although: ")
    assert words.endswith("Because: night of the long run")


def test_clash_suggestions_are_free_by_the_rules(desk: FlaskClient, store: Store) -> None:
    """In November only lit ground is suggested, and nothing that ends after closing time."""
    book(store, "Choir", "half-1", pitch_key=LOW, day=date(2026, 11, 26))
    fields = wish(
        store,
        area=str(find_area_id(store, LOW, "half-1")),
        date="2026-11-26",
        **{"from": "18:00", "to": "19:00"},
    )
    text = send(desk, ADD, fields).text
    assert "Clubhouse half is held by Choir" in text
    assert "Low pitch" not in text.split("Free instead", 1)[-1].split("</li>", 1)[0]
