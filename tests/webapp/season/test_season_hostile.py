"""Odd, huge and hostile values on the pages of the season end in a page, never in a failure."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.builders import NOW
from tests.stores import make_wish, put_booking
from tests.webapp.conftest import token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

HUGE = "9" * 30
ODD = ("", "-1", HUGE, "1e9", "٣", "<script>alert(1)</script>", "x" * 5000, "2026-13-45", "nan")
LOOKED_AT = (
    "changes?before={}",
    "closures?area={}&date={}",
    "closures/look?area={}&date={}&from={}&until_date={}&until={}&condition={}&reason={}",
    "light?from={}&venue={}",
    "ahead?weeks={}",
    "matches/1?choice={}",
)
SENT = {
    "closures": ("area", "date", "from", "until_date", "until", "condition", "reason", "place-1"),
    "closures/again": ("area", "date", "from", "until_date", "until", "condition", "reason"),
    "matches": ("squad", "opponent", "date", "from", "to", "minutes", "format", "note"),
    "matches/1/place": ("choice", "place-1"),
    "light/move": ("numbers", "offer"),
    "light/cost": ("per_hour", "currency"),
    "grass": ("pitch", "construction", "quality", "hours", "match_limit", "source"),
    "year/holidays": ("country", "region"),
    "year/holidays/decide": ("day", "choice", "name"),
    "year/breaks": ("name", "first", "last"),
    "year/stretches": ("stretch", "stretch_name", "stretch_first", "stretch_last"),
    "year/squads": ("squad", "squad_first", "squad_last"),
    "asks/1/grant": ("place",),
    "asks/1/refuse": ("answer",),
    "swaps/1/accept": (),
    "swaps/1/end": (),
}


@pytest.mark.parametrize("path", LOOKED_AT)
def test_odd_addresses_end_in_a_page(desk: FlaskClient, path: str) -> None:
    """Looking with odd values is answered in words."""
    for odd in ODD:
        answer = desk.get("/desk/season/" + path.format(*[odd] * path.count("{}")))
        assert answer.status_code in (200, 404, 422), (path, odd)
        assert "<script>alert" not in answer.text


@pytest.mark.parametrize("path", SENT)
def test_odd_forms_end_in_a_page(desk: FlaskClient, club_store: Store, path: str) -> None:
    """Sending odd values, all at once or one by one among good ones, is answered in words."""
    put_booking(club_store, make_wish(club_store), NOW)
    csrf = token(desk, "/desk/season/closures")
    good = {"date": "2026-11-25", "from": "17:00", "until_date": "2026-11-25", "until": "20:00"}
    good |= {"area": "1", "condition": "closed", "reason": "frost"}
    among_good = ODD[::2] if good.keys() & set(SENT[path]) else ()
    for odd, base in (*((odd, {}) for odd in ODD), *((odd, good) for odd in among_good)):
        data = {**dict.fromkeys(SENT[path], odd), **base, "csrf_token": csrf}
        answer = desk.post(f"/desk/season/{path}", data=data)
        assert answer.status_code in (200, 302, 404, 409, 422), (path, odd, base)


@pytest.mark.parametrize(
    "path", ["give", "sessions/1/hand-back", "sessions/1/more", "sessions/1/swap"]
)
def test_odd_forms_of_a_coach_end_in_a_page(
    desk: FlaskClient, club_store: Store, path: str
) -> None:
    """So do odd values on the pages of give and take."""
    put_booking(club_store, make_wish(club_store), NOW)
    csrf = token(desk, "/desk/season/closures")
    fields = ("squad", "date", "from", "to", "minutes", "part", "note", "other", "sequence")
    for odd in ODD:
        data = {**dict.fromkeys(fields, odd), "csrf_token": csrf}
        answer = desk.post(f"/coach/{path}", data=data)
        assert answer.status_code in (200, 302, 404, 422), (path, odd)
