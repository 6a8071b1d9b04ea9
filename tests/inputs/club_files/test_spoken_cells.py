"""Words of the files in forms: told in the reader's language, taken back as the file has them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.terms import SURFACES
from clubplanner.domain.times.times import MINUTES_A_DAY, Window
from clubplanner.domain.times.windows import file_days, parse_windows, told_days, write_windows
from clubplanner.inputs.club_files.spoken_cells import YES_NO, file_cells, told_cells
from clubplanner.inputs.club_files.squads_file.least_ground import SHARES
from clubplanner.inputs.club_files.squads_file.wants import PARTNERS
from clubplanner.language import speaking

CELLS = {
    "possible": "Mon-Wed, Fri 17:30-19:00; Sun 09:00-12:00",
    "free day before": "Sat",
    "needs goal": "yes",
    "needs light": "no",
    "least ground": "third, 1500 m2, 7v7",
    "surface": "grass, artificial",
    "wishes": "Tue 18:00-19:30 = 3; Top pitch = 1",
    "other squads": "beside U12 Herons = 2; not during U9 Martins = 3",
    "squad": "U12 Herons",
}


def test_cells_are_told_in_german() -> None:
    """Weekdays, shares, surfaces and the words about other squads; names stay."""
    with speaking("de"):
        told = told_cells(CELLS)
    assert told["possible"] == "Mo-Mi, Fr 17:30-19:00; So 09:00-12:00"
    assert told["free day before"] == "Sa"
    assert [told["needs goal"], told["needs light"]] == ["ja", "nein"]
    assert told["least ground"] == "Drittel, 1500 m2, 7v7"
    assert told["surface"] == "Rasen, Kunstrasen"
    assert told["wishes"] == "Di 18:00-19:30 = 3; Top pitch = 1"
    assert told["other squads"] == "neben U12 Herons = 2; nicht während U9 Martins = 3"
    assert told["squad"] == "U12 Herons"


@pytest.mark.parametrize("code", ["en", "de"])
def test_what_is_told_is_taken_back(code: str) -> None:
    """A form that is sent as it was shown changes nothing, in either language."""
    with speaking(code):
        assert file_cells(told_cells(CELLS)) == CELLS
        assert file_cells(CELLS) == CELLS, "English words are understood everywhere"


def test_capitals_and_whole_weekdays_are_understood() -> None:
    """As a person types them."""
    with speaking("de"):
        assert file_cells({"needs goal": "JA"}) == {"needs goal": "yes"}
        assert file_days("Montag, donnerstag 18:00-19:00") == "Mon, Thu 18:00-19:00"


windows = st.builds(
    lambda day, start, length: Window(day, start, min(MINUTES_A_DAY, start + length)),
    st.integers(0, 6),
    st.integers(0, MINUTES_A_DAY - 5),
    st.integers(5, 300),
)


@given(st.sets(windows, max_size=12), st.sampled_from(["en", "de"]))
def test_any_windows_come_back(chosen: set[Window], code: str) -> None:
    """Written, told, typed back and read: the same windows."""
    written = write_windows(tuple(sorted(chosen)))
    with speaking(code):
        assert file_days(told_days(written)) == written
    assert parse_windows(written) == tuple(sorted(chosen))


@given(st.lists(st.sampled_from([*YES_NO, *SHARES, *SURFACES, *PARTNERS]), max_size=6))
def test_any_words_come_back(words: list[str]) -> None:
    """In every column that has words of its own."""
    cell = ", ".join(words)
    cells = dict.fromkeys(("needs goal", "least ground", "surface", "other squads"), cell)
    with speaking("de"):
        assert file_cells(told_cells(cells)) == cells
