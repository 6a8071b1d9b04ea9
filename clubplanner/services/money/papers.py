"""A statement and a month as papers to take away: tables, and a statement as a PDF."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING

from clubplanner.domain.money.amounts import digits_of
from clubplanner.domain.money.tariffs import Per
from clubplanner.language import _, term
from clubplanner.outputs.papers.setting import set_sheet
from clubplanner.outputs.papers.statement_sheet import SheetLine, StatementSheet
from clubplanner.outputs.tables.table import Column, Kind, Table
from clubplanner.resources import resource_folder
from clubplanner.services.money.pages import see_statement
from clubplanner.services.money.statements import load_statement
from clubplanner.services.rows.snapshot import load_club

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.outputs.tables.table import Cell
    from clubplanner.services.money.drafts import StatedLine
    from clubplanner.services.money.pages import MonthPage
    from clubplanner.services.money.statements import Statement
    from clubplanner.store.engine import Store


def statement_table(store: Store, number: int) -> Table:
    """Return a statement's lines as a table, amounts as exact numbers.

    Raises:
        MissingError: If there is none of that number.
    """
    with store.read() as session:
        one = load_statement(session, number)
    digits = digits_of(one.currency)
    columns = (
        Column(_("Date"), Kind.DATE),
        Column(_("From")),
        Column(_("To")),
        Column(_("Ground")),
        Column(_("What for")),
        Column(_("Who")),
        Column(_("Tariff")),
        Column(_("Hours"), Kind.HOURS),
        Column(_("Free hours"), Kind.HOURS),
        Column(_("Share"), Kind.SHARE, decimals=1),
        Column(_("Price"), Kind.MONEY, digits, one.currency),
        Column(_("Per")),
        Column(_("Owed, %"), Kind.NUMBER),
        Column(_("Off, %"), Kind.NUMBER),
        Column(_("Amount"), Kind.MONEY, digits, one.currency),
    )
    return Table(_title(one), columns, [_row(line, one.currency) for line in one.lines])


def months_table(page: MonthPage) -> Table:
    """Return who owes what for a month as a table, as the page shows it."""
    columns = (
        Column(_("Who pays")),
        Column(_("Name")),
        Column(_("Amount")),
        Column(_("Statement"), Kind.NUMBER),
    )
    rows = [(line.about, line.name, line.total, line.number) for line in page.owed]
    return Table(_("Money"), columns, rows, page.words)


def print_statement(store: Store, number: int, now: datetime) -> bytes:
    """Set a statement as a PDF of A4 pages.

    Raises:
        MissingError: If there is none of that number.
    """
    page = see_statement(store, number)
    with store.read() as session:
        club = load_club(session).name
    words = ", ".join
    sheet = StatementSheet(
        club=club,
        title=_("Statement %(number)s", number=number),
        name=page.name,
        about=page.about,
        month=page.month_words,
        issued=_("Issued %(day)s", day=page.issued),
        taken_back=page.taken_back,
        headings=(_("Date"), _("What for"), _("Hours"), _("Price"), _("Amount")),
        lines=tuple(
            SheetLine(
                words((one.day, one.times)),
                words(part for part in (one.what, one.place) if part),
                words(part for part in (one.hours, one.off) if part),
                one.rate,
                one.amount,
            )
            for one in page.lines
        ),
        total_words=_("Total"),
        total=page.total,
        rounding=page.rounding,
        note=page.note,
    )
    folder = resource_folder("web")
    source = (folder / "templates" / "money" / "statement_sheet.typ").read_text("utf-8")
    return set_sheet(sheet, source, (str(folder / "static" / "fonts"),), now)


def _row(line: StatedLine, currency: str) -> tuple[Cell, ...]:
    top, _slash, bottom = line.share.partition("/")

    def exact(amount: int) -> Decimal:
        return Decimal(amount).scaleb(-digits_of(currency))

    is_hour = line.per == Per.HOUR
    return (
        date.fromisoformat(line.day),
        line.start,
        line.end,
        line.place,
        term(line.purpose),
        line.who,
        line.tariff,
        line.minutes / 60 if is_hour else None,
        line.free_minutes / 60 if is_hour else None,
        int(top) / int(bottom or 1),
        exact(line.rate),
        _("an hour") if is_hour else _("a date"),
        line.percent_owed,
        line.percent_off,
        exact(line.amount),
    )


def _title(one: Statement) -> str:
    return _("Statement %(number)s", number=one.number)
