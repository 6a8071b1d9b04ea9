"""A club's own sizes are written as a table that reads back the same."""

from __future__ import annotations

from dataclasses import replace

from clubplanner.inputs.club_files.size_rows import write_sizes
from clubplanner.inputs.club_files.sizes import read_sizes
from tests.inputs.club_files.test_sizes import HEADER, ROW


def test_sizes_read_back_the_same() -> None:
    """Every figure and word comes back, words that look like formulas as well."""
    (game,) = read_sizes(HEADER + ROW, "sizes.csv").formats
    formats = (
        game,
        replace(game, code="7v7", length_m=50.292, run_off_m=1.5, note="=sum, said Jo"),
        replace(game, code="5v5", age_from=None, age_to=None, goal_width_m=None, note="'=x"),
    )
    written = write_sizes(formats)
    again = read_sizes(written, "again.csv")
    assert again.problems == ()
    assert again.formats == formats
    assert write_sizes(again.formats) == written
    assert not any(cell.startswith("=") for cell in written.replace("\n", ",").split(","))
