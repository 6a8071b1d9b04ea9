"""Kinds of ground as they are usually laid out: sizes, goals and cuts to begin with."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.ground.formats import STANDINGS
from clubplanner.domain.ground.plans import CUTS
from clubplanner.domain.keys import key_from_name

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from clubplanner.domain.ground.formats import GameFormat

BOTH_ENDS = "both ends"


@dataclass(frozen=True, slots=True)
class GroundKind:
    """A kind of ground: what fills in a new pitch, to be corrected by whoever has paced it.

    Attributes:
        key: Short name, one of a kind in the table.
        name: As people say it, in English.
        surface: Such as "grass".
        is_indoor: Whether it lies under a roof.
        length_m: Between the goal lines.
        width_m: Between the side lines.
        goal_m: Width and height of the goals at both ends; None where no goals can be taken for
            granted, which leaves them not known.
        cuts: Equal cuts, of `CUTS`.
        standing: How sure the size is, one of `STANDINGS`.
        source: Where the size is published.
        note: On what else it stands.
    """

    key: str
    name: str
    surface: str
    is_indoor: bool
    length_m: float
    width_m: float
    goal_m: tuple[float, float] | None
    cuts: tuple[str, ...]
    standing: str
    source: str
    note: str


def parse_kinds(text: str, formats: Iterable[GameFormat]) -> tuple[GroundKind, ...]:
    """Read the table of kinds of ground.

    Args:
        text: The table. A row names a format, whose published size and goal are taken and not
            written down twice, or has a size of its own.
        formats: The published formats.

    Raises:
        ValueError: If a row has no size with a source, or goals of no size.
    """
    known = {game.code: game for game in formats}
    return tuple(_kind(row, known) for row in csv.DictReader(io.StringIO(text)))


def _kind(row: Mapping[str, str], known: Mapping[str, GameFormat]) -> GroundKind:
    game = known.get(row["format"])
    length_m, width_m = (
        (float(row["length_m"]), float(row["width_m"]))
        if game is None
        else (game.length_m, game.width_m)
    )
    standing, source = (
        (row["standing"], row["source"]) if game is None else (game.standing, game.source)
    )
    cuts = tuple(cut for cut in row["cuts"].split(";") if cut)
    goal_m = None
    if row["goals"] == BOTH_ENDS:
        if game is None or game.goal_width_m is None or game.goal_height_m is None:
            raise ValueError(f"Goals need a size: {row}")
        goal_m = game.goal_width_m, game.goal_height_m
    if not source or standing not in STANDINGS or set(cuts) - set(CUTS):
        raise ValueError(f"A kind of ground needs a source, a standing and known cuts: {row}")
    return GroundKind(
        key=key_from_name(row["name"]),
        name=row["name"],
        surface=row["surface"],
        is_indoor=row["indoor"] == "yes",
        length_m=length_m,
        width_m=width_m,
        goal_m=goal_m,
        cuts=cuts,
        standing=standing,
        source=source,
        note=row["note"],
    )
