"""What a sheet of a club's folder is: a table of what no other file of a club says."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from clubplanner.services.folder.sheets.columns import Column, Instant, Ref

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from sqlalchemy import ColumnElement, Table

    from clubplanner.services.folder.sheets.names import Names
    from clubplanner.store.tables.base import Base

Values = dict[str, Any]
NUMBER = "number"
"""The column of a sheet whose rows other sheets refer to, and that have no name of their own."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet: a row of it is a row of a table.

    Attributes:
        file: What it is called.
        row: The table's class.
        columns: What stands in it.
        about: What it holds, for the list of the folder's files.
        called_by: The column by which other sheets refer to a row; blank where none does.
        given: What the table needs and the sheet does not say, anew for each row.
        where: Which rows go out; None for all.
        is_sorted: Whether rows are put in the order of their cells, where their numbers, if they
            have any, do not say in which order they came.
        only_with: A column without which a row does not go out; blank for none.
        settle: Completes what was read of a row, and says what does not go together.
    """

    file: str
    row: type[Base]
    columns: tuple[Column, ...]
    about: str
    called_by: str = ""
    given: Mapping[str, Callable[[], Any]] = field(default_factory=dict)
    where: Callable[[], ColumnElement[bool]] | None = None
    is_sorted: bool = False
    only_with: str = ""
    settle: Callable[[Values, Names], None] | None = None

    @property
    def table(self) -> Table:
        """The table."""
        return self.row.metadata.tables[self.row.__tablename__]

    @property
    def header(self) -> list[str]:
        """The sheet's first row."""
        first = [NUMBER] if self.called_by == NUMBER else []
        return first + [column.header for column in self.columns]


def nothing() -> None:
    """Give nothing, as what a table needs and a sheet does not say."""
    return


SQUAD = Column("squad", "squad_id", Ref("squad"))
CREATED = Column("created", "created_at", Instant(is_now=True))
"""Columns of many sheets."""
