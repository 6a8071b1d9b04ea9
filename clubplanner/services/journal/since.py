"""What has happened since a mark, for a program that follows the club's records.

Context: another program wants each change once, in order, and none left out, though two people
change things at the same moment, the journal is shortened, somebody is erased, or the records are
brought back from a backup. Decision: it reads the journal itself, entry by entry, after a mark that
it was given. Numbers of changes rise as changes become visible (`domain/booked/marks.py`), so a
mark is a place in the journal and nothing is kept about who reads. What an entry says is what the
journal says of it now: who was erased is not in it. A mark that lies after the moment from which
the records were brought back, or before what is gone, is refused (`MarkGoneError`): who follows
then reads everything anew. Consequences: a page of entries can be asked for again and says the
same; what was followed before somebody was erased is with the other program, which hears that
somebody was (`Happening.kind` is "erased"), not who.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from itertools import zip_longest
from typing import TYPE_CHECKING, Any

from sqlalchemy import and_, exists, or_, select
from sqlalchemy.orm import selectinload

from clubplanner.domain.booked.marks import LARGEST, Part, Place, can_follow, read_mark, write_mark
from clubplanner.errors import MarkGoneError, RefusedError
from clubplanner.language import _
from clubplanner.services.journal.own_view import own_changes, own_entries, own_records_of
from clubplanner.services.rows.journal.journal_eras import ensure_era, find_eras, newest_change
from clubplanner.store.chunks import chunks_of
from clubplanner.store.journal.states import reason_from_stored
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.season_tables import ChangedBookingRow, ChangedRecordRow, ChangeRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.marks import Era
    from clubplanner.store.engine import Store

USUAL_COUNT = 100
MOST_AT_ONCE = 500
BOOKING, RECORD, ERASED = "booking", "record", "erased"


@dataclass(frozen=True, slots=True)
class Happening:
    """One entry of one change.

    Attributes:
        mark: Follow from here to get what came after it.
        change: The change's number; entries of one change were made in one go.
        ends_change: Whether it is the last of its change.
        at: When, UTC.
        by: Who, in words.
        words: What the change was about, in words; may be blank.
        undoes: The number of the change that was taken back by it; None for none.
        kind: "booking", "record", or "erased": somebody was taken out of the records for good.
        sort: Which kind of record; blank for others.
        number: Of the booking or record (of a day its date); blank for "erased".
        title: What the record is called; may be blank.
        before: What was; None for what is new.
        after: What is; None for what is gone. Of a booking the keys of its ground (`place`) and
            `squad` (None for what is gone), UTC instants (ISO 8601), purpose, holder, note, whether
            it is withdrawn and whether it is fixed, why it stands against a rule (`overruled`) and
            why it was changed (`why`); of a record what the journal keeps of it.
    """

    mark: str
    change: int
    ends_change: bool
    at: datetime
    by: str
    words: str
    undoes: int | None
    kind: str
    sort: str
    number: str
    title: str
    before: Mapping[str, Any] | None
    after: Mapping[str, Any] | None


@dataclass(frozen=True, slots=True)
class Since:
    """What has happened since a mark, or the first of it.

    Attributes:
        happenings: In order.
        mark: Follow from here.
        has_more: Whether there is more already.
    """

    happenings: tuple[Happening, ...]
    mark: str
    has_more: bool


def present_mark(store: Store, now: datetime) -> str:
    """Return the mark of the present: whoever begins to follow takes it, then reads what there is.

    Args:
        store: The database.
        now: The present instant.
    """
    ensure_era(store, now)
    with store.read_kept() as session:
        return write_mark(find_eras(session)[-1], Place(newest_change(session)))


def read_since(
    store: Store, mark: str, *, count: int = USUAL_COUNT, until: str | None = None
) -> Since:
    """Return what has happened since a mark, as far as whoever asks may see it.

    Args:
        store: The database; one that acts for a club's secretary gives what is of its squads.
        mark: As it was given.
        count: How many entries at most, 1 to `MOST_AT_ONCE`.
        until: A later mark to stop at; None for the present.

    Raises:
        MarkGoneError: If not all of it is there any more.
        RefusedError: If that is no mark, or a count that is not possible.
    """
    if not 1 <= count <= MOST_AT_ONCE:
        raise RefusedError(_("Ask for 1 to %(most)s entries at once.", most=MOST_AT_ONCE))
    with store.read_kept() as session:
        era, place, newest = _place_of(session, mark)
        stop = Place(newest) if until is None else _place_of(session, until)[1]
        found = _found(session, place, count)
        taken = [entry for entry in found[:count] if entry.place <= stop]
        has_more = len(taken) < len(found) and found[len(taken)].place <= stop
        told = tuple(_Telling(session, era, taken).happenings(found[1:]))
        end = told[-1].mark if has_more else write_mark(era, max(stop, place))
        return Since(told, end, has_more)


def happening_values(one: Happening) -> dict[str, Any]:
    """Return an entry as values for JSON: instants in ISO 8601, UTC."""
    return asdict(one) | {"at": one.at.isoformat()}


def has_happened(session: Session, mark: str) -> bool:
    """Tell whether there is anything to be told since a mark that was given, or it may be gone."""
    found, eras = read_mark(mark), find_eras(session)
    if found is None or not eras or eras[-1].name != found[0]:
        return True
    return found[1] < Place(newest_change(session))


def _place_of(session: Session, mark: str) -> tuple[Era, Place, int]:
    """Return the present era, the place of a mark, and the newest change's number."""
    found = read_mark(mark)
    if found is None:
        raise RefusedError(_("That is no mark; send back one that was given, as it was given."))
    name, place = found
    eras, newest = find_eras(session), newest_change(session)
    if not can_follow(eras, name, place, newest):
        raise MarkGoneError
    return eras[-1], place, newest


