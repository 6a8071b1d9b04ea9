"""The whole club in one file, from the page “Files” and back in where there is none."""

from __future__ import annotations

import io
import zipfile
from typing import TYPE_CHECKING

from clubplanner.config import Config
from clubplanner.services.folder.exporting import export_folder
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.stores import make_wish, put_booking
from tests.webapp.conftest import ADDRESS, sign_in, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from clubplanner.store.engine import Store


def upload(browser: FlaskClient, data: bytes, name: str = "club.zip") -> TestResponse:
    """Send a packed club."""
    values = {"csrf_token": token(browser, "/desk/files"), "folder": (io.BytesIO(data), name)}
    return browser.post("/desk/files/club", data=values, follow_redirects=True)


def test_a_club_goes_from_one_server_to_another(
    desk: FlaskClient, club_store: Store, empty_store: Store
) -> None:
    """The secretary saves the club here and takes it in there; the page says which is to be had."""
    put_booking(club_store, make_wish(club_store))
    page = desk.get("/desk/files").text
    assert "Save the whole club" in page
    assert "Take the club in" not in page
    answer = desk.get("/desk/files/club.zip")
    assert answer.headers["Content-Disposition"] == "attachment; filename=club.zip"
    assert "no-store" in answer.headers["Cache-Control"]
    there = sign_in(create_app(empty_store, Config("", ADDRESS), lambda: NOW), empty_store)
    assert "Take the club in" in there.get("/desk/files").text
    page = upload(there, answer.data).text
    assert "Taken in: Tarnholt Wanderers." in page
    assert "Taken in: 4 bookings." in page
    assert "U13 Kestrels" in page
    ours = {file.name: file.data for file in export_folder(club_store)}
    theirs = {file.name: file.data for file in export_folder(empty_store)}
    assert {name for name in ours if ours[name] != theirs[name]} <= {"people.csv", "coaches.csv"}


def test_faults_are_told_on_the_page(empty_store: Store) -> None:
    """Nothing chosen, another kind of file, and faults within are told; nothing is changed."""
    browser = sign_in(create_app(empty_store, Config("", ADDRESS), lambda: NOW), empty_store)
    for data, name, words in (
        (b"", "", "Choose the file (.zip)"),
        (b"x", "club.zip", "cannot be unpacked"),
        (_packed("squads.csv", b"squad\n"), "club.zip", "squads.csv, row 1"),
    ):
        answer = upload(browser, data, name)
        assert answer.status_code == 422
        assert words in answer.text
        assert "Nothing was changed" in answer.text
        assert 'id="field-folder"' in answer.text


def test_a_club_is_not_taken_in_over_another(desk: FlaskClient, club_store: Store) -> None:
    """Where there is a club it is refused, with what to do."""
    answer = upload(desk, desk.get("/desk/files/club.zip").data)
    assert answer.status_code == 422
    assert "empty database" in answer.text


def _packed(name: str, data: bytes) -> bytes:
    body = io.BytesIO()
    with zipfile.ZipFile(body, "w") as archive:
        archive.writestr(name, data)
    return body.getvalue()
