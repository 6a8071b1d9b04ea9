"""The pages of a pasted table: nothing typed is lost, answers go where the question was."""

from __future__ import annotations

import html
import io
import re
from typing import TYPE_CHECKING

import pytest
from openpyxl import Workbook

from clubplanner.services.rows.snapshot import load_squads
from tests.webapp.conftest import token

if TYPE_CHECKING:
    from collections.abc import Mapping

    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from clubplanner.store.engine import Store

PAGE = "/desk/tables/squads"
_FIELD = re.compile(r"<(input|option|select)\b([^>]*)>")
_PART = re.compile(r'(\w[\w-]*)(?:="([^"]*)")?')


def post(desk: FlaskClient, fields: Mapping[str, object], page: str = PAGE) -> TestResponse:
    """Send a form of the page, as browsers do."""
    values = {"csrf_token": token(desk, PAGE), **fields}
    return desk.post(page, data=values, content_type="multipart/form-data")


def fields_of(page: str) -> dict[str, object]:
    """Return what a browser would send back of a page's form, as it stands."""
    form = page[page.index('name="table"') - 60 :]
    found: dict[str, object] = {}
    selected = ""
    for tag, rest in _FIELD.findall(form):
        parts = {name: html.unescape(value) for name, value in _PART.findall(rest)}
        if tag == "select":
            selected = parts.get("name", "")
            found[selected] = ""
        elif tag == "option" and "selected" in parts:
            found[selected] = parts["value"]
        elif tag == "input" and "name" in parts:
            if parts.get("type") in ("checkbox", "radio") and "checked" not in parts:
                continue
            if parts["name"] == "out":
                found["out"] = [*found.get("out", []), parts["value"]]  # type: ignore[misc]
            else:
                found[parts["name"]] = parts.get("value", "")
    found.pop("once", None)
    return found


TEXT = (
    "Belegung 2026/27\n"
    "Mannschaft\tAltersklasse\tSpieler\tTrainer\tTage\tZeit\n"
    "Zeisige\tD-Jugend\t16\tIna Roth\tMo+Mi\t17.30–19 Uhr\n"
    "Finken\tU 11\tviele\tJo Kern\tDi\t5-7\n"
)


def test_a_pasted_table_is_asked_about_and_taken_in(desk: FlaskClient, club_store: Store) -> None:
    """Two looks and one press: answers go into their cells, and all comes in at once."""
    page = post(desk, {"text": TEXT}).text
    assert "D-Jugend" in page
    assert "viele" in page
    fields = fields_of(page)
    assert fields["column-0"] == "squad"
    fields |= {"pick-fix-3-1": "U13", "fix-4-2": "14", "pick-fix-4-5": "17:00-19:00"}
    page = post(desk, fields | {"act": "look"}).text
    assert "Take it in" in page
    assert "2 × 90 min, Mon, Wed 17:30-19:00" in page
    answer = post(desk, fields_of(page) | {"act": "take"})
    assert answer.status_code == 302
    with club_store.read() as session:
        squads = {squad.key: squad for squad in load_squads(session)}
    assert (squads["zeisige"].age_group, squads["finken"].players) == ("U13", 14)
    assert "Taken in: " in desk.get("/desk/squads").text


def test_taking_in_with_questions_keeps_all_that_was_typed(desk: FlaskClient) -> None:
    """A wrong answer comes back as it was typed, beside what is wrong with it."""
    fields = fields_of(post(desk, {"text": TEXT}).text)
    answer = post(desk, fields | {"fix-4-2": "vierzehn <b>", "act": "take"})
    assert answer.status_code == 422
    assert 'value="vierzehn &lt;b&gt;"' in answer.text


def test_a_row_can_be_left_out_and_put_back(desk: FlaskClient) -> None:
    """Rows that are left out stay in sight."""
    fields = fields_of(post(desk, {"text": TEXT}).text)
    page = post(desk, fields | {"out": ["3", "4"], "act": "look"}).text
    assert "No row is left to be taken in" in page
    again = fields_of(page)
    assert again["out"] == ["3", "4"]
    assert "viele" in post(desk, again | {"out": ["3"], "act": "look"}).text


def test_columns_and_heading_row_can_be_corrected(desk: FlaskClient) -> None:
    """What the program took a column for can be said otherwise; another heading row asks anew."""
    fields = fields_of(post(desk, {"text": TEXT}).text)
    page = post(desk, fields | {"column-3": "assistants", "act": "look"}).text
    assert fields_of(page)["column-3"] == "assistants"
    page = post(desk, fields | {"heading": "3", "act": "look"}).text
    assert fields_of(page)["heading"] == "3"


