"""Reports from the command line: shown, and written into files."""

from __future__ import annotations

import json
from io import BytesIO
from typing import TYPE_CHECKING

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from tests.commands.journal.test_changes import run
from tests.small_club import book, load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store

NOVEMBER = "2026-11-01", "2026-11-30"


@pytest.fixture
def path(empty_store: Store, tmp_path: Path) -> Path:
    """A database with a session on a third of the top pitch."""
    load_small_club(empty_store)
    book(empty_store)
    return tmp_path / "empty.sqlite"


def test_a_report_is_shown_with_its_definitions(path: Path) -> None:
    """In words, a table alone, and as JSON with every table and its sum."""
    shown = run(path, "reports", "show", *NOVEMBER).output
    assert "Alderby Rovers, 1 Nov 2026 to 30 Nov 2026" in shown
    assert "Hours, by squad (squads)" in shown
    one = run(path, "reports", "show", *NOVEMBER, "--table", "pitches").output
    assert "Top pitch  Marsh Lane         1      1.25" in one
    assert "by squad" not in one
    value = json.loads(run(path, "reports", "show", *NOVEMBER, "--json").output)
    tables = {table["key"]: table for table in value["tables"]}
    assert tables["squads"]["rows"][0]["hours"] == tables["squads"]["sum"]["hours"] == 1.25
    assert {column["key"] for column in tables["unused"]["columns"] if column["meaning"]} == {
        "open_hours",
        "empty_hours",
        "used_share",
        "closed_share",
        "free_share",
    }


def test_a_report_is_written_by_its_ending(path: Path, tmp_path: Path) -> None:
    """A PDF, a workbook of all tables, a table as CSV; other endings are asked about."""
    paper, book_, table = (tmp_path / f"report.{kind}" for kind in ("pdf", "xlsx", "csv"))
    for file in (paper, book_, table):
        run(path, "reports", "export", *NOVEMBER, "--output", str(file))
    assert "Who had which ground" in PdfReader(BytesIO(paper.read_bytes())).pages[0].extract_text()
    assert "Hours, by squad" in load_workbook(book_).sheetnames
    assert "U12 Kestrels,U12,1,1.25" in table.read_text("utf-8-sig")
    asked = run(path, "reports", "export", *NOVEMBER, "--output", str(tmp_path / "report.docx"))
    assert asked.exit_code == 2
    assert "ends in .pdf, .xlsx or .csv" in asked.output


def test_a_table_that_there_is_not_is_named_with_those_that_are(path: Path) -> None:
    """So that it can be typed right the next time."""
    asked = run(path, "reports", "show", *NOVEMBER, "--table", "lamp")
    assert asked.exit_code == 2
    assert "squads, hirers" in asked.output
