"""The page of grass."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.store.tables.ground_tables import PitchRow
from tests.builders import A_WEDNESDAY, NOW, make_range
from tests.stores import MEADOW, make_wish, put_booking
from tests.webapp.conftest import send

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/season/grass"


def test_a_limit_is_set_by_guidance_and_pictured(desk: FlaskClient) -> None:
    """Without use and limit there is a sentence; with a limit there is a picture and its source."""
    text = desk.get(PAGE).text
    assert "No limit is set. Nothing is booked on it in these weeks." in text
    assert "<svg" not in text
    text = send(desk, PAGE, PAGE, pitch=MEADOW, construction="pipe-drained", quality="")
    assert "at most 3 adult hours a week (Sport England" in text
    assert "<svg" in text
    text = send(desk, PAGE, PAGE, pitch=MEADOW, hours="2,5", match_limit="", source="own measure")
    assert "at most 2.5 adult hours" in text


def test_faults_are_told(desk: FlaskClient) -> None:
    """A figure that is none, a missing source, an unknown pitch."""
    assert "Enter a figure like 3" in send(desk, PAGE, PAGE, pitch=MEADOW, hours="many")
    assert "Say where the figures come from" in send(desk, PAGE, PAGE, pitch=MEADOW, hours="3")
    assert "There is no pitch" in send(desk, PAGE, PAGE, pitch="moon", hours="3", source="x")


def test_use_without_a_limit_is_pictured_too(desk: FlaskClient, club_store: Store) -> None:
    """Beside its busiest week; what is to come is told from what was, and a table is behind."""
    during = make_range(A_WEDNESDAY, 14 * 60, 15 * 60)
    put_booking(club_store, make_wish(club_store, "half-1", during, pitch_key=MEADOW), NOW)
    text = desk.get(PAGE).text
    assert re.search(r"Meadow has no limit; its busiest week has 0\.\d h\.", text)
    assert ">booked</text>" in text
    assert "Week by week" in text


def test_a_club_without_grass_reads_what_to_do(desk: FlaskClient, club_store: Store) -> None:
    """One sentence and the way to the grounds: no empty half, no form for a limit of nothing."""
    with club_store.write() as session:
        for row in session.scalars(select(PitchRow)):
            row.surface = "artificial"
    text = desk.get(PAGE).text
    assert "The club has no grass pitch." in text
    assert '<a href="/desk/grounds">with its ground</a>' in text
    assert "Set a limit" not in text
