"""The present instant, which all commands ask for here."""

from __future__ import annotations

from datetime import UTC, datetime


def now() -> datetime:
    """Return the present instant by this machine's clock, UTC."""
    return datetime.now(UTC)
