"""The pages of runs: watched, stopped, repeated."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.services.share_out.runs.kept import State
from clubplanner.services.share_out.runs.share_worker import work
from clubplanner.store.tables.run_tables import ShareRunRow
from tests.webapp.asked_runs import AGAIN, LIST, RUN, asked
from tests.webapp.conftest import send

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


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
