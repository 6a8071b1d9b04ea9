"""Asked times: when the squad can come at all, as its ask says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance
from clubplanner.domain.times.windows import join_windows, told_days, write_windows
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("times asked for")


def asked_times(case: Case) -> Hindrance | None:
    """Refuse what lies in none of the ask's windows; the time a session has already will do."""
    if case.ask is None or case.during == case.was:
        return None
    if any(case.lies_in(window) for window in join_windows(case.ask.possible)):
        return None
    return Hindrance(
        NAME,
        _(
            "%(squad)s ask for %(times)s.",
            squad=case.holder,
            times=told_days(write_windows(case.ask.possible)),
        ),
        is_own=True,
    )
