"""The page of the year."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.services.season.year import see_year
from tests.webapp.conftest import send

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/season/year"


def test_holidays_are_chosen_and_decided(desk: FlaskClient, club_store: Store) -> None:
    """Country and region first, then each holiday: no training, as usual, or later."""
    text = send(desk, f"{PAGE}/holidays", PAGE, country="GB", region="ENG")
    assert "Good Friday" in text
    count = len(see_year(club_store).undecided)
    choice = {"day": "2027-03-26", "name": "Good Friday"}
    text = send(desk, f"{PAGE}/holidays/decide", PAGE, choice="train", **choice)
    assert "training as usual" in text
    assert "Decide again" in text
    send(desk, f"{PAGE}/holidays/decide", PAGE, choice="again", **choice)
    assert len(see_year(club_store).undecided) == count
    text = send(desk, f"{PAGE}/holidays/decide", PAGE, choice="break", **choice)
    assert "Good Friday is a break." in text
    text = send(desk, f"{PAGE}/holidays/decide", PAGE, choice="", day="x")
    assert "Choose what happens on this holiday." in text


def test_breaks_stretches_and_squads_are_edited(desk: FlaskClient, club_store: Store) -> None:
    """Each form works, and tells what is wrong without losing what was typed."""
    dates = {"first": "2027-05-10", "last": "2027-05-14"}
    assert "Camp is a break." in send(desk, f"{PAGE}/breaks", PAGE, name="Camp", **dates)
    number = see_year(club_store).breaks[-1].number
    assert "no break any more" in send(desk, f"{PAGE}/breaks/{number}/remove", PAGE)
    text = send(desk, f"{PAGE}/breaks", PAGE, name="", **dates)
    assert "Say what the break is called" in text
    assert 'value="2027-05-10"' in text
    assert "Enter the date" in send(desk, f"{PAGE}/breaks", PAGE, name="Camp", first="", last="")
    stretch = {"stretch_first": "2027-06-01", "stretch_last": "2027-07-01"}
    assert "Summer: " in send(desk, f"{PAGE}/stretches", PAGE, stretch_name="Summer", **stretch)
    again = send(desk, f"{PAGE}/stretches", PAGE, stretch_name="Hot", **stretch)
    assert "Summer holds some of these dates" in again
    assert "Enter the date" in send(desk, f"{PAGE}/stretches", PAGE, stretch_name="Hot")
    back = {"stretch_first": "2027-08-02", "stretch_last": "2027-08-01"}
    fault = send(desk, f"{PAGE}/stretches", PAGE, stretch_name="Late", **back)
    assert 'href="#field-stretch_last"' in fault, "told at the dates, not at the name"
    fault = send(desk, f"{PAGE}/breaks", PAGE, name="Camp", first="2027-08-02", last="2027-08-01")
    assert 'href="#field-last"' in fault
    own = {"squad": "u13-kestrels", "squad_first": "", "squad_last": "2027-05-01"}
    assert "U13 Kestrels train until" in send(desk, f"{PAGE}/squads", PAGE, **own)
    assert "Choose the squad." in send(desk, f"{PAGE}/squads", PAGE, squad="")
    assert "There is no squad" in send(desk, f"{PAGE}/squads", PAGE, squad="x")
    assert "Enter the date" in send(desk, f"{PAGE}/squads", PAGE, squad="x", squad_first="soon")
