"""Whose traces are looked for: somebody with a number, a hirer, or whoever a name is typed of."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from sqlalchemy import or_, select

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.club.persons.traces import Traces
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.keeping.likely import likely_texts
from clubplanner.services.rows.people.people_rows import is_erased
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import LOOKED_INTO, Holds
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.hire_tables import HireRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.season_tables import ChangedRecordRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from sqlalchemy.orm import Session

OWN_NAME = {"link": "holder", "session_link": "holder", "mail": "name", "mailed": "name",
            "hint": "name"}  # fmt: skip
"""Tables whose rows are theirs whose name stands there, and the column it stands in."""


@dataclass(frozen=True, slots=True)
class Subject:
    """Who is asked about.

    Attributes:
        person: The number of a person; None for somebody without one.
        hire: The number of a hire, for its hirer; None else.
        typed: What was typed of anybody.
    """

    person: int | None = None
    hire: int | None = None
    typed: Traces = field(default_factory=Traces)


@dataclass(frozen=True, slots=True)
class Known:
    """What somebody is recognised by.

    Attributes:
        subject: Who was asked about.
        name: What they are called; blank where only an address or a number is known.
        traces: What is looked for everywhere.
        own: The same with the names that others have as well: for what is theirs by number.
        shared: Names that are looked for nowhere else, as somebody else has them.
        own_texts: Tables that were looked through already: what stands in their `own_columns` in
            rows of which something is like `traces`, each different row of texts once.
    """

    subject: Subject
    name: str
    traces: Traces
    own: Traces
    shared: tuple[str, ...]
    own_texts: Mapping[str, Sequence[Sequence[str]]] = field(default_factory=dict)

    @property
    def person(self) -> int:
        """The number of a person; 0, which is nobody's, for who has none."""
        return self.subject.person or 0


def load_known(session: Session, subject: Subject) -> Known:
    """Find what somebody is recognised by: names of before, and addresses beside their names.

    Raises:
        MissingError: If there is no such person or hire, or they were erased.
    """
    name, told = _told(session, subject)
    names = _distinct(told.names)
    shared = tuple(one for one in names if one in _of_others(session, names, subject.person))
    free = tuple(one for one in names if one not in shared)
    own = Traces(names, _distinct(told.addresses), _distinct(told.phones))
    traces = replace(own, names=free)
    if not free:
        return Known(subject, name, traces, own, shared)
    own_texts = _own_texts(session, traces)
    beside = _addresses_beside(own_texts, Traces(free))
    addresses = _distinct((*own.addresses, *beside))
    if addresses == own.addresses:
        return Known(subject, name, traces, own, shared, own_texts)
    own = replace(own, addresses=addresses)  # and those may stand where nothing else of theirs does
    return Known(subject, name, replace(own, names=free), own, shared)


def _told(session: Session, subject: Subject) -> tuple[str, Traces]:
    if subject.person is not None:
        row = session.get(PersonRow, subject.person)
        if row is None or is_erased(row):
            raise MissingError(_("There is no such person, or they were erased."))
        names = (row.name, *_earlier_names(session, row.id))
        return row.name, Traces(names, (row.email,), (row.phone,))
    if subject.hire is not None:
        hire = session.get(HireRow, subject.hire)
        if hire is None:
            raise MissingError(_("There is no such hire (any more); look at the list of hires."))
        return hire.contact or hire.name, Traces((hire.name, hire.contact), (), (hire.phone,))
    return next(iter(subject.typed.names), ""), subject.typed


def _earlier_names(session: Session, number: int) -> Iterator[str]:
    """Yield what somebody was called before a change that the journal holds."""
    rows = session.scalars(
        select(ChangedRecordRow).where(
            ChangedRecordRow.sort == "person", ChangedRecordRow.number == str(number)
        )
    )
    for row in rows:
        yield from (str((state or {}).get("name", "")) for state in (row.before, row.after))


def _of_others(session: Session, names: tuple[str, ...], person: int | None) -> set[str]:
    """Return those of some names that another person has, who is asked about by number."""
    query = select(PersonRow.name).where(PersonRow.id != (person or 0))
    theirs = {plain_name(name) for name in session.scalars(query)}
    return {name for name in names if plain_name(name) in theirs}


def own_columns(table: str) -> tuple[str, ...]:
    """Return the columns that make a table's row theirs where nothing but somebody stands there."""
    return (*MARKS[table].holding(Holds.ADDRESS), *filter(None, [OWN_NAME.get(table)]))


def _own_texts(session: Session, traces: Traces) -> dict[str, Sequence[Sequence[str]]]:
    """Look through the tables in which addresses stand beside names; see `Known.own_texts`."""
    connection, patterns = session.connection(), traces.patterns()
    found: dict[str, Sequence[Sequence[str]]] = {}
    for name in OWN_NAME:
        marks, columns = MARKS[name], Base.metadata.tables[name].c
        if not marks.holding(Holds.ADDRESS):
            continue
        looked = [(columns[one], marks.columns[one]) for one in marks.holding(*LOOKED_INTO)]
        likely = [one for of in looked for one in likely_texts(connection, *of, patterns)]
        asked = select(*(columns[one] for one in own_columns(name))).where(or_(*likely))
        found[name] = [tuple(row) for row in connection.execute(asked.distinct())]
    return found


def _addresses_beside(
    own_texts: Mapping[str, Sequence[Sequence[str]]], names: Traces
) -> Iterator[str]:
    """Yield the mail addresses that stand beside a name of theirs."""
    for rows in own_texts.values():
        for *addresses, name in rows:
            if names.are_all_of(name):
                yield from addresses


def _distinct(words: Iterable[str]) -> tuple[str, ...]:
    """Return what is not blank, once each however it is capitalised."""
    found: dict[str, str] = {}
    for one in words:
        if one.strip():
            found.setdefault(plain_name(one), " ".join(one.split()))
    return tuple(found.values())


def load_hires(session: Session, known: Known) -> list[HireRow]:
    """Return the hires whose hirer somebody is."""
    rows = session.scalars(select(HireRow).order_by(HireRow.id))
    return [
        row
        for row in rows
        if row.id == known.subject.hire
        or any(known.traces.are_all_of(one) for one in (row.name, row.contact, row.phone))
    ]
