"""Tables that leave the club: lists to choose from, and nothing that is taken for a formula."""

from __future__ import annotations

import io

from openpyxl import load_workbook

from clubplanner.outputs.tables.sheet_files import write_csv, write_workbook


def test_nothing_is_taken_for_a_formula() -> None:
    """Cells that begin like one are text in a workbook, and lose the sign in text files."""
    rows = [["=1+1", "+49 123 456", "@x"]]
    sheet = load_workbook(io.BytesIO(write_workbook("t", ["a", "b", "c"], rows, {}))).active
    assert [(cell.data_type, cell.value) for cell in sheet[2]] == [
        ("s", "=1+1"),
        ("s", "+49 123 456"),
        ("s", "@x"),
    ]
    assert write_csv(["a", "b", "c"], rows, ";").decode("utf-8-sig").splitlines() == [
        "a;b;c",
        "1+1;+49 123 456;x",
    ]


def test_columns_offer_their_lists() -> None:
    """A list stands at every cell below its heading; words with commas cannot be offered."""
    data = write_workbook("t", ["a", "b"], [], {0: ["yes", "no"], 1: ["one, two"]})
    (rule,) = load_workbook(io.BytesIO(data)).active.data_validations.dataValidation
    assert rule.formula1 == '"yes,no"'
    assert str(rule.sqref) == "A2:A501"
