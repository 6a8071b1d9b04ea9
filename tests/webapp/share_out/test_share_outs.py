"""The pages of the share-outs: starting, watching, stopping, proposals, publishing."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.services.evening.bookings import add_booking
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.share_out.anew import run_share_out
from clubplanner.services.share_out.run_requests import request_from_json
from clubplanner.services.share_out.runs import State
from clubplanner.services.share_out.share_worker import work
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.tables.club_tables import BookingRow
from clubplanner.store.tables.run_tables import ShareRunRow
from clubplanner.webapp.base.runner import Runner
from tests.builders import LONDON, NOW, make_range
from tests.services.proposals.test_publishing import HARRIERS, KESTRELS, propose
from tests.stores import TOP, make_wish
from tests.webapp.conftest import send, token

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.services.share_out.run_requests import RunRequest
    from clubplanner.store.engine import Store

LIST = "/desk/share-outs"
RUN = "/desk/share-outs/runs/1"
AGAIN = "/desk/share-outs/again"


@pytest.fixture
def unhurried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let runs be written down without starting their processes."""
    monkeypatch.setattr(Runner, "launch", lambda *_: None)


def asked(store: Store, number: int = 1) -> RunRequest:
    """Return what a run was asked to do."""
    with store.read() as session:
        return request_from_json(session.get_one(ShareRunRow, number).request)


def change_run(store: Store, **values: object) -> None:
    """Change the first run's row."""
    with store.write() as session:
        row = session.get_one(ShareRunRow, 1)
        for name, value in values.items():
            setattr(row, name, value)


@pytest.mark.usefixtures("unhurried")
def test_a_run_is_watched_and_stopped(desk: FlaskClient, club_store: Store) -> None:
    """The page shows aim, value, bound and time, renews itself, and asks the run to stop."""
    page = send(desk, LIST, LIST, stretch="winter", seconds="120")
    assert "Sharing out Winter" in page
    assert "Starting." in page
    assert '<noscript><meta http-equiv="refresh"' in page
    assert 'role="status"' in page
    aims = {"1": {"name": "placing sessions", "value": 41, "bound": 45}}
    progress = {"aims": aims, "open": 1, "count": 3, "fraction": 0.5}
    change_run(club_store, state=State.RUNNING.value, progress=progress)
    page = desk.get(RUN).text
    for words in ("Aim 1 of 3: placing sessions.", "41; no plan can pass 45", "of about 120 s"):
        assert words in page
    assert 'value="91"' in page
    assert "See how far it is" in desk.get(LIST).text
    page = send(desk, f"{RUN}/stop", RUN)
    assert "Stopping; the best plan so far is kept." in page


@pytest.mark.usefixtures("unhurried")
def test_a_second_run_has_to_wait(desk: FlaskClient) -> None:
    """Whoever comes later is told what is running."""
    send(desk, LIST, LIST, stretch="winter", seconds="30")
    page = send(desk, LIST, LIST, stretch="spring", seconds="30")
    assert "A share-out is running (Sharing out Winter); wait until it is done" in page


@pytest.mark.usefixtures("unhurried")
def test_a_run_that_died_is_told_and_repeated(desk: FlaskClient, club_store: Store) -> None:
    """A process without a sign of life is told of; its run can be repeated as it was."""
    send(desk, LIST, LIST, stretch="winter", seconds="120", seed="7")
    with club_store.read() as session:
        seen = session.get_one(ShareRunRow, 1).seen_at
    change_run(club_store, state=State.RUNNING.value, seen_at=seen - timedelta(minutes=5))
    page = desk.get(RUN).text
    assert "ended without a word" in page
    assert "http-equiv" not in page
    page = send(desk, f"{RUN}/repeat", RUN)
    assert "Started once more" in page
    assert asked(club_store, 2) == asked(club_store, 1)
    assert asked(club_store, 2).effort.seed == 7


