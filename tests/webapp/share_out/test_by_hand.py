"""What else a squad could have, pins, and sessions that are fixed."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.services.proposals.proposals import Sort
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.sharing.values.outcome import LEFT_OUT
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from tests.builders import NOW
from tests.services.proposals.test_publishing import KESTRELS, propose
from tests.webapp.asked_runs import LIST, asked
from tests.webapp.conftest import send, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


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


def test_a_reason_left_out_is_asked_for_by_itself(desk: FlaskClient, club_store: Store) -> None:
    """What a run had no time to look into has a button that looks into it."""
    number = run_share_out(club_store, "winter", Effort(seconds=2), NOW).number
    path = f"/desk/share-outs/{number}"
    with club_store.write() as session:
        row = session.get_one(ShareOutRow, number)
        gone = row.outcome["placements"][0]
        left_out = {
            "ask": gone["ask"],
            "squad_name": gone["squad_name"],
            "missing": 1,
            "reasons": [{"code": LEFT_OUT, "text": "Not looked into."}],
            "changes": [],
        }
        row.outcome = {
            **row.outcome,
            "placements": row.outcome["placements"][1:],
            "refusals": [left_out],
        }
    page = desk.get(path).text
    assert f'action="{path}/why"' in page
    answer = desk.get(f"{path}/why?ask={gone['ask']}").text
    assert gone["squad_name"] in answer
    assert "What would help" in answer
    assert "Not looked into" not in answer
    assert desk.get(f"{path}/why?ask=nobody").status_code == 404


def test_turns_offer_nothing_that_is_refused(desk: FlaskClient, club_store: Store) -> None:
    """Neither their page nor their drawn week leads to other places, or to insisting on one."""
    number = propose(club_store, KESTRELS)
    path = f"/desk/share-outs/{number}"
    ways = (f"{path}/else?", f"{path}/what-if")
    assert all(way in desk.get(path).text for way in ways)
    with club_store.write() as session:
        session.get_one(ShareOutRow, number).sort = Sort.TURNS
    for page in (path, f"{path}/week"):
        answer = desk.get(page)
        assert answer.status_code == 200
        assert not any(way in answer.text for way in ways)
    assert "planning them again" in desk.get(f"{path}/else?place=0").text