def workbook() -> bytes:
    """Return a workbook of two sheets."""
    book = Workbook()
    first = book.active
    first.append(["Notes"])
    second = book.create_sheet("Squads")
    second.append(["Team", "Players", "Days", "Time"])
    second.append(["Wagtails", 12, "Tue", "17-18:30"])
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def test_of_several_sheets_one_is_chosen(desk: FlaskClient) -> None:
    """The page shows how each sheet begins, and goes on with the one that is meant."""
    page = post(desk, {"file": (io.BytesIO(workbook()), "squads.xlsx")}).text
    assert "Which sheet is it?" in page
    carried = dict(re.findall(r'name="(sheet-\d)" value="([^"]*)"', page))
    fields = {name: html.unescape(value) for name, value in carried.items()}
    page = post(desk, fields | {"sheet": "2"}).text
    assert "Wagtails" in page
    assert "All is understood." in page


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04nonsense", b"\xd0\xcf\x11\xe0old"])
def test_what_cannot_be_read_is_told_plainly(desk: FlaskClient, data: bytes) -> None:
    """A file that is no table leads back to the form, with what to do, and with what was typed."""
    fields = {"file": (io.BytesIO(data), "squads.xlsx"), "text": "typed beside"}
    answer = post(desk, fields)
    assert answer.status_code == 422
    assert "typed beside" in answer.text


@pytest.mark.parametrize("kind", ["squads", "matches", "hires"])
@pytest.mark.parametrize("what", ["template", "example"])
@pytest.mark.parametrize("language", ["en", "de"])
def test_a_template_is_understood_without_a_question(
    desk: FlaskClient, kind: str, what: str, language: str
) -> None:
    """Every column of what we hand out is known when it comes back, in either form and language."""
    headers = {"Accept-Language": language}
    for ending in ("csv", "xlsx"):
        sent = desk.get(f"/desk/tables/{kind}/{what}.{ending}", headers=headers)
        assert sent.status_code == 200
        file = (io.BytesIO(sent.data), f"table.{ending}")
        page = post(desk, {"file": file}, f"/desk/tables/{kind}").text
        columns = [v for n, v in fields_of(page).items() if n.startswith("column-")]
        assert columns
        assert all(columns)
        if kind == "squads" and what == "example":
            assert "All is understood." in page


def test_another_kind_of_table_is_not_there(desk: FlaskClient) -> None:
    """Addresses of tables that are taken nowhere lead nowhere."""
    assert desk.get("/desk/tables/players").status_code == 404
    assert desk.get(f"{PAGE}/other.csv").status_code == 404


def test_matches_come_in_the_same_way(desk: FlaskClient) -> None:
    """Home and away, dates that can be read both ways, squads that are not ours."""
    text = "Datum;Anstoß;Heim;Gast\n5/9/27;14 Uhr;U13 Kestrels;Brook End\n6/9/27;11:00;Fremde;X\n"
    page = post(desk, {"text": text}, "/desk/tables/matches").text
    assert "Which comes first in the dates?" in page
    fields = fields_of(page) | {"order": "day", "act": "look"}
    page = post(desk, fields, "/desk/tables/matches").text
    assert "There is no squad “Fremde”" in page
    answer = post(desk, fields_of(page) | {"out": "3", "act": "take"}, "/desk/tables/matches")
    assert answer.status_code == 302
    assert "U13 Kestrels v Brook End" in desk.get("/desk/season/matches").text


def test_hires_come_in_the_same_way(desk: FlaskClient) -> None:
    """What is understood and what is asked stands on one page; taken in, it is in the list."""
    text = "Mieter\tDatum\tvon\tbis\tPlatz\nChor\t5.12.2026\t10:00\t12:00\tMond\n"
    page = post(desk, {"text": text}, "/desk/tables/hires").text
    assert "There is no pitch “Mond”" in page
    fields = fields_of(page) | {"pick-alike-2-4": "Top pitch", "pick-fix-2-4": "Top pitch"}
    page = post(desk, fields | {"act": "look"}, "/desk/tables/hires").text
    assert "Whole of Top pitch" in page
    assert "1 date booked" in page
    answer = post(desk, fields_of(page) | {"act": "take"}, "/desk/tables/hires")
    assert answer.status_code == 302
    assert "Chor" in desk.get("/desk/season/hires").text
