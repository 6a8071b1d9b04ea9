"""Faults that a service tells in the words of a file or form, at their members of a body."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError

if TYPE_CHECKING:
    from collections.abc import Callable


def at_members(fault: FaultyInputError, member: Callable[[str], str]) -> FaultyInputError:
    """Return the same faults with JSON pointers as their places.

    Args:
        fault: As the service raised it.
        member: From a place in the service's words to the pointer; blank for the body as a whole,
            and then the words of the place are kept in the message.
    """
    found = []
    for one in fault.problems:
        place = member(one.where)
        words = one.message if place else str(one)
        found.append(Problem(place, one.code, words))
    return FaultyInputError(found)
