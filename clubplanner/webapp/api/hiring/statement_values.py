"""What is owed for a month, and statements of it, as the API tells them."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Annotated

from pydantic import Field, StringConstraints

from clubplanner.domain.money.amounts import plain_amount
from clubplanner.domain.money.terms import LONGEST_NOTE, MOST_HOURS
from clubplanner.webapp.api.frame.values import (
    NO_CONTROLS,
    LeafQuery,
    Moment,
    Name,
    ShortWords,
    Value,
    Words,
    example,
)
from clubplanner.webapp.api.hiring.tariff_values import PayerWord

if TYPE_CHECKING:
    from collections.abc import Iterable

    from clubplanner.services.money.drafts import Draft, StatedLine
    from clubplanner.services.money.statements import Issued, Statement

Month = Annotated[str, StringConstraints(pattern=r"^20[0-9]{2}-(0[1-9]|1[0-2])$")]
"""A month, "2026-11"."""
_LINE = {
    "day": "2026-11-25",
    "starts": "19:15",
    "ends": "20:15",
    "place": "Top pitch, half 1",
    "purpose": "hire",
    "who": "",
    "tariff": "Evening",
    "per": "hour",
    "adds": False,
    "rate": "30.00",
    "minutes": 60,
    "free_minutes": 0,
    "share": "1/2",
    "percent_owed": 100,
    "reduction": "",
    "percent_off": 0,
    "amount": "15.00",
}
_DRAFT = {
    "payer": "hirer",
    "key": "Choir of St Anne",
    "name": "Choir of St Anne",
    "month": "2026-11",
    "currency": "EUR",
    "total": "15.00",
    "lines": [_LINE],
    "statement": None,
    "stated_total": None,
}
_STATEMENT = {
    "number": 1,
    "payer": "hirer",
    "name": "Choir of St Anne",
    "month": "2026-11",
    "currency": "EUR",
    "total": "15.00",
    "issued_at": "2026-12-03T09:00:00Z",
    "taken_back_at": None,
    "why": "",
}


class MonthQuery(LeafQuery):
    """Which month, and which leaf of it."""

    month: Month = Field(description="As 2026-11.")


class TermsValue(Value):
    """What the club settled about money."""

    model_config = example(currency="EUR", notice_hours=24, late_percent=50, note="By the 15th.")

    currency: ShortWords = Field(description="ISO 4217, or its sign; blank as long as none is.")
    notice_hours: int = Field(
        0, ge=0, le=MOST_HOURS, description="Withdrawn in time so many hours before it begins."
    )
    late_percent: int = Field(
        100, ge=0, le=100, description="How much is owed of what was withdrawn later."
    )
    note: Annotated[str, StringConstraints(max_length=LONGEST_NOTE, pattern=NO_CONTROLS)] = Field(
        "", description="What stands on every statement."
    )


class LineValue(Value):
    """A line: figures, and the names of the day it was made."""

    model_config = example(**_LINE)

    day: str
    starts: str = Field(description="On the club's wall clock.")
    ends: str
    place: str
    purpose: str = Field(description="Of the booking, or floodlights.")
    who: str = Field(description="Who was there, where that is not who owes.")
    tariff: str = Field(description="What the tariff is called.")
    per: str = Field(description="hour or opening.")
    adds: bool = Field(description="Whether it came on top.")
    rate: str = Field(description="Of the tariff, exact.")
    minutes: int = Field(description="0 for an opening.")
    free_minutes: int
    share: str = Field(description="Of the pitch, as a fraction.")
    percent_owed: int = Field(description="100, or less for what was withdrawn late.")
    reduction: str
    percent_off: int
    amount: str = Field(description="Exact, rounded once.")


class DraftValue(Value):
    """What somebody owes for a month by today's tariffs; not issued."""

    model_config = example(**_DRAFT)

    payer: PayerWord
    key: str = Field(description="The squad's or venue's key, or the hirer's name.")
    name: str
    month: str
    currency: str = Field(description="ISO 4217; may be blank.")
    total: str = Field(description="The sum of the lines, exact.")
    lines: list[LineValue]
    statement: int | None = Field(description="Number of the statement that stands.")
    stated_total: str | None = Field(description="What that says.")


class DraftLeaf(Value):
    """A leaf of what is owed for a month: by the club to its venues, by squads, by hirers."""

    model_config = example(items=[_DRAFT], next=None)

    items: list[DraftValue]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


class StatementLine(Value):
    """A statement in the list."""

    model_config = example(**_STATEMENT)

    number: int = Field(description="One after the other, without gaps.")
    payer: PayerWord
    name: str = Field(description="Who owes, or the venue that the club owes.")
    month: str
    currency: str
    total: str = Field(description="Exact.")
    issued_at: Moment
    taken_back_at: Moment | None
    why: str = Field(description="Why it was taken back.")


class StatementValue(StatementLine):
    """A statement as it was issued."""

    model_config = example(**_STATEMENT, lines=[_LINE], note="By the 15th.")

    lines: list[LineValue]
    note: str = Field(description="The treasurer's, as it was then.")


class StatementLeaf(Value):
    """A leaf of the statements, those taken back too; the last number first."""

    model_config = example(items=[], next=None)

    items: list[StatementLine]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


class StatementWish(Value):
    """Whose month is to be stated."""

    model_config = example(month="2026-11", payer="hirer", key="Choir of St Anne")

    month: Month = Field(description="One that is over.")
    payer: PayerWord
    key: Name = Field(description="As the draft has it.")


class MonthWish(Value):
    """The month of which every statement that is left is issued."""

    model_config = example(month="2026-11", payer=None)

    month: Month = Field(description="One that is over.")
    payer: PayerWord | None = Field(None, description="Only for these; none for all.")


class TakenBack(Value):
    """Why a statement is taken back."""

    model_config = example(why="The hall was booked instead.")

    why: Words = Field(min_length=1, max_length=200, description="Stays with its number.")


def month_from(text: str) -> date:
    """Return the first date of a month."""
    return date.fromisoformat(f"{text}-01")


def draft_value(draft: Draft, issued: Issued | None) -> DraftValue:
    """Return a draft as it goes out."""
    return DraftValue(
        payer=draft.payer.value,
        key=draft.key,
        name=draft.name,
        month=f"{draft.month:%Y-%m}",
        currency=draft.currency,
        total=plain_amount(draft.total, draft.currency),
        lines=_lines(draft.lines, draft.currency),
        statement=None if issued is None else issued.number,
        stated_total=None if issued is None else plain_amount(issued.total, issued.currency),
    )


def statement_line(one: Statement) -> StatementLine:
    """Return a statement as the list has it."""
    return StatementLine(
        number=one.number,
        payer=one.payer.value,
        name=one.name,
        month=f"{one.month:%Y-%m}",
        currency=one.currency,
        total=plain_amount(one.total, one.currency),
        issued_at=one.issued_at,
        taken_back_at=one.withdrawn_at,
        why=one.why,
    )


def statement_value(one: Statement) -> StatementValue:
    """Return a statement as it goes out."""
    listed = statement_line(one).model_dump()
    return StatementValue(**listed, lines=_lines(one.lines, one.currency), note=one.note)


def _lines(lines: Iterable[StatedLine], currency: str) -> list[LineValue]:
    found = []
    for line in lines:
        told = line.kept()
        told["starts"], told["ends"] = told.pop("start"), told.pop("end")
        for part in ("rate", "amount"):
            told[part] = plain_amount(told[part], currency)
        found.append(LineValue(**told))
    return found
