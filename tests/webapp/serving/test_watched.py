"""What those who run the planner watch: health, figures, requests, and no secret in any of them."""

from __future__ import annotations

import json
import logging
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from prometheus_client.parser import text_string_to_metric_families

from clubplanner.config import Config
from clubplanner.logs import REQUESTS, JsonLines
from clubplanner.services.mails.backlog import see_backlog
from clubplanner.store.tables.notice_tables import MailRow, MailState
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.webapp.conftest import ADDRESS

if TYPE_CHECKING:
    from pathlib import Path

    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

KEY = "a key of many letters"


@pytest.fixture
def watching(club_store: Store) -> FlaskClient:
    """Give a browser of an app whose figures are open to the key."""
    config = Config("", ADDRESS, metrics_key=KEY)
    return create_app(club_store, config, lambda: NOW).test_client()


def figures(client: FlaskClient) -> dict[str, float]:
    """Return every sample of the figures, by name and route, as Prometheus' own parser has it."""
    answer = client.get("/metrics", headers={"Authorization": f"Bearer {KEY}"})
    assert answer.status_code == 200
    return {
        f"{sample.name} {sample.labels.get('route', '')}".strip(): sample.value
        for family in text_string_to_metric_families(answer.text)
        for sample in family.samples
    }


def test_a_planner_that_can_be_used_is_well(watching: FlaskClient) -> None:
    """Health is said to anybody, and nothing of the club."""
    answer = watching.get("/health")
    assert (answer.status_code, answer.text) == (200, "well\n")


def test_a_planner_without_its_records_is_not_well(
    watching: FlaskClient, club_store: Store, store_path: Path
) -> None:
    """A supervisor sees it by the status, and learns no path."""
    club_store.close()
    store_path.rename(store_path.with_suffix(".away"))
    answer = watching.get("/health")
    assert answer.status_code == 503
    assert store_path.name not in answer.text


@pytest.mark.parametrize("brought", ["", "Bearer ", "Bearer another key of letters", KEY + "s"])
def test_figures_are_not_there_without_the_key(watching: FlaskClient, brought: str) -> None:
    """Whoever does not bring the key learns nothing, not even that there are figures."""
    assert watching.get("/metrics", headers={"Authorization": brought}).status_code == 404


def test_figures_are_not_there_unless_set(stranger: FlaskClient) -> None:
    """Without a key nobody sees any figures, whatever they bring."""
    assert stranger.get("/metrics", headers={"Authorization": "Bearer "}).status_code == 404


def test_answers_are_counted_by_route(watching: FlaskClient, secret: str) -> None:
    """Two answers of a kind are two, told by the route and never by the secret in it."""
    for _unused in range(2):
        watching.get(f"/ground/{secret}")
    found = figures(watching)
    assert found["clubplanner_request_seconds_count /ground/<secret>"] == 2
    assert not any(secret in name for name in found)


def test_what_waits_is_told(watching: FlaskClient, club_store: Store) -> None:
    """A mail that has been due for an hour is one that waits, for 3600 seconds."""
    before = figures(watching)
    assert before["clubplanner_mails_waiting"] == 0
    assert before["clubplanner_oldest_waiting_seconds"] == 0
    due = NOW - timedelta(hours=1)
    with club_store.write() as session:
        squad = session.query(SquadRow).first()
        assert squad is not None
        for number, state in enumerate((MailState.WAITING, MailState.REFUSED)):
            session.add(
                MailRow(
                    message_id=f"m{number}",
                    squad_id=squad.id,
                    address="robin@example.org",
                    name="Robin",
                    changes=[],
                    made_at=due,
                    next_try_at=due,
                    attempts=0,
                    state=state,
                    ended_at=due if state is MailState.REFUSED else None,
                    words="",
                )
            )
    found = figures(watching)
    assert found["clubplanner_mails_waiting"] == 1
    assert found["clubplanner_mails_refused"] == 1
    assert found["clubplanner_oldest_waiting_seconds"] == pytest.approx(3600, abs=1)
    assert see_backlog(club_store, NOW + timedelta(days=8)).refused == 0


def test_requests_are_logged_without_secrets(
    stranger: FlaskClient, secret: str, caplog: pytest.LogCaptureFixture
) -> None:
    """One entry an answer: method, route, status, time and size, as a line and as JSON."""
    with caplog.at_level(logging.INFO, REQUESTS.name):
        stranger.get(f"/ground/{secret}")
    (record,) = (each for each in caplog.records if each.name == REQUESTS.name)
    line = record.getMessage()
    assert line.startswith("GET /ground/<secret> 200 ")
    entry = json.loads(JsonLines().format(record))
    assert (entry["route"], entry["status"], entry["level"]) == ("/ground/<secret>", 200, "info")
    assert entry["bytes"] > 1000
    assert secret not in line + json.dumps(entry)


def test_an_entry_with_a_fault_stays_on_one_line() -> None:
    """A traceback is a value of its entry, so that a program can read line by line."""
    with pytest.raises(ValueError, match="two") as told:
        float("two\nlines")
    fault = (told.type, told.value, told.tb)
    record = logging.LogRecord("clubplanner.x", logging.ERROR, "", 0, "broke\noff", (), fault)
    text = JsonLines().format(record)
    assert "\n" not in text
    assert "ValueError" in json.loads(text)["traceback"]


@pytest.mark.parametrize(
    ("address", "told"), [("https://pitches.example.org", True), (ADDRESS, False)]
)
def test_a_host_of_our_own_is_https_only_once_it_is(
    club_store: Store, address: str, *, told: bool
) -> None:
    """Browsers are told to come by https only where the pages are served by it (RFC 6797)."""
    answer = create_app(club_store, Config("", address), lambda: NOW).test_client().get("/health")
    assert ("Strict-Transport-Security" in answer.headers) is told
