"""How much grass is used, as a table to take away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.season.grass.wear import PitchWear


def wear_table(pitches: Sequence[PitchWear]) -> Table:
    """Return a row a pitch and week: its use, and how much of what it bears that is.

    A share is blank where there is no limit, and where nothing is allowed at all.
    """
    columns = (
        Column(_("Pitch")),
        Column(_("Week from"), Kind.DATE),
        Column(_("Adult hours"), Kind.HOURS),
        Column(_("Of these by the young"), Kind.HOURS),
        Column(_("Match equivalents"), Kind.NUMBER),
        Column(_("Hours it may bear"), Kind.HOURS),
        Column(_("Matches it may bear"), Kind.NUMBER),
        Column(_("Part of the usual that holds"), Kind.SHARE),
        Column(_("Of what it bears"), Kind.SHARE),
    )
    rows = [
        (
            pitch.name,
            week.monday,
            week.wear.hours,
            week.wear.youth_hours,
            week.wear.matches,
            None if pitch.limit is None else pitch.limit.hours,
            None if pitch.limit is None else pitch.limit.matches,
            week.wear.factor,
            week.share,
        )
        for pitch in pitches
        for week in pitch.weeks
    ]
    return Table(_("Grass"), columns, rows)
