"""Rest, priority, wishes and partners, as their cells have them."""

from __future__ import annotations

import pytest

from clubplanner.domain.times.times import Window
from tests.inputs.squads_file import faults_of, read, write_row


def test_rest_priority_wishes_and_partners_are_read() -> None:
    """Days, days with times and names of places are told apart; a grade follows "="."""
    rich = write_row(
        priority="3",
        latest_finish="20:15",
        rest_days="1",
        free_day_before="Sat",
        free_day_after="Sat, Sun",
        evenings_in_a_row="2",
        wishes="Mon-Tue 17:30-19:00 = 3; Tue, Thu; Mill  Lane = 1",
        other_squads="Next to U9 Owls = 3; away from U9 Owls",
    )
    result = read(rich, write_row(squad="U9 Owls"))
    assert not result.problems
    ask = result.asks[0].ask
    assert (ask.priority, ask.latest_finish_min, ask.rest_days) == (3, 1215, 1)
    assert (ask.no_day_before, ask.no_day_after) == (frozenset({5}), frozenset({5, 6}))
    assert (ask.most_in_a_row, result.asks[1].ask.most_in_a_row) == (2, None)
    assert [(wish.grade, wish.weekdays, wish.place) for wish in ask.wishes] == [
        (3, (), ""),
        (2, (1, 3), ""),
        (1, (), "Mill Lane"),
    ]
    assert ask.wishes[0].windows == (Window(0, 1050, 1140), Window(1, 1050, 1140))
    assert [(item.kind, item.squad_key, item.grade) for item in ask.partners] == [
        ("one after the other", "u9-owls", 3),
        ("keep apart", "u9-owls", 2),
    ]


@pytest.mark.parametrize(
    ("changes", "column", "code"),
    [
        ({"priority": "10"}, "priority", "out-of-range"),
        ({"latest_finish": "late"}, "latest finish", "not-a-time"),
        ({"rest_days": "31"}, "rest days", "out-of-range"),
        ({"evenings_in_a_row": "7"}, "evenings in a row", "out-of-range"),
        ({"evenings_in_a_row": "0"}, "evenings in a row", "out-of-range"),
        ({"free_day_before": "Someday"}, "free day before", "not-a-day"),
        ({"wishes": "Mill Lane = 4"}, "wishes", "not-a-grade"),
        ({"wishes": "Mon 19:00-18:00"}, "wishes", "not-a-window"),
        ({"wishes": ";".join(["Tue"] * 21)}, "wishes", "too-many"),
        ({"other_squads": "near U9 Owls"}, "other squads", "not-a-wish"),
        ({"other_squads": "beside U9 Owls"}, "other squads", "no-such-squad"),
        ({"other_squads": "beside U12 Kestrels"}, "other squads", "no-such-squad"),
    ],
)
def test_faulty_wants_are_told_by_column(changes: dict[str, str], column: str, code: str) -> None:
    """Each has its row, column and what is wrong."""
    assert faults_of(read(write_row(**changes))) == [(f"row 2, column {column}", code)]
