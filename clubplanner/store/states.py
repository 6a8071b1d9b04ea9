"""What the journal keeps of a booking: a small JSON value, and back to a frozen state."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.journal import BookingState

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


def stored_state(row: Any) -> dict[str, Any]:
    """Return what the journal keeps of a booking (a row or a state), ready for JSON.

    Instants are in seconds of 1970.
    """
    values = {name: getattr(row, name) for name in NOTED}
    for name in ("starts_at", "ends_at"):
        values[name] = int(values[name].timestamp())
    values["purpose"] = str(values["purpose"])
    return values


def state_from_stored(stored: dict[str, Any]) -> BookingState:
    """Read what the journal keeps of a booking."""
    values = dict(stored)
    for name in ("starts_at", "ends_at"):
        values[name] = datetime.fromtimestamp(values[name], UTC)
    values["purpose"] = Purpose(values["purpose"])
    return BookingState(**values)
