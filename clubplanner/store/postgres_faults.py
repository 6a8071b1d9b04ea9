"""What a PostgreSQL server says, in plain words where whoever runs the club can mend it."""

from __future__ import annotations

from clubplanner.errors import AwayError, BusyError, NoRoomError, StoreError
from clubplanner.language import _

BUSY_STATES = ("55P03", "40001", "40P01")
"""Lock not available, serialization failure, deadlock (PostgreSQL, appendix A, error codes)."""
FULL_STATES = ("53100",)
FORBIDDEN_STATES = ("25006", "42501")
"""Read-only transaction, insufficient privilege."""
AWAY_CLASSES = ("08", "57P", "53300")
"""Connection lost, shut down or starting, too many connections."""
AWAY = "OperationalError"
"""What the driver says without a code where it reaches nobody."""


def raise_plain(fault: BaseException) -> None:
    """Raise what whoever runs the club can mend in plain words; other faults are the caller's.

    Raises:
        StoreError: For the former.
    """
    state = getattr(fault, "sqlstate", None) or ""
    if state in BUSY_STATES:
        raise BusyError from fault
    if state in FULL_STATES:
        raise NoRoomError from fault
    if state in FORBIDDEN_STATES:
        raise StoreError(
            _(
                "The club's records cannot be written, so nothing was changed. Whoever looks after "
                "the database has to let this program's user write to it; then send it again."
            )
        ) from fault
    if state.startswith(AWAY_CLASSES) or (not state and type(fault).__name__ == AWAY):
        raise AwayError from fault
