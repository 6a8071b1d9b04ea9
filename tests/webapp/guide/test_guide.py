"""The guide's pages: who may read what, where they are led to from, and how they are found."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.people import Role
from clubplanner.services.rows.own_club import load_clubs
from clubplanner.services.setup.clubs.club_squads import add_club
from clubplanner.webapp.guide.chapters import BY_KEY, CHAPTERS
from tests.webapp.conftest import sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store
    from clubplanner.webapp.guide.chapters import Chapter

FOR_ANYBODY = {"coach", "parent"}
READ_BY = {
    Role.SECRETARY: set(BY_KEY),
    Role.CLUB_SECRETARY: {"first-evening", "evening", "season", "council", *FOR_ANYBODY},
    Role.GROUNDSKEEPER: {"evening", "groundskeeper", *FOR_ANYBODY},
    Role.COACH: FOR_ANYBODY,
}
"""By the pages each chapter is about, since the program lets them open one of these."""
FOUND = re.compile(r'<li><a href="(/guide/[^"]+)"><b>([^<]+)</b>')


def listed(browser: FlaskClient) -> set[str]:
    """Return the chapters that the contents list."""
    page = browser.get("/guide").text
    return set(re.findall(r'<h2><a href="/guide/([a-z-]+)"', page))


def test_a_stranger_reads_what_is_about_pages_that_strangers_open(stranger: FlaskClient) -> None:
    """A parent and a coach without sign-in have theirs; for the rest they are asked to sign in."""
    assert listed(stranger) == FOR_ANYBODY
    answers = {key: stranger.get(f"/guide/{key}") for key in BY_KEY}
    assert {key for key, answer in answers.items() if answer.status_code == 200} == FOR_ANYBODY
    assert answers["running"].status_code == 302
    assert answers["running"].headers["Location"] == "/sign-in?then=/guide/running"


def browser_of(app: Flask, store: Store, role: Role) -> FlaskClient:
    """Give the browser of somebody of a role, a coach of a squad or a secretary of a club."""
    if role is not Role.CLUB_SECRETARY:
        return sign_in(app, store, role, *(["u13-kestrels"] if role is Role.COACH else []))
    with store.write() as session:
        club = add_club(session, f"Club {len(load_clubs(session)) + 1}").id
    return sign_in(app, store, role, club=club)


@pytest.mark.parametrize("role", READ_BY)
def test_each_reads_what_is_about_their_pages(app: Flask, club_store: Store, role: Role) -> None:
    """What is listed opens; the rest does not."""
    browser = browser_of(app, club_store, role)
    assert listed(browser) == READ_BY[role]
    answers = {key: browser.get(f"/guide/{key}").status_code for key in BY_KEY}
    assert {key for key, code in answers.items() if code == 200} == READ_BY[role]
    assert set(answers.values()) <= {200, 403}


def test_no_chapter_leads_where_its_reader_may_not_go(app: Flask, club_store: Store) -> None:
    """Names of such pages are told, and are no links; all links and pictures open."""
    for role in READ_BY:
        browser = browser_of(app, club_store, role)
        paths = {
            path
            for key in READ_BY[role]
            for path in re.findall(r'(?:href|src)="(/[^"#]*)', browser.get(f"/guide/{key}").text)
        }
        answers = {path: browser.get(path).status_code for path in paths}
        assert {path for path, code in answers.items() if code not in (200, 302)} == set()


def test_a_page_that_is_not_for_the_reader_is_told_by_name(app: Flask, club_store: Store) -> None:
    """The sentence stays whole."""
    keeper = browser_of(app, club_store, Role.GROUNDSKEEPER)
    assert '<span class="page-name">Asks</span>' in keeper.get("/guide/evening").text


def test_an_unknown_chapter_is_told_so(desk: FlaskClient) -> None:
    """An address that was mistyped is no fault of ours."""
    assert desk.get("/guide/evenings").status_code == 404


@pytest.mark.parametrize("chapter", CHAPTERS, ids=lambda chapter: chapter.key)
def test_a_chapter_is_told_in_the_readers_language(desk: FlaskClient, chapter: Chapter) -> None:
    """English and German, whole, without a style or script within."""
    english = desk.get(f"/guide/{chapter.key}", headers={"Accept-Language": "en"}).text
    german = desk.get(f"/guide/{chapter.key}", headers={"Accept-Language": "de"}).text
    assert f"<h1>{chapter.title}</h1>" in english
    assert f"<h1>{chapter.title}</h1>" not in german
    for page in (english, german):
        article = page[page.index("<article") : page.index("</article>")]
        assert not re.search(r"style=|<script|\{#|\*\*|\]\(", article)
    assert re.findall(r'<h2 id="([^"]+)"', english) == re.findall(r'<h2 id="([^"]+)"', german)


def test_a_language_without_the_text_is_told_in_english(
    desk: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And the page says so to whoever hears it read."""
    monkeypatch.setattr("clubplanner.webapp.guide.guide.told_in", lambda _key, _code: "en")
    page = desk.get("/guide/evening", headers={"Accept-Language": "de"}).text
    assert '<article class="guide-text" lang="en">' in page
    assert "Frost, or water on the pitch" in page


