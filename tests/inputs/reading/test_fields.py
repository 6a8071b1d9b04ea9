"""Fields of a JSON object: what may be a number, and what is left over."""

from __future__ import annotations

import pytest

from clubplanner.inputs.reading.faults import (
    Faults,
)
from clubplanner.inputs.reading.fields import Fields, is_number


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (0, True),
        (-3.5, True),
        (10**400, False),
        (float("nan"), False),
        (float("inf"), False),
        (True, False),
        ("3", False),
        (None, False),
    ],
)
def test_only_what_can_be_measured_with_is_a_number(value: object, expected: bool) -> None:
    """Finite numbers of a sensible size are; truth values and texts are not."""
    assert is_number(value) is expected


def test_a_field_nobody_asked_for_is_a_fault() -> None:
    """What is left over at the end is reported by its name."""
    faults = Faults("grounds.geojson")
    fields = Fields("feature 1", {"name": "Top", "colour": "red"}, faults)
    assert fields.text("name") == "Top"
    assert not fields.failed
    fields.done()
    assert fields.failed
    assert [fault.where for fault in faults.found] == [
        "grounds.geojson, feature 1, property colour"
    ]
