"""Statements: issued under the next number, kept as they were, taken back with a word."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.money.tariffs import Payer
from clubplanner.domain.times.times import instant_from_wall
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, date_in_words, marked, ngettext
from clubplanner.services.money.drafts import Draft, StatedLine, load_drafts, next_month
from clubplanner.services.rows.club.money_rows import load_terms
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.money_tables import StatementRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

LONGEST_WHY = 200


@dataclass(frozen=True, slots=True)
class Statement:
    """A statement as it was issued.

    Attributes:
        number: One after the other, without gaps.
        payer: Who owes: the club, a squad or a hirer.
        name: What they were called, or the venue that the club owes.
        month: Its first date.
        currency: The club's then.
        total: The sum of the lines, in smallest units.
        lines: By time.
        note: The treasurer's, as it was then.
        issued_at: When, UTC.
        withdrawn_at: When it was taken back; None where it stands.
        why: Why it was taken back.
    """

    number: int
    payer: Payer
    name: str
    month: date
    currency: str
    total: int
    lines: tuple[StatedLine, ...]
    note: str
    issued_at: datetime
    withdrawn_at: datetime | None
    why: str


Debtor = tuple[str, int | None, str]
"""Who owes: who pays, the squad's or venue's number, and of a hirer the name."""


@dataclass(frozen=True, slots=True)
class Issued:
    """A statement as lists have it, without its lines."""

    number: int
    debtor: Debtor
    name: str
    currency: str
    total: int
    issued_at: datetime
    withdrawn_at: datetime | None
    why: str


def issue(store: Store, payer: Payer, key: str, month: date, now: datetime) -> int:
    """Issue one statement.

    Args:
        store: The database.
        payer: Who owes.
        key: The squad's or venue's key, or the hirer's name.
        month: Its first date.
        now: The present instant.

    Returns:
        Its number.

    Raises:
        MissingError: If nothing is owed.
        RefusedError: If the month is not over, no currency is chosen, or one stands already.
    """
    with store.write() as session:
        drafts = _issuable(session, month, now, (payer, key))
        if not drafts:
            raise MissingError(_("Nothing is owed for this month; look at the list of the month."))
        (standing,) = standing_of(drafts[:1], load_issued(session, month))
        if standing is not None:
            raise RefusedError(
                _(
                    "Statement %(number)s stands for this month already; take it back first.",
                    number=standing.number,
                )
            )
        number = _issue(session, drafts[0], now)
        describe_change(
            session,
            _(
                "issued statement %(number)s, %(name)s, %(month)s",
                number=number,
                name=drafts[0].name,
                month=month_in_words(month),
            ),
        )
        return number


def issue_all(store: Store, month: date, now: datetime, payer: Payer | None = None) -> str:
    """Issue every statement of a month that is not there yet.

    Args:
        store: The database.
        month: Its first date.
        now: The present instant.
        payer: Only for these; None for all.

    Returns:
        What was done, a sentence.

    Raises:
        RefusedError: If the month is not over, or no currency is chosen.
    """
    with store.write() as session:
        drafts = _issuable(session, month, now)
        standing = standing_of(drafts, load_issued(session, month))
        numbers = [
            _issue(session, draft, now)
            for draft, issued in zip(drafts, standing, strict=True)
            if payer in (None, draft.payer) and issued is None
        ]
        if not numbers:
            return _("There was nothing left to issue.")
        words = ngettext(
            "issued %(num)s statement for %(month)s",
            "issued %(num)s statements for %(month)s",
            len(numbers),
            month=month_in_words(month),
        )
        describe_change(session, words)
        return ngettext(
            "Issued %(num)s statement for %(month)s.",
            "Issued %(num)s statements for %(month)s.",
            len(numbers),
            month=month_in_words(month),
        )


def take_back(store: Store, number: int, why: str, now: datetime) -> str:
    """Take a statement back; its number stays, with the reason.

    Raises:
        MissingError: If there is none of that number.
        RefusedError: If it was taken back before, or no reason is given.
    """
    with store.write() as session:
        row = _row(session, number)
        if row.withdrawn_at is not None:
            raise RefusedError(_("Statement %(number)s was taken back before.", number=number))
        if not why.strip():
            raise RefusedError(_("Say why it is taken back; the word stays with its number."))
        row.withdrawn_at, row.why = now, why.strip()[:LONGEST_WHY]
        describe_change(
            session, _("took back statement %(number)s: %(why)s", number=number, why=row.why)
        )
        return _("Took back statement %(number)s; its number stays.", number=number)


def load_statement(session: Session, number: int) -> Statement:
    """Return a statement.

    Raises:
        MissingError: If there is none of that number.
    """
    return _statement(_row(session, number))


def load_statements(session: Session, month: date | None = None) -> tuple[Statement, ...]:
    """Return the statements of a month, or all, those taken back too; the last number first."""
    query = select(StatementRow).order_by(StatementRow.number.desc())
    if month is not None:
        query = query.where(StatementRow.month == month)
    return tuple(_statement(row) for row in session.scalars(query))


def load_issued(session: Session, month: date) -> tuple[Issued, ...]:
    """Return the statements of a month without their lines, the last number first."""
    query = (
        select(
            StatementRow.number,
            StatementRow.payer,
            StatementRow.squad_id,
            StatementRow.venue_id,
            StatementRow.name,
            StatementRow.currency,
            StatementRow.total,
            StatementRow.issued_at,
            StatementRow.withdrawn_at,
            StatementRow.why,
        )
        .where(StatementRow.month == month)
        .order_by(StatementRow.number.desc())
    )
    return tuple(
        Issued(
            number,
            _debtor(Payer(payer), venue if squad is None else squad, name),
            name,
            currency,
            total,
            issued_at,
            withdrawn_at,
            why,
        )
        for (
            number, payer, squad, venue, name, currency, total, issued_at, withdrawn_at, why,
        ) in session.execute(query)
    )  # fmt: skip


def standing_of(drafts: Iterable[Draft], issued: Iterable[Issued]) -> list[Issued | None]:
    """Return for each draft the statement that stands for it, None for none."""
    standing = {one.debtor: one for one in issued if one.withdrawn_at is None}
    return [standing.get(_debtor(draft.payer, draft.number, draft.name)) for draft in drafts]


def _debtor(payer: Payer, number: int | None, name: str) -> Debtor:
    return payer.value, number, name if payer is Payer.HIRER else ""


def month_in_words(month: date) -> str:
    """Write a month: "November 2026"."""
    return date_in_words(month, marked("MMMM y"))


def _issuable(
    session: Session, month: date, now: datetime, only: tuple[Payer, str] | None = None
) -> Sequence[Draft]:
    if now < instant_from_wall(next_month(month), 0, load_zone(session)):
        raise RefusedError(_("The month is not over yet; statements are issued after its end."))
    if not load_terms(session).currency:
        raise RefusedError(_("Choose the club's currency first, on the page “Tariffs”."))
    return load_drafts(session, month, now, only)


def _issue(session: Session, draft: Draft, now: datetime) -> int:
    """Write a statement under the next number; writers take turns, so none is given twice."""
    number = (session.scalar(select(func.max(StatementRow.number))) or 0) + 1
    session.add(
        StatementRow(
            number=number,
            payer=draft.payer.value,
            squad_id=draft.number if draft.payer is Payer.SQUAD else None,
            venue_id=draft.number if draft.payer is Payer.CLUB else None,
            name=draft.name,
            month=draft.month,
            currency=draft.currency,
            total=draft.total,
            lines=[line.kept() for line in draft.lines],
            note=load_terms(session).note,
            issued_at=now,
            withdrawn_at=None,
            why="",
        )
    )
    session.flush()
    return number


def _row(session: Session, number: int) -> StatementRow:
    row = session.scalars(select(StatementRow).where(StatementRow.number == number)).first()
    if row is None:
        raise MissingError(_("There is no statement %(number)s.", number=number))
    return row


def _statement(row: StatementRow) -> Statement:
    return Statement(
        number=row.number,
        payer=Payer(row.payer),
        name=row.name,
        month=row.month,
        currency=row.currency,
        total=row.total,
        lines=tuple(StatedLine(**line) for line in row.lines),
        note=row.note,
        issued_at=row.issued_at,
        withdrawn_at=row.withdrawn_at,
        why=row.why,
    )
