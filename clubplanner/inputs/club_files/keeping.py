"""Reading for how long a club keeps things: the part `[keep]` of its settings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.persons.keeping import (
    FEWEST_DAYS,
    LONGEST_ASK,
    MOST_DAYS,
    USUAL,
    Keeping,
    Period,
    field_of,
)
from clubplanner.inputs.reading.alone import read_alone
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.domain.problems import Problem
    from clubplanner.inputs.reading.toml_tables import TomlTable


def read_keeping(table: TomlTable) -> Keeping | None:
    """Read whom to ask and the periods in whole days; what is left out is as usual.

    Returns:
        None where there is a fault, which is noted.
    """
    ask = " ".join(table.text("ask", "").split())
    if len(ask) > LONGEST_ASK:
        table.fault("ask", "too-long", _("Write at most %(most)s letters", most=LONGEST_ASK))
    days = {
        field_of(period): table.whole(
            field_of(period), FEWEST_DAYS[period], MOST_DAYS, USUAL.days_of(period)
        )
        for period in Period
    }
    return Keeping(ask=ask, **days) if table.done() else None


def read_typed_keeping(
    values: Mapping[str, object],
) -> tuple[Keeping | None, tuple[Problem, ...]]:
    """Read the keys of `[keep]` given by themselves; `where` of a problem is the key."""
    return read_alone(values, read_keeping)
