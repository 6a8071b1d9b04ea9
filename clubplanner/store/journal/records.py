"""What the journal keeps of the club's records other than bookings.

A record is a row with what belongs to it: a squad with its asks, a pitch with its areas. Its state
is a small JSON value. Secrets and people's addresses are left out.
"""

from __future__ import annotations

import hashlib
from datetime import date, datetime
from enum import Enum
from typing import TYPE_CHECKING, Any, TypeAlias

import shapely
from sqlalchemy import Integer, select

from clubplanner.store.chunks import chunks_of
from clubplanner.store.journal.record_sorts import (
    NO_LONGER,
    NOW,
    PART_OF_ROW,
    SORT_OF_NAME,
    SORT_OF_ROW,
    Sort,
    table_of,
)
from clubplanner.store.tables.ground_tables import PitchRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection

    from sqlalchemy.orm import Session

    from clubplanner.store.tables.base import Base

Key: TypeAlias = tuple[str, Any]
"""A record: the name of its sort and its number (or its date)."""
State: TypeAlias = dict[str, Any]


def key_of(row: object) -> Key | None:
    """Return the record that a row is, or belongs to; None for rows that are no record's."""
    sort = SORT_OF_ROW.get(type(row))  # type: ignore[arg-type]
    if sort is not None:
        is_kept = not sort.unless or getattr(row, sort.unless) is None
        return (sort.name, getattr(row, sort.primary)) if is_kept else None
    if type(row) in PART_OF_ROW:
        owner, part = PART_OF_ROW[type(row)]  # type: ignore[index]
        return owner.name, getattr(row, part.owner)
    return None


def read_state(session: Session, key: Key) -> State | None:
    """Read a record's state from the database as the transaction sees it; None if it is not there.

    Nothing is flushed first.
    """
    sort = SORT_OF_NAME[key[0]]
    connection = session.connection()
    found = connection.execute(select(sort.table).where(sort.table.c[sort.primary] == key[1]))
    row = found.mappings().first()
    if row is None:
        return None
    state = _state(dict(row), sort.left_out | {"id"})
    for part in sort.parts:
        table = table_of(part.row)
        rows = connection.execute(
            select(table).where(table.c[part.owner] == key[1]).order_by(table.c.id)
        ).mappings()
        left_out = part.left_out | {"id", part.owner}
        state[part.name] = [_state(dict(entry), left_out) for entry in rows]
    return state


def read_states(session: Session, keys: Collection[Key]) -> dict[Key, State]:
    """Read many records at once: a query a sort of record, and one a sort of part.

    Returns:
        The state of each that is there, as `read_state` gives it.
    """
    states: dict[Key, State] = {}
    connection = session.connection()
    by_sort: dict[str, list[Any]] = {}
    for name, value in dict.fromkeys(keys):
        by_sort.setdefault(name, []).append(value)
    for name, values in by_sort.items():
        sort = SORT_OF_NAME[name]
        column = sort.table.c[sort.primary]
        for chunk in chunks_of(values):
            found = connection.execute(select(sort.table).where(column.in_(chunk))).mappings()
            own = {row[sort.primary]: _state(dict(row), sort.left_out | {"id"}) for row in found}
            for part in sort.parts:
                table, left_out = table_of(part.row), part.left_out | {"id", part.owner}
                for state in own.values():
                    state[part.name] = []
                rows = select(table).where(table.c[part.owner].in_(chunk)).order_by(table.c.id)
                for entry in connection.execute(rows).mappings():
                    if entry[part.owner] in own:
                        own[entry[part.owner]][part.name].append(_state(dict(entry), left_out))
            states.update({(name, value): state for value, state in own.items()})
    return states


def complete_state(sort_name: str, kept: State | None) -> State | None:
    """Return a state as it would be kept today.

    What was added since may be empty, and is; what is kept elsewhere by now is left out.
    """
    if kept is None:
        return None
    sort = SORT_OF_NAME[sort_name]
    names = {column.name for column in sort.table.c} | {part.name for part in sort.parts}
    state = _may_be_empty(sort.row, sort.left_out) | {n: kept[n] for n in kept if n in names}
    for part in sort.parts:
        empty = _may_be_empty(part.row, part.left_out | {part.owner})
        state[part.name] = [empty | entry for entry in kept.get(part.name, [])]
    return state


