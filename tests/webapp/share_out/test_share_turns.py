"""The page that asks for turns."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.services.share_out.runs.share_worker import work
from tests.webapp.asked_runs import RUN, asked
from tests.webapp.conftest import send

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


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
