"""Sessions that had to go, as the API tells them, and who of them comes back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import Field

from clubplanner.webapp.api.frame.values import Value, example

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.places.coming_back import Return


class ComingBack(Value):
    """A session that had to go, and whether it can come back."""

    model_config = example(
        booking=17,
        holder="U12 Kestrels",
        was="Clubhouse third, Top pitch",
        when="Wed 25 Nov, 18:00–19:15",
        can=True,
        is_proposed=True,
        why="",
    )

    booking: int
    holder: str
    was: str = Field(description="The ground it had.")
    when: str = Field(description="The date and local times it had.")
    can: bool = Field(description="Whether it can come back.")
    is_proposed: bool
    why: str = Field(description="What keeps it away, or why it is not proposed.")


class MadeWayValue(Value):
    """Who made way for a match and is not back."""

    model_config = example(is_called_off=True, returns=[])

    is_called_off: bool = Field(description="Whether the match is not played at all.")
    returns: list[ComingBack]


class BackChosen(Value):
    """Who comes back."""

    model_config = example(bookings=[17])

    bookings: list[int] | None = Field(
        None, max_length=500, description="Of those shown; left out: whoever is proposed."
    )


def coming_back(returns: Sequence[Return]) -> list[ComingBack]:
    """Return sessions that had to go, as they go out."""
    return [
        ComingBack(
            booking=one.number,
            holder=one.holder,
            was=one.was,
            when=one.when,
            can=one.can,
            is_proposed=one.is_ticked,
            why=one.why,
        )
        for one in returns
    ]
