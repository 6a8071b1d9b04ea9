"""Addresses and forms nobody means well with: a page every time, and nothing changed."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.people.ways_in.passwords import create_secretary_key
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.large_club import noting_statements
from tests.small_club import KESTRELS, book, kept_bookings, load_small_club
from tests.stores import count_rows
from tests.webapp.conftest import ADDRESS, sign_in, token

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

HUGE = "9" * 30
JUST_TOO_LARGE = str(2**63)
FIELDS = {"area": "1", "date": "2026-11-30", "from": "18:00", "to": "19:00", "sequence": "0"}


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with one booking."""
    load_small_club(empty_store)
    book(empty_store)
    return empty_store


@pytest.fixture
def app(store: Store) -> Flask:
    """Make the small club's app."""
    return create_app(store, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def desk(app: Flask, store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(app, store)


def plain(page: str) -> str:
    """Return a page's words without its tags."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page))


def test_impossible_numbers_lead_nowhere(desk: FlaskClient, store: Store) -> None:
    """A number that no booking or proposal can have is a page that says so; nothing changes."""
    before = kept_bookings(store)
    data = {**FIELDS, "csrf_token": token(desk, "/desk/files")}
    for number in (HUGE, JUST_TOO_LARGE, "0", "-1", "1.5", "%00", "²"):
        for path in ("bookings", "share-outs"):
            answer = desk.get(f"/desk/{path}/{number}")
            assert (answer.status_code, number) == (404, number)
            assert "There is nothing here" in answer.text
        for path in (
            f"bookings/{number}/move",
            f"bookings/{number}/withdraw",
            f"share-outs/{number}/publish",
        ):
            assert (desk.post(f"/desk/{path}", data=data).status_code, path) == (404, path)
    assert kept_bookings(store) == before


def test_impossible_maps_lead_nowhere(app: Flask, store: Store) -> None:
    """A map of an impossible number is not there either."""
    secret = create_squad_link(store, KESTRELS, "a test", NOW)
    client = app.test_client()
    for number in (HUGE, JUST_TOO_LARGE, "0", "-1"):
        assert client.get(f"/ground/{secret}/map/{number}.png").status_code == 404


def test_odd_secrets_are_unknown_ones(app: Flask) -> None:
    """Whatever stands for a secret is an address that is not in use, and is not repeated."""
    for secret in ("%00", "a" * 5000, "..%2f..", "%ff%fe", "' OR 1=1 --", "👟"):
        answer = app.test_client().get(f"/ground/{secret}")
        assert answer.status_code == 404
        assert secret not in plain(answer.text)


def test_odd_times_still_show_an_evening(desk: FlaskClient) -> None:
    """A day or time nobody can mean shows another one, never a failure."""
    for query in (
        "date=9999-12-31",
        "date=0001-01-01",
        "date=2199-12-31",
        "date=2000-01-01",
        "date=2026-02-30",
        "date=%00",
        "at=24:00",
        "at=99:99",
        "at=%00",
        "at=" + "1" * 5000,
        "date=" + "9" * 5000,
        "date=2026-11-25&date=x&at=18:00&at=19:00",
    ):
        answer = desk.get(f"/desk/evening?{query}")
        assert (answer.status_code, query) == (200, query)
        assert "On the ground at" in answer.text


@pytest.mark.parametrize("name", ["area", "date", "from", "to", "purpose", "squad", "who", "note"])
def test_no_field_breaks_the_booking_form(desk: FlaskClient, store: Store, name: str) -> None:
    """Any value in any field gives the page back with its faults, or a booking."""
    good = {**FIELDS, "purpose": "hire", "who": "Hill Runners", "note": ""}
    csrf = token(desk, "/desk/files")
    odd = ("\x00", HUGE, "-1", "<script>alert(1)</script>", "x" * 100_000, "\u202eevil", "٣")
    for value in odd:
        before = kept_bookings(store)
        answer = desk.post("/desk/bookings", data={**good, name: value, "csrf_token": csrf})
        assert answer.status_code in (302, 422)
        assert "<script>alert" not in answer.text
        if answer.status_code == 422:
            assert 'id="faults"' in answer.text
            assert kept_bookings(store) == before


def test_a_fault_is_told_at_the_top_and_at_its_field(desk: FlaskClient) -> None:
    """Each fault is in the summary, linked to its field, and the field points at its words."""
    page = desk.post("/desk/bookings", data={"csrf_token": token(desk, "/desk/files")}).text
    for name in ("area", "date", "from", "to", "purpose", "who"):
        assert f'href="#field-{name}"' in page
        field = re.search(rf'<(?:input|select) id="field-{name}"[^>]*>', page)
        assert field is not None
        assert re.search(rf'aria-invalid="true" aria-describedby="fault-{name}[" ]', field[0])
        assert f'id="fault-{name}"' in page
    assert 'role="alert" tabindex="-1" autofocus' in page


def test_faulty_files_point_from_the_field_to_the_faults(desk: FlaskClient) -> None:
    """After an upload with faults the file field says where they stand."""
    page = desk.post("/desk/files", data={"csrf_token": token(desk, "/desk/files")}).text
    field = re.search(r'<input id="field-files"[^>]*>', page)
    assert field is not None
    assert 'aria-describedby="faults"' in field[0]
    assert 'id="faults"' in page
    assert "aria-describedby" not in desk.get("/desk/files").text


def test_withdrawing_without_the_count_says_so(desk: FlaskClient, store: Store) -> None:
    """A withdrawal that does not say what was looked at is told, not passed over."""
    answer = desk.post("/desk/bookings/1/withdraw", data={"csrf_token": token(desk, "/desk/files")})
    assert answer.status_code == 422
    assert "Open the booking again" in answer.text
    assert not kept_bookings(store, withdrawn=True)


def test_no_number_in_a_form_is_too_long_to_be_read(desk: FlaskClient, store: Store) -> None:
    """Numbers of thousands of digits, which Python refuses to read, are no numbers to us."""
    csrf, long = token(desk, "/desk/files"), "9" * 5000
    for path, fields in (
        ("/desk/share-outs/1/pinned", {"pin": long}),
        ("/desk/season/closures", {f"place-{long}": "off"}),
        ("/desk/grounds/marsh-lane/new-pitch", {f"goal_{long}_at": "both ends"}),
    ):
        answer = desk.post(path, data={**fields, "csrf_token": csrf})
        assert answer.status_code in (404, 422), path


def test_too_much_at_once_is_refused(desk: FlaskClient, store: Store) -> None:
    """A request beyond the limit is a page that says how much may come."""
    before = count_rows(store)
    answer = desk.post("/desk/files", data=b"x" * 20_000_001)
    assert answer.status_code == 413
    assert "at most 20 MB" in answer.text
    assert count_rows(store) == before


def test_a_form_of_a_million_fields_is_refused_unread(app: Flask) -> None:
    """Fields take a hundred times the memory of what is sent, so they may come in 2 MB at most."""
    kind = "application/x-www-form-urlencoded"
    answer = app.test_client().post("/sign-in", data=b"a&" * 1_000_001, content_type=kind)
    assert answer.status_code == 413
    assert "2 MB of what is typed" in answer.text


def test_a_form_that_goes_nowhere_leaves_nothing(app: Flask, store: Store) -> None:
    """A stranger's form to a page that is not there is not even noted as having come."""
    with noting_statements(store) as sent:
        answer = app.test_client().post("/nothing-here", data={"once": "x" * 20})
    assert answer.status_code == 404
    assert not [words for words in sent if words != "BEGIN" and not words.startswith("SELECT")]


def test_a_page_asked_for_the_wrong_way_says_the_right_one(desk: FlaskClient) -> None:
    """Where a method is not allowed the answer lists those that are (RFC 9110, section 15.5.6)."""
    answer = desk.get("/desk/bookings/1/withdraw")
    assert answer.status_code == 405
    assert answer.headers["Allow"] == "OPTIONS, POST"
    assert "This cannot be done that way" in answer.text


def test_forms_work_over_https_though_no_referrer_is_sent(store: Store) -> None:
    """Our pages tell browsers to send no Referer, so no form may ask for one."""
    app = create_app(store, Config("", "https://pitches.example.org"), lambda: NOW)
    client = app.test_client()
    page = f"https://pitches.example.org/secretary/{create_secretary_key(store, NOW)}"
    fields = {"name": "Robin", "password": "four words make it long"}
    answer = client.post(page, data={**fields, "csrf_token": token(client, page)})
    assert answer.status_code == 302
    wrong = client.post("https://pitches.example.org/sign-out", data={"csrf_token": "made up"})
    assert wrong.status_code == 400


def test_a_database_that_breaks_shows_no_detail(desk: FlaskClient, store: Store) -> None:
    """When the database fails under a running app the page says so without a word of SQL."""
    with store.write() as session:
        session.connection().exec_driver_sql("DROP TABLE browser")
    for path in ("/", "/desk/evening", "/nothing-here"):
        answer = desk.get(path)
        assert answer.status_code in (404, 500)
        assert "SELECT" not in answer.text
        assert "Traceback" not in answer.text


@pytest.mark.parametrize(
    "host", ["a" * 300, "a" * 64 + ".example", "pitches..example", ".", "x" * 9000]
)
def test_a_host_that_is_no_name_gets_a_plain_answer(app: Flask, host: str) -> None:
    """Labels have 1 to 63 octets (RFC 1035, 2.3.4); others are told where the club is instead."""
    for path in ("/", "/sign-in", "/nothing-here", "/static/css/pages.css"):
        answer = app.test_client().get(path, headers={"Host": host})
        assert answer.status_code == 400
        assert answer.mimetype == "text/plain"
        assert ADDRESS in answer.text
        assert len(answer.text) < 200, "what was sent is not repeated"
    assert app.test_client().post("/sign-in", headers={"Host": host}).status_code == 400


def test_an_app_of_another_making_is_told(app: Flask) -> None:
    """Views ask for the app's own state and say when it is not there."""
    app.extensions["clubplanner"] = "something else"
    app.config["PROPAGATE_EXCEPTIONS"] = False
    assert app.test_client().get("/").status_code == 500


def test_a_feed_of_a_squad_in_another_script_has_a_file_name(empty_store: Store) -> None:
    """A squad whose name has no plain letter still gives a calendar file with a name."""
    squads = "squad,players,sessions a week,minutes,possible\n東京,12,1,60,Mon 18:00-19:00\n"
    load_small_club(empty_store, squads=squads)
    app = create_app(empty_store, Config("", ADDRESS), lambda: NOW)
    secret = create_squad_link(empty_store, "東京", "a test", NOW)
    answer = app.test_client().get(f"/ground/{secret}/sessions.ics")
    assert answer.headers["Content-Disposition"] == 'inline; filename="sessions.ics"'
