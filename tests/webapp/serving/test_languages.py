"""Pages in their reader's language; what goes to everybody in the club's."""

from __future__ import annotations

import threading
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import update

from clubplanner import language
from clubplanner.config import Config, MailServer
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.evening.notice_board import turn_board
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.services.mails.sending.transport import Fate
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.rows.snapshot import load_club, load_venues
from clubplanner.services.setup.loading import load_files
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import KESTRELS, SQUADS, book, load_small_club
from tests.webapp.conftest import ADDRESS, send, sign_in, token

if TYPE_CHECKING:
    from email.message import EmailMessage

    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

GERMAN = {"Accept-Language": "de-CH, fr;q=0.5"}


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give a small club with one session booked."""
    load_small_club(empty_store)
    book(empty_store)
    return empty_store


@pytest.fixture
def app(store: Store) -> Flask:
    """Make its app, the clock stopped."""
    return create_app(store, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def secret(store: Store) -> str:
    """Give the secret part of the squad's address."""
    return create_squad_link(store, KESTRELS, "a test", NOW)


def speak(store: Store, code: str) -> None:
    """Let the club speak a language."""
    with store.write() as session:
        session.execute(update(ClubRow).values(language=code))


def test_a_page_is_told_as_the_browser_asks(app: Flask, secret: str) -> None:
    """Accept-Language (RFC 9110, 12.5.4) decides where nobody chose; the answer names it."""
    stranger = app.test_client()
    answer = stranger.get(f"/ground/{secret}", headers=GERMAN)
    assert '<html lang="de">' in answer.text
    assert "In Ihrem Kalender" in answer.text
    assert "In your calendar" not in answer.text
    assert answer.headers["Content-Language"] == "de"
    assert "Accept-Language" in answer.headers["Vary"]
    told = {
        "de;q=0.2, EN-us": "en",
        "fr, de-AT;q=0.1": "de",
        "en-GB, de;q=0.9": "en",
        "de;q=0": "en",
    }
    for asked, code in told.items():
        answer = stranger.get(f"/ground/{secret}", headers={"Accept-Language": asked})
        assert answer.headers["Content-Language"] == code, asked
    for asked in ("fr", "*;q=0.1", "nonsense;;q=x", ""):
        answer = stranger.get(f"/ground/{secret}", headers={"Accept-Language": asked})
        assert answer.headers["Content-Language"] == "en", asked
    assert language.spoken() == "en", "nothing is left behind in the server"


def test_a_choice_goes_before_the_browser(app: Flask, secret: str) -> None:
    """It is kept by the browser, answered in itself, and the page comes back."""
    stranger, page = app.test_client(), f"/ground/{secret}"
    data = {"language": "de", "back": page, "csrf_token": token(stranger, page)}
    assert stranger.post("/language", data=data).headers["Location"] == page
    shown = stranger.get(page, headers={"Accept-Language": "en"}).text
    assert "Die Seiten sprechen jetzt die gewählte Sprache." in shown
    assert '<option value="de" lang="de" selected>Deutsch</option>' in shown
    assert '<option value="en" lang="en">English</option>' in shown


def test_an_unknown_language_is_not_kept(app: Flask, secret: str) -> None:
    """Nonsense changes nothing, and no page of another site is gone to."""
    stranger, page = app.test_client(), f"/ground/{secret}"
    send(stranger, "/language", page, language="tlh", back="//elsewhere.example")
    assert stranger.get_cookie("language") is None
    stranger.set_cookie("language", "../../etc/passwd")
    assert stranger.get(page).headers["Content-Language"] == "en"


def test_the_clubs_language_is_what_is_left(app: Flask, store: Store, secret: str) -> None:
    """For a browser that asks for none that we have; English before there is a club."""
    speak(store, "de")
    answer = app.test_client().get(f"/ground/{secret}", headers={"Accept-Language": "fr"})
    assert answer.headers["Content-Language"] == "de"


def test_what_goes_to_everybody_is_in_the_clubs_language(
    app: Flask, store: Store, secret: str
) -> None:
    """The calendar and the notice board, whoever fetches them."""
    stranger = app.test_client()
    turn_board(store, is_on=True, now=NOW)
    with store.read() as session:
        venue = load_venues(session)[0].key
    assert "Surface: " in stranger.get(f"/ground/{secret}/sessions.ics", headers=GERMAN).text
    assert '<html lang="en">' in stranger.get(f"/board/{venue}", headers=GERMAN).text
    speak(store, "de")
    feed = stranger.get(f"/ground/{secret}/sessions.ics", headers={"Accept-Language": "en"})
    assert "Belag: " in feed.text.replace("\r\n ", "")
    board = stranger.get(f"/board/{venue}", headers={"Accept-Language": "en"})
    assert '<html lang="de">' in board.text
    sheet = stranger.get(f"/board/{venue}/sheet.pdf", headers={"Accept-Language": "en"})
    assert b"Lang(de)" in sheet.data


