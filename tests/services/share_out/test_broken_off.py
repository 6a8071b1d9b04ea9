"""What breaks a search off is told alike by whoever searches."""

from __future__ import annotations

import pytest

from clubplanner.errors import PlannerError, RefusedError, ShareOutError
from clubplanner.services.share_out.broken_off import told_when_broken_off
from clubplanner.sharing.solving.process import OutOfMemoryError
from clubplanner.sharing.solving.process import ShareOutError as ProcessError
from clubplanner.sharing.values.validating import ProblemError


@pytest.mark.parametrize("kind", [ShareOutError, RefusedError])
@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (ProblemError(("two pitches of one key",)), "two pitches of one key"),
        (OutOfMemoryError("It would take more than 2,000 MB."), "It would take more than"),
        (ProcessError("killed by a signal"), "try again, or allow less time"),
    ],
)
def test_it_is_told(kind: type[PlannerError], fault: Exception, words: str) -> None:
    """In words of its own; what the process said stays in the log."""
    with pytest.raises(kind, match=words), told_when_broken_off(kind):
        raise fault


def test_what_is_no_end_of_a_search_goes_on() -> None:
    """A fault of ours stays one."""
    with pytest.raises(ZeroDivisionError), told_when_broken_off():
        raise ZeroDivisionError