def test_a_run_in_its_own_process_leads_to_a_proposal(app: Flask, desk: FlaskClient) -> None:
    """From the form to the proposal's page, with a real process."""
    send(desk, "/desk/share-outs/evening", LIST, day="2026-12-02", seconds="30")
    app.extensions["clubplanner"].runner.wait(120)
    page = desk.get(RUN).text
    assert "Done." in page
    assert 'href="/desk/share-outs/1"' in page
    page = desk.get("/desk/share-outs/1").text
    assert "share-out of one evening, no. 1" in page
    assert "What publishing changes" in page


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
        "12 added, 0 moved, 0 kept and 0 withdrawn.",
        "6 dates from 9 Mar 2027 to 13 Apr 2027",
        "U7 Wrens: 1 session missing",
        "15 minutes shorter.",
        "<title>How well each squad is served, in percent</title>",
    ):
        assert words in page
    page = send(desk, f"{path}/publish", path)
    assert "Published: 12 bookings added" in page
    assert "What it changed" in page
    again = desk.post(f"{path}/publish", data={"csrf_token": token(desk, LIST)})
    assert again.status_code == 422
    assert "published already" in again.text


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
    assert "6 added, 0 moved, 6 kept" in answer.text


def test_taken_ground_is_told_on_the_proposals_page(desk: FlaskClient, club_store: Store) -> None:
    """A hire booked in between is named where the person is, and nothing is published."""
    number = propose(club_store, KESTRELS)
    during = make_range(date(2027, 3, 9), 1080, 1155, LONDON)
    add_booking(
        club_store, make_wish(club_store, during=during, squad_key=None, holder="Choir"), NOW
    )
    path = f"/desk/share-outs/{number}"
    answer = desk.post(f"{path}/publish", data={"csrf_token": token(desk, path)})
    assert answer.status_code == 409
    assert "is held by Choir" in answer.text
    assert "Publish</button>" in answer.text


@pytest.mark.usefixtures("unhurried")
def test_a_closure_is_shared_out_again(desk: FlaskClient, club_store: Store) -> None:
    """The form's closure, squads and extra session reach the run as they were typed."""
    values = {
        "day": "2026-12-02",
        "scope": "week",
        "ground": f"{TOP}/third-1",
        "until": "2026-12-03",
        "from_": "17:00",
        "to": "20:00",
        "reason": "Frost",
        "dropped": "u14-harriers",
        "squad": "u13-kestrels",
        "minutes": "45",
        "least": "0.5",
        "possible": "Fri 17:00-19:00",
    }
    page = send(desk, AGAIN, AGAIN, **values)
    assert "Sharing out the week of Wednesday 2 December 2026 again" in page
    request = asked(club_store)
    (closure,) = request.disruption.closures
    assert (str(closure.first), str(closure.last)) == ("2026-12-02", "2026-12-03")
    assert (closure.start_min, closure.end_min, closure.reason) == (1020, 1200, "Frost")
    assert request.disruption.dropped == {"u14-harriers"}
    assert request.disruption.extra[0].least_ground.share == 0.5


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"day": "x"}, "Enter the date as year-month-day"),
        ({"scope": "x"}, "Choose how much"),
        ({"ground": f"{TOP}/third-1"}, "Say why it is closed"),
        ({"ground": "moon", "reason": "x"}, "no longer there"),
        ({"ground": f"{TOP}/third-1", "from_": "20:00", "to": "19:00"}, "The end must come after"),
        ({"ground": f"{TOP}/third-1", "scope": "rest", "reason": "x"}, "how long the ground"),
        ({"ground": f"{TOP}/third-1", "until": "2026-11-01", "reason": "x"}, "must not end before"),
        ({"dropped": "moon"}, "no longer there"),
        ({"squad": "u13-kestrels", "possible": ""}, "Enter when it may be"),
        ({"squad": "u13-kestrels", "possible": "Xyz"}, "is not a weekday"),
        ({"squad": "u13-kestrels", "possible": "Fri", "minutes": "9"}, "15 to 300 minutes"),
        ({"squad": "u13-kestrels", "possible": "Fri", "least": "7"}, "how much ground"),
        ({"squad": "moon", "possible": "Fri"}, "This squad is no longer there"),
    ],
)
def test_what_was_typed_wrongly_is_told_and_kept(
    desk: FlaskClient, values: dict[str, str], words: str
) -> None:
    """Each fault has its sentence; nothing is started and nothing typed is lost."""
    sound = {
        "day": "2026-12-02",
        "scope": "evening",
        "from_": "00:00",
        "to": "24:00",
        "minutes": "60",
        "least": "0",
    }
    page = send(desk, AGAIN, AGAIN, **{**sound, **values})
    assert "Nothing was started" in page
    assert words in page
    kept = [v for name, v in values.items() if name in ("reason", "possible", "until") and v]
    assert all(f'value="{value}"' in page for value in kept)


