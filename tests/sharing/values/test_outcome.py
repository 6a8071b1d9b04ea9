"""How a share-out ended, in words."""

from __future__ import annotations

import pytest

from clubplanner.sharing.values.levels import APART, FAIRNESS, PLACING, WISHES, WORST_OFF
from clubplanner.sharing.values.outcome import Kind, Level, ended_in_words

COUNT = "42 of 45 sessions asked for have a place. It is proved that no plan places sessions better"


@pytest.mark.parametrize(
    ("not_proved", "rest"),
    [
        ([WISHES], "granting wishes could be better by up to 12.5 %."),
        (
            [FAIRNESS, WISHES],
            (
                "being fair could be better by up to 12.5 %; "
                "granting wishes could be better by up to 12.5 %."
            ),
        ),
        (
            [WORST_OFF, FAIRNESS, WISHES, APART],
            (
                "serving the worst-off squad could be better by up to 12.5 %; "
                "3 later aims are not proved either."
            ),
        ),
    ],
)
def test_aims_that_are_not_proved_are_told_in_one_breath(not_proved: list[str], rest: str) -> None:
    """One or two with how far they may be off; of more the first, and how many."""
    levels = [Level(PLACING, 266, 266, is_proved=True, gap=0.0)]
    for name in (WORST_OFF, FAIRNESS, WISHES, APART):
        is_open = name in not_proved
        levels.append(Level(name, 7, 8 if is_open else 7, not is_open, 0.125 * is_open))
    assert ended_in_words(Kind.GOOD, tuple(levels), 42, 45) == f"{COUNT}; {rest}"
