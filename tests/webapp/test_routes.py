"""What every answer carries, and no error without a page."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner import errors
from clubplanner.config import Config
from clubplanner.errors import NoClubError, StoreError
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.store.engine import open_store
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.large_club import noting_statements
from tests.webapp.conftest import ADDRESS, sign_in

if TYPE_CHECKING:
    from pathlib import Path

    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


DESK_PAGES = (
    "/desk/evening",
    "/desk/week",
    "/desk/share-outs",
    "/desk/share-outs/again",
    "/desk/share-outs/turns",
    "/desk/squads",
    "/desk/files",
    "/desk/people",
    "/desk/people/1",
    "/me",
    "/coach",
    "/desk/bookings/1",
    "/desk/season/changes",
    "/desk/season/closures",
    "/desk/season/hires",
    "/desk/season/matches",
    "/desk/season/light",
    "/desk/season/asks",
    "/coach/give",
    "/desk/season/ahead",
    "/desk/season/fairness",
    "/desk/reports",
    "/desk/season/mails",
    "/desk/season/busy",
    "/desk/webhooks",
    "/desk/season/grass",
    "/desk/season/year",
    "/desk/addresses",
    "/desk/addresses/all",
)

WRITING = re.compile(r"(?:INSERT INTO|UPDATE|DELETE FROM|REPLACE|DROP|CREATE)\s+(\w+)")


@pytest.mark.parametrize("path", ["", "/sessions.ics", "/map/1.png", "/fit/1/1.png"])
def test_an_unknown_address_leads_nowhere(stranger: FlaskClient, path: str) -> None:
    """An address that is not in use is a plain page, the same for all."""
    answer = stranger.get(f"/ground/not-an-address{path}")
    assert answer.status_code == 404
    assert "ask the club&#39;s secretary for a new one" in answer.text


def test_another_squads_booking_cannot_be_guessed(stranger: FlaskClient, secret: str) -> None:
    """The map and the pictures of a booking that is not this squad's are not there."""
    assert stranger.get(f"/ground/{secret}/fit/1/1.png").status_code == 404
    assert stranger.get(f"/ground/{secret}/map/1.png").status_code == 404
    assert stranger.get(f"/ground/{secret}/map/999999999.png").status_code == 404


@pytest.mark.parametrize("path", ["/", *DESK_PAGES, "ground", "/nothing-here"])
def test_every_answer_is_kept_to_itself(desk: FlaskClient, secret: str, path: str) -> None:
    """The secretary's pages answer, with strict headers, and no inline script or style in any."""
    answer = desk.get(f"/ground/{secret}" if path == "ground" else path, follow_redirects=True)
    assert path not in DESK_PAGES or (answer.status_code, answer.history) == (200, ())
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert answer.headers["X-Robots-Tag"].startswith("noindex")
    assert answer.headers["Cache-Control"].startswith("private")
    assert not re.search(r"<style|\sstyle=|\son\w+=|<script(?![^>]*\ssrc=)", answer.text)


def test_looking_changes_nothing(desk: FlaskClient, club_store: Store, secret: str) -> None:
    """No page that is only looked at writes to the database, but that it was looked at."""
    paths = (*DESK_PAGES, "/", f"/ground/{secret}", f"/ground/{secret}/sessions.ics")
    with noting_statements(club_store) as sent:
        for path in paths:
            desk.get(path)
    written = {found[1] for words in sent if (found := WRITING.match(words))}
    assert written == {"look", "push_key"}
    with noting_statements(club_store) as sent:
        for path in paths:
            desk.get(path)
    assert not [words for words in sent if WRITING.match(words)]


def test_a_form_without_its_token_is_refused(desk: FlaskClient) -> None:
    """A form sent by another site does nothing."""
    answer = desk.post("/desk/squads/u13-kestrels/link")
    assert answer.status_code == 400
    assert "send it again" in answer.text


def test_secrets_never_reach_the_log(
    stranger: FlaskClient, secret: str, caplog: pytest.LogCaptureFixture
) -> None:
    """Neither pages nor feeds nor errors write an address into the log."""
    caplog.set_level("DEBUG")
    for path in ("", "/sessions.ics", "/map/1.png", "/fit/1/1.png", "?players=x"):
        stranger.get(f"/ground/{secret}{path}")
    for path in (
        "/calendar/{}",
        "/calendar/{}/bookings.ics",
        "/calendar/{}/map/1.png",
        "/mails/{}",
    ):
        stranger.get(path.format(secret))
    stranger.post(f"/mails/{secret}")
    assert secret not in caplog.text


def test_a_club_without_anything_is_led_to_the_first_steps(empty_store: Store) -> None:
    """With nothing loaded the secretary lands on the page that says how to begin."""
    app = create_app(empty_store, Config("", ADDRESS), lambda: NOW)
    client = sign_in(app, empty_store)
    for path in ("/desk/evening", "/desk/squads", "/desk/share-outs"):
        answer = client.get(path, follow_redirects=True)
        assert answer.status_code == 200
        assert answer.request.path == "/desk/first-steps"
        assert "Name the club" in answer.text
    assert app.test_client().get("/").status_code == 200


def test_without_guards_nothing_is_served(empty_store: Store, tmp_path: Path) -> None:
    """An app is not made over a database without its guards, or without a database."""
    with empty_store.write() as session:
        session.connection().exec_driver_sql("DROP TRIGGER booking_guard_update")
    with pytest.raises(StoreError, match="guard against double booking"):
        create_app(empty_store, Config("", ADDRESS))
    with pytest.raises(StoreError, match="clubplanner init"):
        create_app(open_store(f"sqlite:///{tmp_path / 'new.sqlite'}"), Config("", ADDRESS))


def test_no_club_is_told_to_strangers_in_plain_words(empty_store: Store) -> None:
    """An address over an empty club says that there is none."""
    error = NoClubError()
    assert "load its files" in str(error)
    with pytest.raises(errors.MissingError):
        create_squad_link(empty_store, "nobody", "x", NOW)
