"""What to leave out of a pitch that falls into too many pieces."""

from __future__ import annotations

import pytest

from clubplanner.domain.ground.plans import MarkingPlan, PlanError
from clubplanner.geometry.shapes import rectangle
from tests.builders import make_pitch


def test_two_parts_to_leave_out_are_named_together() -> None:
    """Where no single one is enough, two are; the fewest, not whatever comes first."""
    combs = tuple(
        MarkingPlan(f"Comb {letter}", count, length_m, 1.0)
        for letter, count, length_m in (("A", 40, 58.0), ("B", 40, 50.0), ("C", 40, 40.0))
    )
    with pytest.raises(PlanError) as caught:
        make_pitch(cuts=(), markings=combs, goals=())
    assert "201 pieces; at most 63" in str(caught.value)
    assert str(caught.value).endswith("or others like them: “Comb A”, “Comb B” (then 41).")


def test_hundreds_of_areas_are_told_without_a_search() -> None:
    """A file full of patches is answered at once, and not with a list of them."""
    patches = tuple(
        (f"Patch {x}-{y}", rectangle(x * 4, y * 4, 4, 4)) for x in range(25) for y in range(15)
    )
    with pytest.raises(
        PlanError, match=r"375 pieces; at most 63 .*\. Leave out cuts, mark"
    ) as told:
        make_pitch(cuts=(), drawn=patches)
    assert len(str(told.value)) < 300


def test_many_parts_to_leave_out_are_not_listed() -> None:
    """Nobody can use a list of dozens: the first few are named, and how many there are in all."""
    patches = tuple(
        (f"Patch {x}-{y}", rectangle(x * 10, y * 6, 10, 6)) for x in range(10) for y in range(9)
    )
    with pytest.raises(PlanError, match="91 pieces") as caught:
        make_pitch(cuts=(), drawn=patches, goals=())
    assert str(caught.value).count("“") == 0
    assert str(caught.value).endswith("that are not booked.")
