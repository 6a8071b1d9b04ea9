"""What a rule can mean for the share-out.

A rule answers up to five questions, each with a function of its own: which ground breaks it, which
place and time breaks it, which two sessions break it together, which session breaks it together
with a whole plan, and which rows hold the model to it. A mask is true where the rule is broken;
None stands for one that is false everywhere. Masks of grounds and starts may have length 1 along
either.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence

    import numpy as np
    from numpy.typing import NDArray
    from ortools.sat.python import cp_model

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.facts import RuleSaid
    from clubplanner.sharing.values.problem import Ask

    Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Stays:
    """Sessions of one length on one day, on every ground.

    Attributes:
        day: Index of the day.
        starts: Minutes at which they could start.
        ends: Minutes after their last ones, in the same order.
        lost: Dates lost to standing bookings by ground and start, a bit mask over the day's list.
    """

    day: int
    starts: NDArray[np.int64]
    ends: NDArray[np.int64]
    lost: NDArray[np.uint64]


@dataclass(frozen=True, slots=True)
class Draft:
    """A model that rules add their rows to.

    Attributes:
        model: Gets the rows.
        terrain: The problem's columns.
        slots: The merged candidates.
        chosen: A variable for each slot.
        rows: For each slot one of the candidates it stands for.
        fixed: Sessions of other squads that are not to be decided, or None.
    """

    model: cp_model.CpModel
    terrain: Terrain
    slots: Slots
    chosen: Sequence[cp_model.IntVar]
    rows: Candidates
    fixed: Candidates | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """How a rule that single places break is told, from the values kept of it.

    Attributes:
        wanted: What it wants of a place, to follow "a place that".
        but_for: What keeps a place out that breaks no other rule, to follow "But for".
        of_pin: What is wrong with a pinned session that breaks it; None where it binds none.
    """

    wanted: Callable[[RuleSaid], str]
    but_for: Callable[[RuleSaid], str]
    of_pin: Callable[[RuleSaid], str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A rule as the share-out sees it; what it does not need is None.

    Attributes:
        code: By which values of reasons name it; one of a kind, and never changed.
        binds_pins: Whether it binds sessions that the secretary has pinned, too.
        is_of_people: Whether two sessions break it by whom they need, rather than by ground.
        on_ground: By ground, for an ask.
        on_place: By ground and start, whoever comes.
        on_ask: By ground and start, for an ask.
        clash: By row and other row: the two cannot be in one plan.
        too_many: By row: it cannot be added to a plan of others as a whole. Of these count only
            those on its pitch, and those that need people whom it needs.
        counted: By row: adding it to a plan can make `too_many` true of others.
        barred_days: Days on which the other sessions of an ask's squad leave no room for one more.
        add_rows: Holds the model to it.
        words: How it is told of places.
        why_not: Why a session cannot be added that is one too many, to follow a day and time.
        says: The values that it is told with, of an ask and the pitches that it is told about.
    """

    code: str

    binds_pins: bool = False
    is_of_people: bool = False
    on_ground: Callable[[Terrain, Ask], Mask | None] | None = None
    on_place: Callable[[Terrain, Stays], Mask | None] | None = None
    on_ask: Callable[[Terrain, Ask, Stays], Mask | None] | None = None
    clash: Callable[[Terrain, Candidates, Candidates], Mask] | None = None
    too_many: Callable[[Terrain, Candidates, Candidates], Mask] | None = None
    counted: Callable[[Terrain, Candidates], Mask] | None = None
    barred_days: Callable[[Terrain, Ask, Candidates], Collection[int]] | None = None
    add_rows: Callable[[Draft], None] | None = None
    words: Words | None = None
    why_not: Callable[[RuleSaid], str] | None = None
    says: Callable[[Terrain, Ask, Collection[int]], Mapping[str, Any]] | None = None
