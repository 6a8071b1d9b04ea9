"""One change of the records: what it was, who knows of it by now, and taking it back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import Field

from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.journal.own_changes import Asker
from clubplanner.services.mails.knowing import who_knows_of_changes
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import Moment, Value, example
from clubplanner.webapp.base.security import for_squads, signed_in_person
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from clubplanner.services.mails.knowing import NotReached, Reached

_KNOWS = {"name": "Robin Hale", "squads": "U12 Kestrels", "how": "is about to be mailed"}
_RING = {
    "name": "Sam Reed",
    "phone": "01234 567",
    "squads": "U14 Harriers",
    "why": "No mail address is known.",
}


class Knows(Value):
    """Somebody who knows of a change, or will."""

    model_config = example(**_KNOWS)

    name: str
    squads: str = Field(description="About whom.")
    how: str = Field(description="How they know, a clause.")


class ToRing(Value):
    """Somebody who does not know of a change."""

    model_config = example(**_RING)

    name: str
    phone: str = Field(description="Blank for none known.")
    squads: str = Field(description="About whom.")
    why: str = Field(description="Why they do not know.")


class ChangeValue(Value):
    """A change of the records, and who knows of it."""

    model_config = example(
        number=17,
        at="2026-11-25T12:00:00Z",
        by="The secretary",
        words="U12 Kestrels moved",
        lines=["U12 Kestrels: moved to Third 2"],
        undone_by=None,
        obstacles=[],
        by_mail=[_KNOWS],
        by_calendar=[],
        not_reached=[_RING],
    )

    number: int
    at: Moment
    by: str = Field(description="Who did it.")
    words: str = Field(description="What was done.")
    lines: list[str] = Field(description="Its first parts, a sentence each.")
    undone_by: int | None = Field(description="The change that took it back.")
    obstacles: list[str] = Field(description="What keeps it from being taken back; empty: nothing.")
    by_mail: list[Knows] = Field(description="Who was mailed, or is about to be.")
    by_calendar: list[Knows] = Field(description="Who sees it on page, calendar or phone.")
    not_reached: list[ToRing] = Field(description="Whom to ring.")


@operation("GET", "/changes/<int:number>", answer=ChangeValue)
@for_squads
def see_change(number: int) -> ChangeValue:
    """Show one change, and who knows of it by now."""
    state = app_state()
    now = state.clock()
    line = next(iter(list_changes(state.store, now, count=1, before=number + 1)), None)
    if line is None or line.number != number:
        raise MissingError(
            _("There is no change %(number)s; look at the list of changes.", number=number)
        )
    knowing = who_knows_of_changes(state.store, state.config, [number], now)
    return ChangeValue(
        number=line.number,
        at=line.at,
        by=line.by,
        words=line.words,
        lines=list(line.lines),
        undone_by=line.undone_by,
        obstacles=list(line.obstacles),
        by_mail=[_knows(one) for one in knowing.by_mail],
        by_calendar=[_knows(one) for one in knowing.by_calendar],
        not_reached=[_to_ring(one) for one in knowing.not_reached],
    )


@operation("POST", "/changes/<int:number>/take-back", answer=ChangeValue, status=201)
@for_squads
def take_back(number: int) -> Done:
    """Take a change back: all that is still to come of it, or nothing."""
    state = app_state()
    who = Asker(signed_in_person(), None)
    return done(see_change, number=undo_change(state.store, number, state.clock(), who).number)


def _knows(one: Reached) -> Knows:
    return Knows(name=one.name, squads=one.squads, how=one.how)


def _to_ring(one: NotReached) -> ToRing:
    return ToRing(name=one.name, phone=one.phone, squads=one.squads, why=one.why)