def title_of(session: Session, key: Key, state: State) -> str:
    """Say what a record is called: its name, or that of what it is about; may be blank."""
    sort = SORT_OF_NAME[key[0]]
    if sort.named_by is not None:
        owner = session.get(sort.named_by, key[1])
        return "" if owner is None else str(getattr(owner, "name", ""))
    owners = [
        session.get(row, state[column])
        for column, row in (
            ("squad_id", SquadRow),
            ("person_id", PersonRow),
            ("pitch_id", PitchRow),
        )
        if state.get(column) is not None
    ]
    words = [str(getattr(owner, "name", "")) for owner in owners if owner is not None]
    words += [
        str(state[name])
        for name in ("name", "code", "opponent", "reason", "holder", "purpose")
        if state.get(name)
    ]
    return ", ".join(words)


def keys_of_table(session: Session, row: type[Base]) -> list[Key]:
    """List every record that a class of rows makes up."""
    sort = SORT_OF_ROW[row]
    column = sort.table.c[sort.primary]
    return [(sort.name, value) for value in session.connection().execute(select(column)).scalars()]


def write_key(key: Key) -> str:
    """Write a record's number or date as text."""
    value = key[1]
    return value.isoformat() if isinstance(value, date) else str(value)


def read_key(sort_name: str, text: str) -> Key:
    """Read what `write_key` wrote."""
    sort = SORT_OF_NAME[sort_name]
    is_number = isinstance(sort.table.c[sort.primary].type, Integer)
    return sort_name, int(text) if is_number else date.fromisoformat(text)


def can_be_restored(sort_name: str, before: State | None) -> bool:
    """Tell whether a change of a record can be taken back, by what the record was before it."""
    if sort_name in NO_LONGER:
        return False
    sort = SORT_OF_NAME[sort_name]
    return sort.is_restored or (before is None and bool(sort.taken_back_as))


def restore(session: Session, key: Key, state: State | None, now: datetime) -> None:
    """Make a record what it was; None takes it away, or ends it where others refer to it.

    What the state does not hold (an address, an order) stays as it is.
    """
    sort = SORT_OF_NAME[key[0]]
    row = session.get(sort.row, key[1])
    state = complete_state(key[0], state)
    if state is None:
        if row is not None and not sort.taken_back_as:
            session.delete(row)
        for name, value in sort.taken_back_as:
            setattr(row, name, now if value == NOW else value)
        return
    if row is None:
        row = sort.row(**{sort.primary: key[1]})
        session.add(row)
    parts = {part.name: part for part in sort.parts}
    for name, value in state.items():
        if name in parts:
            made = [parts[name].row(**_values(parts[name].row, entry)) for entry in value]
            setattr(row, name, made)
        else:
            setattr(row, name, _values(sort.row, {name: value})[name])


def has_all_columns(sort: Sort) -> bool:
    """Tell whether a record of a sort can be made anew from its state."""
    kept = sort.left_out & {column.name for column in sort.table.c if not column.nullable}
    return not kept


def _may_be_empty(row: type[Base], left_out: frozenset[str]) -> State:
    return {c.name: None for c in table_of(row).c if c.nullable and c.name not in left_out}


def _state(values: State, left_out: frozenset[str]) -> State:
    return {name: _plain(value) for name, value in values.items() if name not in left_out}


def _plain(value: Any) -> Any:
    if isinstance(value, date):  # an instant too
        return value.isoformat()
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, shapely.Geometry):
        return hashlib.sha256(shapely.to_wkb(shapely.normalize(value))).hexdigest()[:12]
    return value


def _values(row: type[Base], state: State) -> State:
    """Turn a state's values into those of a row."""
    table = table_of(row)
    return {name: _typed(table.c[name].type.python_type, value) for name, value in state.items()}


def _typed(kind: type, value: Any) -> Any:
    if not isinstance(value, str):
        return value
    if kind is datetime:
        return datetime.fromisoformat(value)
    return date.fromisoformat(value) if kind is date else value