@pytest.mark.parametrize(
    ("path", "place"),
    [
        ("/desk/season/closures", "/guide/groundskeeper#close"),
        ("/desk/evening", "/guide/evening#late"),
        ("/desk/season/next", "/guide/season#next-season"),
        ("/desk/first-steps", "/guide/first-evening"),
        ("/me", "/guide"),
    ],
)
def test_a_page_leads_to_what_is_said_about_it(desk: FlaskClient, path: str, place: str) -> None:
    """At its foot and at its top; pages that need nothing said lead to the contents."""
    page = desk.get(path).text
    foot = page[page.index('<footer class="foot"') :]
    assert f'href="{place}"' in foot
    assert f'class="help" href="{place}"' in page[: page.index("<main")]


def test_a_parents_page_leads_to_the_parents_chapter(stranger: FlaskClient, secret: str) -> None:
    """Without anybody signed in."""
    page = stranger.get(f"/ground/{secret}").text
    assert 'href="/guide/parent"' in page[page.index('<footer class="foot"') :]


def found(browser: FlaskClient, asked: str, language: str = "en") -> dict[str, str]:
    """Return the places of the guide that are found, with their names."""
    headers = {"Accept-Language": language}
    return dict(
        FOUND.findall(browser.get("/find", query_string={"q": asked}, headers=headers).text)
    )


def test_the_search_finds_the_guide(desk: FlaskClient) -> None:
    """By a heading first, then by what is said; by beginnings, in the reader's language."""
    assert next(iter(found(desk, "frost"))) == "/guide/evening#frost"
    german = found(desk, "wasser platz", "de")
    assert next(iter(german.items())) == (
        "/guide/evening#frost",
        "Frost, oder Wasser auf dem Platz",
    )
    assert "/guide/running#backup" in found(desk, "clubplanner records")
    assert "/guide/running" in found(desk, "runn")
    for spelt in ("backup", "back-up", "back up", "Back-Up"):
        assert "/guide/running#backup" in found(desk, spelt), spelt
    assert found(desk, "zzzz") == {}


def test_a_short_word_finds_headings_alone(desk: FlaskClient) -> None:
    """Else every search for a squad would bring half the guide."""
    assert set(found(desk, "li").values()) == {"Light", "Lists as tables"}
    assert found(desk, "u13 kestrels") == {}


def test_the_search_finds_only_what_may_be_read(app: Flask, club_store: Store) -> None:
    """A coach finds nothing of the chapters that are not theirs."""
    coach = sign_in(app, club_store, Role.COACH, "u13-kestrels")
    assert found(coach, "backup") == {}
    assert "/guide/coach#fits" in found(coach, "fits")
