"""The set-out list of ground that is given by its size or outline, without a club."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import Edges
from clubplanner.fitting.setting_out.places_in_words import Anchors
from clubplanner.services.coach.any_ground.fit_inputs import faulty

if TYPE_CHECKING:
    from shapely import Polygon

    from clubplanner.fitting.setting_out.ground_lines import Spot
    from clubplanner.fitting.setting_out.set_out import SetOut

PLAIN_EDGES = Edges(start="left end", far="right end", right="lower side", left="upper side")
"""What the ends and sides are called where x runs to the right and y upwards."""
_SPOT = re.compile(r"\s*(-?[0-9]{1,6}(?:\.[0-9]{0,9})?)\s*,\s*(-?[0-9]{1,6}(?:\.[0-9]{0,9})?)\s*")


@dataclass(frozen=True, slots=True)
class Walk:
    """That corners are to be numbered, and from where: "x,y" of the way in, None if not known."""

    entrance: str | None = None


@dataclass(frozen=True, slots=True)
class ConeAnswer:
    """A cone, or a goal that is carried.

    Attributes:
        number: In the order of walking, from 1.
        kind: "corner", "end zone", "goal" or "small target goal".
        marks: What it marks, with the number of its game.
        x: Metres.
        y: Metres.
        words: Where it goes, told from ends and sides.
    """

    number: int
    kind: str
    marks: str
    x: float
    y: float
    words: str


@dataclass(frozen=True, slots=True)
class SetOutAnswer:
    """What to set out.

    Attributes:
        first: What to know before the first cone.
        cones: Each cone and carried goal.
        kit: What to bring.
    """

    first: tuple[str, ...]
    cones: tuple[ConeAnswer, ...]
    kit: tuple[str, ...]


def plain_anchors(ground: Polygon, entrance: str | None) -> Anchors:
    """Look round on ground without names.

    Args:
        ground: Its outline, metres.
        entrance: "x,y" of where people come in; None where that is not known.

    Raises:
        FaultyInputError: If the entrance is not two numbers.
    """
    return Anchors.of(ground, PLAIN_EDGES, entrance=_spot(entrance))


def answer_of(found: SetOut) -> SetOutAnswer:
    """Write a set-out list for the command line."""
    cones = tuple(
        ConeAnswer(
            cone.number,
            cone.kind.value,
            cone.marks,
            round(cone.x_m, 3),
            round(cone.y_m, 3),
            cone.words,
        )
        for cone in found.cones
    )
    return SetOutAnswer(found.first, cones, found.kit)


def _spot(words: str | None) -> Spot | None:
    if words is None:
        return None
    match = _SPOT.fullmatch(words)
    if match is None:
        raise faulty(
            "entrance",
            "not-a-spot",
            f"Give the entrance in metres as 12,0 or 12.5,-3, not {words!r}.",
        )
    return float(match[1]), float(match[2])
