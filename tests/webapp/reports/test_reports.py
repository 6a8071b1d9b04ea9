"""The pages of reports: any days, each table with its picture, files, and who may read what."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import HARRIERS, book
from tests.webapp.conftest import ADDRESS, sign_in

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

NOVEMBER = "first=2026-11-01&last=2026-11-30"


@pytest.fixture
def secretary(small: Store) -> FlaskClient:
    """The secretary's browser."""
    return sign_in(create_app(small, Config("", ADDRESS), lambda: NOW), small)


@pytest.fixture
def booked(small: Store) -> Store:
    """Two sessions on the top pitch on one evening."""
    book(small)
    book(small, HARRIERS, "third-2", end_min=19 * 60)
    return small


def test_the_overview_is_of_this_month(secretary: FlaskClient, booked: Store) -> None:
    """Main figures with their definitions, and what hours are for."""
    page = secretary.get("/desk/reports").text
    assert "1 Nov 2026 to 30 Nov 2026" in page
    assert "2.25 h" in page
    assert "Of all sessions that are booked and not withdrawn" in page
    assert "Hours, by purpose" in page


@pytest.mark.parametrize(
    ("show", "words"),
    [
        ("squads", "U14 Harriers"),
        ("months", "November 2026"),
        ("pitches", "Top pitch"),
        ("asked-ages", "U14"),
        ("unused-venues", "Marsh Lane"),
        ("lamps", "Hours lit"),
    ],
)
def test_each_table_has_picture_sum_and_definitions(
    secretary: FlaskClient, booked: Store, show: str, words: str
) -> None:
    """A drawing with words, a table whose last line is the sum, and what its figures mean."""
    page = secretary.get(f"/desk/reports?{NOVEMBER}&show={show}").text
    assert words in page
    assert 'role="img"' in page
    assert page.count("<tfoot>") == 1
    assert "report-meanings" in page


def test_a_table_that_there_is_not_is_said(secretary: FlaskClient, booked: Store) -> None:
    """Nothing was lost in these days, so there is no such table to show."""
    answer = secretary.get(f"/desk/reports?{NOVEMBER}&show=lost")
    assert answer.status_code == 404
    assert "choose one of its tables" in answer.text


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("first=2026-11-30&last=2026-11-01", "The last date comes before the first"),
        ("first=2016-11-30&last=2026-11-01", "Choose three years at most"),
        ("first=2026-11-30", "Enter the date as year-month-day"),
        ("first=November&last=2026-11-30", "Enter the date as year-month-day"),
    ],
)
def test_days_that_make_no_report_are_said(
    secretary: FlaskClient, booked: Store, query: str, words: str
) -> None:
    """At their field, with what was typed kept and this month shown instead."""
    answer = secretary.get(f"/desk/reports?{query}")
    assert answer.status_code == 422
    assert words in answer.text
    assert query.partition("&")[0].partition("=")[2] in answer.text
    paper = secretary.get(f"/desk/reports/report.pdf?{query}")
    assert paper.status_code == 422
    assert words in paper.text


def test_a_report_goes_out_as_files(secretary: FlaskClient, booked: Store) -> None:
    """All tables as a workbook and on paper, the one looked at as CSV."""
    workbook = secretary.get(f"/desk/reports?{NOVEMBER}&as=xlsx")
    assert "Hours, by squad" in load_workbook(BytesIO(workbook.data)).sheetnames
    text = secretary.get(f"/desk/reports?{NOVEMBER}&show=venues&as=csv").data.decode("utf-8-sig")
    assert text.splitlines()[-1].startswith("Sum,2,2.25,0,0,2.25,100%,100%")
    paper = secretary.get(f"/desk/reports/report.pdf?{NOVEMBER}")
    assert paper.content_type == "application/pdf"
    assert "report-2026-11-01-2026-11-30.pdf" in paper.headers["Content-Disposition"]
    assert "Who had which ground" in PdfReader(BytesIO(paper.data)).pages[0].extract_text()


def test_a_long_table_comes_a_leaf_at_a_time(secretary: FlaskClient, booked: Store) -> None:
    """The sum stays that of all leaves."""
    for number in range(15):
        book(booked, f"Choir {number:02}", "third-3", start_min=8 * 60 + 30 * number,
             end_min=8 * 60 + 30 * number + 30, purpose=Purpose.HIRE)  # fmt: skip
    first = secretary.get(f"/desk/reports?{NOVEMBER}&show=hirers").text
    second = secretary.get(f"/desk/reports?{NOVEMBER}&show=hirers&from=13").text
    assert "Choir 00" in first
    assert "Choir 14" not in first
    assert "Choir 14" in second
    assert all(">9.75</td>" in page for page in (first, second))
