"""The list of squads with their addresses, and files that are loaded."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.store.tables.link_tables import LinkRow
from tests.builders import NOW
from tests.stores import make_wish, put_booking
from tests.webapp.conftest import send, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from clubplanner.store.engine import Store


def test_squads_are_listed_with_asks_and_addresses(desk: FlaskClient, club_store: Store) -> None:
    """The list says what each squad asks for and has; a new address is shown once and can end."""
    wish = make_wish(club_store, "third-1", squad_key="u13-kestrels", purpose=Purpose.TRAINING)
    put_booking(club_store, wish, NOW)
    page = desk.get("/desk/squads").text
    assert "2 × 75 min, Mon-Thu 17:30-20:00" in page
    shown = send(desk, "/desk/squads/u13-kestrels/link", "/desk/squads", holder="Maren")
    (address,) = re.findall(r'href="http://127.0.0.1:8000(/ground/[^"]+)"', shown)
    assert "Give it to Maren." in shown
    assert desk.get(address).status_code == 200
    page = send(desk, "/desk/squads/u13-kestrels/revoke", "/desk/squads")
    assert "1 address revoked." in page
    assert desk.get(address).status_code == 404
    with club_store.read() as session:
        assert session.scalars(select(LinkRow.holder)).all() == ["Maren"]


def test_an_unknown_squad_gets_no_address(desk: FlaskClient) -> None:
    """A key that is no squad's is told, with those there are."""
    answer = desk.post("/desk/squads/nobody/link", data={"csrf_token": token(desk, "/desk/squads")})
    assert answer.status_code == 404
    assert "u13-kestrels" in answer.text


def test_files_are_loaded_or_all_their_faults_told(desk: FlaskClient) -> None:
    """A file with faults changes nothing and lists them all; a good one is taken in."""
    bad = b"squad,players,sessions a week,minutes,possible\nHawks,x,9,75,Mon 18:00-17:00\n"
    answer = upload(desk, ("squads.csv", bad), ("notes.txt", b"x"))
    assert answer.status_code == 422
    for words in (
        "row 2, column players",
        "row 2, column sessions a week",
        "column possible",
        "notes.txt",
    ):
        assert words in answer.text
    good = b"squad,players,sessions a week,minutes,possible\nHawks,12,1,75,Mon 18:00-20:00\n"
    answer = upload(desk, ("squads.csv", good))
    assert answer.status_code == 302
    assert "Hawks" in desk.get("/desk/squads").text


def test_sending_no_file_is_told(desk: FlaskClient) -> None:
    """The form without a file asks for one."""
    assert "Name at least one file" in upload(desk).text


def upload(desk: FlaskClient, *files: tuple[str, bytes]) -> TestResponse:
    """Send files as the page would."""
    return desk.post(
        "/desk/files",
        data={
            "csrf_token": token(desk, "/desk/files"),
            "files": [(io.BytesIO(data), name) for name, data in files],
        },
        content_type="multipart/form-data",
    )
