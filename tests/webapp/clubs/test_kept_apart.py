"""What a browser has of one club is worth nothing at another, on paths of one host, too."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import RefusedError, TooManyError
from clubplanner.resources import resource_folder
from clubplanner.services.addresses.links import create_squad_link, load_form_secret
from clubplanner.services.people.ways_in.passwords import sign_in_with_password
from clubplanner.services.pushes.club_key import load_club_key
from clubplanner.webapp.serving import limits
from tests.builders import NOW
from tests.webapp.clubs.conftest import PLACES, TOWN, VILLAGE

if TYPE_CHECKING:
    from werkzeug.test import TestResponse

    from clubplanner.store.engine import Store
    from tests.webapp.clubs.conftest import Browser, Clubs

DESK = "/desk/evening"


def is_turned_away(answer: TestResponse, place: str) -> bool:
    """Tell whether somebody was led to sign in at a club."""
    path = place.removeprefix(TOWN).removeprefix(VILLAGE)
    return answer.status_code == 302 and answer.location.startswith(f"{path}/sign-in")


def token(client: Browser, address: str) -> str:
    """Return the token that protects the forms of a page."""
    found = re.search(r'name="csrf_token" value="([^"]+)"', client.ask(address).text)
    assert found is not None
    return found[1]


@pytest.mark.parametrize("other", ["rovers", "wrens"])
def test_a_sign_in_holds_at_one_club(clubs: Clubs, other: str) -> None:
    """A browser that a club's secretary uses is a stranger's at each other club."""
    browser = clubs.secretary("kestrels")
    assert browser.ask(PLACES["kestrels"] + DESK).status_code == 200
    assert is_turned_away(browser.ask(PLACES[other] + DESK), PLACES[other])


@pytest.mark.parametrize("other", ["rovers", "wrens"])
def test_a_cookie_that_is_carried_over_is_worth_nothing(clubs: Clubs, other: str) -> None:
    """Whoever sends a club's cookies to another by hand is turned away there."""
    secret = clubs.secret("kestrels")
    clubs.secret(other)  # a person of the same name and number
    browser = clubs.browser()
    browser.set_cookie("person", secret, domain=PLACES[other].split("/")[2], path="/")
    assert is_turned_away(browser.ask(PLACES[other] + DESK), PLACES[other])


def test_every_cookie_is_for_the_clubs_own_path(clubs: Clubs) -> None:
    """A browser does not even send what it keeps to a neighbour on the host."""
    answer = clubs.browser().ask(f"{TOWN}/kestrels/sign-in")
    kept = answer.headers.getlist("Set-Cookie")
    assert kept
    assert all("Path=/kestrels" in each and "Domain" not in each for each in kept)


def test_a_form_of_one_club_cannot_be_sent_to_another(clubs: Clubs) -> None:
    """A form's token and the session behind it hold at the club that wrote them alone."""
    browser = clubs.browser()
    name = PLACES["kestrels"]
    sent = {"csrf_token": token(browser, f"{name}/sign-in"), "email": "a@b.example"}
    session = browser.get_cookie("form", "town.example", "/kestrels")
    assert session is not None
    assert browser.send(f"{name}/sign-in", sent).status_code != 400
    browser.ask(f"{TOWN}/rovers/sign-in")
    assert browser.send(f"{TOWN}/rovers/sign-in", sent).status_code == 400
    browser.set_cookie("form", session.value, domain="town.example", path="/rovers")
    assert browser.send(f"{TOWN}/rovers/sign-in", sent).status_code == 400


def test_a_squads_address_opens_at_its_own_club(clubs: Clubs) -> None:
    """An address that was handed out is not known anywhere else."""
    secret = create_squad_link(clubs.at_hand.clubs["rovers"].store, "u13-kestrels", "K", NOW)
    browser = clubs.browser()
    found = {name: browser.ask(f"{at}/ground/{secret}").status_code for name, at in PLACES.items()}
    assert found == {"kestrels": 404, "rovers": 200, "wrens": 404}


def test_secrets_differ(clubs: Clubs) -> None:
    """Sessions are signed, and phones are told, with a key of each club's own."""
    stores = [club.store for club in clubs.at_hand.clubs.values()]
    assert len({load_form_secret(store) for store in stores}) == 3
    assert len({load_club_key(store, NOW).private for store in stores}) == 3


def test_limits_are_counted_apart(clubs: Clubs, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever guesses addresses at one club is held back there, and not at another."""
    monkeypatch.setattr(limits, "MOST_MISSES", 3)
    browser = clubs.browser()
    for _unused in range(4):
        held = browser.ask(f"{TOWN}/kestrels/nothing").status_code
    assert held == 429
    assert browser.ask(f"{TOWN}/rovers/sign-in").status_code == 200


def test_tries_to_sign_in_are_counted_apart(clubs: Clubs) -> None:
    """A password tried too often at one club may still be tried at another."""
    stores = {name: club.store for name, club in clubs.at_hand.clubs.items()}

    def tries(store: Store) -> int:
        """Return how many tries of fifty were looked at."""
        for count in range(50):
            try:
                sign_in_with_password(store, "kim@example.org", "wrong", "192.0.2.1", "", NOW)
            except TooManyError:
                return count
            except RefusedError:
                continue
        return 50

    first = tries(stores["kestrels"])
    assert first < 50
    assert tries(stores["kestrels"]) == 0
    assert tries(stores["rovers"]) == first


def test_what_a_phone_keeps_is_kept_by_club(clubs: Clubs) -> None:
    """The script that keeps pages sees to the club's own path, and names what it keeps by it."""
    browser = clubs.browser()
    for name in ("kestrels", "rovers"):
        page = browser.ask(f"{TOWN}/{name}/thunder").text
        assert f'data-base="/{name}"' in page
        script = browser.ask(f"{TOWN}/{name}/service-worker.js")
        assert script.status_code == 200
        assert "Service-Worker-Allowed" not in script.headers
        assert f'"/{name}/static/' in script.text


def test_scripts_name_what_they_keep_by_the_clubs_path() -> None:
    """Clubs on paths of one host are of one origin, so names alone keep apart what is kept."""
    folder = resource_folder("web") / "static" / "js"
    names = [
        name
        for file in folder.glob("*.js")
        for name in re.findall(
            r"""["'`]((?:pages|parts|told|fits|thunder)-\d+.*)["'`]""", file.read_text()
        )
    ]
    assert len(names) >= 5
    assert [name for name in names if "${" not in name] == []


def test_signing_out_takes_nothing_of_a_neighbour(clubs: Clubs) -> None:
    """On a host that several clubs share, a browser is not told to forget all of the host."""
    browser = clubs.secretary("kestrels")
    sent = {"csrf_token": token(browser, f"{TOWN}/kestrels{DESK}")}
    answer = browser.send(f"{TOWN}/kestrels/sign-out", sent)
    assert answer.status_code == 302
    assert "Clear-Site-Data" not in answer.headers
    assert all("Path=/kestrels" in each for each in answer.headers.getlist("Set-Cookie"))
