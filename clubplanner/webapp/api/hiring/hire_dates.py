"""The dates of a hire, for the office: further ones, those left out, and a move looked at first.

A date is left out by giving its booking back (`DELETE /bookings/<number>`).
"""

from __future__ import annotations

from pydantic import Field

from clubplanner.services.hires.booking import book_more, foresee_more
from clubplanner.services.hires.changes import foresee_hire_move
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import Day, Value, Words, example
from clubplanner.webapp.api.hiring.hire_values import (
    DateDecision,
    HireForeseen,
    HireMoveWritten,
    HireValue,
    dates_foreseen,
)
from clubplanner.webapp.api.hiring.hires import hire_move, see_hired
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state

_STAYS = {"day": "Tue 12 Jan", "why": "U14 Harriers have third 3 then."}


class MoreDatesWritten(Value):
    """Further dates of a hire that are wanted."""

    model_config = example(until="2027-04-27", decisions=[], because="")

    until: Day | None = Field(
        None, description="Its new last date; left out: only those left out so far."
    )
    decisions: list[DateDecision] = Field(
        default=[], max_length=200, description="Of those that `look` told; the others: as told."
    )
    because: Words = Field("", description="Why dates are booked against a rule.")


class DateStays(Value):
    """A date that cannot go along."""

    model_config = example(**_STAYS)

    day: str = Field(description="In words.")
    why: str


class HireMoveForeseen(Value):
    """What would become of a hire's dates; nothing is changed."""

    model_config = example(count=10, stays=[_STAYS], overrulable=0, apart=[])

    count: int = Field(description="How many would move.")
    stays: list[DateStays]
    overrulable: int = Field(description="How many of these would move if rules were overruled.")
    apart: list[str] = Field(description="Dates put elsewhere by hand, which stay there; in words.")


@operation(
    "POST",
    "/hires/<int:number>/dates/look",
    answer=HireForeseen,
    takes=MoreDatesWritten,
    is_once=False,
)
@for_secretary
def look_at_more_dates(number: int, body: MoreDatesWritten) -> HireForeseen:
    """Look at dates that a hire does not have: those left out, and those up to a later end."""
    state = app_state()
    decisions = {one.day: one.value for one in body.decisions}
    more = foresee_more(state.store, number, body.until, state.clock(), decisions)
    return dates_foreseen(more.dates)


@operation(
    "POST",
    "/hires/<int:number>/dates",
    answer=HireValue,
    takes=MoreDatesWritten,
    of=see_hired,
)
@for_secretary
def book_more_dates(number: int, body: MoreDatesWritten, present: HireValue) -> Done:
    """Book dates that a hire does not have: where no rule stands in the way, or as decided."""
    state = app_state()
    decisions = {one.day: one.value for one in body.decisions}
    now, because = state.clock(), body.because.strip()
    book_more(state.store, number, present.stand, body.until, now, decisions, because)
    return done(see_hired, number=number)


@operation(
    "POST",
    "/hires/<int:number>/move/look",
    answer=HireMoveForeseen,
    takes=HireMoveWritten,
    is_once=False,
)
@for_secretary
def look_at_hire_move(number: int, body: HireMoveWritten) -> HireMoveForeseen:
    """Say which dates of a hire would move, and what keeps the others; nothing is changed."""
    state = app_state()
    found = foresee_hire_move(state.store, number, hire_move(body), state.clock())
    return HireMoveForeseen(
        count=found.later.count,
        stays=[DateStays(day=one.day, why=one.why) for one in found.later.stays],
        overrulable=found.overrulable,
        apart=list(found.apart),
    )