@dataclass(frozen=True, slots=True)
class _Entry:
    change: ChangeRow
    place: Place
    row: ChangedBookingRow | ChangedRecordRow | None


def _found(session: Session, place: Place, count: int) -> list[_Entry]:
    """Return the entries after a place in order, one more than asked for if there are.

    Each change that is listed has one entry at least, so no more changes are looked at than
    entries asked for.
    """
    changes = session.scalars(
        select(ChangeRow)
        .where(ChangeRow.id >= place.change, *_seen(session))
        .order_by(ChangeRow.id)
        .limit(count + 2)
        .options(selectinload(ChangeRow.records))
    ).all()
    by_number = {change.id: change for change in changes}
    bookings = session.scalars(
        select(ChangedBookingRow)
        .where(
            ChangedBookingRow.change_id.in_(by_number),
            or_(
                ChangedBookingRow.change_id > place.change,
                ChangedBookingRow.id > (place.entry if place.part is Part.BOOKINGS else LARGEST),
            ),
            *own_entries(session),
        )
        .order_by(ChangedBookingRow.change_id, ChangedBookingRow.id)
        .limit(count + 1)
    )
    found = [
        _Entry(by_number[row.change_id], Place(row.change_id, Part.BOOKINGS, row.id), row)
        for row in bookings
    ]
    empty = _empty(session, [change.id for change in changes if not change.records])
    for change in changes:
        if change.id in empty:
            found.append(_Entry(change, Place(change.id), None))
        found.extend(
            _Entry(change, Place(change.id, Part.RECORDS, record.id), record)
            for record in (own_records_of(session, change) if change.records else ())
        )
    after = (entry for entry in found if entry.place > place)
    return sorted(after, key=lambda entry: entry.place)[: count + 1]


def _empty(session: Session, changes: Sequence[int]) -> set[int]:
    """Return those of some changes without records that have no bookings, either."""
    has_bookings = exists().where(ChangedBookingRow.change_id == ChangeRow.id)
    return set(
        session.scalars(select(ChangeRow.id).where(ChangeRow.id.in_(changes), ~has_bookings))
    )


def _seen(session: Session) -> tuple[ColumnElement[bool], ...]:
    """Return the conditions that leave the changes that whoever asks may see; none for all."""
    own = own_changes(session)
    if not own:
        return ()
    is_empty = and_(
        ~exists().where(ChangedBookingRow.change_id == ChangeRow.id),
        ~exists().where(ChangedRecordRow.change_id == ChangeRow.id),
    )
    return (or_(*own, is_empty),)


class _Telling:
    """Writes entries for others, with keys in place of our numbers."""

    def __init__(self, session: Session, era: Era, entries: Sequence[_Entry]) -> None:
        self._era, self._entries = era, entries
        states = [
            state
            for entry in entries
            if isinstance(entry.row, ChangedBookingRow)
            for state in (entry.row.before, entry.row.after)
            if state is not None
        ]
        self._keys = {
            column: _keys(session, row, {state[column] for state in states} - {None})
            for column, row in (
                ("pitch_id", PitchRow),
                ("area_id", AreaRow),
                ("squad_id", SquadRow),
            )
        }

    def happenings(self, following: Iterable[_Entry]) -> Iterator[Happening]:
        """Yield each entry, told by what follows whether it is the last of its change."""
        for entry, after in zip_longest(self._entries, following):
            if entry is None:
                return
            is_last = after is None or after.change.id != entry.change.id
            place = Place(entry.change.id) if is_last else entry.place
            yield self._happening(entry, write_mark(self._era, place), is_last=is_last)

    def _happening(self, entry: _Entry, mark: str, *, is_last: bool) -> Happening:
        change, row = entry.change, entry.row
        about = (mark, change.id, is_last, change.at, change.by, change.words, change.undoes_id)
        if row is None:
            return Happening(*about, ERASED, "", "", "", None, None)
        if isinstance(row, ChangedRecordRow):
            return Happening(*about, RECORD, row.sort, row.number, row.title, row.before, row.after)
        before = None if row.before is None else self._state(row.before)
        after = self._state(row.after)
        return Happening(*about, BOOKING, "", str(row.booking_id), "", before, after)

    def _state(self, stored: Mapping[str, Any]) -> dict[str, Any]:
        reason = reason_from_stored(dict(stored))
        pitch, area, squad = (keys.get(stored[name]) for name, keys in self._keys.items())
        told: dict[str, Any] = {"place": {"pitch": pitch, "area": area}, "squad": squad}
        for name in ("starts_at", "ends_at"):
            told[name] = datetime.fromtimestamp(stored[name], UTC).isoformat()
        for name in ("purpose", "holder", "note", "is_withdrawn", "is_fixed"):
            told[name] = stored[name]
        told["overruled"] = stored.get("overruled", "")
        told["why"] = "" if reason is None else reason.words
        return told


def _keys(
    session: Session, row: type[PitchRow | AreaRow | SquadRow], numbers: set[int]
) -> dict[int, str]:
    listed, found = sorted(numbers), {}
    for chunk in chunks_of(listed):
        which = row.id.in_(chunk)
        found.update(dict(session.execute(select(row.id, row.key).where(which)).all()))
    return found
