"""Which ground a match can be played on, and how long it lasts, by the published tables."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.domain.booked.fixtures import MatchLength
from clubplanner.domain.ground.formats import STANDINGS, GameFormat
from clubplanner.domain.ground.grounds import GoalKind, goals_on, usable_ground
from clubplanner.fitting.setting_out.formats import fits_format
from clubplanner.language import _, figure

if TYPE_CHECKING:
    from collections.abc import Iterable

    from clubplanner.domain.ground.grounds import Area, Goal, Pitch

GOAL_SLACK_M = 0.16
"""A goal may differ by half a foot from the published size: 2.44 m for 8 ft is no fault."""
NEAR_GOAL = 0.15
"""Goals that differ by at most this part of the published width are offered with a caution."""
NEARLY = 0.9
"""Ground this much of the published length and width is offered with a caution."""


class Suits(StrEnum):
    """How well ground suits a form of the game."""

    FULLY = "fully"
    NEARLY = "nearly"


@dataclass(frozen=True, slots=True)
class MatchGround:
    """Ground on which a match can be played.

    Attributes:
        area: The area.
        suits: Whether it has the published size.
        cautions: What to see to, whole sentences; empty for none.
    """

    area: Area
    suits: Suits
    cautions: tuple[str, ...]


def parse_match_lengths(text: str) -> tuple[MatchLength, ...]:
    """Read the table of match lengths by age.

    Raises:
        ValueError: If a row cannot be read.
    """
    lengths = []
    for row in csv.DictReader(io.StringIO(text)):
        if row["standing"] not in STANDINGS or not row["source"]:
            raise ValueError(f"A length needs a standing and a source: {row}")
        lengths.append(
            MatchLength(
                age_from=int(row["age_from"]),
                age_to=int(row["age_to"]) if row["age_to"] else None,
                half_minutes=int(row["half_minutes"]),
                half_time_minutes=int(row["half_time_minutes"]),
                standing=row["standing"],
                source=row["source"],
            )
        )
    return tuple(lengths)


def find_match_length(lengths: Iterable[MatchLength], age: int | None) -> MatchLength | None:
    """Return how long an age group plays; None where no row covers it.

    Args:
        lengths: The table.
        age: 13 for under 13s; None for adults.
    """
    for row in lengths:
        if age is None and row.age_to is None:
            return row
        if age is not None and row.age_from <= age and (row.age_to is None or age <= row.age_to):
            return row
    return None


def grounds_for_match(pitch: Pitch, game: GameFormat) -> tuple[MatchGround, ...]:
    """Return the areas of a pitch that a form of the game can be played on.

    The published field must fit on the usable ground, and two goals of the published size must
    stand on it or be brought. Ground and goals that come near are offered with a caution.

    Args:
        pitch: The pitch.
        game: The form of the game.

    Returns:
        Those that suit fully first, then by size, smallest first.
    """
    found = []
    for area in pitch.areas:
        suits = _suits(pitch, area, game)
        if suits is None:
            continue
        cautions = []
        if suits is Suits.NEARLY:
            cautions.append(_smaller_words(area, game))
        goals, words = _goals_for(pitch, area, game)
        if goals is None:
            continue
        if words:
            cautions.append(words)
        worst = Suits.NEARLY if Suits.NEARLY in (suits, goals) else Suits.FULLY
        found.append(MatchGround(area, worst, tuple(cautions)))
    return tuple(sorted(found, key=lambda g: (g.suits is not Suits.FULLY, g.area.area_m2)))


def _smaller_words(area: Area, game: GameFormat) -> str:
    """Say that a published field does not lie on an area, and whether what stands there is why."""
    facts = {
        "area": area.name,
        "length_m": figure(game.length_m, ".1f"),
        "width_m": figure(game.width_m, ".1f"),
    }
    if fits_format(area.polygon, game):
        return _(
            "What stands on %(area)s leaves less than the %(length_m)s × %(width_m)s m that are "
            "published; ask the competition first.",
            **facts,
        )
    return _(
        "%(area)s is smaller than the %(length_m)s × %(width_m)s m that are published; ask the "
        "competition first.",
        **facts,
    )


def _suits(pitch: Pitch, area: Area, game: GameFormat) -> Suits | None:
    ground = usable_ground(area, pitch.obstacles)
    if ground is None:
        return None
    if fits_format(ground, game):
        return Suits.FULLY
    smaller = replace(game, length_m=NEARLY * game.length_m, width_m=NEARLY * game.width_m)
    return Suits.NEARLY if fits_format(ground, smaller) else None


def _goals_for(pitch: Pitch, area: Area, game: GameFormat) -> tuple[Suits | None, str]:
    """Return how well the goals suit, None for not at all, and what to see to about them."""
    if game.goal_width_m is None or game.goal_height_m is None:
        return Suits.FULLY, ""
    size = f"{figure(game.goal_width_m, '.2f')} × {figure(game.goal_height_m, '.2f')} m"
    standing = goals_on(area, pitch.goals)
    right = [goal for goal in standing if _differs_m(goal, game) <= GOAL_SLACK_M]
    if len(right) >= 2:
        portable = any(goal.kind is GoalKind.PORTABLE for goal in right)
        words = _("The goals are portable: anchor them, and check them before play.")
        return Suits.FULLY, words if portable else ""
    if pitch.portable_goals >= 2 - len(right):
        words = _(
            "Bring portable goals of %(size)s; anchor them, and check them before play.", size=size
        )
        return Suits.FULLY, words
    near = [goal for goal in standing if _differs_m(goal, game) <= NEAR_GOAL * game.goal_width_m]
    if len(near) >= 2:
        has = f"{figure(near[0].width_m, '.2f')} × {figure(near[0].height_m, '.2f')} m"
        words = _(
            "The goals are %(has)s, not the %(size)s published; ask the competition first.",
            has=has,
            size=size,
        )
        return Suits.NEARLY, words
    return None, ""


def _differs_m(goal: Goal, game: GameFormat) -> float:
    """Return by how much a goal differs from the published size, the worse of the two."""
    width, height = game.goal_width_m or 0.0, game.goal_height_m or 0.0
    return max(abs(goal.width_m - width), abs(goal.height_m - height))
