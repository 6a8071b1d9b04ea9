"""Closures and conditions of ground, as the API tells and takes them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field

from clubplanner.webapp.api.frame.values import Instant, Moment, Name, ShortWords, Value, example
from clubplanner.webapp.api.shared.coming_back_values import ComingBack, coming_back
from clubplanner.webapp.api.shared.displaced_values import DECIDED, MOVED, Decision, DisplacedValue
from clubplanner.webapp.api.shared.ground_at import PLACE, Place, in_zone

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from clubplanner.services.evening.closures.whole import WholeClosure

ConditionWord = Literal["closed", "no studs", "half load", "other"]
_CLOSED = {
    "place": PLACE,
    "starts_at": "2026-11-25T12:00:00+00:00",
    "ends_at": "2026-11-27T00:00:00+00:00",
    "condition": "closed",
    "reason": "waterlogged",
    "words": "",
}


class ClosureLine(Value):
    """Ground that is closed, or open with a condition."""

    model_config = example(number=3, **_CLOSED, is_in_force=True)

    number: int
    place: Place
    starts_at: Moment
    ends_at: Moment
    condition: ConditionWord
    reason: str
    words: str = Field(description="What is allowed, for a condition of another kind.")
    is_in_force: bool = Field(description="Whether it still holds, now or ahead.")


class ClosureValue(ClosureLine):
    """A closure, and who could come back were it opened."""

    model_config = example(number=3, **_CLOSED, is_in_force=True, returns=[])

    returns: list[ComingBack]


class ClosureLeaf(Value):
    """A leaf of what is closed, now and ahead."""

    model_config = example(items=[], next=None)

    items: list[ClosureLine]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


class ClosureWritten(Value):
    """Ground somebody wants closed, or open with a condition."""

    model_config = example(**_CLOSED, decisions=[DECIDED])

    place: Place
    starts_at: Instant
    ends_at: Instant
    condition: ConditionWord = "closed"
    reason: Name = Field(description="Why, so that people are told: “waterlogged”, “frost”.")
    words: ShortWords = Field("", description="What is allowed, for the condition “other”.")
    decisions: list[Decision] | None = Field(
        None, max_length=500, description="Where each displaced session goes; none: as proposed."
    )


class ClosureForeseen(Value):
    """What closing ground would do; nothing is changed."""

    model_config = example(place="Top pitch", when="Wed 25 Nov, 12:00–24:00", displaced=[MOVED])

    place: str
    when: str
    displaced: list[DisplacedValue]


class ClosureChange(Value):
    """What a closure shall be from now on; what is left out stays."""

    model_config = example(ends_at="2026-11-26T12:00:00+00:00", reason="frozen")

    place: Place | None = None
    ends_at: Instant | None = None
    condition: ConditionWord | None = None
    reason: Name | None = None
    words: ShortWords | None = None
    decisions: list[Decision] | None = Field(
        None, max_length=500, description="Where who else has to go goes; none: as proposed."
    )


class OpenQuery(Value):
    """How ground is opened again."""

    bring_back: bool = Field(
        default=False, description="Whether those come back who are proposed in `returns`."
    )


def closure_line(whole: WholeClosure, zone: ZoneInfo) -> ClosureLine:
    """Return a closure of a list as it goes out."""
    return ClosureLine(**_members(whole, zone))


def closure_value(whole: WholeClosure, zone: ZoneInfo) -> ClosureValue:
    """Return a closure as it goes out."""
    returns = coming_back(whole.returns)
    return ClosureValue(**_members(whole, zone), returns=returns).seen_at(whole.stand)


def _members(whole: WholeClosure, zone: ZoneInfo) -> dict[str, Any]:
    return {
        "number": whole.number,
        "place": Place(pitch=whole.pitch_key, area=whole.area_key),
        "starts_at": in_zone(whole.during.starts_at, zone),
        "ends_at": in_zone(whole.during.ends_at, zone),
        "condition": whole.condition.value,
        "reason": whole.reason,
        "words": whole.words,
        "is_in_force": whole.is_in_force,
    }
