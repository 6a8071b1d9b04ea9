"""Matches from the pages."""

from __future__ import annotations

import io
import re
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.services.evening.matches.booking import list_matches
from tests.builders import A_WEDNESDAY, NOW
from tests.stores import make_wish, put_booking
from tests.webapp.conftest import send, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/season/matches"
FIELDS = {
    "squad": "U13 Kestrels",
    "opponent": "Brook End",
    "date": str(A_WEDNESDAY),
    "from_": "18:15",
    "to": "",
    "minutes": "60",
    "format": "11v11",
    "officials": "Mx Ash, 17:45",
    "opponents": "They come at 17:30",
    "note": "",
}


def test_a_match_is_added_placed_and_called_off(desk: FlaskClient, club_store: Store) -> None:
    """From the form to the ground, with the training that has to go, and back."""
    put_booking(club_store, make_wish(club_store, "third-2", squad_key="u14-harriers"), NOW)
    text = send(desk, PAGE, PAGE, **FIELDS)
    assert "Now choose its ground" in text
    assert "They come at 17:30 Mx Ash, 17:45" in text
    assert "Ground that does" in text
    (line,) = list_matches(club_store, NOW)
    path = f"{PAGE}/{line.number}"
    (choice, *_) = re.findall(r"choice=(\d+-\d+)", text)
    looked = desk.get(f"{path}?choice={choice}").text
    assert "U14 Harriers" in looked
    names = re.findall(r'name="(place-\d+)"', looked)
    sent = {"choice": choice, **dict.fromkeys(names, "withdraw")}
    done = desk.post(
        f"{path}/place", data={**sent, "csrf_token": token(desk, PAGE)}, follow_redirects=True
    ).text
    assert "1 session withdrawn" in done
    assert "It is on" in desk.get(path).text
    text = send(desk, f"{path}/call-off", PAGE)
    assert "called off." in text
    assert "No match is known yet." in text


def test_a_match_is_moved_and_who_made_way_comes_back(desk: FlaskClient, club_store: Store) -> None:
    """The form says what is; a fault loses nothing; the list says who could come back."""
    put_booking(club_store, make_wish(club_store, "third-1", squad_key="u14-harriers"), NOW)
    (choice, *_) = re.findall(r"choice=(\d+-\d+)", send(desk, PAGE, PAGE, **FIELDS))
    (line,) = list_matches(club_store, NOW)
    path = f"{PAGE}/{line.number}"
    names = re.findall(r'name="(place-\d+)"', desk.get(f"{path}?choice={choice}").text)
    send(desk, f"{path}/place", PAGE, choice=choice, **dict.fromkeys(names, "withdraw"))
    shown = desk.get(path).text
    assert 'value="18:15"' in shown
    assert 'value="Mx Ash, 17:45"' in shown
    change = {**FIELDS, "date": str(A_WEDNESDAY + timedelta(days=1)), "opponent": ""}
    refused = send(desk, f"{path}/change", path, **change)
    assert "Enter who comes." in refused
    assert "They come at 17:30" in refused
    done = send(desk, f"{path}/change", path, **{**change, "opponent": "Mill End"})
    assert "kick-off 18:15, on the same ground." in done
    assert "1 session can come back" in done
    assert "Ground given back, somebody still away" in desk.get(PAGE).text
    back = desk.get(f"{path}/back").text
    (name, value) = re.findall(r'name="(back-\d+)" value="(\d+)"', back)[0]
    nobody = send(desk, f"{path}/back", PAGE, shown="1")
    assert "Tick who comes back." in nobody
    assert "1 session is back where it was." in send(
        desk, f"{path}/back", PAGE, shown="1", **{name: value}
    )
    assert "Nobody had to go who could come back." in desk.get(f"{path}/back").text


def test_faults_of_the_form_are_told_at_once(desk: FlaskClient) -> None:
    """Nothing typed is lost."""
    text = send(
        desk,
        PAGE,
        PAGE,
        **{**FIELDS, "squad": "", "opponent": "", "to": "10:00", "minutes": "3", "format": "x"},
    )
    for words in (
        "Choose the squad.",
        "Enter who comes.",
        "must not come before the earliest",
        "Enter 5 to 300 minutes",
        "Choose a form of the game",
    ):
        assert words in text
    assert "Mx Ash, 17:45" in text


def test_a_file_is_loaded_or_all_its_faults_are_listed(
    desk: FlaskClient, club_store: Store
) -> None:
    """With a fault nothing is changed."""

    def load(text: str) -> str:
        data = {"csrf_token": token(desk, PAGE), "file": (io.BytesIO(text.encode()), "f.csv")}
        answer = desk.post(f"{PAGE}/file", data=data, follow_redirects=True)
        return answer.text

    header = "date,kick-off,squad,opponent\n"
    assert "row 2, column date" in load(header + "soon,noon,U13 Kestrels,X\n")
    assert list_matches(club_store, NOW) == ()
    assert "1 fixture added." in load(header + "2026-11-28,10:00,U7 Wrens,Brook End\n")
    assert "Choose a fixtures file" in send(desk, f"{PAGE}/file", PAGE)
    text = send(desk, f"{PAGE}/free", PAGE)
    assert "U7 Wrens v Brook End: " in text
    assert "No match without ground" in send(desk, f"{PAGE}/free", PAGE)


def test_a_choice_that_is_gone_leads_back_to_the_options(desk: FlaskClient) -> None:
    """An address with an old or odd choice shows the options and says why."""
    send(desk, PAGE, PAGE, **FIELDS)
    assert "no longer to be had" in desk.get(f"{PAGE}/1?choice=1-5").text
    assert desk.get(f"{PAGE}/1?choice=odd").status_code == 200
    assert desk.get(f"{PAGE}/99").status_code == 404
    text = send(desk, f"{PAGE}/1/place", PAGE, choice="odd")
    assert "Choose the ground and the kick-off." in text
