"""One door for many clubs: who answers what, and what is told to those who run the server."""

from __future__ import annotations

import logging
import threading
from typing import TYPE_CHECKING

import pytest
from prometheus_client.parser import text_string_to_metric_families

from clubplanner.errors import AwayError
from clubplanner.logs import JsonLines, Lines
from clubplanner.services.rows.club import club as club_rows
from clubplanner.store.engine import Store
from clubplanner.webapp.clubs import served_club
from clubplanner.webapp.clubs.served_club import LEFT_ALONE_S
from clubplanner.webapp.clubs.watched_all import KNOWN_S
from tests.webapp.clubs.conftest import KEY, PLACES, TOWN, VILLAGE

if TYPE_CHECKING:
    from tests.webapp.clubs.conftest import Browser, Clubs

NOBODY = "There is no club at this address"
HERE = "http://127.0.0.1:8000"


def with_key(browser: Browser, path: str, key: str = KEY, at: str = HERE) -> tuple[int, str]:
    """Ask with a key, and return the status and the text."""
    answer = browser.ask(at + path, headers={"Authorization": f"Bearer {key}"})
    return answer.status_code, answer.text


def test_each_club_answers_at_its_own_place(clubs: Clubs) -> None:
    """The app of a club is made when it is first asked for, and not before."""
    browser = clubs.browser()
    names = [
        address for address in PLACES.values() if browser.ask(f"{address}/").status_code == 200
    ]
    assert names == list(PLACES.values())
    assert f'href="{"/rovers"}/' in browser.ask(f"{TOWN}/rovers/").text


@pytest.mark.parametrize(
    "address",
    [f"{TOWN}/", f"{TOWN}/swifts/desk", "http://other.example/kestrels", f"{HERE}/metrics"],
)
def test_where_there_is_no_club_a_plain_page_says_so(clubs: Clubs, address: str) -> None:
    """It names no club of the server, and is of the same care as our other pages."""
    answer = clubs.browser().ask(address, headers={"Accept-Language": "de-AT, en;q=0.5"})
    assert answer.status_code == 404
    assert "Unter dieser Adresse gibt es keinen Verein" in answer.text
    assert not [name for name in PLACES if name in answer.text.replace("town", "")]
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
    assert NOBODY in clubs.browser().ask(address).text


@pytest.mark.parametrize("host", ["", "a b", "[", "x" * 300, "wrens.example@evil.example"])
def test_a_host_that_is_no_name_finds_no_club(clubs: Clubs, host: str) -> None:
    """Whatever a request says its host is, there is a page and no traceback."""
    answer = clubs.browser().get("/kestrels/", headers={"Host": host})
    assert answer.status_code == 404
    assert NOBODY in answer.text


def test_a_club_that_is_added_is_served_at_once_and_one_removed_no_more(clubs: Clubs) -> None:
    """Nobody stops the server for it, and the others notice nothing."""
    browser = clubs.secretary("kestrels")
    listed = dict(clubs.listed)
    wrens = listed.pop("wrens")
    clubs.change(listed)
    assert browser.ask(VILLAGE).status_code == 404
    assert browser.ask(f"{TOWN}/kestrels/desk/evening").status_code == 200
    clubs.change({**listed, "wrens": {**wrens, "public_address": f"{TOWN}/wrens"}})
    assert browser.ask(f"{TOWN}/wrens/").status_code == 200


def test_a_faulty_list_stops_nobody(clubs: Clubs) -> None:
    """Changed wrongly it is told to those who watch, and all clubs go on."""
    browser = clubs.browser()
    clubs.change({"kestrels": {"records": "nowhere"}})
    assert [browser.ask(f"{place}/").status_code for place in PLACES.values()] == [200, 200, 200]
    assert "the list of clubs was changed and cannot be read" in with_key(browser, "/health")[1]
    assert "clubplanner_clubs_list_well 0.0" in with_key(browser, "/metrics")[1]