@pytest.mark.usefixtures("unhurried")
def test_turns_are_asked_for(desk: FlaskClient, club_store: Store) -> None:
    """Stretch, squads kept still and what may be swapped reach the run; faults are told."""
    path = "/desk/share-outs/turns"
    page = send(desk, path, path, stretch="moon", still="u99")
    assert "Choose a stretch of the season." in page
    assert "no longer there" in page
    page = send(desk, path, path, stretch="winter", still="u13-kestrels", same_start="1")
    assert "Planning turns in Winter" in page
    assert asked(club_store).still == {"u13-kestrels"}
    assert asked(club_store).same_start
    work(club_store, 1)
    assert "Nothing is published for Winter yet" in desk.get(RUN).text


@pytest.mark.usefixtures("unhurried")
def test_what_else_is_asked_and_put_there(desk: FlaskClient, club_store: Store) -> None:
    """From a proposal's session to its other places, to a new proposal, and round pins again."""
    number = run_share_out(club_store, "winter", Effort(seconds=2), NOW).number
    path = f"/desk/share-outs/{number}"
    page = desk.get(path).text
    assert f'href="{path}/else?place=0"' in page
    for place in map(str, range(42)):
        answer = desk.get(f"{path}/else?place={place}").text
        choice = re.search(r'name="choice" value="([^"]+)"', answer)
        if choice is not None:
            break
    assert choice is not None
    stale = desk.post(
        f"{path}/else",
        data={"place": place, "choice": "moon 0 0", "csrf_token": token(desk, LIST)},
    )
    assert stale.status_code == 409
    assert "Choose again" in stale.text
    page = send(desk, f"{path}/else", f"{path}/else?place={place}", place=place, choice=choice[1])
    assert "Kept as a new proposal" in page
    assert "By hand:" in page
    assert 'class="tag">pinned' in page
    page = send(desk, f"{path}/pinned", path, pin="0", seconds="30")
    assert "Sharing out Winter" in page
    assert len(asked(club_store).pins) == 1
    assert "Tick the sessions" in send(desk, f"{path}/pinned", path)
    assert desk.get(f"{path}/else").status_code == 422
    assert desk.get(f"{path}/else?place=999").status_code == 404


def test_a_session_is_fixed_and_let_go_on_its_page(desk: FlaskClient, club_store: Store) -> None:
    """The booking's page says whether share-outs may move it, and changes that."""
    publish_share_out(club_store, propose(club_store, KESTRELS), NOW)
    booked = _training(club_store)
    path = f"/desk/bookings/{booked}"
    page = desk.get(path).text
    assert "Share-outs may move it" in page
    assert f'href="/desk/share-outs/bookings/{booked}"' in page
    page = send(desk, f"{path}/fix", path, sequence="0", fixed="1")
    assert "this session is now kept where it is" in page
    assert "Let share-outs move it again" in page
    page = send(desk, f"{path}/fix", path, sequence="0", fixed="0")
    assert "free for share-outs to move" in page
    assert "Open the booking again" in send(desk, f"{path}/fix", path, sequence="x")


def _training(store: Store) -> int:
    """Return the number of a booking that a share-out made."""
    with store.read() as session:
        query = select(BookingRow.id).where(BookingRow.share_out_id.is_not(None))
        return session.scalars(query).first() or 0


@pytest.mark.usefixtures("unhurried")
def test_a_run_asked_for_by_the_page_is_what_the_worker_does(
    desk: FlaskClient, club_store: Store
) -> None:
    """Sharing out again before anything is published is told on the run's page."""
    send(desk, AGAIN, AGAIN, day="2026-12-02", scope="rest", minutes="60", least="0")
    work(club_store, 1)
    page = desk.get(RUN).text
    assert "Nothing is published for Winter yet" in page
    assert "Repeat it" in page
