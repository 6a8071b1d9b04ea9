"""The page of grass."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.stores import MEADOW
from tests.webapp.conftest import send

if TYPE_CHECKING:
    from flask.testing import FlaskClient

PAGE = "/desk/season/grass"


def test_a_limit_is_set_by_guidance_and_pictured(desk: FlaskClient) -> None:
    """Before there is a limit there is a table; with one there is a picture and its source."""
    text = desk.get(PAGE).text
    assert "No limit is set." in text
    assert "<svg" not in text
    text = send(desk, PAGE, PAGE, pitch=MEADOW, construction="pipe-drained", quality="")
    assert "at most 3 adult hours a week (Sport England" in text
    assert "<svg" in text
    text = send(desk, PAGE, PAGE, pitch=MEADOW, hours="2,5", matches="", source="own measure")
    assert "at most 2.5 adult hours" in text


def test_faults_are_told(desk: FlaskClient) -> None:
    """A figure that is none, a missing source, an unknown pitch."""
    assert "Enter a figure like 3" in send(desk, PAGE, PAGE, pitch=MEADOW, hours="many")
    assert "Say where the figures come from" in send(desk, PAGE, PAGE, pitch=MEADOW, hours="3")
    assert "There is no pitch" in send(desk, PAGE, PAGE, pitch="moon", hours="3", source="x")
