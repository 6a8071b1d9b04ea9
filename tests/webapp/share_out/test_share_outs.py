"""The pages of the proposals: looked at, published, taken ground."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from clubplanner.config import Config
from clubplanner.services.proposals import files_to_check
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.by_hand.by_hand import other_places, put_by_hand
from clubplanner.services.share_out.by_hand.starting_from import Spot
from clubplanner.services.share_out.files.files import NamedFile, untruths
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.tables.booking_tables import ShareOutRow
from clubplanner.webapp import create_app
from tests.builders import LONDON, NOW, make_range
from tests.services.proposals.test_publishing import HARRIERS, KESTRELS, place, propose
from tests.stores import make_wish, put_booking
from tests.webapp.asked_runs import LIST
from tests.webapp.conftest import ADDRESS, send, sign_in, token

if TYPE_CHECKING:
    import pytest
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


def test_an_unknown_stretch_or_date_is_told(desk: FlaskClient) -> None:
    """A stretch that is not there is not shared out; a date that is none is asked for again."""
    data = {"stretch": "summer", "csrf_token": token(desk, LIST)}
    answer = desk.post(LIST, data=data)
    assert answer.status_code == 404
    assert "Choose a stretch" in answer.text
    page = send(desk, "/desk/share-outs/evening", LIST, day="tonight")
    assert "Enter the date as year-month-day" in page
    assert 'value="tonight"' in page
    assert desk.get("/desk/share-outs/runs/99").status_code == 404


def test_a_proposal_is_looked_at_and_published(desk: FlaskClient, club_store: Store) -> None:
    """The page shows differences, refusals, fairness and week; publishing books what was shown."""
    number = propose(club_store, KESTRELS, HARRIERS)
    path = f"/desk/share-outs/{number}"
    page = desk.get(path).text
    for words in (
        "All sessions have a place.",
        "12 sessions added.",
        "6 dates from 9 Mar 2027 to 13 Apr 2027",
        "U7 Wrens: 1 session missing",
        "15 minutes shorter.",
        "<title>How well each squad is served, in percent</title>",
    ):
        assert words in page
    page = send(desk, f"{path}/publish", path)
    assert "Published: 12 sessions added" in page
    assert "What it changed" in page
    again = desk.post(f"{path}/publish", data={"csrf_token": token(desk, LIST)})
    assert again.status_code == 422
    assert "published already" in again.text


def test_a_change_that_sets_trainings_apart_leads_to_where_it_is_made(
    desk: FlaskClient, club_store: Store
) -> None:
    """The page tells what it costs, and its link opens the other places of that very session."""
    wednesday = place("u13-kestrels", "third-1", 2, 1080, 1155) | {"session": 1}
    number = propose(club_store, KESTRELS, wednesday)
    spot = {"start_min": 1080, "end_min": 1155, "ground_name": "third-1"}
    week = {
        "several": 1,
        "near": [
            {
                "squad": "u13-kestrels",
                "squad_name": "U13 Kestrels",
                "days": [1, 2],
                "cause": "open",
            }
        ],
        "evenings": [],
        "traded": [],
        "looked_at": 1,
        "ways": [
            {
                "squad_name": "U13 Kestrels",
                "ask": "1",
                "session": 1,
                "old": spot | {"day": {"weekday": 2}},
                "place": spot | {"day": {"weekday": 3}},
                "points": -20,
                "moves": [],
            }
        ],
    }
    with club_store.write() as session:
        row = session.get_one(ShareOutRow, number)
        row.outcome = row.outcome | {"week": week}
    page = desk.get(f"/desk/share-outs/{number}").text
    assert "Thursday 18:00–19:15, third-1 in place of Wednesday" in page
    assert "20 wish points less" in page
    assert "Squads looked at: 1; with such a change: 1." in page
    assert f'href="/desk/share-outs/{number}/else?place=1"' in page


def test_who_publishes_what_has_changed_is_shown_the_new_differences(
    desk: FlaskClient, club_store: Store
) -> None:
    """Between looking and publishing another proposal was published: nothing happens unseen."""
    number, other = propose(club_store, KESTRELS, HARRIERS), propose(club_store, KESTRELS)
    path = f"/desk/share-outs/{number}"
    seen = desk.get(path).text.partition('name="seen" value="')[2].partition('"')[0]
    send(desk, f"/desk/share-outs/{other}/publish", f"/desk/share-outs/{other}")
    data = {"seen": seen, "csrf_token": token(desk, LIST)}
    answer = desk.post(f"{path}/publish", data=data)
    assert answer.status_code == 409
    assert "look at the differences again" in answer.text
    assert "6 sessions added, 6 kept" in answer.text


def test_taken_ground_is_told_on_the_proposals_page(desk: FlaskClient, club_store: Store) -> None:
    """A hire booked in between is named where the person is, and nothing is published."""
    number = propose(club_store, KESTRELS)
    during = make_range(date(2027, 3, 9), 1080, 1155, LONDON)
    put_booking(
        club_store, make_wish(club_store, during=during, squad_key=None, holder="Choir"), NOW
    )
    path = f"/desk/share-outs/{number}"
    answer = desk.post(f"{path}/publish", data={"csrf_token": token(desk, path)})
    assert answer.status_code == 409
    assert "is held by Choir" in answer.text
    assert "Publish</button>" in answer.text


def test_problem_and_result_are_taken_away_and_checked(small: Store) -> None:
    """The page offers both files and says what they prove; the check takes them as they come."""
    run_share_out(small, "winter", Effort(seconds=2), NOW)
    desk = sign_in(create_app(small, Config("", ADDRESS), lambda: NOW), small)
    page = desk.get("/desk/share-outs/1").text
    assert "To check it elsewhere" in page
    files = []
    for which in ("problem", "result"):
        path = f"/desk/share-outs/1/{which}.json"
        assert path in page
        answer = desk.get(path)
        assert answer.mimetype == "application/json"
        assert f"proposal-1-{which}.json" in answer.headers["Content-Disposition"]
        files.append(NamedFile(which, answer.data))
    assert untruths(*files) == ()
    assert desk.get("/desk/share-outs/9/problem.json").status_code == 404


def test_a_plan_by_hand_gives_its_files_and_says_that_nothing_is_proved(small: Store) -> None:
    """The page of a session put by hand offers both, with the command without a sum."""
    run_share_out(small, "winter", Effort(seconds=2), NOW)
    spot = Spot(proposal=1, place=0)
    put_by_hand(small, spot, other_places(small, spot, NOW).options[0].choice, NOW)
    desk = sign_in(create_app(small, Config("", ADDRESS), lambda: NOW), small)
    page = desk.get("/desk/share-outs/2").text
    assert "nothing is proved about this one" in page
    assert "proposal-2-problem.json proposal-2-result.json</code>" in page
    files = [
        NamedFile(which, desk.get(f"/desk/share-outs/2/{which}.json").data)
        for which in ("problem", "result")
    ]
    assert untruths(*files) == ()


def test_a_proposal_without_files_says_why(small: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """What would be too large to be read with every proposal is not offered, and that is told."""
    monkeypatch.setattr(files_to_check, "MOST_BYTES", 10)
    run_share_out(small, "winter", Effort(seconds=2), NOW)
    desk = sign_in(create_app(small, Config("", ADDRESS), lambda: NOW), small)
    page = desk.get("/desk/share-outs/1").text
    assert "To check it elsewhere" in page
    assert "packed they would be larger than" in page
    assert "problem.json" not in page
