"""Usual cautions for a session; local rules and qualified people come first."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.domain.times.thunder import FLASH_TO_THUNDER_S, WAIT_MINUTES
from clubplanner.language import _, marked, ngettext, term

if TYPE_CHECKING:
    from clubplanner.fitting.setting_out.ways import GoalSpot

SUPERVISION = ((2, 3), (3, 4), (8, 6), (12, 8), (18, 10))
"""(oldest age, children for one adult), where ages meet the smaller group counts.

Source: NSPCC Child Protection in Sport Unit, recommended minimum supervision ratios: 0-2 1:3,
2-3 1:4, 4-8 1:6, 9-12 1:8, 13-18 1:10, and never fewer than two adults.
"""
FEWEST_ADULTS = 2
_ANCHOR = marked(
    "Anchor every portable goal to the ground as its maker says before anyone plays; an "
    "unanchored goal can topple and kill. Nobody climbs or swings on a goal (FA goalpost "
    "safety guidelines)."
)
_STORE = marked(
    "After use take portable goals to a locked store, or fix them together so that they "
    "cannot be used; have them inspected regularly (FA goalpost safety guidelines)."
)
_TARGETS = marked(
    "Small target goals tip over too, and people trip over them: peg or weight each as its "
    "maker says, nobody climbs on one or keeps goal in it, and take them off the ground "
    "when they are not in play (common practice)."
)
_RUN_OFF = marked(
    "Keep clear ground between games and to fences, stores and neighbours; The FA "
    "recommends at least 3 yards (or 3 metres) of run-off round a grass pitch (FA Handbook "
    "2016-17)."
)
_FIRST_AID = marked(
    "First aid: have somebody trained in it within call, a stocked kit and a phone; know where the "
    "nearest defibrillator hangs and which way an ambulance comes in (common practice, no source)."
)
_HEAT = marked(
    "Heat: choose a cooler hour, shorten, rest in the shade and let everybody drink; call for "
    "medical help at once when somebody is confused or collapses (common practice, no source)."
)
_FROST = marked(
    "Frost: walk the ground before anyone plays; where it is frozen hard, rutted or icy nobody "
    "plays on it, and whoever looks after the ground decides (common practice, no source)."
)
_DEFER = marked(
    "Your club's and governing body's rules, the venue's rules and your own risk "
    "assessment come first; ask a qualified person where you are in doubt."
)


def adults_needed(age: int, children: int) -> int | None:
    """Return how many adults the published ratios ask for.

    Args:
        age: Of the youngest, in years; 0 or more.
        children: How many take part.

    Returns:
        At least two; None for people over 18, whom the table does not cover.

    Raises:
        ValueError: If a number is negative.
    """
    if age < 0 or children < 0:
        raise ValueError(f"Give an age and a number of 0 or more, not {age} and {children}.")
    for oldest, each in SUPERVISION:
        if age <= oldest:
            return max(FEWEST_ADULTS, math.ceil(children / each))
    return None


def cautions(
    age: int | None,
    players: int,
    goals: tuple[GoalSpot, ...] = (),
    portable_goals: int = 0,
    target_goals: int = 0,
    *,
    is_indoor: bool = False,
) -> tuple[str, ...]:
    """List the usual cautions for a session.

    Args:
        age: The age group, 13 for under 13s, whose youngest are taken to be a year younger; None
            for adults.
        players: Expected at the session.
        goals: Goals on the ground.
        portable_goals: Goals that can be brought on.
        target_goals: Small goals that can be brought on.
        is_indoor: Whether the session is under a roof.

    Returns:
        Whole sentences, the gravest first; the last defers to local rules and qualified people.
    """
    found: list[str] = []
    if portable_goals > 0 or any(goal.kind == GoalKind.PORTABLE for goal in goals):
        found += [term(_ANCHOR), term(_STORE)]
    elif goals:
        found.append(
            _(
                "Check that each goal stands firm and is anchored before use; nobody climbs "
                "or swings on it (FA goalpost safety guidelines)."
            )
        )
    if target_goals > 0:
        found.append(term(_TARGETS))
    found.append(term(_RUN_OFF))
    adults = None if age is None else adults_needed(max(age - 1, 0), players)
    if adults is not None:
        found.append(
            ngettext(
                "Have at least %(adults)s suitable adults for %(num)s player of this age "
                "(NSPCC/CPSU recommended minimum); many sports ask for more.",
                "Have at least %(adults)s suitable adults for %(num)s players of this age "
                "(NSPCC/CPSU recommended minimum); many sports ask for more.",
                players,
                adults=adults,
            )
        )
    found.append(term(_FIRST_AID))
    if not is_indoor:
        found.append(
            _(
                "Lightning: stop and take shelter when thunder follows the flash within "
                "%(flash_seconds)s seconds; resume no sooner than %(wait_minutes)s minutes after "
                "the last thunder.",
                flash_seconds=FLASH_TO_THUNDER_S,
                wait_minutes=WAIT_MINUTES,
            )
        )
        found += [term(_HEAT), term(_FROST)]
    return (*found, term(_DEFER))
