"""Every list that a page offers as a file is sent as one, to whoever sees the page alone."""

from __future__ import annotations

import html
import json
import re
from typing import TYPE_CHECKING

import pytest
from shapely.geometry import shape

from clubplanner.domain.club.people import Role
from tests.outputs.tables.tables import calamine_rows, csv_rows, opened
from tests.webapp.conftest import sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

LISTS = {
    "/desk/squads": 1,
    "/desk/bookings": 1,
    "/desk/evening": 1,
    "/desk/week": 1,
    "/desk/season/squads/u13-kestrels": 1,
    "/desk/season/matches": 1,
    "/desk/season/hires": 2,
    "/desk/season/closures": 1,
    "/desk/season/asks": 2,
    "/desk/season/fairness": 1,
    "/desk/season/grass": 1,
    "/desk/season/light": 3,
    "/desk/season/weeks": 1,
    "/desk/season/ahead": 1,
    "/desk/season/year": 3,
    "/desk/season/next": 3,
    "/desk/season/changes": 1,
    "/desk/season/mails": 2,
    "/desk/season/busy": 1,
    "/desk/people": 1,
    "/desk/addresses": 2,
    "/desk/addresses/all": 2,
    "/desk/share-outs": 1,
    "/desk/clubs": 1,
    "/desk/grounds": 1,
    "/desk/files": 1,
    "/desk/board": 2,
}
"""Each page that lists something, and how many tables it has."""


def test_each_list_is_a_workbook_and_a_text(desk: FlaskClient) -> None:
    """Two readers find the same headings; a heading says something, and no two are alike."""
    for path, count in LISTS.items():
        answer = desk.get(f"{path}?as=xlsx")
        assert answer.status_code == 200, path
        sheets = opened(answer.data)
        assert len(sheets) == count, path
        for number, sheet in enumerate(sheets, start=1):
            headings = [cell.value for cell in sheet[1]]
            assert all(headings), path
            assert len(set(headings)) == len(headings), path
            assert sheet.freeze_panes == "A2"
            rows = csv_rows(desk.get(f"{path}?as=csv&table={number}").data)
            assert rows[0] == headings == calamine_rows(answer.data, number - 1)[0]
            assert len(rows) == sheet.max_row, path


def test_a_file_opens_to_whoever_opens_its_page(app: Flask, club_store: Store) -> None:
    """A groundskeeper, a coach and a stranger have no list of a page that is not theirs."""
    visitors = [
        sign_in(app, club_store, Role.GROUNDSKEEPER),
        sign_in(app, club_store, Role.COACH, "u13-kestrels"),
        app.test_client(),
    ]
    for path in LISTS:
        for who in visitors:
            assert who.get(f"{path}?as=csv").status_code == who.get(path).status_code, path


@pytest.mark.parametrize("path", ["/desk/grounds", "/desk/evening", "/desk/week", "/desk/bookings"])
def test_ground_is_a_map(desk: FlaskClient, path: str) -> None:
    """A general-purpose reader finds as many outlines as the table has rows."""
    answer = desk.get(f"{path}?as=geojson")
    assert answer.headers["Content-Type"] == "application/geo+json"
    features = json.loads(answer.data)["features"]
    rows = csv_rows(desk.get(f"{path}?as=csv").data)
    assert [list(feature["properties"]) for feature in features] == [rows[0]] * (len(rows) - 1)
    assert all(shape(f["geometry"]).is_valid for f in features if f["geometry"])


def test_a_coach_takes_away_what_is_theirs(app: Flask, club_store: Store) -> None:
    """The coming weeks and what fits, of their own squads."""
    coach = sign_in(app, club_store, Role.COACH, "u13-kestrels")
    weeks = csv_rows(coach.get("/coach/weeks?as=csv").data)
    assert weeks[0][:3] == ["Squad", "Date", "From"]
    assert {row[0] for row in weeks[1:]} <= {"U13 Kestrels"}
    fits = coach.get("/coach/squads/u13-kestrels/fits?as=xlsx&players=12")
    assert opened(fits.data)[0]["A1"].value == "Way to play"
    assert coach.get("/coach/squads/u14-harriers/fits?as=xlsx").status_code == 404


def test_pages_offer_what_they_list(desk: FlaskClient) -> None:
    """What a page offers opens, with what is chosen on it."""
    for path in ("/desk/week?week=2026-11-25", "/desk/squads", "/desk/people"):
        links = re.findall(r'href="([^"]*(?:[?]|&amp;)as=[^"]*)"', desk.get(path).text)
        assert len(links) == (3 if "week" in path else 2)
        for link in map(html.unescape, links):
            assert desk.get(link).status_code == 200
        if "?" in path:
            assert all("week=2026-11-25" in link for link in links)
