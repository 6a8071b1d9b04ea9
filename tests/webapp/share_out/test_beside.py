"""Beside a proposal: what if one session is insisted on, and another proposal."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.services.proposals.kept_proposals import see_proposal
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.by_hand.what_if import choices
from clubplanner.sharing.values.problem import Effort
from tests.builders import NOW
from tests.webapp.asked_runs import LIST
from tests.webapp.conftest import send, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


def test_who_pays_is_asked_taken_and_compared(desk: FlaskClient, club_store: Store) -> None:
    """From the form to who pays, to a new proposal, to both beside each other."""
    number = run_share_out(club_store, "winter", Effort(seconds=2), NOW).number
    path = f"/desk/share-outs/{number}/what-if"
    assert f'href="{path}"' in desk.get(f"/desk/share-outs/{number}").text
    one = see_proposal(club_store, number).sessions[0]
    days = {words: n for n, words in choices(club_store, number, NOW).days}
    alone = desk.get(f"/desk/share-outs/{number}/compare").text
    assert "There is no other proposal to compare with" in alone
    assert "<table" not in alone  # nothing is set beside itself
    wish = {
        "ask": one.ask,
        "day": str(next(n for words, n in days.items() if one.place.startswith(words))),
        "start": one.times[:5],
        "ground": one.ground,
    }
    page = send(desk, path, path, **wish)
    assert "Nobody else pays for it: the place is free." in page
    changes = re.search(r'name="changes" value="([^"]*)"', page)
    assert changes is not None
    page = send(desk, path, path, **wish, take="1", changes=changes[1].replace("&#34;", '"'))
    assert "Kept as a new proposal" in page
    page = desk.get(f"/desk/share-outs/{number}/compare").text
    assert "Both have the same sessions." in page


def test_what_is_missing_is_asked_for_and_nothing_typed_is_lost(
    desk: FlaskClient, club_store: Store
) -> None:
    """A form without a squad or an hour comes back with what was chosen."""
    number = run_share_out(club_store, "winter", Effort(seconds=2), NOW).number
    path = f"/desk/share-outs/{number}/what-if"
    data = {"day": "1", "start": "", "ground": "moon", "csrf_token": token(desk, LIST)}
    answer = desk.post(path, data=data)
    assert answer.status_code == 422
    assert "Choose the squad." in answer.text
    assert '<option value="1" selected>' in answer.text
    data = {"ask": "1", "day": "1", "start": "18:00", "ground": "moon"}
    answer = desk.post(path, data={**data, "csrf_token": token(desk, LIST)})
    assert answer.status_code == 404


def test_a_squad_is_looked_for_before_anything_is_asked(
    desk: FlaskClient, club_store: Store
) -> None:
    """In a club of thousands the list is looked through first; what was typed stays."""
    number = run_share_out(club_store, "winter", Effort(seconds=2), NOW).number
    data = {"look-for": "ask", "day": "1", "start": "18:00", "csrf_token": token(desk, LIST)}
    answer = desk.post(f"/desk/share-outs/{number}/what-if", data=data)
    assert answer.status_code == 200
    assert "Choose the squad." not in answer.text
    assert '<option value="1" selected>' in answer.text
    assert 'value="18:00"' in answer.text
