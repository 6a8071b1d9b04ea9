"""Who sees a squad's season, and in which forms it is sent."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.people import Role
from tests.webapp.conftest import sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PATH = "/desk/season/squads/u13-kestrels"


@pytest.mark.parametrize(
    ("part", "kind"),
    [("", "text/html"), ("?as=csv", "text/csv"), ("/season.pdf", "application/pdf")],
)
def test_a_coach_has_their_own_squads_season_and_no_other(
    app: Flask, club_store: Store, part: str, kind: str
) -> None:
    """As a page, a table and a sheet; another squad's is not there for them."""
    coach = sign_in(app, club_store, Role.COACH, "u13-kestrels")
    answer = coach.get(PATH + part)
    assert answer.status_code == 200
    assert answer.headers["Content-Type"].startswith(kind)
    assert coach.get(f"/desk/season/squads/u14-harriers{part}").status_code == 404


def test_the_secretary_comes_to_it_from_the_squad(desk: FlaskClient) -> None:
    """The squad's page leads there, and from there to its forms."""
    assert f'href="{PATH}"' in desk.get("/desk/squads/u13-kestrels").text
    page = desk.get(PATH).text
    assert 'href="/desk/season/squads/u13-kestrels?as=xlsx"' in page
    assert "week-wide" in page
    assert desk.get("/desk/season/squads/nobody").status_code == 404
