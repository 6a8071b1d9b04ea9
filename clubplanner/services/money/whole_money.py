"""Tariffs, reductions, drafts and statements as values, for whoever reads no words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.money.amounts import plain_amount
from clubplanner.services.money.drafts import load_drafts, month_of
from clubplanner.services.money.statements import load_issued, load_statements, standing_of
from clubplanner.services.money.statements import load_statement as read_statement
from clubplanner.services.money.tariff_book import no_reduction
from clubplanner.services.rows.club.money_rows import load_reductions, load_tariffs, load_terms

if TYPE_CHECKING:
    from datetime import date, datetime

    from clubplanner.domain.money.lines import Reduction
    from clubplanner.domain.money.tariffs import Tariff
    from clubplanner.domain.money.terms import MoneyTerms
    from clubplanner.services.money.drafts import Draft
    from clubplanner.services.money.statements import Issued, Statement
    from clubplanner.store.engine import Store


def see_terms(store: Store) -> MoneyTerms:
    """Return what the club settled about money."""
    with store.read() as session:
        return load_terms(session)


def list_whole_tariffs(store: Store) -> tuple[tuple[Tariff, str], ...]:
    """List all tariffs, each with its amount as files have it, in the order in which they came."""
    with store.read() as session:
        currency = load_terms(session).currency
        return tuple((one, plain_amount(one.amount, currency)) for one in load_tariffs(session))


def list_whole_reductions(store: Store) -> tuple[Reduction, ...]:
    """List all reductions, in the order in which they came."""
    with store.read() as session:
        return load_reductions(session)


def see_whole_reduction(store: Store, number: int) -> Reduction:
    """Return one reduction.

    Raises:
        MissingError: If there is none of that number.
    """
    found = next((one for one in list_whole_reductions(store) if one.number == number), None)
    if found is None:
        raise no_reduction()
    return found


def list_whole_drafts(
    store: Store, month: date, now: datetime
) -> tuple[tuple[Draft, Issued | None], ...]:
    """List what everybody owes for a month by today's tariffs, and the statement that stands.

    Args:
        store: The database.
        month: Any date of it.
        now: The present instant.
    """
    with store.read() as session:
        drafts = load_drafts(session, month_of(month), now)
        standing = standing_of(drafts, load_issued(session, month_of(month)))
        return tuple(zip(drafts, standing, strict=True))


def list_whole_statements(store: Store, month: date | None) -> tuple[Statement, ...]:
    """List the statements of a date's month, or all, those taken back too; the last one first."""
    with store.read() as session:
        return load_statements(session, None if month is None else month_of(month))


def see_whole_statement(store: Store, number: int) -> Statement:
    """Return a statement as it was issued.

    Raises:
        MissingError: If there is none of that number.
    """
    with store.read() as session:
        return read_statement(session, number)
