"""Two clubs of the same files on paths of one host, a third on a host of its own, and browsers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

import pytest
from werkzeug.test import Client

from clubplanner.clubs.at_hand import LOOK_S, ClubsAtHand
from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.webapp.clubs.dispatch import make_clubs_app
from tests.builders import NOW
from tests.clubs.lists import as_toml, plain, settings, write
from tests.records import address_of, copy_records, drop_records

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from flask import Flask
    from werkzeug.test import TestResponse

TOWN, VILLAGE = "http://town.example", "http://wrens.example"
PLACES = {"kestrels": f"{TOWN}/kestrels", "rovers": f"{TOWN}/rovers", "wrens": VILLAGE}
KEY = "a key of the whole server"


class Browser(Client):
    """A browser that is told whole addresses."""

    def ask(self, address: str, method: str = "GET", **more: Any) -> TestResponse:
        """Open an address, or send a form to it."""
        parts = urlsplit(address)
        path = f"{parts.path}?{parts.query}" if parts.query else parts.path or "/"
        host = f"{parts.scheme}://{parts.netloc}"
        return self.open(path, base_url=host, method=method, **more)

    def send(self, address: str, fields: dict[str, str]) -> TestResponse:
        """Send a form."""
        return self.ask(address, "POST", data=fields)


class Clubs:
    """Three clubs on one server.

    Attributes:
        file: The list.
        at_hand: The clubs there are.
        app: What serves them.
    """

    def __init__(self, file: Path, listed: dict[str, dict[str, object]]) -> None:
        self.file, self.listed = file, listed
        self.now_s = 0.0
        write(file, as_toml(listed))
        common = Config(metrics_key=KEY)
        self.at_hand = ClubsAtHand(file, common, settings(), lambda: self.now_s)
        self.app: Flask = make_clubs_app(self.at_hand, lambda: NOW, lambda: self.now_s)

    def browser(self) -> Browser:
        """Give a browser that knows nothing yet."""
        return Browser(self.app)

    def change(self, listed: dict[str, dict[str, object]]) -> None:
        """Write the list anew, and let it be seen."""
        write(self.file, as_toml(listed))
        self.now_s += LOOK_S

    def secret(self, club: str, name: str = "Kim Ashby") -> str:
        """Let a new secretary of a club sign in, and return the secret of their browser."""
        store = self.at_hand.clubs[club].store
        number = add_person(store, PersonDraft(name, Role.SECRETARY, "", ()), NOW)
        with store.write() as session:
            return open_browser(session, number, "A browser", NOW)

    def secretary(self, club: str) -> Browser:
        """Give the browser of a secretary, its cookie kept as the club's pages keep it."""
        client = self.browser()
        path = PLACES[club].removeprefix(TOWN).removeprefix(VILLAGE) or "/"
        host = PLACES[club].split("/")[2]
        client.set_cookie("person", self.secret(club), domain=host, path=path)
        return client


@pytest.fixture
def clubs(club_file: Path, tmp_path: Path) -> Iterator[Clubs]:
    """Serve three clubs that began with the same files."""
    listed: dict[str, dict[str, object]] = {}
    for name, place in PLACES.items():
        path = tmp_path / f"{name}.sqlite"
        copy_records(club_file, path)
        listed[name] = plain(name, place, records=address_of(path))
    made = Clubs(tmp_path / "clubs.toml", listed)
    yield made
    made.at_hand.close()
    for name in PLACES:
        drop_records(tmp_path / f"{name}.sqlite")
