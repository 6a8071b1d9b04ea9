"""The pages about money: tariffs typed, a month looked at, statements issued and sent."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

import pypdf
import pytest

from clubplanner.config import Config
from clubplanner.services.rows.club.money_rows import load_reductions, load_tariffs, load_terms
from clubplanner.webapp import create_app
from tests.services.money.money_club import CHOIR, DECEMBER_3, book_november, load_tariffed_club
from tests.webapp.conftest import ADDRESS, sign_in, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from clubplanner.store.engine import Store
    from tests.stores import Filled

TARIFFS, MONEY = "/desk/money/tariffs", "/desk/money"


@pytest.fixture
def club(filled: Filled) -> Store:
    """Give the small club with tariffs and a November."""
    store = filled(load_tariffed_club)
    book_november(store)
    return store


@pytest.fixture
def desk(club: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(create_app(club, Config("", ADDRESS), lambda: DECEMBER_3), club)


def post(desk: FlaskClient, path: str, **fields: str) -> TestResponse:
    """Send a form and follow where it leads."""
    values = {"csrf_token": token(desk, TARIFFS), **fields}
    return desk.post(path, data=values, follow_redirects=True)


def test_a_tariff_is_typed_changed_and_taken_out(club: Store, desk: FlaskClient) -> None:
    """Every condition comes back in its form as it was typed."""
    typed = {
        "payer": "hirer",
        "spot": "marsh-lane/marsh-lane-top-pitch/half-1",
        "amount": "12,5",
        "per": "hour",
        "adds": "1",
        "light": "floodlight",
        "weekdays": "Mon-Wed, Fri",
        "from_min": "17:00",
        "to_min": "22:00",
        "season_from": "10-01",
        "season_to": "03-31",
        "starts_on": "2026-09-01",
        "ends_on": "2027-08-31",
        "name": "Winter lamps",
    }
    page = post(desk, TARIFFS, **typed).text
    assert "The tariff is added." in page
    assert "€12.50 for an hour, on top" in page
    with club.read() as session:
        number = load_tariffs(session)[-1].number
    form = desk.get(f"{TARIFFS}/{number}").text
    for words in ('value="12.50"', 'value="Mon-Wed, Fri"', 'value="17:00"', 'value="03-31"'):
        assert words in form
    assert "is changed" in post(desk, f"{TARIFFS}/{number}", **{**typed, "amount": "13"}).text
    assert "is taken out" in post(desk, f"{TARIFFS}/{number}", act="out").text
    assert desk.get(f"{TARIFFS}/{number}").status_code == 404


def test_what_will_not_do_is_told_and_nothing_typed_is_lost(club: Store, desk: FlaskClient) -> None:
    """Each fault stands at its field."""
    answer = post(
        desk,
        TARIFFS,
        payer="squad",
        spot="marsh-lane",
        amount="12.505",
        per="hour",
        light="any",
        weekdays="",
        season_from="02-30",
        name="Odd one",
    )
    assert answer.status_code == 422
    for words in ("an amount like 12.50", "month and day, like 10-01", 'value="Odd one"'):
        assert words in answer.text
    assert post(desk, TARIFFS, weekdays="Moonday", payer="nobody").status_code == 422
    answer = post(desk, "/desk/money/terms", currency="XXQ", notice_hours="5", late_percent="101")
    assert "code of three letters" in answer.text
    assert "0 to 100 %" in answer.text
    answer = post(desk, "/desk/money/reductions", for_payer="squad", for_hirer="x", free_hours="y")
    assert "for a hirer" in answer.text
    assert "Enter hours like" in answer.text
    with club.read() as session:
        assert (len(load_tariffs(session)), len(load_reductions(session))) == (4, 1)


def test_reductions_and_terms_are_typed(club: Store, desk: FlaskClient) -> None:
    """An hour and a half free for one squad; the currency by its sign."""
    page = post(
        desk,
        "/desk/money/reductions",
        for_payer="squad",
        for_squad="u14-harriers",
        free_hours="1.5",
        for_name="Founders",
    ).text
    assert "1.5 hours free a month" in page
    assert "U14 Harriers" in page
    with club.read() as session:
        number = load_reductions(session)[-1].number
        assert load_reductions(session)[-1].free_minutes == 90
    assert "is taken out" in post(desk, f"/desk/money/reductions/{number}/out").text
    post(desk, "/desk/money/terms", currency="£", notice_hours="48", late_percent="0", note="Hi")
    with club.read() as session:
        terms = load_terms(session)
    assert (terms.currency, terms.notice_hours, terms.late_percent) == ("GBP", 48, 0)


def test_a_statement_is_issued_sent_and_taken_back(desk: FlaskClient) -> None:
    """As a page, as a PDF that can be read, as CSV whose amounts add up; then taken back."""
    page = desk.get(MONEY).text
    assert "November 2026" in page
    assert "Issue all 4 statements that are left" in page
    assert "€15.00" in desk.get(f"{MONEY}/hirer/{CHOIR}/draft?month=2026-11").text
    page = post(desk, MONEY, month="2026-11", payer="club", key="marsh-lane").text
    assert "Statement 1" in page
    assert "€46.91" in page
    assert "Thank you!" in page
    there = f"{MONEY}/statements/1"
    pdf = desk.get(f"{there}/statement.pdf")
    words = "".join(one.extract_text() for one in pypdf.PdfReader(io.BytesIO(pdf.data)).pages)
    assert "Statement 1" in words
    assert "€46.91" in words
    text = desk.get(f"{there}?as=csv").data.decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [row["Amount"] for row in rows] == ["20.25", "8.33", "8.33", "10.00"]
    assert rows[1]["Share"].startswith("33.3")
    assert "Issued 3 statements" in post(desk, MONEY, month="2026-11", payer="all").text
    answer = post(desk, f"{there}/take-back", why="")
    assert answer.status_code == 422
    page = post(desk, f"{there}/take-back", why="Wrong price").text
    assert "Wrong price" in page
    assert "taken back" in desk.get(f"{MONEY}?month=2026-11").text


def test_months_are_turned_and_what_cannot_be_is_told(desk: FlaskClient) -> None:
    """A month that is not over has figures so far; one that is no month is the last one."""
    assert "Nothing is owed for this month." in desk.get(f"{MONEY}?month=2026-10").text
    assert "November 2026" in desk.get(f"{MONEY}?month=moon").text
    answer = post(desk, MONEY, month="2026-12", payer="all")
    assert answer.status_code == 422
    assert "not over yet" in answer.text
    assert post(desk, MONEY, month="2026-11", payer="moon").status_code == 422
    assert desk.get(f"{MONEY}/statements/9").status_code == 404
    assert "The choir" in desk.get(f"{MONEY}?month=2026-11&as=csv").text
