"""Requests that nobody means well with end in a page, soon, and change nothing without right."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from clubplanner.webapp.base.programs import ROOT
from clubplanner.webapp.base.security import for_anybody
from tests.builders import NOW
from tests.council import BROOK_U14, WEIR_U12
from tests.fuzz.drawn_once import drawn_once
from tests.fuzz.judging import judge
from tests.fuzz.requests import TOKEN, Attack, encoded
from tests.fuzz.rounds import open_site, run_round

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.fuzz.pages import Offers
    from tests.fuzz.served_club import Site

ROUNDS = 6
FORM = f"csrf_token={encoded(TOKEN)}"
KIND = "application/x-www-form-urlencoded"


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Site, Offers]]:
    """Serve a club with something everywhere, once for all rounds."""
    with drawn_once():
        site, offers = open_site(tmp_path_factory.mktemp("attacked"))
        yield site, offers
        site.close()


@pytest.fixture
def site(place: tuple[Site, Offers]) -> Site:
    """Give the club as it was made, at the time at which it was."""
    place[0].begin_round()
    place[0].clock.now = NOW
    return place[0]


def change_row_of(squad: str, table: str, site: Site) -> None:
    """Let what was seen last of a squad's row differ from what stands there."""
    of = next(key for key, row in site.stood.items() if key[0] == table and row.squad == squad)
    site.stood[of] = replace(site.stood[of], values=())


@pytest.mark.parametrize("number", range(ROUNDS))
def test_nothing_breaks(place: tuple[Site, Offers], number: int) -> None:
    """Two hundred requests a round: none fails, takes long, tells or writes what it may not."""
    statuses: Counter[int] = Counter()
    found = [
        f"{one.what}\n{one.attack.told()}\n{one.more}"
        for one in run_round(*place, number, statuses)
    ]
    assert not found, "\n\n".join(found)
    assert statuses[200] > 10
    assert statuses[302] > 10


def test_every_form_of_the_club_is_known(place: tuple[Site, Offers]) -> None:
    """Most routes that take something in have a form on a page that was found, fields and all.

    Those of the API have none; its description is asked through by `tests/webapp/api`.
    """
    _site, offers = place
    routes = {
        rule for method, rule, _ in offers.routes if method == "POST" and not rule.startswith(ROOT)
    }
    known = {rule for method, rule in offers.forms if method == "POST"}
    assert len(known) > 0.7 * len(routes), sorted(routes - known)


def test_a_view_that_fails_is_found(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    """An error is told by its kind and place, though the page shows a number only."""
    monkeypatch.setitem(site.app.view_functions, "entry.welcome", for_anybody(lambda: 1 // 0))
    attack = Attack("nobody", "GET", "/", "/")
    found = judge(site, attack, site.send(attack))
    assert any("ZeroDivisionError" in one.what for one in found)


def test_a_page_that_repeats_what_was_sent_is_found(
    site: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A tag that comes back as it was sent is told."""
    monkeypatch.setitem(site.app.view_functions, "entry.welcome", for_anybody(lambda: "<zq>"))
    attack = Attack("nobody", "GET", "/", "/")
    assert [one.what for one in judge(site, attack, site.send(attack))] == ["not escaped: GET /"]


def test_a_way_out_is_found(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    """A redirect to another host is told."""
    away = for_anybody(lambda: ("", 302, {"Location": "//evil.example"}))
    monkeypatch.setitem(site.app.view_functions, "entry.welcome", away)
    attack = Attack("nobody", "GET", "/", "/")
    assert "leads elsewhere" in judge(site, attack, site.send(attack))[0].what


def test_what_a_form_wrote_is_known(site: Site) -> None:
    """A secretary's form writes, and may; had a coach done it, it would be told."""
    attack = Attack(
        "secretary",
        "POST",
        "",
        "/desk/squads/weir-rovers-u12-kestrels/link",
        "",
        (),
        KIND,
        FORM.encode(),
    )
    answer = site.send(attack)
    assert answer.status == 200
    assert "link" in answer.written
    assert not judge(site, attack, answer)
    told = [one.what for one in judge(site, replace(attack, who="coach"), answer)]
    assert "coach wrote link by squads.new_link (2xx)" in told


def test_whoever_has_the_secretarys_address_becomes_the_secretary(site: Site) -> None:
    """That writes a person, and so draws the mark of what bookings are held against anew."""
    path = next(one for one in site.keys.paths if one.startswith("/secretary/"))
    sent = f"{FORM}&name=Kim%20Ashby&email=kim%40alderby.example&password=Sun-Mon%2000%3A00-24"
    attack = Attack("other coach", "POST", "/secretary/<key>", path, "", (), KIND, sent.encode())
    answer = site.send(attack)
    assert answer.status == 302
    assert {"person", "stand"} <= answer.written
    assert judge(site, attack, answer) == []


def test_what_is_looked_at_writes_nothing(site: Site) -> None:
    """Had a page written bookings by being looked at, it would be told."""
    attack = Attack("secretary", "GET", "", "/desk/squads")
    answer = site.send(attack)
    assert answer.written <= {"look", "browser"}
    told = judge(site, attack, replace(answer, written=frozenset({"booking"})))
    assert [one.what for one in told] == ["secretary wrote booking by squads.listing (2xx)"]


def test_a_session_of_another_squad_is_watched(site: Site) -> None:
    """A coach's form after which another squad's session stands otherwise would be told."""
    attack = Attack("coach", "POST", "", "/coach/give", "", (), KIND, FORM.encode())
    answer = replace(site.send(attack), status=302, written=frozenset({"booking"}))
    change_row_of(BROOK_U14, "booking", site)
    told = [one.what for one in judge(site, attack, answer)]
    assert any(one.startswith(f"coach changed a session of {BROOK_U14}") for one in told)


@pytest.mark.parametrize("table", ["squad", "ask", "booking", "link", "person", "squad_coach"])
def test_a_row_of_another_club_is_watched(site: Site, table: str) -> None:
    """A form of a club's secretary after which another club's row stands otherwise is told."""
    who = "club's secretary"
    attack = Attack(who, "POST", "", f"/desk/squads/{WEIR_U12}/link", "", (), KIND, FORM.encode())
    answer = site.send(attack)
    assert "link" in answer.written
    assert not judge(site, attack, answer)
    change_row_of(BROOK_U14, table, site)
    told = [one.what for one in judge(site, attack, answer)]
    assert told == [f"{who} changed a {table} of {BROOK_U14} by squads.new_link"]


def test_a_round_is_the_same_again(place: tuple[Site, Offers]) -> None:
    """What a round asks follows from its number alone."""
    first, second = Counter[int](), Counter[int]()
    for statuses in (first, second):
        assert not list(run_round(*place, 5000, statuses, 60))
    assert first == second
