"""Squads and pitches that fall apart by themselves, and pitches gathered by who wants them."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.parts.looking import Look
    from clubplanner.sharing.values.problem import Problem


@dataclass(frozen=True, slots=True)
class Piece:
    """Asks and the pitches on which they could be.

    Attributes:
        asks: Numbers of the asks, in order.
        pitches: Numbers of the pitches, in order.
    """

    asks: tuple[int, ...]
    pitches: tuple[int, ...]


def tied_asks(problem: Problem, *, has_pairs: bool = False) -> list[list[int]]:
    """Gather asks that bear on each other wherever they are: one squad, one coach.

    Args:
        problem: The problem.
        has_pairs: Whether wishes about two squads tie them, too.
    """
    ties = _Ties(len(problem.asks))
    owners: dict[tuple[str, str], int] = {}
    for number, ask in enumerate(problem.asks):
        persons = [("squad", ask.squad), *([("coach", ask.coach)] if ask.coach else [])]
        for person in persons:
            ties.join(number, owners.setdefault(person, number))
    for pair in problem.pairs if has_pairs else ():
        ties.join(owners["squad", pair.squad], owners["squad", pair.other])
    return ties.groups()


def find_pieces(terrain: Terrain, look: Look) -> list[Piece]:
    """Find the pieces of a problem that have no squad, coach, pair, pitch or venue in common.

    Venues are kept whole, for opening one may have a price of its own.

    Returns:
        The pieces in order of their first ask; one without ground for each that has no place.
    """
    problem, asks = terrain.problem, len(terrain.problem.asks)
    ties = _Ties(asks + len(terrain.venues))
    for group in tied_asks(problem, has_pairs=True):
        for number in group:
            ties.join(number, group[0])
    venue_of = _venues_of_pitches(terrain)
    number_of = {pitch: n for n, pitch in enumerate(terrain.pitches)}
    pitch_of = {ground.key: number_of[ground.pitch] for ground in problem.grounds}
    for number, ask in enumerate(problem.asks):
        wanted = set(np.flatnonzero(look.places[number]).tolist())
        wanted |= {pitch_of[pin.ground] for pin in ask.pinned}
        for venue in {venue_of[pitch] for pitch in wanted}:
            ties.join(number, asks + venue)
    found = []
    for group in ties.groups():
        venues = {n - asks for n in group if n >= asks}
        pitches = [n for n, venue in enumerate(venue_of) if venue in venues]
        own = [n for n in group if n < asks]
        if own:
            found.append(Piece(tuple(own), tuple(pitches)))
    return sorted(found, key=lambda piece: piece.asks)


def gather_pitches(
    terrain: Terrain, look: Look, piece: Piece, most_rows: int
) -> list[tuple[int, ...]]:
    """Gather the pitches of a piece into groups of about so many places, venues kept together.

    A group grows by the venue that shares most squads with it, where each squad counts by how much
    of what it could have lies there.

    Args:
        terrain: The problem's columns.
        look: What each ask could have.
        piece: The piece.
        most_rows: So many places, of the squads that a group has room for, make it full.
    """
    asks = np.array(piece.asks, dtype=np.int64)
    venue_of = np.array(_venues_of_pitches(terrain), dtype=np.int64)
    open_ = list(dict.fromkeys(venue_of[list(piece.pitches)].tolist()))
    shares = _shares(look, asks, venue_of, len(terrain.venues))
    sizes = _rows_by_venue(look, asks, shares, venue_of, len(terrain.venues))
    groups: list[tuple[int, ...]] = []
    while open_:
        group = [open_.pop(0)]
        while open_:
            own = shares[:, group].sum(axis=1)
            near = max(open_, key=lambda venue: (float(own @ shares[:, venue]), -venue))
            wide = [*group, near]
            if _rows(sizes, wide) > most_rows:
                break
            open_.remove(near)
            group = wide
        pitches = np.flatnonzero(np.isin(venue_of, group)).tolist()
        groups += _cut_up(pitches, _rows(sizes, group), most_rows)
    return groups


def _rows(sizes: Sequence[tuple[float, float]], venues: Iterable[int]) -> float:
    """Estimate the places of the squads at some venues: each may be at all of them."""
    squads = sum(sizes[venue][0] for venue in venues)
    return squads * sum(sizes[venue][1] for venue in venues)


def _cut_up(pitches: list[int], rows: float, most_rows: int) -> list[tuple[int, ...]]:
    """Cut a group that is too large into runs of its pitches; half the squads have half of it."""
    parts = 1
    while rows / parts**2 > 2 * most_rows and parts < len(pitches):
        parts += 1
    return [tuple(part.tolist()) for part in np.array_split(np.array(pitches), parts)]


def _shares(look: Look, asks: NDArray[Any], venue_of: NDArray[Any], count: int) -> NDArray[Any]:
    """Tell for each ask what part of its places lies at each venue."""
    places = look.places[asks].astype(np.float64)
    shares = np.zeros((len(asks), count))
    for venue in range(count):
        shares[:, venue] = places[:, venue_of == venue].sum(axis=1)
    total = shares.sum(axis=1, keepdims=True)
    return np.asarray(np.divide(shares, total, out=np.zeros_like(shares), where=total > 0))


def _rows_by_venue(
    look: Look, asks: NDArray[Any], shares: NDArray[Any], venue_of: NDArray[Any], count: int
) -> list[tuple[float, float]]:
    """Estimate for each venue its asks, each by its part there, and the places of one there."""
    found = []
    for venue in range(count):
        own = look.places[asks][:, venue_of == venue].sum(axis=1)
        wants = own > 0
        each = float(own[wants].mean()) if wants.any() else 0.0
        found.append((float(shares[:, venue].sum()), each))
    return found


def _venues_of_pitches(terrain: Terrain) -> list[int]:
    venue_of = [0] * len(terrain.pitches)
    for pitch, venue in zip(terrain.pitch.tolist(), terrain.venue.tolist(), strict=True):
        venue_of[pitch] = venue
    return venue_of


class _Ties:
    """Numbers that belong together, joined two by two (union-find)."""

    def __init__(self, count: int) -> None:
        self._to = list(range(count))

    def join(self, a: int, b: int) -> None:
        """Put two numbers, and all that belong to them, together."""
        first, second = sorted((self._root(a), self._root(b)))
        self._to[second] = first

    def groups(self) -> list[list[int]]:
        """Return what belongs together, each in order."""
        found: dict[int, list[int]] = defaultdict(list)
        for number in range(len(self._to)):
            found[self._root(number)].append(number)
        return list(found.values())

    def _root(self, number: int) -> int:
        while self._to[number] != number:
            self._to[number] = self._to[self._to[number]]
            number = self._to[number]
        return number
