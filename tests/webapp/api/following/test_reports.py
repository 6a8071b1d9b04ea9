"""Reports by the API."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.small_club import book
from tests.webapp.api.programs import is_problem

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.webapp.api.programs import Program

DAYS = "first_day=2026-11-01&last_day=2026-11-30"


def test_a_report_is_told_with_tables_that_add_up(desk: Program, small: Store) -> None:
    """Main figures, and tables whose rows have a member for each column and sum up."""
    book(small)
    told = desk.get(f"/reports?{DAYS}").json
    assert (told["first_day"], told["last_day"]) == ("2026-11-01", "2026-11-30")
    assert all(one["meaning"] for one in told["figures"])
    (squads,) = [one for one in told["tables"] if one["key"] == "squads"]
    hours = next(one["key"] for one in squads["columns"] if one["kind"] == "hours")
    assert [row[hours] for row in squads["rows"]] == [1.25]
    assert squads["sum"][hours] == 1.25
    keys = {column["key"] for column in squads["columns"]}
    assert all(set(row) == keys for row in (*squads["rows"], squads["sum"]))


def test_one_table_of_a_report_is_told_alone(desk: Program, small: Store) -> None:
    """By its key; one that it has not is not there."""
    book(small)
    told = desk.get(f"/reports?{DAYS}&table=squads").json
    assert [one["key"] for one in told["tables"]] == ["squads"]
    assert is_problem(desk.get(f"/reports?{DAYS}&table=moons"), 404, "not-there")


def test_days_no_report_is_made_on_are_refused(desk: Program) -> None:
    """The wrong way round, too many, or not said, at their place."""
    for query in (
        "first_day=2026-11-30&last_day=2026-11-01",
        "first_day=2020-01-01&last_day=2026-01-01",
    ):
        answer = desk.get(f"/reports?{query}")
        assert is_problem(answer, 422, "faulty")
        assert [one["at"] for one in answer.json["errors"]] == ["last_day"]
    assert is_problem(desk.get("/reports?first_day=2026-11-01"), 422, "faulty")
