"""What the journal keeps of a booking: a small JSON value, and back to a frozen state."""

from __future__ import annotations

from datetime import UTC, datetime
from operator import attrgetter
from typing import Any

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.journal import BookingState
from clubplanner.domain.booked.session_state import Cause, Reason

NOTED = (
    "pitch_id",
    "area_id",
    "starts_at",
    "ends_at",
    "purpose",
    "squad_id",
    "holder",
    "note",
    "is_withdrawn",
    "is_fixed",
    "overruled",
)
"""What the journal keeps of a booking, as it is shown: the holder is what a squad is called now.
Cells follow from the area: renumbering is no change."""


_noted = attrgetter(*NOTED)
WHY = "why"
"""Under which the reason of a change stands beside what a booking became."""


def stored_state(row: Any) -> dict[str, Any]:
    """Return what the journal keeps of a booking (a row or a state), ready for JSON.

    Instants are in seconds of 1970.
    """
    values = dict(zip(NOTED, _noted(row), strict=True))
    for name in ("starts_at", "ends_at"):
        values[name] = int(values[name].timestamp())
    values["purpose"] = str(values["purpose"])
    return values


def state_from_stored(stored: dict[str, Any]) -> BookingState:
    """Read what the journal keeps of a booking."""
    values = {name: value for name, value in stored.items() if name != WHY}
    for name in ("starts_at", "ends_at"):
        values[name] = datetime.fromtimestamp(values[name], UTC)
    values["purpose"] = Purpose(values["purpose"])
    return BookingState(**values)


def stored_reason(reason: Reason | None) -> dict[str, Any]:
    """Return what the journal keeps of the reason of a change; an empty one where none was said."""
    return {WHY: [] if reason is None else [reason.cause.value, reason.words]}


def reason_from_stored(stored: dict[str, Any]) -> Reason | None:
    """Read why a booking was changed; None for a change from before reasons were kept."""
    if WHY not in stored:
        return None
    if not stored[WHY]:
        return Reason()
    cause, words = stored[WHY]
    return Reason(Cause(cause), words)
