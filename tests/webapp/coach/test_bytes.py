"""What a phone fetches for a coach's pages the first time, compressed as it travels."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.people import Role
from tests.webapp.coach.test_ground import train
from tests.webapp.conftest import sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PARTS = re.compile(r'(?:<script[^>]* src|<link rel="stylesheet" href)="([^"]+)"')


def fetched(client: FlaskClient, address: str) -> int:
    """Count the bytes of a page, its style sheet and its scripts; fonts are kept for good."""
    packed = {"Accept-Encoding": "gzip"}
    page = client.get(address).text
    return sum(
        len(client.get(part, headers=packed).data) for part in (address, *PARTS.findall(page))
    )


@pytest.mark.parametrize(
    ("path", "most"),
    [
        ("/coach", 20_000),
        ("/coach/weeks", 20_000),
        ("/coach/squads/u13-kestrels", 20_000),
        ("/coach/squads/u13-kestrels/fits", 26_000),
    ],
)
def test_a_coachs_pages_are_light(app: Flask, club_store: Store, path: str, most: int) -> None:
    """With everything that they are made of, a coach's page under 20 kB, what fits under 26."""
    train(club_store)
    train(club_store, "third-2", squad="u14-harriers")
    coach = sign_in(app, club_store, Role.COACH, "u13-kestrels")
    assert 5_000 < fetched(coach, path) < most
