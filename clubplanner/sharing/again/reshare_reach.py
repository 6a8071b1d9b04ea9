"""What using a place costs at least in a re-share, and so which places need not be looked at.

Who takes another place puts those out of theirs who stand there, and each of those has to go
somewhere as well. Added up without a search, this bounds every plan with the place from below: how
many squads it disturbs, how far sessions move. Where a better plan is known, the place is left out.

The bounds hold for plans that are sound; every one of them has to follow from the rules that two
sessions break together, from the sessions an ask wants, and from `displacement`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.places.displacement import lost_points
from clubplanner.sharing.places.in_the_way import Index

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.again.reshare_places import Places

NEVER = 1 << 40
"""More than anything comes to."""
ROUNDS = 4
"""How often what is left out is looked at for what else it leaves out; more finds little."""


class Reach:
    """Bounds by place. All arrays have an entry for each row of the places."""

    def __init__(self, places: Places) -> None:
        self._places = places
        rows = places.rows
        self._is_pinned = rows.session >= 0
        index = Index(places.terrain, rows)
        self._of_ask = [index.of_ask(n) for n in range(len(places.terrain.problem.asks))]
        self._olds: dict[int, list[int]] = {}
        for old, ask in enumerate(places.asks):
            self._olds.setdefault(ask, []).append(old)
        self._in_way = [self._rows_in_the_way(index, old) for old in range(len(places.kept))]
        self._squads = set(places.owners) - places.hit
        self._ways: dict[int, NDArray[np.int64]] = {}
        self._disturbs = self._count_disturbed()

    def in_the_way_of(self, old: int) -> NDArray[np.int64]:
        """List the rows that cannot be in a plan with a standing session where it was."""
        return self._in_way[old]

    def within(self, most: int, *, is_full: bool = True) -> NDArray[np.bool_]:
        """Find the rows that a plan can use which disturbs at most so many squads.

        Args:
            most: So many squads.
            is_full: Whether only plans count in which every ask has all sessions it has days for.
        """
        least = self._disturbs.copy()
        apt = self._is_pinned | (least <= most)
        while is_full:
            for old, own in self._forced():
                floor = int(least[own[apt[own]]].min(initial=most + 1))
                way = self._in_way[old]
                least[way] = np.maximum(least[way], floor)
            fewer = self._is_pinned | (least <= most)
            if np.array_equal(fewer, apt):
                break
            apt = fewer
        return apt

    def nearer(
        self, apt: NDArray[np.bool_], most: int, *, disturbed: int, is_full: bool
    ) -> NDArray[np.bool_]:
        """Find the rows that a plan can use whose sessions move at most so far.

        Args:
            apt: Rows that such plans can use at most.
            most: So far.
            disturbed: So many squads, not hit, every such plan disturbs at least.
            is_full: Whether only plans count in which every ask has all sessions it has days for.
        """
        for _ in range(ROUNDS):
            _total, least = self.least_ways(apt, disturbed=disturbed, is_full=is_full)
            fewer = apt & (self._is_pinned | (least <= most))
            if np.array_equal(fewer, apt):
                break
            apt = fewer
        return apt

    def least_ways(
        self, apt: NDArray[np.bool_], *, disturbed: int, is_full: bool
    ) -> tuple[int, NDArray[np.int64]]:
        """Bound how far sessions move in all, by the rows that plans use.

        Args:
            apt: Rows that plans can use.
            disturbed: So many squads, not hit, every plan disturbs at least.
            is_full: Whether only plans count in which every ask has all sessions it has days for.

        Returns:
            The least for all plans, and for those that use a row.
        """
        places = self._places
        lost = lost_points(places.terrain.problem)
        stay = np.zeros(len(places.standing), dtype=np.int64)
        move = np.zeros(len(places.standing), dtype=np.int64)
        total = 0
        whole: list[int] = []
        for ask, olds in self._olds.items():
            rows = self._of_ask[ask][apt[self._of_ask[ask]]]
            days = len(set(places.rows.day[rows].tolist()))
            count = min(days, places.terrain.problem.asks[ask].sessions)
            if count < len(olds):  # whichever it is that has no place any more
                total += (len(olds) - count) * lost
                continue
            whole.append(ask)
            for old in olds:
                ways, kept = self._way(old)[apt[self._of_ask[ask]]], places.kept[old]
                others = ways[rows != kept] if kept is not None else ways
                move[old] = int(others.min(initial=NEVER if is_full else lost))
                stay[old] = 0 if kept is not None and apt[kept] else move[old]
        total += int(stay.sum())
        least = self._least_with(stay, move, total, whole)
        nearest = self._nearest(move)
        gone = [squad for squad, row in zip(places.owners, places.kept, strict=True)
                if squad in self._squads and row is not None and not apt[row]]  # fmt: skip
        more = max(0, disturbed - len(set(gone)))
        return total + more * nearest, least + np.maximum(0, more - self._disturbs) * nearest

    def _least_with(
        self,
        stay: NDArray[np.int64],
        move: NDArray[np.int64],
        total: int,
        whole: Sequence[int],
    ) -> NDArray[np.int64]:
        """Add up for each row who has to move for it, and the sessions of its own ask.

        Args:
            stay: How far each standing session moves at least.
            move: The same where it cannot stay.
            total: How far all move at least.
            whole: Asks that may keep all their sessions.
        """
        places = self._places
        least = np.full(len(places.rows), total, dtype=np.int64)
        for old, way in enumerate(self._in_way):
            least[way[places.rows.ask[way] != places.asks[old]]] += move[old] - stay[old]
        for ask in whole:
            olds, rows = self._olds[ask], self._of_ask[ask]
            put_out = np.array([np.isin(rows, self._in_way[old]) for old in olds])
            others = np.where(put_out, move[olds][:, None], stay[olds][:, None])
            sums = others.sum(axis=0)
            ways = np.array([self._way(old) for old in olds])
            own = (sums - others + ways).min(axis=0)
            if places.terrain.problem.asks[ask].sessions > len(olds):
                own = np.minimum(own, sums)  # it may be a session that had no place
            least[rows] += own - int(stay[olds].sum())
        return least

    def _forced(self) -> list[tuple[int, NDArray[np.int64]]]:
        """List standing sessions that, put out of their place, need a new one, with such rows."""
        places = self._places
        found: list[tuple[int, NDArray[np.int64]]] = []
        for ask, olds in self._olds.items():
            if len(olds) <= places.most_sessions[ask]:
                rows = self._of_ask[ask]
                fresh = rows[~np.isin(rows, self._kept(olds))]
                found += [(old, fresh) for old in olds if places.kept[old] is not None]
        return found

    def _kept(self, olds: Sequence[int]) -> list[int]:
        kept = [self._places.kept[old] for old in olds]
        return [row for row in kept if row is not None]

    def _nearest(self, move: NDArray[np.int64]) -> int:
        """Return how far a squad that is disturbed moves at least."""
        owned = zip(self._places.owners, move.tolist(), strict=True)
        found = [way for squad, way in owned if squad in self._squads]
        return min(found, default=0)

    def _way(self, old: int) -> NDArray[np.int64]:
        """Compute how far a standing session is from each row of its ask."""
        if old not in self._ways:
            rows = self._of_ask[self._places.asks[old]].tolist()
            found = self._places.ways(self._places.standing[old], rows)
            self._ways[old] = np.array(found, dtype=np.int64)
        return self._ways[old]

    def _rows_in_the_way(self, index: Index, old: int) -> NDArray[np.int64]:
        kept = self._places.kept[old]
        if kept is None:
            return np.empty(0, dtype=np.int64)
        found = index.in_the_way(kept)
        if self._is_pinned[kept]:  # not all rules bind two pinned sessions
            found = found[~self._is_pinned[found]]
        others: NDArray[np.int64] = found[found != kept]
        return others

    def _count_disturbed(self) -> NDArray[np.int64]:
        """Count for each row the squads that cannot all be where they were with it."""
        places = self._places
        by_squad: dict[str, list[NDArray[np.int64]]] = {squad: [] for squad in self._squads}
        for squad, way in zip(places.owners, self._in_way, strict=True):
            if squad in by_squad:
                by_squad[squad].append(way)
        for ask, olds in self._olds.items():
            squad = places.owners[olds[0]]
            if squad in by_squad and len(olds) >= places.terrain.problem.asks[ask].sessions:
                rows = self._of_ask[ask]
                by_squad[squad].append(rows[~np.isin(rows, self._kept(olds))])
        counts = np.zeros(len(places.rows), dtype=np.int64)
        for found in by_squad.values():
            counts[np.unique(np.concatenate(found))] += 1
        return counts
