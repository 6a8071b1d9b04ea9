"""What all values of the API share: strict, closed, with an example each."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import TYPE_CHECKING, Annotated, Any, Self

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PrivateAttr,
    StringConstraints,
)

from clubplanner.language import _

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from clubplanner.domain.times.times import TimeRange

MOST_NUMBER = 2**31 - 1
FIRST_YEAR, LAST_YEAR = 2000, 2100
NO_CONTROLS = r"^[^\x00-\x08\x0b\x0c\x0e-\x1f\x7f]*$"
_RFC_3339 = re.compile(r"\d{4}-\d\d-\d\d[Tt]\d\d:\d\d:\d\d(?:\.0+)?(?:[Zz]|[+-]\d\d:\d\d)")


class Value(BaseModel):
    """A value that comes in or goes out; what nobody knows is refused."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, defer_build=True)

    _stand: str = PrivateAttr("")

    @property
    def stand(self) -> str:
        """What the service is handed back with a change: the state that was read; never told."""
        return self._stand

    def seen_at(self, stand: str) -> Self:
        """Return the value, which remembers the state that it was read in."""
        object.__setattr__(self, "__pydantic_private__", {"_stand": stand})
        return self


def example(**members: Any) -> ConfigDict:
    """Return the configuration of a value with its example."""
    return ConfigDict(json_schema_extra={"examples": [members]})


def _instant_as_written(value: Any) -> Any:
    if isinstance(value, datetime):
        return value
    words = _("Write an instant with an offset, such as 2026-11-25T18:00:00+00:00 (RFC 3339).")
    if not isinstance(value, str) or not _RFC_3339.fullmatch(value):
        raise ValueError(words)
    try:
        return datetime.fromisoformat(value)
    except ValueError as fault:
        raise ValueError(words) from fault


def _within_reach(value: datetime) -> datetime:
    if not FIRST_YEAR <= value.year <= LAST_YEAR:
        raise ValueError(_within_words())
    if value.second or value.microsecond:
        raise ValueError(_("Write whole minutes."))
    return value


def _day_within_reach(value: date) -> date:
    if not FIRST_YEAR <= value.year <= LAST_YEAR:
        raise ValueError(_within_words())
    return value


def _within_words() -> str:
    return _(
        "Choose a year from %(first)s to %(last)s.", first=str(FIRST_YEAR), last=str(LAST_YEAR)
    )


Words = Annotated[str, StringConstraints(max_length=500, pattern=NO_CONTROLS)]
"""Text of one line or more."""
Name = Annotated[str, StringConstraints(min_length=1, max_length=80, pattern=NO_CONTROLS)]
"""What something is called; never blank."""
ShortWords = Annotated[str, StringConstraints(max_length=80, pattern=NO_CONTROLS)]
"""Text of one line; may be blank."""
Number = Annotated[int, Field(ge=1, le=MOST_NUMBER)]
"""By which the club's records know a thing."""
Instant = Annotated[
    AwareDatetime, BeforeValidator(_instant_as_written), AfterValidator(_within_reach)
]
"""An instant on whole minutes, with its offset (RFC 3339)."""
Moment = AwareDatetime
"""An instant that only goes out, to the second."""
Day = Annotated[date, AfterValidator(_day_within_reach)]
"""A day of the club's calendar (RFC 3339, full-date)."""
Clock = Annotated[str, StringConstraints(pattern=r"^(?:[01]\d|2[0-3]):[0-5]\d$|^24:00$")]
"""A time on the club's wall clock, “HH:MM”."""


class LeafQuery(Value):
    """Which leaf of a list."""

    limit: int = Field(50, ge=1, le=200, description="How many at most.")
    cursor: str = Field(
        "", max_length=500, description="The `next` of the leaf before; blank for the first."
    )


class Span(Value):
    """From when to when."""

    model_config = example(
        starts_at="2026-11-25T18:00:00+00:00", ends_at="2026-11-25T19:15:00+00:00"
    )

    starts_at: Instant
    ends_at: Instant


def span_in_zone(during: TimeRange, zone: ZoneInfo) -> dict[str, datetime]:
    """Return the members that say from when to when, in a zone."""
    return {
        "starts_at": during.starts_at.astimezone(zone),
        "ends_at": during.ends_at.astimezone(zone),
    }
