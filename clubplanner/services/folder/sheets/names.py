"""What records are called in a club's folder: numbers of rows stay where they are."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.keys import ground_key, key_from_name
from clubplanner.language import _, marked, quoted, term
from clubplanner.store.tables.club_tables import BreakRow, StretchRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow
from clubplanner.store.tables.within_tables import ClubWithinRow

if TYPE_CHECKING:
    from datetime import datetime, tzinfo

    from sqlalchemy.orm import Session

CALLED_BY_NAME = ("squad", "venue", "stretch", "club_within")
"""Tables whose rows people know by name; any way of writing it will do."""


@dataclass(slots=True)
class Names:
    """Records by what a folder calls them, and back.

    Attributes:
        zone: The club's, in which instants are written.
        now: The present instant, for what a file leaves out; None when a folder is written.
        is_whole: Whether everything is known that a file may name; else what is not known is not
            told, since the fault is somewhere else.
        texts: Table → number → what it is called.
        ids: Table → what it is called → number.
        pitches: Area → its pitch.
        cells: Area → its cells.
    """

    zone: tzinfo
    now: datetime | None = None
    is_whole: bool = True
    texts: dict[str, dict[int, str]] = field(default_factory=lambda: defaultdict(dict))
    ids: dict[str, dict[str, int]] = field(default_factory=lambda: defaultdict(dict))
    pitches: dict[int, int] = field(default_factory=dict)
    cells: dict[int, int] = field(default_factory=dict)

    def add(self, table: str, number: int, text: str) -> None:
        """Note what a record is called."""
        self.texts[table][number] = text
        self.ids[table][_plain(table, text)] = number

    def knows(self, table: str, text: str) -> bool:
        """Tell whether a record is called so."""
        return _plain(table, text) in self.ids[table]

    def find(self, table: str, text: str) -> int:
        """Return the number of a record; 0 where it is not known and need not be.

        Raises:
            ValueError: If nothing is called so.
        """
        found = self.ids[table].get(_plain(table, text))
        if found is None and self.is_whole:
            raise ValueError(
                _(
                    "There is no %(kind)s %(called)s in this folder; correct it, or add it there",
                    kind=term(KINDS[table]),
                    called=quoted(text.strip()),
                )
            )
        return found or 0


KINDS = {
    "area": marked("part of a pitch"),
    "booking": marked("booking"),
    "busy_calendar": marked("calendar of others"),
    "closure": marked("closure"),
    "club_within": marked("club"),
    "hire": marked("hire"),
    "person": marked("person"),
    "pitch": marked("pitch"),
    "season": marked("season"),
    "share_out": marked("share-out"),
    "squad": marked("squad"),
    "stretch": marked("stretch"),
    "training_break": marked("break"),
    "venue": marked("venue"),
}
"""Words for what a sheet refers to."""


@lru_cache(maxsize=20_000)
def _plain(table: str, text: str) -> str:
    return key_from_name(text) if table in CALLED_BY_NAME else text.strip()


def load_names(session: Session, names: Names) -> Names:
    """Note what squads, clubs, ground, stretches, breaks and asks are called in the database."""
    for row in (SquadRow, ClubWithinRow, VenueRow, StretchRow):
        for number, key, name in session.execute(select(row.id, row.key, row.name)):
            called = name if key_from_name(name) == key else key
            names.add(row.__tablename__, number, called)
    for number, key in session.execute(select(PitchRow.id, PitchRow.key)):
        names.add("pitch", number, key)
    query = select(AreaRow.id, AreaRow.key, AreaRow.cells, PitchRow.id, PitchRow.key).join(
        PitchRow, PitchRow.id == AreaRow.pitch_id
    )
    for number, key, cells, pitch_id, pitch_key in session.execute(query):
        names.add("area", number, ground_key(pitch_key, key))
        names.pitches[number], names.cells[number] = pitch_id, cells
    breaks = select(BreakRow.id).order_by(*BREAKS_IN_ORDER)
    asks = select(AskRow.id).join(AskRow.squad).order_by(*ASKS_IN_ORDER)
    for table, query_of_ids in (("training_break", breaks), ("ask", asks)):
        for place, number in enumerate(session.scalars(query_of_ids), start=1):
            names.add(table, number, str(place))
    return names


BREAKS_IN_ORDER = (BreakRow.starts_on, BreakRow.ends_on, BreakRow.name, BreakRow.id)
ASKS_IN_ORDER = (SquadRow.position, SquadRow.id, AskRow.id)
