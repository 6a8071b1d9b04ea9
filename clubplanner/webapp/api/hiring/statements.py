"""Money for a month, for the office: drafts, and statements issued, read, taken back."""

from __future__ import annotations

from pydantic import Field

from clubplanner.domain.money.tariffs import Payer
from clubplanner.services.money.statements import issue, issue_all, take_back
from clubplanner.services.money.whole_money import (
    list_whole_drafts,
    list_whole_statements,
    see_whole_statement,
)
from clubplanner.webapp.api.frame.cursors import leaf_of
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import LeafQuery
from clubplanner.webapp.api.hiring.statement_values import (
    DraftLeaf,
    Month,
    MonthQuery,
    MonthWish,
    StatementLeaf,
    StatementValue,
    StatementWish,
    TakenBack,
    draft_value,
    month_from,
    statement_line,
    statement_value,
)
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state

_PAYERS = tuple(Payer)


class StatementQuery(LeafQuery):
    """Which statements."""

    month: Month | None = Field(None, description="Of this month, as 2026-11; else all.")


@operation("GET", "/statements/drafts", answer=DraftLeaf, query=MonthQuery)
@for_secretary
def list_drafts(query: MonthQuery) -> DraftLeaf:
    """Say what everybody owes for a month by today's tariffs, line by line."""
    state = app_state()
    found = list_whole_drafts(state.store, month_from(query.month), state.clock())
    leaf, following = leaf_of(
        found, lambda one: (_PAYERS.index(one[0].payer), one[0].key), query, (int, str)
    )
    return DraftLeaf(items=[draft_value(*one) for one in leaf], next=following)


@operation("GET", "/statements", answer=StatementLeaf, query=StatementQuery)
@for_secretary
def list_statements(query: StatementQuery) -> StatementLeaf:
    """List the statements, those taken back too; the last number first."""
    month = None if query.month is None else month_from(query.month)
    found = list_whole_statements(app_state().store, month)
    leaf, following = leaf_of(found, lambda one: (-one.number,), query, (int,))
    return StatementLeaf(items=[statement_line(one) for one in leaf], next=following)


@operation("GET", "/statements/<int:number>", answer=StatementValue)
@for_secretary
def see_statement(number: int) -> StatementValue:
    """Show a statement as it was issued."""
    return statement_value(see_whole_statement(app_state().store, number))


@operation("POST", "/statements", answer=StatementValue, status=201, takes=StatementWish)
@for_secretary
def issue_statement(body: StatementWish) -> Done:
    """Issue one statement under the next number."""
    state = app_state()
    month = month_from(body.month)
    number = issue(state.store, Payer(body.payer), body.key, month, state.clock())
    return done(see_statement, number=number)


@operation("POST", "/statements/all", answer=StatementLeaf, takes=MonthWish)
@for_secretary
def issue_statements(body: MonthWish) -> Done:
    """Issue every statement of a month that is not there yet. The answer is the first leaf."""
    state = app_state()
    payer = None if body.payer is None else Payer(body.payer)
    issue_all(state.store, month_from(body.month), state.clock(), payer)
    return done(list_statements)


@operation(
    "POST",
    "/statements/<int:number>/take-back",
    answer=StatementValue,
    takes=TakenBack,
    of=see_statement,
)
@for_secretary
def take_statement_back(number: int, body: TakenBack) -> Done:
    """Take a statement back; its number stays, with the reason."""
    state = app_state()
    take_back(state.store, number, body.why, state.clock())
    return done(see_statement, number=number)
