"""What is kept of somebody: a page, and all of it as tables."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import UTC, date, datetime
from enum import Enum
from textwrap import shorten
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.domain.times.times import day_in_short
from clubplanner.domain.times.zones import zone_from_name
from clubplanner.language import _, sentence, term
from clubplanner.outputs.tables.table import Column, Kind, Table
from clubplanner.services.keeping.counting import DATED, count_about
from clubplanner.services.keeping.part_words import told_of
from clubplanner.services.keeping.rows_about import rows_about, unfolded
from clubplanner.services.keeping.subjects import load_known
from clubplanner.services.keeping.table_words import TABLE_WORDS
from clubplanner.services.rows.club.keeping_rows import load_keeping
from clubplanner.store.chunks import chunks_of
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import Holds, Part
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.season_tables import ChangeRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from datetime import tzinfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.persons.traces import Traces
    from clubplanner.outputs.tables.table import Cell
    from clubplanner.services.keeping.counting import Unread
    from clubplanner.services.keeping.part_words import Told
    from clubplanner.services.keeping.rows_about import RowAbout
    from clubplanner.services.keeping.subjects import Known, Subject
    from clubplanner.store.engine import Store

SHOWN = 5
"""Entries of a kind that the page tells; the file has all."""
LONGEST_LINE = 160


@dataclass(frozen=True, slots=True)
class KeptPart:
    """What is kept of somebody of one kind.

    Attributes:
        told: What, why, for how long and who sees it.
        count: How many entries.
        lines: The first few, each a line.
    """

    told: Told
    count: int
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class KeptPage:
    """What is kept of somebody.

    Attributes:
        name: What they are called; blank where only an address or a number is known.
        looked_for: What was looked for.
        parts: What was found.
    """

    name: str
    looked_for: tuple[str, ...]
    parts: tuple[KeptPart, ...]


def see_kept(store: Store, subject: Subject) -> KeptPage:
    """Say what is kept of somebody.

    Raises:
        MissingError: If they are not there (any more).
    """
    with store.read() as session:
        known = load_known(session, subject)
        counted = count_about(session.connection(), known, SHOWN)
        return kept_page(session, known, counted.rows, counted.unread)


def kept_page(
    session: Session,
    known: Known,
    found: Sequence[RowAbout],
    unread: Mapping[str, Unread] = MappingProxyType({}),
) -> KeptPage:
    """Tell of the rows that are somebody's or speak of them.

    Args:
        session: To the records.
        known: Who.
        found: The rows, of each table the latest at least.
        unread: Those that are only counted, by table.
    """
    more: Counter[Part] = Counter()
    for table, others in unread.items():
        more[MARKS[table].part] += others.count
    zone, keeping = _zone(session), load_keeping(session)
    squads = _squad_names(session)
    parts = []
    for part, entries in _by_part(session, found).items():
        lines = [_line(one, at, known.own, zone, squads) for one, at in entries[:SHOWN]]
        parts.append(KeptPart(told_of(part, keeping), len(entries) + more[part], tuple(lines)))
    own = known.own
    return KeptPage(known.name, (*own.names, *own.addresses, *own.phones), tuple(parts))


def kept_tables(store: Store, subject: Subject) -> tuple[Table, Table]:
    """Return what is kept of somebody as tables to take away: each kind, and each entry.

    An entry has the words that are theirs or speak of them, as on the page, all of them.

    Raises:
        MissingError: If they are not there (any more).
    """
    with store.read() as session:
        known = load_known(session, subject)
        keeping, zone = load_keeping(session), _zone(session)
        squads = _squad_names(session)
        kinds: list[tuple[Cell, ...]] = []
        entries: list[tuple[Cell, ...]] = []
        found = rows_about(session.connection(), known)
        for part, listed in _by_part(session, found).items():
            told = told_of(part, keeping)
            kinds.append((told.heading, len(listed), told.why, told.how_long, told.who))
            for one, at in listed:
                what = sentence(term(TABLE_WORDS[one.table]))
                words = _words_in_line(one, known.own, squads)
                entries.append((told.heading, what, _day(at, zone), words))
    of_kinds = (
        Column(_("What")),
        Column(_("Entries"), Kind.NUMBER),
        Column(_("Why")),
        Column(_("How long")),
        Column(_("Who sees it")),
    )
    of_entries = (
        Column(_("What")),
        Column(_("Entry")),
        Column(_("Date"), Kind.DATE),
        Column(_("Words")),
    )
    who = ", ".join((*known.own.names, *known.own.addresses, *known.own.phones))
    return (
        Table(_("What is kept"), of_kinds, kinds, who),
        Table(_("Entries"), of_entries, entries, who),
    )


def _by_part(
    session: Session, rows: Sequence[RowAbout]
) -> dict[Part, list[tuple[RowAbout, datetime | date | None]]]:
    """Return what is kept, kind by kind in a steady order, the latest first."""
    by_part: dict[Part, list[tuple[RowAbout, datetime | date | None]]] = defaultdict(list)
    for one, at in dated(session, rows):
        by_part[MARKS[one.table].part].append((one, at))
    for entries in by_part.values():
        entries.sort(key=lambda entry: plain(entry[1]) or "", reverse=True)
    return {part: by_part[part] for part in Part if part in by_part}


def dated(
    session: Session, rows: Iterable[RowAbout]
) -> Iterator[tuple[RowAbout, datetime | date | None]]:
    """Yield those of some rows that are shown, each with when it was, as far as that is known."""
    found = [one for one in rows if _is_told(one)]
    changes = _changes_at(session, (one.row.get("change_id") for one in found))
    for one in found:
        yield one, changes.get(one.row.get("change_id") or 0) or _at(one.row)


def _is_told(one: RowAbout) -> bool:
    """Tell whether a row is shown: another's among the people is that one's own."""
    return one.is_theirs or one.table != "person"


def _changes_at(session: Session, numbers: Iterable[Any]) -> dict[int, datetime]:
    listed = sorted({number for number in numbers if number is not None})
    found: dict[int, datetime] = {}
    for chunk in chunks_of(listed):
        rows = session.execute(select(ChangeRow.id, ChangeRow.at).where(ChangeRow.id.in_(chunk)))
        found.update((row.id, row.at) for row in rows)
    return found


def _at(row: Mapping[str, Any]) -> datetime | date | None:
    return next((row[name] for name in DATED if row.get(name) is not None), None)


def _zone(session: Session) -> tzinfo:
    club = session.get(ClubRow, 1)
    return UTC if club is None else zone_from_name(club.zone)


def _line(
    one: RowAbout,
    at: datetime | date | None,
    traces: Traces,
    zone: tzinfo,
    squads: Mapping[int, str],
) -> str:
    day = _day(at, zone)
    what = sentence(term(TABLE_WORDS[one.table]))
    words = _words_in_line(one, traces, squads)
    head = what if day is None else f"{what}, {day_in_short(day)}"
    return f"{head}: {shorten(words, LONGEST_LINE, placeholder=' …')}" if words else head


def _squad_names(session: Session) -> dict[int, str]:
    return {row.id: row.name for row in session.execute(select(SquadRow.id, SquadRow.name))}


def _day(at: datetime | date | None, zone: tzinfo) -> date | None:
    return at.astimezone(zone).date() if isinstance(at, datetime) else at


def _words_in_line(one: RowAbout, traces: Traces, squads: Mapping[int, str]) -> str:
    squad = squads.get(one.row.get("squad_id") or 0, "")
    return " · ".join(dict.fromkeys(filter(None, (squad, *_words_of(one, traces)))))


def _words_of(one: RowAbout, traces: Traces) -> Iterator[str]:
    """Yield what a row says of somebody: its own words, or those that speak of them."""
    marks = MARKS[one.table].columns
    for name, holds in marks.items():
        value = one.row[name]
        if holds in (Holds.VALUES, Holds.FILE) and name in one.columns:
            yield from (told["says"] for told in speaking(holds, value, traces))
        elif holds not in (Holds.NOTHING, Holds.WHO, Holds.SECRET, Holds.VALUES, Holds.FILE) and (
            value and (one.is_theirs or name in one.columns)
        ):
            yield str(value)


def speaking(holds: Holds, value: Any, traces: Traces) -> Iterator[dict[str, str]]:
    """Yield the texts inside a value that speak of somebody, and where they stand."""
    if holds is Holds.FILE:
        lines: Sequence[str] = unfolded(holds, value).decode("utf-8", "replace").splitlines()
        yield from ({"at": "", "says": line} for line in lines if traces.are_in(line))
        return
    for at, text in _texts(value, ()):
        if traces.are_in(text):
            yield {"at": ".".join(at), "says": text}


def _texts(value: Any, at: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    if isinstance(value, str):
        yield at, value
    elif isinstance(value, list):
        for n, one in enumerate(value):
            yield from _texts(one, (*at, str(n)))
    elif isinstance(value, dict):
        for key, one in value.items():
            yield (*at, "name"), key
            yield from _texts(one, (*at, key))


def plain(value: Any) -> Any:
    """Return a value of a row as JSON has it."""
    if isinstance(value, date):  # an instant too
        return value.isoformat()
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, bytes):
        return value.decode("utf-8", "replace")
    return value
