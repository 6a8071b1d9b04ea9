"""What publishing changes as pages show it: counts at once, words squad by squad as asked for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, overload

import numpy as np

from clubplanner.errors import MissingError
from clubplanner.services.proposals.counted import COUNTED, count_changes
from clubplanner.services.proposals.dated_tables import W_SQUAD
from clubplanner.services.proposals.differences.compared import find_difference
from clubplanner.services.proposals.differences.words import (
    DifferenceLine,
    Holders,
    SquadDifference,
    by_squad,
    difference_lines,
)
from clubplanner.services.rows.snapshot import load_zone

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.services.proposals.differences.values import Difference
    from clubplanner.services.proposals.proposals import Proposal


@dataclass(frozen=True, slots=True)
class DifferenceShown:
    """What publishing changes, or changed.

    Attributes:
        sentence: The numbers.
        digest: What a form sends along, so that nothing unseen is published.
        squads: Squads with a change, each with its changes.
        unchanged: Names of squads for which all stays.
        fault: Why it cannot be told; blank when it can.
        first_day: The first date on which anything but closed ground changes; None for none.
    """

    sentence: str
    digest: str
    squads: Sequence[SquadDifference]
    unchanged: tuple[str, ...]
    fault: str = ""
    first_day: date | None = None


def show_difference(session: Session, proposal: Proposal, now: datetime) -> DifferenceShown:
    """Tell what publishing would change, or what it did change."""
    published = proposal.saved.get("published")
    if published is not None:
        return _as_published([DifferenceLine(**line) for line in published["lines"]])
    try:
        difference = find_difference(session, proposal, now)
    except MissingError as fault:
        return DifferenceShown("", "", (), (), str(fault))
    zone = load_zone(session)
    told = _SquadsTold(difference, zone)
    return DifferenceShown(
        sentence=count_changes(
            added=len(difference.added_rows),
            moved=len(difference.moved_rows),
            kept=len(difference.kept_rows),
            withdrawn=len(difference.withdrawn_rows),
        ),
        digest=difference.digest,
        squads=told,
        unchanged=told.unchanged,
        first_day=difference.first_day(zone),
    )


def _as_published(lines: Sequence[DifferenceLine]) -> DifferenceShown:
    squads = by_squad(lines)
    counts = dict.fromkeys(COUNTED, 0)
    for line in lines:
        counts[line.change] = counts.get(line.change, 0) + line.count
    return DifferenceShown(
        sentence=count_changes(**{name: counts[name] for name in COUNTED}),
        digest="",
        squads=tuple(squad for squad in squads if squad.lines),
        unchanged=tuple(squad.squad_name for squad in squads if not squad.lines),
    )


class _SquadsTold(Sequence[SquadDifference]):
    """Squads with a change, by name; a council's are put in words for a leaf of them alone."""

    def __init__(self, difference: Difference, zone: ZoneInfo) -> None:
        self._difference = difference
        self._zone = zone
        self._holders = Holders(difference)
        booked, changing = defaultdict[str, set[int]](set), set[str]()
        for table in (difference.moved_rows, difference.withdrawn_rows, difference.kept_rows):
            whose = np.unique(self._holders.meet(table)).tolist()
            names = {self._holders.name(one): one for one in whose}
            for one in whose:
                booked[self._holders.name(one)].add(one)
            if table is not difference.kept_rows:
                changing |= names.keys()
        new = defaultdict[str, set[int]](set)
        for squad in np.unique(difference.added_rows[:, W_SQUAD]).tolist():
            new[difference.names.squads[squad].name].add(squad)
        self._booked, self._new = booked, new
        self._names = sorted(changing | new.keys())
        self.unchanged = tuple(sorted(booked.keys() - changing - new.keys()))

    def __len__(self) -> int:
        return len(self._names)

    def __iter__(self) -> Iterator[SquadDifference]:
        return iter(self[:])

    @overload
    def __getitem__(self, which: int) -> SquadDifference: ...
    @overload
    def __getitem__(self, which: slice) -> Sequence[SquadDifference]: ...
    def __getitem__(self, which: int | slice) -> SquadDifference | Sequence[SquadDifference]:
        if isinstance(which, slice):
            return self._tell(self._names[which])
        return self._tell([self._names[which]])[0]

    def _tell(self, names: Iterable[str]) -> tuple[SquadDifference, ...]:
        own, new = set[int](), set[int]()
        for name in names:
            own |= self._booked.get(name, set())
            new |= self._new.get(name, set())
        whole, booked = self._difference, np.array(sorted(own), dtype=np.int64)
        moved = np.isin(self._holders.whose(whole.moved_rows), booked)
        withdrawn = np.isin(self._holders.whose(whole.withdrawn_rows), booked)
        kept = np.isin(self._holders.whose(whole.kept_rows), booked)
        added = np.isin(whole.added_rows[:, W_SQUAD], np.array(sorted(new), dtype=np.int64))
        some = replace(
            whole,
            kept_rows=whole.kept_rows[kept],
            moved_rows=whole.moved_rows[moved],
            moved_to=whole.moved_to[moved],
            added_rows=whole.added_rows[added],
            withdrawn_rows=whole.withdrawn_rows[withdrawn],
            closed=(),
        )
        lines = difference_lines(some, self._zone, counts_kept=True, holders=self._holders)
        return by_squad(lines)
