"""What becomes of each column when a club goes out is decided, and the decision holds."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta
from enum import Enum
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from sqlalchemy import delete, select
from sqlalchemy.exc import IntegrityError

from clubplanner.services.folder.exporting import files_of
from clubplanner.services.folder.kept import DECISIONS, Stays, tables_that_go_out
from clubplanner.services.folder.sheets.sheets import SHEETS
from clubplanner.store import stand  # noqa: F401  for its table
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.turn_tables import NextSeasonAnswerRow
from clubplanner.store.upkeep.filling import filling
from tests.services.folder.drawn_clubs import GONE, fill_club

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

    from clubplanner.services.folder.sheets.sheet import Sheet
    from clubplanner.store.engine import Store

TABLES = Base.metadata.tables
PRIVATE = {"password_hash", "secret_hash", "browser_hash", "private_key", "endpoint", "auth"}


def own_columns(table: str) -> set[str]:
    """Return a table's columns, the number of its rows aside."""
    return {column.name for column in TABLES[table].c} - {"id"}


@pytest.mark.parametrize("table", sorted(TABLES))
def test_every_column_has_a_decision(table: str) -> None:
    """A new column goes out with the club or stays for a reason: `kept.py` says which."""
    assert set(DECISIONS.get(table, {})) - {"id"} == own_columns(table)


def test_no_decision_is_about_nothing() -> None:
    """No decision is left over of a table that is gone."""
    assert set(DECISIONS) == set(TABLES)


def test_no_secret_goes_out() -> None:
    """Whatever opens something, or proves who somebody is, stays."""
    out = {
        column
        for columns in DECISIONS.values()
        for column, becomes in columns.items()
        if not isinstance(becomes, Stays)
    }
    assert not out & PRIVATE
    assert not {"browser", "sign_in", "session_link"} & tables_that_go_out()


@settings(
    max_examples=2,
    phases=(Phase.generate,),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    deadline=None,
)
@given(st.data())
def test_what_goes_out_is_seen_in_the_files(
    new_store: Callable[[], Store], data: st.DataObject
) -> None:
    """Change any value that a sheet holds, and the files differ."""
    store, unseen = new_store(), []
    fill_club(data.draw, store)
    with filling(store) as session:
        session.execute(delete(NextSeasonAnswerRow).where(NextSeasonAnswerRow.item == GONE))
        before = {file.name: file.data for file in files_of(session)}
        for sheet in SHEETS:
            with session.begin_nested() as step:
                changed = [one for one in sheet.columns if _change(session, sheet, one.name)]
                after = {file.name: file.data for file in files_of(session)}
                step.rollback()
            session.expire_all()
            was, now = (_columns(files.get(sheet.file, b"")) for files in (before, after))
            unseen += [
                (sheet.file, one.header)
                for one in changed
                if was.get(one.header) == now.get(one.header)
            ]
    assert unseen == []


def _columns(data: bytes) -> dict[str, list[str]]:
    """Return what stands in each column of a sheet, in any order."""
    rows = list(csv.DictReader(io.StringIO(data.decode(), newline="")))
    return {name: sorted(row[name] for row in rows) for name in (rows[0] if rows else ())}


def _change(session: Session, sheet: Sheet, column: str) -> bool:
    """Change a value of the first row that has one; tell whether there was any."""
    table = sheet.table
    found = table.c[column]
    others = [key.column for key in found.foreign_keys]
    row = session.execute(select(table).where(found.is_not(None))).mappings().first()
    if row is None:
        return False
    if others or column == "area_id":
        of = others[0] if others else TABLES["area"].c.id
        values = list(session.scalars(select(of).where(of != row[column])))
    else:
        values = _others(row[column])
    keys = [key == row[key.name] for key in table.primary_key.columns]
    for value in values:
        try:
            with session.begin_nested():
                session.execute(table.update().where(*keys).values({column: value}))
        except IntegrityError:  # it does not go with the row's other values
            continue
        return True
    return False


def _others(value: Any) -> list[Any]:
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, Enum):
        return [one for one in type(value) if one is not value]
    if isinstance(value, date):
        return [value + timedelta(days=days) for days in (1, -1)]
    if isinstance(value, dict):
        return [{**value, "more": "more"}]
    return [value + 1, value - 1] if isinstance(value, (int, float)) else [f"{value}x"]
