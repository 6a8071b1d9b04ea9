"""Lists are taken away from the page that shows them, with what is chosen on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.outputs.tables.table import Column, Table
from clubplanner.webapp.base.taking_away import file_links, send_tables
from tests.outputs.tables.tables import csv_rows, opened

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

PATH = "/desk/season/squads/u13-kestrels"
TABLES = (Table("Ñandú hours", (Column("a"),), ()), Table("b", (Column("b"),), (("x",),)))


def test_the_kind_of_file_is_asked_for(desk: FlaskClient) -> None:
    """A page is answered as a page; another kind than there is has words that help."""
    csv = desk.get(f"{PATH}?as=csv")
    assert csv.headers["Content-Type"] == "text/csv; charset=utf-8"
    assert csv.headers["Content-Disposition"].startswith("attachment; filename=u13-kestrels-20")
    assert csv_rows(csv.data)[0][0] == "Date"
    xlsx = desk.get(f"{PATH}?as=xlsx")
    assert opened(xlsx.data)[0]["A1"].value == "Date"
    for wrong in ("pdf", "geojson"):
        answer = desk.get(f"{PATH}?as={wrong}")
        assert answer.status_code == 404
        assert "CSV or XLSX" in answer.text


def test_files_are_in_the_readers_language(desk: FlaskClient) -> None:
    """Whoever reads pages in German has German headings, and semicolons between cells."""
    answer = desk.get(f"{PATH}?as=csv", headers={"Accept-Language": "de"})
    assert csv_rows(answer.data, ";")[0][:3] == ["Datum", "Von", "Bis"]


def test_what_is_chosen_goes_along(app: Flask) -> None:
    """Filters stay, repeated ones too; the leaf and what was opened on it do not."""
    with app.test_request_context(f"{PATH}?club=a&club=b&from=61&chosen=3&as=csv"):
        assert [link.address for link in file_links()] == [
            f"{PATH}?club=a&club=b&as=csv",
            f"{PATH}?club=a&club=b&as=xlsx",
        ]
        assert file_links(2, has_ground=True)[2].address.endswith("&table=2&as=geojson")


def test_a_page_of_several_tables_has_a_sheet_each(app: Flask) -> None:
    """A workbook holds all of them or the one chosen; a text file one; names are plain letters."""
    with app.test_request_context(f"{PATH}?as=xlsx"):
        answer = send_tables(*TABLES)
        assert [sheet.title for sheet in opened(answer.get_data())] == ["Ñandú hours", "b"]
        assert "nandu-hours-" in answer.headers["Content-Disposition"]
    with app.test_request_context(f"{PATH}?as=csv&table=2"):
        assert csv_rows(send_tables(*TABLES).get_data()) == [["b"], ["x"]]


@pytest.mark.parametrize("table", ["0", "3", "x", "999"])
def test_a_table_that_there_is_not_is_missing(desk: FlaskClient, table: str) -> None:
    """The answer says so."""
    answer = desk.get(f"{PATH}?as=csv&table={table}")
    assert answer.status_code == 404
    assert "no such table" in answer.text
