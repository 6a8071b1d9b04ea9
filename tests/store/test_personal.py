"""Each column is marked: whether it can hold something of a person, and what becomes of that."""

from __future__ import annotations

import pytest
from sqlalchemy import JSON, LargeBinary, String

from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import LOOKED_INTO, REWRITTEN, Fate, Holds
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.columns import Ground

TABLES = sorted(Base.metadata.tables)


def test_every_table_is_marked() -> None:
    """A new table says what it keeps of people, and no mark is of one that is gone."""
    assert sorted(MARKS) == TABLES


@pytest.mark.parametrize("name", TABLES)
def test_every_column_is_marked(name: str) -> None:
    """Whoever adds a column says whether it can hold something of a person."""
    columns = {column.name for column in Base.metadata.tables[name].c}
    assert set(MARKS[name].columns) == columns, (
        f"Mark each column of “{name}” in clubplanner/store/personal.py: what it can hold of a "
        "person decides what is shown to them, erased and pruned."
    )


@pytest.mark.parametrize("name", TABLES)
def test_marks_fit_the_columns(name: str) -> None:
    """Words are looked for in words, values in JSON, files in bytes."""
    kinds = {Holds.VALUES: JSON, Holds.FILE: LargeBinary}
    for column, holds in MARKS[name].columns.items():
        if holds in LOOKED_INTO:
            kind = Base.metadata.tables[name].c[column].type
            assert isinstance(kind, kinds.get(holds, String)), column
            assert not isinstance(kind, Ground)


@pytest.mark.parametrize("name", TABLES)
def test_what_is_kept_of_people_ends(name: str) -> None:
    """A table with something of a person in it has a fate for it, and where it is shared none."""
    marks = MARKS[name]
    if marks.holding(*REWRITTEN, Holds.WHO):
        assert marks.fate is not Fate.STAYS
    if marks.fate is Fate.GOES:
        assert marks.holding(Holds.WHO, Holds.NAME, Holds.ADDRESS)
