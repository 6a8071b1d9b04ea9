"""The page that asks for turns."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.services.share_out.again.in_turns import TurnWishes, propose_turns
from clubplanner.services.share_out.files.files import NamedFile
from clubplanner.services.share_out.files.files_of_turns import check_turns
from clubplanner.services.share_out.runs.share_worker import work
from clubplanner.webapp import create_app
from tests.services.share_out.again.test_in_turns import AUTUMN, EFFORT, publish_winter
from tests.webapp.asked_runs import RUN, asked
from tests.webapp.conftest import ADDRESS, send, sign_in

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store
    from tests.stores import Filled


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


def test_turns_give_their_files(filled: Filled) -> None:
    """The page offers both, says what they show, and what is given away passes the check."""
    store = filled(publish_winter)
    propose_turns(store, "winter", TurnWishes(), EFFORT, AUTUMN)
    desk = sign_in(create_app(store, Config("", ADDRESS), lambda: AUTUMN), store)
    page = desk.get("/desk/share-outs/2").text
    assert "who has whose place on which date" in page
    assert "nothing is proved about this one" not in page
    assert "proposal-2-problem.json proposal-2-result.json</code>" in page
    files = [
        NamedFile(which, desk.get(f"/desk/share-outs/2/{which}.json").data)
        for which in ("problem", "result")
    ]
    assert check_turns(*files).faults == ()
