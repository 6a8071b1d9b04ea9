"""The secretary's page of asks that wait."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from tests.builders import A_WEDNESDAY
from tests.small_club import (
    HALL,
    KESTRELS,
    TOP,
    book,
)
from tests.webapp.conftest import send

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


GIVE, ASKS = "/coach/give", "/desk/season/asks"
ASK = {
    "squad": KESTRELS,
    "date": str(A_WEDNESDAY),
    "from_": "19:30",
    "to": "20:30",
    "minutes": "60",
    "part": "0.333",
    "note": "",
}


def test_the_secretary_sees_who_waits_and_steps_in(
    store: Store, people: tuple[FlaskClient, FlaskClient, FlaskClient]
) -> None:
    """Waiting asks show what is free; they are granted, refused, or served by fair turn."""
    robin, _, kim = people
    hall, _top = (
        book(
            store,
            "Choir",
            "whole",
            pitch_key=pitch,
            purpose=Purpose.HIRE,
            start_min=19 * 60 + 30,
            end_min=20 * 60 + 30,
        )
        for pitch in (HALL, TOP)
    )
    whole = {**ASK, "from_": "19:30", "to": "20:30", "part": "1"}
    for _ in range(3):
        assert "waiting list" in send(robin, GIVE, GIVE, **whole)
    text = kim.get(ASKS).text
    assert "No ground that would do is free then." in text
    assert "Nobody who waits can be served now." in send(kim, f"{ASKS}/serve", ASKS)
    send(kim, f"/desk/bookings/{hall}/withdraw", f"/desk/bookings/{hall}", sequence="0")
    send(kim, "/desk/bookings/1/withdraw", "/desk/bookings/1", sequence="0")
    value = re.search(r'<option value="(\d+@\d+)">', kim.get(ASKS).text)
    assert value is not None
    assert "no longer free" in send(kim, f"{ASKS}/1/grant", ASKS, place="1@1")
    assert "by the secretary" in send(kim, f"{ASKS}/1/grant", ASKS, place=value[1])
    assert "Refused: U12 Kestrels." in send(kim, f"{ASKS}/2/refuse", ASKS, answer="Friday?")
    page = robin.get(GIVE).text
    assert "Friday?" in page
    assert "Taken back." in send(robin, f"{GIVE}/asks/3/take-back", GIVE)
