"""The page that finds anything: each thing leads where whoever is looking may go."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.people import Role
from tests.webapp.conftest import sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

LINK = re.compile(r'<li>\s*<a href="([^"]+)"><b>([^<]+)</b>')


def find(browser: FlaskClient, asked: str) -> dict[str, str]:
    """Return the names found, by where they lead."""
    answer = browser.get("/find", query_string={"q": asked})
    assert answer.status_code == 200
    page = answer.text
    return dict(LINK.findall(page[page.index("<main") :]))


ASKED = ("kestrels", "kestrels tuesday", "top", "osier lane 13.4.2027", "tomorrow", "#1", "li")


@pytest.mark.parametrize("role", [Role.SECRETARY, Role.GROUNDSKEEPER, Role.COACH])
def test_what_is_found_opens(app: Flask, club_store: Store, role: Role) -> None:
    """For each role, no link leads to a page that is shut to it."""
    browser = sign_in(app, club_store, role, *(["u13-kestrels"] if role is Role.COACH else []))
    found = [path for asked in ASKED for path in find(browser, asked)]
    assert found
    answers = {path: browser.get(path.replace("&amp;", "&")).status_code for path in found}
    assert set(answers.values()) == {200}, answers


def test_the_secretary_comes_to_the_squad_and_to_its_ground(desk: FlaskClient) -> None:
    """Both are one step away."""
    page = desk.get("/find?q=u13 kestrels").text
    assert 'href="/desk/squads/u13-kestrels"' in page
    assert 'href="/coach/squads/u13-kestrels"' in page


def test_pages_are_found_by_their_names(desk: FlaskClient) -> None:
    """In the language of whoever looks."""
    found = find(desk, "fair")
    assert {path: words for path, words in found.items() if path.startswith("/desk")} == {
        "/desk/share-outs/turns": "Fair turns",
        "/desk/season/fairness": "Fairness",
    }


def test_nothing_found_says_how_to_ask(desk: FlaskClient) -> None:
    """What was typed stays, as words."""
    page = desk.get("/find", query_string={"q": "<b>x</b> zzz"}).text
    assert "Nothing goes by “&lt;b&gt;x&lt;/b&gt; zzz”" in page
    assert 'value="&lt;b&gt;x&lt;/b&gt; zzz"' in page


def test_a_stranger_signs_in_first(stranger: FlaskClient) -> None:
    """What a club calls its things is not for everybody."""
    assert stranger.get("/find?q=kestrels").status_code == 302
