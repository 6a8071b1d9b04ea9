"""What has happened since a mark, so that a program can keep what it has read in step."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field

from clubplanner.services.journal.since import (
    MOST_AT_ONCE,
    USUAL_COUNT,
    Happening,
    present_mark,
    read_since,
)
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.api.frame.operations import operation
from clubplanner.webapp.api.frame.values import Moment, Value, example
from clubplanner.webapp.api.shared.ground_at import PLACE, in_zone
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

_BOOKED = {
    "place": PLACE,
    "squad": "u12-kestrels",
    "starts_at": "2026-11-25T18:00:00+00:00",
    "ends_at": "2026-11-25T19:15:00+00:00",
    "purpose": "training",
    "holder": "U12 Kestrels",
    "note": "",
    "is_withdrawn": False,
    "is_fixed": True,
    "overruled": "",
    "why": "",
}
_HAPPENED = {
    "mark": "5311d85e7c68b493-17-2-0",
    "change": 17,
    "ends_change": True,
    "at": "2026-11-25T12:00:00Z",
    "by": "The secretary",
    "words": "",
    "undoes": None,
    "kind": "booking",
    "sort": "",
    "number": "8",
    "title": "",
    "before": None,
    "after": _BOOKED,
}


class FollowQuery(Value):
    """From where."""

    since: str = Field(
        "",
        max_length=100,
        description="A mark that was given before; blank for that of the present alone.",
    )
    limit: int = Field(USUAL_COUNT, ge=1, le=MOST_AT_ONCE, description="How many entries at most.")


class Happened(Value):
    """One entry of one change."""

    model_config = example(**_HAPPENED)

    mark: str = Field(description="Follow from here to get what came after it.")
    change: int = Field(description="The change's number; its entries were made in one go.")
    ends_change: bool = Field(description="Whether it is the last of its change.")
    at: Moment
    by: str = Field(description="Who, in words.")
    words: str = Field(description="What the change was about; may be blank.")
    undoes: int | None = Field(description="The change that was taken back by it.")
    kind: Literal["booking", "record", "erased"] = Field(
        description="`erased`: somebody was taken out of the records for good; read people anew."
    )
    sort: str = Field(description="Which kind of record; blank for others.")
    number: str = Field(description="Of the booking or record; blank for `erased`.")
    title: str = Field(description="What the record is called; may be blank.")
    before: dict[str, Any] | None = Field(description="What was; none for what is new.")
    after: dict[str, Any] | None = Field(description="What is; none for what is gone.")


class Followed(Value):
    """What has happened since a mark, oldest first."""

    model_config = example(happenings=[_HAPPENED], mark="5311d85e7c68b493-17-2-0", has_more=False)

    happenings: list[Happened]
    mark: str = Field(description="Follow from here.")
    has_more: bool = Field(description="Whether there is more already.")


@operation("GET", "/changes", answer=Followed, query=FollowQuery)
@for_squads
def follow_changes(query: FollowQuery) -> Followed:
    """Say what has happened since a mark, in order, nothing left out and nothing twice.

    Begin without `since`: it gives the mark of the present. Then read what you need by the other
    addresses, and follow from the mark, about once a minute. A mark that cannot be followed any
    more is a 410: the records were brought back from a backup, or the list of changes was
    shortened. Read everything anew then, and begin again.
    """
    state = app_state()
    if not query.since:
        mark = present_mark(state.store, state.clock())
        return Followed(happenings=[], mark=mark, has_more=False)
    zone = club_zone(state.store)
    found = read_since(state.store, query.since, count=query.limit)
    happenings = [_happened(one, zone) for one in found.happenings]
    return Followed(happenings=happenings, mark=found.mark, has_more=found.has_more)


def _happened(one: Happening, zone: ZoneInfo) -> Happened:
    members: dict[str, Any] = {
        name: getattr(one, name) for name in Happened.model_fields if name != "at"
    }
    return Happened(**members, at=in_zone(one.at, zone))
