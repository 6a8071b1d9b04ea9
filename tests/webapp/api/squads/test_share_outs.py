"""Share-outs by the API: started, followed, read, published."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.services.share_out.runs import share_worker
from clubplanner.webapp.base import runner
from tests.builders import NOW
from tests.small_club import KESTRELS, TOP, kept_bookings
from tests.webapp.api.programs import is_problem
from tests.webapp.asked_runs import asked

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.webapp.api.programs import Program

QUICK = {"stretch": "winter", "seconds": 2}


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Let no process be started; note which run would have been."""
    numbers: list[int] = []
    monkeypatch.setattr(runner.Runner, "launch", lambda _self, _store, n: numbers.append(n))
    return numbers


def test_a_stretch_is_shared_out_from_end_to_end(
    desk: Program, small: Store, started: list[int]
) -> None:
    """Started, worked on, followed to its proposal, read and published: bookings stand."""
    begun = desk.post("/share-outs", QUICK)
    assert begun.status_code == 201, begun.json
    assert begun.headers["Location"] == "/api/1/share-outs/runs/1"
    assert begun.json["state"] == "queued"
    assert started == [1]
    share_worker.work(small, 1, clock=lambda: NOW)
    run = desk.get("/share-outs/runs/1").json
    assert (run["state"], run["share_out"]) == ("done", 1)
    read = desk.get("/share-outs/1").json
    assert {one["squad"] for one in read["sessions"]} >= {KESTRELS}
    first = next(one for one in read["sessions"] if one["squad"] == KESTRELS)
    assert (first["weekday"], first["starts"], first["ends"]) == ("wed", "18:00", "19:15")
    assert first["place"]["pitch"] == TOP
    assert "2026-12-02" in first["dates"]
    assert read["published_at"] is None
    assert [one["number"] for one in desk.get("/share-outs").json["items"]] == [1]
    unseen = desk.post("/share-outs/1/publish", {"seen": "something else"})
    assert is_problem(unseen, 409, "changed-meanwhile")
    assert kept_bookings(small) == []
    done = desk.post("/share-outs/1/publish", {"seen": read["seen"]})
    assert done.status_code == 201, done.json
    assert done.json["published_at"] is not None
    assert done.json["seen"] == ""
    to_come = [day for one in read["sessions"] for day in one["dates"] if day >= f"{NOW:%Y-%m-%d}"]
    assert len(kept_bookings(small)) == len(to_come)
    again = desk.post("/share-outs/1/publish", {"seen": read["seen"]})
    assert is_problem(again, 422, "refused")


def test_an_evening_is_asked_for_as_such(desk: Program, small: Store, started: list[int]) -> None:
    """With the effort that was asked for; one runs at a time, and can be stopped."""
    wanted = {"day": "2026-11-25", "seconds": 7, "seed": 3}
    assert desk.post("/share-outs", wanted).status_code == 201
    request = asked(small)
    assert request.scope is not None
    assert request.scope.day.isoformat() == "2026-11-25"
    assert (request.effort.seconds, request.effort.seed) == (7.0, 3)
    assert is_problem(desk.post("/share-outs", QUICK), 422, "refused")
    stopped = desk.post("/share-outs/runs/1/stop")
    assert "Stopping" in stopped.json["words"]
    assert started == [1]


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ({}, 422),
        ({"stretch": "winter", "day": "2026-11-25"}, 422),
        ({"stretch": "nowhen"}, 404),
        ({"stretch": "winter", "seconds": 601}, 422),
    ],
)
def test_what_cannot_be_shared_out_is_refused(
    desk: Program, started: list[int], body: dict[str, Any], status: int
) -> None:
    """Neither or both, no such stretch, too long; nothing is started."""
    assert desk.post("/share-outs", body).status_code == status
    assert started == []


def test_what_is_not_there_is_missing(desk: Program, coach: Program) -> None:
    """And none of it is a coach's."""
    for path in ("/share-outs/9", "/share-outs/runs/9"):
        assert is_problem(desk.get(path), 404, "not-there")
        assert is_problem(coach.get(path), 403, "not-yours")