def test_mails_are_in_the_clubs_language(empty_store: Store) -> None:
    """Their subject and both their parts."""
    squads = SQUADS.replace(",coach,", ",coach,coach e-mail,")
    squads = squads.replace("Robin Hale,", "Robin Hale,robin@alderby.example,")
    load_small_club(empty_store, squads=squads.replace("Sam Reed,", "Sam Reed,,"))
    speak(empty_store, "de")
    noon = datetime(2026, 11, 25, 12, tzinfo=UTC)
    book(empty_store, now=noon)
    sent: list[EmailMessage] = []

    def keep(_server: MailServer, message: EmailMessage, _to: str) -> tuple[Fate, str]:
        sent.append(message)
        return Fate.TAKEN, ""

    server = MailServer("mail.example", 25, "none", "", "", "pitches@club.example")
    config = Config("", ADDRESS, mail_server=server)
    assert deliver(empty_store, config, lambda: noon, at_once=True, send=keep).sent == 1
    (message,) = sent
    assert message["Subject"].startswith("Neu heute: U12 Kestrels, 18:00")
    text, page = message.get_body(("plain",)), message.get_body(("html",))
    assert text is not None
    assert page is not None
    assert "Die Seite zeigt, wie es jetzt steht" in text.get_content()
    assert '<html lang="de">' in page.get_content()


def test_a_secretary_sets_the_clubs_language(app: Flask, store: Store) -> None:
    """By the form of the club, which offers every language by its own name."""
    desk = sign_in(app, store)
    page = desk.get("/desk/club")
    assert '<option value="de">Deutsch</option>' in page.text
    seen = page.text.split('name="seen" value="')[1].split('"')[0]
    cells = {"name": "Hill Club", "time_zone": "Europe/London", "step_minutes": "15"}
    more = {"changeover_minutes": "0", "travel_minutes": "30", "language": "de", "seen": seen}
    send(desk, "/desk/club", "/desk/club", **cells, **more)
    with store.read() as session:
        assert load_club(session).language == "de"


def test_faults_are_told_in_the_readers_language(app: Flask, store: Store) -> None:
    """Of a form, and of a page that is not there."""
    desk = sign_in(app, store)
    desk.set_cookie("language", "de")
    seen = desk.get("/desk/club").text.split('name="seen" value="')[1].split('"')[0]
    page = send(desk, "/desk/club", "/desk/club", name="", step_minutes="4", seen=seen)
    assert "Schreiben Sie den Namen, den man verwendet." in page
    assert "Hier ist nichts" in desk.get("/nowhere").text


def test_a_share_out_is_told_in_the_language_of_its_reader(club_store: Store) -> None:
    """Whichever was spoken when it ran."""
    with language.speaking("de"):
        number = run_share_out(club_store, "spring", Effort(seconds=1.0), NOW).number
        assert "verlangten Einheiten" in see_share_out(club_store, number, NOW).sentence
    assert "sessions asked for" in see_share_out(club_store, number, NOW).sentence


def test_parts_are_called_in_the_clubs_language(empty_store: Store) -> None:
    """Whoever loads or saves a pitch: parts without a name of their own get the club's words."""
    settings = 'club.name = "Verein"\nclub.time_zone = "Europe/Berlin"\nclub.language = "de"\n'
    venue = '[[venues]]\nname = "Anger"\nlon = 11.0\nlat = 48.0\nopening = "Mon-Fri 16:00-22:00"\n'
    grounds = (
        '{"type": "FeatureCollection", "venue": "Anger", "features": [{"type": "Feature", '
        '"geometry": {"type": "Point", "coordinates": [11.0, 48.0]}, "properties": {"role": '
        '"pitch", "name": "Platz 1", "surface": "grass", "length_m": 100, "width_m": 60, '
        '"bearing_deg": 0, "cuts": ["halves", "thirds", "quarters", "grid"]}}]}'
    )
    files = [
        ClubFile("anger.geojson", grounds.encode()),
        ClubFile("club.toml", (settings + venue).encode()),
    ]
    load_files(empty_store, files, NOW)
    with empty_store.read() as session:
        pitch = load_venues(session)[0].pitches[0]
    assert [pitch.edges.start, pitch.edges.far] == ["Südende", "Nordende"]
    assert [area.name for area in pitch.areas] == [
        "Platz 1 ganz",
        "Hälfte Süd",
        "Hälfte Nord",
        "Drittel Süd",
        "Mittleres Drittel",
        "Drittel Nord",
        "Viertel Süd",
        "Inneres Viertel Süd",
        "Inneres Viertel Nord",
        "Viertel Nord",
        "Ecke Süd, Ostseite",
        "Ecke Süd, Westseite",
        "Ecke Nord, Ostseite",
        "Ecke Nord, Westseite",
    ]


def test_two_readers_at_once_do_not_mix(app: Flask, secret: str) -> None:
    """Each request speaks for itself, whatever the other threads do."""
    told: dict[str, set[str]] = {"de": set(), "en": set()}

    def read(code: str) -> None:
        client: FlaskClient = app.test_client()
        for _ in range(3):
            answer = client.get(f"/ground/{secret}", headers={"Accept-Language": code})
            told[code].add("de" if "In Ihrem Kalender" in answer.text else "en")

    threads = [threading.Thread(target=read, args=(code,)) for code in ("de", "en", "de", "en")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert told == {"de": {"de"}, "en": {"en"}}
