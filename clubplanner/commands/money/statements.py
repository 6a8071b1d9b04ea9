"""Statements from the command line: what is owed, issued, written to files, withdrawn."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.files_on_disk import STANDARD, refuse_both_on_output, write_file
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.domain.money.tariffs import Payer
from clubplanner.services.money.pages import see_draft, see_month, see_statement
from clubplanner.services.money.papers import print_statement, statement_table
from clubplanner.services.money.statements import issue, issue_all, take_back

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context
    from clubplanner.services.money.pages import StatementPage


class Month(click.ParamType):  # type: ignore[type-arg]  # older versions are not generic
    """A month written year-month."""

    name = "month"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """Read the month as its first date, or say what to write."""
        if isinstance(value, date):
            return value
        try:
            month = date.fromisoformat(f"{value}-01")
        except ValueError:
            self.fail(f"“{value}” is not a month; write it like 2026-11", param, ctx)
        if not 2000 < month.year < 2199:
            self.fail("Write a month between 2001 and 2198.", param, ctx)
        return month


MONTH = Month()
PAYER = click.Choice([one.value for one in Payer])


@click.group()
def statements() -> None:
    """See what is owed for a month, and issue statements of it."""


@statements.command(name="list")
@click.argument("month", type=MONTH)
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, month: date, as_json: bool) -> None:
    """List who owes what for MONTH (2026-11), and the statements issued."""
    page = see_month(context.open(), month, present.now())
    words = [f"{about}: {total}" for about, total in page.sums]
    words += [
        f"  {line.name}: {line.total}"
        + (f", statement {line.number}" if line.number else "")
        + (f" says {line.differs}" if line.differs else "")
        for line in page.owed
    ]
    words += [
        f"Statement {one.number}, {one.name}: {one.total}  {one.taken_back}".rstrip()
        for one in page.statements
    ]
    value = {
        "owed": [asdict(line) for line in page.owed],
        "statements": [asdict(one) for one in page.statements],
    }
    say("\n".join(words) or "Nothing is owed for this month.", value, as_json=as_json)


@statements.command()
@click.argument("month", type=MONTH)
@click.argument("payer", type=PAYER)
@click.argument("key")
@json_option
@click.pass_obj
@tells_faults
def preview(context: Context, month: date, payer: str, key: str, as_json: bool) -> None:
    """Show what KEY (a venue's or squad's key, or a hirer's name) owes for MONTH, not issued."""
    _say(see_draft(context.open(), payer, key, month, present.now()), as_json=as_json)


@statements.command(name="issue")
@click.argument("month", type=MONTH)
@click.argument("payer", type=PAYER, required=False)
@click.argument("key", required=False)
@json_option
@click.pass_obj
@tells_faults
def issue_command(
    context: Context, month: date, payer: str | None, key: str | None, as_json: bool
) -> None:
    """Issue the statements of MONTH that are left: all, those of a PAYER, or that of KEY."""
    now = present.now()
    if payer and key:
        number = issue(context.open(), Payer(payer), key, month, now)
        words = f"Statement {number} is issued."
        say(words, {"done": words, "number": number}, as_json=as_json)
        return
    words = issue_all(context.open(), month, now, Payer(payer) if payer else None)
    say(words, {"done": words}, as_json=as_json)


@statements.command()
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def show(context: Context, number: int, as_json: bool) -> None:
    """Show statement NUMBER as it was issued."""
    _say(see_statement(context.open(), number), as_json=as_json)


@statements.command()
@click.argument("number", type=NUMBER)
@click.option(
    "--output",
    required=True,
    type=click.Path(dir_okay=False, path_type=Path),
    help="Where to: a PDF, or its lines where it ends in .csv or .xlsx; “-” is standard output.",
)
@json_option
@click.pass_obj
@tells_faults
def export(context: Context, number: int, output: Path, as_json: bool) -> None:
    """Write statement NUMBER into a file, as it was issued."""
    from clubplanner.outputs.tables import text_files, workbooks

    refuse_both_on_output(output, as_json=as_json)
    store, now = context.open(), present.now()
    kind = output.suffix.lower()
    if kind == ".csv":
        data = text_files.write_csv(statement_table(store, number))
    elif kind == ".xlsx":
        data = workbooks.write_workbook([statement_table(store, number)], now)
    else:
        data = print_statement(store, number, now)
    write_file(output, data)
    if output != STANDARD:
        say(f"Written: {output}", {"file": str(output)}, as_json=as_json)


@statements.command()
@click.argument("number", type=NUMBER)
@click.option("--why", default="", help="The word that stays with its number.")
@json_option
@click.pass_obj
@tells_faults
def withdraw(context: Context, number: int, why: str, as_json: bool) -> None:
    """Take statement NUMBER back; its number stays, with the word why."""
    words = take_back(context.open(), number, why, present.now())
    say(words, {"done": words}, as_json=as_json)


def _say(page: StatementPage, *, as_json: bool) -> None:
    head = f"Statement {page.number}" if page.number else "Not issued"
    words = [f"{head}: {page.name}, {page.month_words}. {page.about}."]
    words += [page.taken_back] if page.taken_back else []
    words += [
        "  "
        + ", ".join(
            part
            for part in (line.day, line.times, line.what, line.place, line.hours, line.rate)
            if part
        )
        + (f" ({line.off})" if line.off else "")
        + f": {line.amount}"
        for line in page.lines
    ]
    words += [f"Total: {page.total}", page.rounding, *([page.note] if page.note else [])]
    value = {**asdict(page), "month": page.month.isoformat()}
    say("\n".join(words), value, as_json=as_json)
