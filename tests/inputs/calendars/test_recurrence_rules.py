"""Rules of recurrence, read and refused."""

from __future__ import annotations

import pytest

from clubplanner.inputs.calendars.calendar_lines import LineError
from clubplanner.inputs.calendars.recurrence_rules import read_rule


def test_lists_are_put_in_order() -> None:
    """Numbers given twice or in any order, small letters and a leap second are read."""
    rule = read_rule("freq=daily;byhour=9,7,9;bysecond=60,59;byday=;".replace("byday=;", ""))
    assert rule.by_hour == (7, 9)
    assert rule.by_second == (59,)


@pytest.mark.parametrize(
    "text", ["", "FREQ", "FREQ=DAILY;FREQ=DAILY", "FREQ=DAILY;BYDAY=54MO", "FREQ=DAILY;BYDAY=2MO"]
)
def test_what_is_no_rule_is_refused(text: str) -> None:
    """A rule that cannot be read is refused in words."""
    with pytest.raises(LineError, match="How it repeats"):
        read_rule(text)
