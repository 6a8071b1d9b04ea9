"""Tariffs, reductions and terms, for the office: listed, added, changed, taken out."""

from __future__ import annotations

from clubplanner.domain.money.terms import MoneyTerms
from clubplanner.errors import FaultyInputError
from clubplanner.services.money.tariff_book import (
    load_tariff,
    save_reduction,
    save_tariff,
    settle_terms,
    take_reduction_out,
    take_tariff_out,
)
from clubplanner.services.money.whole_money import (
    list_whole_reductions,
    list_whole_tariffs,
    see_terms,
    see_whole_reduction,
)
from clubplanner.webapp.api.frame.cursors import leaf_of
from clubplanner.webapp.api.frame.faults_at import at_members
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import LeafQuery
from clubplanner.webapp.api.hiring.statement_values import TermsValue
from clubplanner.webapp.api.hiring.tariff_values import (
    TARIFF_MEMBERS,
    ReductionLeaf,
    ReductionValue,
    ReductionWritten,
    TariffLeaf,
    TariffValue,
    TariffWritten,
    reduction_value,
    tariff_value,
)
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state

NEW = 0


@operation("GET", "/tariffs", answer=TariffLeaf, query=LeafQuery)
@for_secretary
def list_tariffs(query: LeafQuery) -> TariffLeaf:
    """List what venues, squads and hirers pay, in the order in which it came."""
    found = list_whole_tariffs(app_state().store)
    leaf, following = leaf_of(found, lambda one: (one[0].number,), query, (int,))
    return TariffLeaf(items=[tariff_value(*one) for one in leaf], next=following)


@operation("GET", "/tariffs/<int:number>", answer=TariffValue)
@for_secretary
def see_tariff(number: int) -> TariffValue:
    """Show one tariff."""
    return tariff_value(*load_tariff(app_state().store, number))


@operation("POST", "/tariffs", answer=TariffValue, status=201, takes=TariffWritten)
@for_secretary
def add_tariff(body: TariffWritten) -> Done:
    """Add a tariff; statements that were issued stay as they are."""
    return _save_tariff(NEW, body)


@operation("PUT", "/tariffs/<int:number>", answer=TariffValue, takes=TariffWritten)
@for_secretary
def change_tariff(number: int, body: TariffWritten) -> Done:
    """Change a tariff as a whole; statements that were issued stay as they are."""
    return _save_tariff(number, body)


@operation("DELETE", "/tariffs/<int:number>", answer=TariffLeaf)
@for_secretary
def take_out_tariff(number: int) -> Done:
    """Take a tariff out; statements that were issued stay. The answer is the first leaf."""
    take_tariff_out(app_state().store, number)
    return done(list_tariffs)


@operation("GET", "/reductions", answer=ReductionLeaf, query=LeafQuery)
@for_secretary
def list_reductions(query: LeafQuery) -> ReductionLeaf:
    """List what is free and what is taken off, in the order in which it came."""
    found = list_whole_reductions(app_state().store)
    leaf, following = leaf_of(found, lambda one: (one.number,), query, (int,))
    return ReductionLeaf(items=[reduction_value(one) for one in leaf], next=following)


@operation("GET", "/reductions/<int:number>", answer=ReductionValue)
@for_secretary
def see_reduction(number: int) -> ReductionValue:
    """Show one reduction."""
    return reduction_value(see_whole_reduction(app_state().store, number))


@operation("POST", "/reductions", answer=ReductionValue, status=201, takes=ReductionWritten)
@for_secretary
def add_reduction(body: ReductionWritten) -> Done:
    """Add a reduction; statements that were issued stay as they are."""
    return _save_reduction(NEW, body)


@operation("PUT", "/reductions/<int:number>", answer=ReductionValue, takes=ReductionWritten)
@for_secretary
def change_reduction(number: int, body: ReductionWritten) -> Done:
    """Change a reduction as a whole; statements that were issued stay as they are."""
    return _save_reduction(number, body)


@operation("DELETE", "/reductions/<int:number>", answer=ReductionLeaf)
@for_secretary
def take_out_reduction(number: int) -> Done:
    """Take a reduction out; statements that were issued stay. The answer is the first leaf."""
    take_reduction_out(app_state().store, number)
    return done(list_reductions)


@operation("GET", "/money-terms", answer=TermsValue)
@for_secretary
def see_money_terms() -> TermsValue:
    """Show the club's currency, what is owed of late withdrawals, and the treasurer's note."""
    terms = see_terms(app_state().store)
    return TermsValue(
        currency=terms.currency,
        notice_hours=terms.notice_hours,
        late_percent=terms.late_percent,
        note=terms.note,
    )


@operation("PUT", "/money-terms", answer=TermsValue, takes=TermsValue)
@for_secretary
def settle_money_terms(body: TermsValue) -> Done:
    """Settle them; with another currency the figures of tariffs stay, digit by digit."""
    terms = MoneyTerms(body.currency, body.notice_hours, body.late_percent, body.note.strip())
    try:
        settle_terms(app_state().store, terms)
    except FaultyInputError as fault:
        raise at_members(fault, lambda at: f"/{at}") from fault
    return done(see_money_terms)


def _save_tariff(number: int, body: TariffWritten) -> Done:
    try:
        made = save_tariff(app_state().store, body.tariff(number), body.amount)
    except FaultyInputError as fault:
        raise at_members(fault, lambda at: TARIFF_MEMBERS.get(at, f"/{at}")) from fault
    return done(see_tariff, number=made)


def _save_reduction(number: int, body: ReductionWritten) -> Done:
    try:
        made = save_reduction(app_state().store, body.reduction(number))
    except FaultyInputError as fault:
        raise at_members(fault, lambda at: f"/{at}") from fault
    return done(see_reduction, number=made)
