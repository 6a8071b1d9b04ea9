"""Grounds from the command line."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from tests.commands.journal.test_changes import run
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_grounds_are_listed_written_and_looked_at(empty_store: Store, tmp_path: Path) -> None:
    """Out as a file, changed by hand, and looked at before it is loaded; faults exit with 2."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    listed = run(path, "grounds", "list").output
    assert "Marsh Lane\n  Top pitch: 100 × 64 m (109 × 70 yd), artificial, floodlit" in listed
    assert len(json.loads(run(path, "grounds", "list", "--json").output)[0]["pitches"]) == 3
    file = tmp_path / "lane.geojson"
    assert "Written" in run(path, "grounds", "export", "Marsh Lane", "--output", str(file)).output
    assert json.loads(run(path, "grounds", "export", "marsh-lane").output) == json.loads(
        file.read_text("utf-8")
    )
    assert run(path, "grounds", "load", "--look", str(file)).output.count("as it is") == 3
    data = json.loads(file.read_text("utf-8"))
    data["features"][0]["properties"]["surface"] = "sand"
    file.write_text(json.dumps(data), encoding="utf-8")
    looked = json.loads(run(path, "grounds", "load", "--look", str(file), "--json").output)
    assert [pitch["what"] for pitch in looked["pitches"]] == ["changed", "as it is", "as it is"]
    assert "artificial" in run(path, "grounds", "list").output, "looking changes nothing"
    nowhere = str(tmp_path / "no" / "folder.geojson")
    for wrong in (
        ("export", "Nowhere"),
        ("export", "marsh-lane", "--output", nowhere),
        ("load", "--look", nowhere),
    ):
        assert run(path, "grounds", *wrong).exit_code == 2
