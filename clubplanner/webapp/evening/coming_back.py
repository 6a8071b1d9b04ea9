"""The ticks of a form that say which sessions come back."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

BACK = "back-"
"""Fields of the form that say that session number … comes back begin with this."""
SHOWN = "shown"
"""A form that was ticked says so: no tick in it means that nobody comes back."""


def read_back(values: Mapping[str, str]) -> dict[int, int]:
    """Return who comes back, booking number → the change shown, from a form's ticks."""
    return {
        int(name.removeprefix(BACK)): int(value)
        for name, value in values.items()
        if name.startswith(BACK)
        and name.removeprefix(BACK).isdecimal()
        and value.isdecimal()
        and len(name) + len(value) < 25
    }


def ticked(values: Mapping[str, str]) -> frozenset[int] | None:
    """Return who was ticked in a form that comes back; None where nothing was ticked yet."""
    return frozenset(read_back(values)) if values.get(SHOWN) else None
