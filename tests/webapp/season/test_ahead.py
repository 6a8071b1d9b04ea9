"""The page of what is seen ahead."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.evening.matches.fixture_rows import load_fixtures
from clubplanner.services.season.year import set_holiday_place
from tests.builders import NOW
from tests.stores import MEADOW, make_wish, put_booking

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/season/ahead"


def test_problems_lead_to_where_they_are_mended(desk: FlaskClient, club_store: Store) -> None:
    """Every link of the list opens."""
    put_booking(club_store, make_wish(club_store, "half-1", pitch_key=MEADOW), NOW)
    put_booking(club_store, make_wish(club_store, "third-1"), NOW)
    text = b"date,kick-off,squad,opponent\n2026-11-28,10:00,U7 Wrens,Brook End\n"
    load_fixtures(club_store, ClubFile("f.csv", text))
    set_holiday_place(club_store, "GB", "SCT")
    page = desk.get(PAGE).text
    for words in (
        "in two places",
        "Matches without ground",
        "In the dark",
        "Squads without a session",
        "Breaks not entered",
    ):
        assert words in page
    links = set(re.findall(r'<br><a href="([^"]+)"', page))
    assert len(links) >= 5
    for link in links:
        assert desk.get(link.replace("&amp;", "&")).status_code == 200


def test_the_reach_can_be_chosen(desk: FlaskClient) -> None:
    """Two to twenty-six weeks; anything else is four."""
    assert "coming 8 weeks" in desk.get(f"{PAGE}?weeks=8").text
    assert "coming 4 weeks" in desk.get(f"{PAGE}?weeks=99").text
