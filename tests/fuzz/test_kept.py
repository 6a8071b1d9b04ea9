"""A fuzz goes on where it was, and keeps what it found."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.fuzz.kept import open_progress

if TYPE_CHECKING:
    from pathlib import Path

    import pytest


def test_it_goes_on_where_it_was(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What was sent and found is that of all goes; what was told once is not told again."""
    first = open_progress("requests", 5, tmp_path / "fuzz")
    first.statuses.update([200, 404, 200])
    first.note("a page broke", "GET /")
    first.end_round(200, 1.5)
    second = open_progress("requests", 0, tmp_path / "fuzz")
    assert (second.following, second.sent, second.used_s) == (6, 200, 1.5)
    assert second.statuses == {200: 2, 404: 1}
    second.note("a page broke", "GET /other")
    second.end_round(200, 1.0)
    third = open_progress("requests", 0, tmp_path / "fuzz")
    assert (third.following, third.sent, third.found) == (7, 400, {"a page broke": 2})
    assert third.first == {"a page broke": "GET /"}
    assert capsys.readouterr().out == "round 5: a page broke\n  GET /\n"


def test_a_round_that_was_broken_off_is_done_again(tmp_path: Path) -> None:
    """Nothing of it was kept."""
    first = open_progress("files", 0, tmp_path)
    first.end_round(100, 1.0)
    first.note("a reader broke", "x")
    second = open_progress("files", 0, tmp_path)
    assert (second.following, second.found) == (1, {})


def test_each_kind_has_its_own_and_nothing_is_kept_unasked(tmp_path: Path) -> None:
    """Files do not go on where requests were."""
    open_progress("requests", 0, tmp_path).end_round(200, 1.0)
    assert open_progress("files", 3, tmp_path).following == 3
    open_progress("files", 3, None).end_round(100, 1.0)
    assert sorted(one.name for one in tmp_path.iterdir()) == ["requests.json"]