def test_what_is_in_hand_is_finished_when_its_club_goes(
    clubs: Clubs, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A page that is being made while the list changes comes out whole."""
    begun, go_on = threading.Event(), threading.Event()
    name_of = club_rows.club_name

    def slowly(store: Store) -> str:
        begun.set()
        assert go_on.wait(30)
        return name_of(store)

    browser = clubs.browser()
    browser.ask(f"{VILLAGE}/")
    monkeypatch.setattr("clubplanner.webapp.base.security.club_name", slowly)
    answers: list[int] = []
    asking = threading.Thread(
        target=lambda: answers.append(clubs.browser().ask(f"{VILLAGE}/sign-in").status_code)
    )
    asking.start()
    assert begun.wait(30)
    clubs.change({name: one for name, one in clubs.listed.items() if name != "wrens"})
    assert browser.ask(f"{VILLAGE}/").status_code == 404
    go_on.set()
    asking.join(30)
    assert answers == [200]


def test_health_is_of_each_club(clubs: Clubs) -> None:
    """One club that is not well stops none of the others, and is named to who has the key."""
    browser = clubs.browser()
    assert browser.ask(f"{HERE}/health").text == "well\n"
    rovers = clubs.at_hand.clubs["rovers"].store
    with rovers.write() as session:
        session.connection().exec_driver_sql("DROP TABLE mail")
    clubs.now_s += KNOWN_S
    answer = browser.ask(f"{HERE}/health")
    assert (answer.status_code, answer.text) == (200, "well, but for 1 of 3 clubs\n")
    status, text = with_key(browser, "/health")
    assert status == 200
    assert text.splitlines() == ["well", "kestrels: well", "rovers: not well", "wrens: well"]
    own = [browser.ask(f"{place}/health").status_code for place in PLACES.values()]
    assert own == [200, 503, 200]


def test_a_server_without_any_club_that_is_well_is_not_well(
    clubs: Clubs, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Then a supervisor sees it by the status."""

    def away(_store: Store) -> None:
        raise AwayError

    monkeypatch.setattr("clubplanner.webapp.clubs.watched_all.check_store", away)
    answer = clubs.browser().ask(f"{HERE}/health")
    assert (answer.status_code, answer.text) == (503, "not well\n")


def test_figures_bear_the_short_name_and_no_secret(clubs: Clubs) -> None:
    """Prometheus' own parser reads them; a club's key opens not all, nor the server's key one."""
    browser = clubs.browser()
    for place in PLACES.values():
        browser.ask(f"{place}/sign-in")
    text = with_key(browser, "/metrics")[1]
    counts = {
        sample.labels["club"]: sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
        if sample.name == "clubplanner_request_seconds_count"
    }
    assert counts == dict.fromkeys(PLACES, 1.0)
    waiting = [line for line in text.splitlines() if line.startswith("clubplanner_mails_waiting{")]
    assert waiting == [f'clubplanner_mails_waiting{{club="{name}"}} 0.0' for name in PLACES]
    for secret in (KEY, "sqlite", "postgres", "example"):
        assert secret not in text
    assert with_key(browser, "/metrics", "another key of the server")[0] == 404
    assert with_key(browser, "/metrics", at=PLACES["rovers"])[0] == 404


def test_a_clubs_own_key_opens_its_own_figures_alone(clubs: Clubs) -> None:
    """What one club counts is no other's business."""
    clubs.change({**clubs.listed, "rovers": {**clubs.listed["rovers"], "metrics_key": "r" * 16}})
    browser = clubs.browser()
    browser.ask(f"{TOWN}/kestrels/sign-in")
    places = {**PLACES, "": HERE}
    found = {name: with_key(browser, "/metrics", "r" * 16, at)[0] for name, at in places.items()}
    assert found == {"kestrels": 404, "rovers": 200, "wrens": 404, "": 404}
    assert "/sign-in" not in with_key(browser, "/metrics", "r" * 16, PLACES["rovers"])[1]


@pytest.mark.parametrize(
    ("form", "words"), [(Lines(), "[rovers] "), (JsonLines(), '"club": "rovers"')]
)
def test_each_entry_of_the_log_says_whose_it_is(
    clubs: Clubs, form: logging.Formatter, words: str
) -> None:
    """Whoever reads the log of a server knows which club an entry is about."""
    written: list[str] = []
    handler = logging.Handler()
    handler.emit = lambda record: written.append(form.format(record))  # type: ignore[method-assign]
    log = logging.getLogger("clubplanner.requests")
    log.addHandler(handler)
    level = log.level
    log.setLevel(logging.INFO)
    try:
        clubs.browser().ask(f"{TOWN}/rovers/sign-in")
        clubs.browser().ask(f"{VILLAGE}/sign-in")
    finally:
        log.removeHandler(handler)
        log.setLevel(level)
    assert [words in each for each in written] == [True, False]


@pytest.fixture
def broken(clubs: Clubs, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Let the rovers' records be away from now on; give who asked them, and when they are back."""
    asked: list[str] = []
    read = Store.read

    def away(store: Store) -> object:
        if store.engine is clubs.at_hand.clubs["rovers"].store.engine and "back" not in asked:
            asked.append("away")
            raise AwayError
        return read(store)

    monkeypatch.setattr(Store, "read", away)
    return asked


@pytest.mark.parametrize("was_made", [True, False])
def test_records_that_do_not_answer_are_left_alone_a_while(
    clubs: Clubs, broken: list[str], was_made: bool
) -> None:
    """Nobody waits for them meanwhile, the page is whole, and once they are back so is the club."""
    browser = clubs.browser()
    if was_made:
        broken.append("back")
        assert browser.ask(f"{TOWN}/rovers/").status_code == 200
        broken.clear()
    first = browser.ask(f"{TOWN}/rovers/")
    assert first.status_code == 503
    assert broken == ["away"]  # each further try would wait as long again
    second = browser.ask(f"{TOWN}/rovers/desk/evening")
    assert (second.status_code, second.headers["Retry-After"]) == (503, "10")
    assert "records cannot be reached" in second.text
    assert 'href="/rovers/static/' in second.text
    style = second.text.partition('href="')[2].partition('"')[0]
    assert browser.ask(TOWN + style).status_code == 200
    assert browser.ask(f"{TOWN}/kestrels/").status_code == 200
    assert broken == ["away"]
    broken.append("back")
    assert browser.ask(f"{TOWN}/rovers/").status_code == 503
    clubs.now_s += LEFT_ALONE_S
    assert browser.ask(f"{TOWN}/rovers/").status_code == 200
    assert browser.ask(f"{TOWN}/rovers/sign-in").status_code == 200


def test_an_app_that_cannot_be_made_is_a_page_too(
    clubs: Clubs, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """A fault of ours in one club's start is logged with its traceback, and shown to nobody."""

    def fails(*_unused: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(served_club, "create_app", fails)
    answer = clubs.browser().ask(f"{TOWN}/rovers/")
    assert answer.status_code == 503
    assert "ZeroDivisionError" not in answer.text
    assert "ZeroDivisionError" in caplog.text
