"""The pages on which a part is shared out again."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.stores import TOP
from tests.webapp.asked_runs import AGAIN, asked
from tests.webapp.conftest import send

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


@pytest.mark.usefixtures("unhurried")
def test_a_closure_is_shared_out_again(desk: FlaskClient, club_store: Store) -> None:
    """The form's closure, squads and extra session reach the run as they were typed."""
    values = {
        "day": "2026-12-02",
        "scope": "week",
        "ground": f"{TOP}/third-1",
        "until": "2026-12-03",
        "from_": "17:00",
        "to": "20:00",
        "reason": "Frost",
        "dropped": "u14-harriers",
        "squad": "u13-kestrels",
        "minutes": "45",
        "least": "0.5",
        "possible": "Fri 17:00-19:00",
    }
    page = send(desk, AGAIN, AGAIN, **values)
    assert "Sharing out the week of Wednesday 2 December 2026 again" in page
    request = asked(club_store)
    (closure,) = request.disruption.closures
    assert (str(closure.first), str(closure.last)) == ("2026-12-02", "2026-12-03")
    assert (closure.start_min, closure.end_min, closure.reason) == (1020, 1200, "Frost")
    assert request.disruption.dropped == {"u14-harriers"}
    assert request.disruption.extra[0].least_ground.share == 0.5


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"day": "x"}, "Enter the date as year-month-day"),
        ({"scope": "x"}, "Choose how much"),
        ({"ground": f"{TOP}/third-1"}, "Say why it is closed"),
        ({"ground": "moon", "reason": "x"}, "no longer there"),
        ({"ground": f"{TOP}/third-1", "from_": "20:00", "to": "19:00"}, "The end must come after"),
        ({"ground": f"{TOP}/third-1", "scope": "rest", "reason": "x"}, "how long the ground"),
        ({"ground": f"{TOP}/third-1", "until": "2026-11-01", "reason": "x"}, "must not end before"),
        ({"dropped": "moon"}, "no longer there"),
        ({"squad": "u13-kestrels", "possible": ""}, "Enter when it may be"),
        ({"squad": "u13-kestrels", "possible": "Xyz"}, "is not a weekday"),
        ({"squad": "u13-kestrels", "possible": "Fri", "minutes": "9"}, "15 to 300 minutes"),
        ({"squad": "u13-kestrels", "possible": "Fri", "least": "7"}, "how much ground"),
        ({"squad": "moon", "possible": "Fri"}, "This squad is no longer there"),
    ],
)
def test_what_was_typed_wrongly_is_told_and_kept(
    desk: FlaskClient, values: dict[str, str], words: str
) -> None:
    """Each fault has its sentence; nothing is started and nothing typed is lost."""
    sound = {
        "day": "2026-12-02",
        "scope": "evening",
        "from_": "00:00",
        "to": "24:00",
        "minutes": "60",
        "least": "0",
    }
    page = send(desk, AGAIN, AGAIN, **{**sound, **values})
    assert "Nothing was started" in page
    assert words in page
    kept = [v for name, v in values.items() if name in ("reason", "possible", "until") and v]
    assert all(f'value="{value}"' in page for value in kept)
