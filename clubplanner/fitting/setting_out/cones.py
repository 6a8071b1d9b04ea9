"""Which spots of a way to play get a cone or a goal, each told once."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.fitting.setting_out.laying import ends_of
from clubplanner.fitting.setting_out.ways import EndKind
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from clubplanner.fitting.outlines.pieces import Piece
    from clubplanner.fitting.setting_out.ground_lines import Spot
    from clubplanner.fitting.setting_out.ways import Game

SAME_SPOT_M = 0.5
"""Cones nearer to each other than this are one cone."""
USUAL_ZONE_M = 3.0
"""Depth of an end zone (common practice, no source)."""


class SpotKind(StrEnum):
    """What is put on a spot."""

    CORNER = "corner"
    END_ZONE = "end zone"
    GOAL = "goal"
    TARGET_GOAL = "small target goal"

    @property
    def is_carried(self) -> bool:
        """Whether a goal is carried there, and no cone."""
        return self in (SpotKind.GOAL, SpotKind.TARGET_GOAL)


_CARRIED = {EndKind.PORTABLE_GOAL: SpotKind.GOAL, EndKind.TARGET_GOAL: SpotKind.TARGET_GOAL}


@dataclass(frozen=True, slots=True)
class ConeSpot:
    """A spot to mark, before it is numbered.

    Attributes:
        x_m: Along the pitch.
        y_m: Across the pitch.
        marks: What for: (kind, number of the game from 1), more than one where games meet.
    """

    x_m: float
    y_m: float
    marks: tuple[tuple[SpotKind, int], ...]

    @property
    def kind(self) -> SpotKind:
        """What is put there; a cone that marks two things is called by the first."""
        return self.marks[0][0]

    @property
    def spot(self) -> Spot:
        """Where, metres."""
        return self.x_m, self.y_m


def spots_of_games(games: Iterable[Game], zone_m: float) -> list[ConeSpot]:
    """List where cones and carried goals go; what nearly meets is one cone.

    Args:
        games: The games of a way.
        zone_m: Depth of an end zone.
    """
    wanted = [
        found
        for number, game in enumerate(games, start=1)
        for found in _of_game(game, number, zone_m)
    ]
    return _merged(wanted)


def spots_of_pieces(pieces: Sequence[Piece]) -> list[ConeSpot]:
    """List where the corners of rectangles are; what nearly meets is one cone."""
    return _merged(
        ConeSpot(x, y, ((SpotKind.CORNER, number),))
        for number, piece in enumerate(pieces, start=1)
        for x, y in piece.corners
    )


def mark_in_words(marks: Sequence[tuple[SpotKind, int]], *, are_several: bool) -> str:
    """Say what a spot marks: "corner", or "corner of game 1, corner of game 2"."""
    words = [_of_number(kind, number) if are_several else _alone(kind) for kind, number in marks]
    return ", ".join(dict.fromkeys(words))


def _alone(kind: SpotKind) -> str:
    return {
        SpotKind.CORNER: _("corner"),
        SpotKind.END_ZONE: _("end zone"),
        SpotKind.GOAL: _("goal"),
        SpotKind.TARGET_GOAL: _("small target goal"),
    }[kind]


def _of_number(kind: SpotKind, number: int) -> str:
    return {
        SpotKind.CORNER: _("corner of game %(count)s", count=number),
        SpotKind.END_ZONE: _("end zone of game %(count)s", count=number),
        SpotKind.GOAL: _("goal of game %(count)s", count=number),
        SpotKind.TARGET_GOAL: _("small target goal of game %(count)s", count=number),
    }[kind]


def _of_game(game: Game, number: int, zone_m: float) -> Iterator[ConeSpot]:
    for x, y in game.piece.corners:
        yield ConeSpot(x, y, ((SpotKind.CORNER, number),))
    for end, ((x, y), _out) in enumerate(ends_of(game.piece)):
        kind = game.ends[end].kind
        if kind in _CARRIED:
            yield ConeSpot(x, y, ((_CARRIED[kind], number),))
        elif kind is EndKind.END_ZONE:
            for spot in zone_corners(game.piece, end, zone_m):
                yield ConeSpot(*spot, ((SpotKind.END_ZONE, number),))


def zone_corners(piece: Piece, end: int, zone_m: float) -> tuple[Spot, Spot]:
    """Return where an end zone's inner line meets the sides."""
    a, b, c, d = piece.corners
    part = min(zone_m / piece.length_m, 0.25)
    (near, far), (other, beyond) = ((a, b), (d, c)) if end == 0 else ((b, a), (c, d))
    return (
        (near[0] + part * (far[0] - near[0]), near[1] + part * (far[1] - near[1])),
        (other[0] + part * (beyond[0] - other[0]), other[1] + part * (beyond[1] - other[1])),
    )


def _merged(wanted: Iterable[ConeSpot]) -> list[ConeSpot]:
    found: list[ConeSpot] = []
    for one in wanted:
        near = next(
            (n for n, other in enumerate(found) if _are_one(one, other)),
            None,
        )
        if near is None:
            found.append(one)
        else:
            found[near] = replace(found[near], marks=(*found[near].marks, *one.marks))
    return found


def _are_one(one: ConeSpot, other: ConeSpot) -> bool:
    """Tell whether one cone does for both; a goal is never a cone."""
    if one.kind.is_carried != other.kind.is_carried:
        return False
    return math.dist(one.spot, other.spot) < SAME_SPOT_M
