"""What nobody has said yet of when the young are to finish."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.services.setup.rules_form import save_rules, see_rules
from clubplanner.services.showing.not_said import list_not_said
from tests.builders import NOW
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

HEAD = "squad,age group,players,sessions a week,minutes,possible,preferred,latest finish\n"


def late(store: Store) -> list[str]:
    """Return what is said of the young."""
    return [one.words for one in list_not_said(store) if "young" in one.words]


@pytest.mark.parametrize(
    ("row", "is_told"),
    [
        ("U8 Sparrows,U8,12,1,60,Mon-Fri 17:00-21:00,,", True),
        ("U8 Sparrows,U8,12,1,60,Mon-Fri 17:00-20:00,,", False),
        ("U8 Sparrows,U8,12,1,60,Mon-Fri 17:00-21:00,,19:00", False),
        ("U13 Kestrels,U13,12,1,60,Mon-Fri 17:00-21:00,,", False),
        ("Veterans,Adult,12,1,60,Mon-Fri 17:00-21:00,,", False),
    ],
)
def test_a_late_time_for_the_young_is_told(empty_store: Store, row: str, *, is_told: bool) -> None:
    """Where a window reaches beyond eight, and neither ask nor rules say when they finish."""
    load_small_club(empty_store, squads=f"{HEAD}{row}\n")
    told = late(empty_store)
    assert bool(told) is is_told
    if is_told:
        words = (
            "Nobody has said by when the young are to finish: as it asks, U8 Sparrows may get a "
            "time that ends at 21:00."
        )
        assert told == [words]


def test_a_rule_ends_it(empty_store: Store) -> None:
    """Once the rules say it for their age there is nothing to tell; it leads to the rules."""
    load_small_club(empty_store, squads=f"{HEAD}U8 Sparrows,U8,12,1,60,Mon 17:00-22:00,,\n")
    (found,) = [one for one in list_not_said(empty_store) if "young" in one.words]
    assert (found.venue_key, found.pitch_key) == ("", "")
    form = see_rules(empty_store)
    save_rules(
        empty_store, {**form.cells, "up_to_1": "U9", "latest_finish_1": "18:30"}, form.seen, NOW
    )
    assert late(empty_store) == []
