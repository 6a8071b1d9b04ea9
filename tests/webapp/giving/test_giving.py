"""Give and take from the pages: two coaches and the secretary."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.services.giving.swap_pages import list_swaps
from clubplanner.services.giving.swaps import offer_swap
from clubplanner.services.journal.changes import list_changes
from clubplanner.services.places.ruling import Overruling
from tests.builders import A_WEDNESDAY, NOW
from tests.services.giving.test_waiting_list import KIM
from tests.small_club import (
    HARRIERS,
    KESTRELS,
    book,
    kept_bookings,
)
from tests.webapp.conftest import send, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


GIVE, ASKS = "/coach/give", "/desk/season/asks"
GERMAN = {"Accept-Language": "de"}
ASK = {
    "squad": KESTRELS,
    "date": str(A_WEDNESDAY),
    "from_": "19:30",
    "to": "20:30",
    "minutes": "60",
    "part": "0.333",
    "note": "",
}


def test_a_coach_hands_back_and_the_journal_names_them(
    store: Store, people: tuple[FlaskClient, FlaskClient, FlaskClient]
) -> None:
    """From the start page to a free ground."""
    robin, _, _ = people
    assert "/coach/sessions/1" in robin.get("/coach").text
    text = send(robin, "/coach/sessions/1/hand-back", "/coach/sessions/1", sequence="0")
    assert "Handed back: U12 Kestrels, Wed 25 Nov." in text
    change = list_changes(store, NOW)[0]
    assert (change.by, change.words) == (
        "Robin",
        "U12 Kestrels handed back Clubhouse third, Wed 25 Nov",
    )
    assert robin.get("/coach/sessions/1").status_code == 404


def test_another_coachs_session_cannot_be_guessed(
    people: tuple[FlaskClient, FlaskClient, FlaskClient],
) -> None:
    """Looking at it, handing it back, asking and offering all lead nowhere."""
    robin, _, _ = people
    assert robin.get("/coach/sessions/2").status_code == 404
    csrf = token(robin, GIVE)
    for action in ("hand-back", "more", "swap"):
        data = {"csrf_token": csrf, "sequence": "0", "other": "1"}
        answer = robin.post(f"/coach/sessions/2/{action}", data=data)
        assert answer.status_code == 404


def test_a_swap_is_offered_and_accepted(
    store: Store, people: tuple[FlaskClient, FlaskClient, FlaskClient]
) -> None:
    """The other coach sees the offer and accepts; the secretary saw it too."""
    robin, sam, kim = people
    assert "Choose whom" in send(robin, "/coach/sessions/1/swap", "/coach/sessions/1", other="")
    text = send(robin, "/coach/sessions/1/swap", "/coach/sessions/1", other="2", swap_note="Exams")
    assert "Offered to U14 Harriers." in text
    assert "Accept" not in text.replace("accepts", "")
    assert "“Exams”" in kim.get(ASKS).text
    assert "Accept" in sam.get(GIVE).text
    assert "have changed places" in send(sam, f"{GIVE}/swaps/1/accept", GIVE)
    areas = {kept.holder: kept.area.split("/")[1] for kept in kept_bookings(store)}
    assert areas == {"U12 Kestrels": "third-2", "U14 Harriers": "third-1"}
    send(robin, "/coach/sessions/1/swap", "/coach/sessions/1", other="2")
    assert "The offer is declined." in send(sam, f"{GIVE}/swaps/2/end", GIVE)
    send(robin, "/coach/sessions/1/swap", "/coach/sessions/1", other="2")
    assert "The offer is taken back." in send(kim, "/desk/season/swaps/3/end", ASKS)


def test_a_swap_that_a_rule_forbids_is_told_and_not_done(
    store: Store, people: tuple[FlaskClient, FlaskClient, FlaskClient]
) -> None:
    """Not offered by the form, refused in the rule's words, and told with an offer that stands."""
    robin, sam, kim = people
    late = book(store, HARRIERS, "third-3", start_min=19 * 60 + 15, end_min=20 * 60)
    rule = "U12 Kestrels ask for Wed 18:00-19:15."
    page = robin.get("/coach/sessions/1").text
    assert f'<option value="{late}"' not in page
    text = send(robin, "/coach/sessions/1/swap", "/coach/sessions/1", other=str(late))
    assert rule in text
    assert list_swaps(store, KIM, NOW) == ()
    german = {"other": str(late), "csrf_token": token(robin, GIVE)}
    answer = robin.post("/coach/sessions/1/swap", data=german, headers=GERMAN)
    assert "U12 Kestrels können: Mi 18:00-19:15" in answer.text
    agreed = Overruling("They agreed", None)
    offer_swap(store, KIM, 1, late, "", NOW, agreed)
    for browser, where in ((sam, GIVE), (kim, ASKS)):
        text = browser.get(where).text
        assert f"It can no longer be done: {rule}" in text
        assert "/accept" not in text
    assert rule in send(kim, "/desk/season/swaps/1/accept", ASKS)
    assert {kept.sequence for kept in kept_bookings(store)} == {0}


def test_a_session_is_asked_for_and_more_ground(
    people: tuple[FlaskClient, FlaskClient, FlaskClient],
) -> None:
    """Free ground is had at once; every fault of the form is told and nothing is lost."""
    robin, _, _ = people
    text = send(robin, GIVE, GIVE, **ASK)
    assert "U12 Kestrels have" in text
    faulty = {**ASK, "squad": "", "minutes": "long", "part": "7", "note": "please"}
    text = send(robin, GIVE, GIVE, **faulty)
    for words in ("Choose the squad.", "Enter minutes", "Choose how much ground.", "please"):
        assert words in text
    assert "must come after" in send(robin, GIVE, GIVE, **{**ASK, "to": "19:00"})
    assert "does not fit between" in send(robin, GIVE, GIVE, **{**ASK, "minutes": "90"})
    text = send(robin, GIVE, GIVE, **{**ASK, "from_": "03:00", "to": "04:30", "note": "early"})
    assert "No venue is open for 60 minutes between 03:00–04:30" in text
    for kept in ('value="03:00"', 'value="04:30"', 'value="early"', 'href="#field-from"'):
        assert kept in text, "the coach changes it in place"
    assert "waiting" not in text.split("<form", 2)[1]
    german = robin.post(GIVE, data={"csrf_token": token(robin, GIVE)}, headers=GERMAN).text
    assert "Das wurde nicht getan" in german
    text = send(robin, "/coach/sessions/1/more", "/coach/sessions/1", note="")
    assert "U12 Kestrels have" in text
