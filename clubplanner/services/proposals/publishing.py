"""Publishing a proposal: its differences against what stands become bookings, or nothing does."""

from __future__ import annotations

import uuid
from collections import defaultdict
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import BigInteger, select, type_coerce
from sqlalchemy.orm import selectinload
from sqlalchemy.orm.attributes import set_committed_value

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.times.seconds import instant_of
from clubplanner.errors import ClashError, OutdatedError, RefusedError
from clubplanner.language import _, ngettext, sentence
from clubplanner.services.proposals.counted import count_changes
from clubplanner.services.proposals.differences.compared import find_difference
from clubplanner.services.proposals.differences.words import difference_lines
from clubplanner.services.proposals.kept_proposals import load_share_out, proposal_from_row
from clubplanner.services.rows.bookings.booking_rows import (
    BookingWish,
    clashes_from_rows,
    find_holders,
    insert_booking,
    told_in_words,
)
from clubplanner.services.rows.snapshot import AT_ONCE, WITH_NAMES, load_zone
from clubplanner.store.journal.journal import describe_change, explain_change
from clubplanner.store.journal.new_bookings import (
    claim_for_share_out,
    lift_at_once,
    put_bookings,
    write_at_once,
)
from clubplanner.store.tables.booking_tables import SQUADS_HELD, BookingRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.services.proposals.dated import Booked, Names, Wanted
    from clubplanner.services.proposals.differences.values import Closed, Difference
    from clubplanner.store.engine import Store

A_DAY_S = 24 * 60 * 60
"""Seconds by which bookings are looked for."""


@dataclass(frozen=True, slots=True)
class Published:
    """What publishing changed, in bookings.

    Attributes:
        added: New ones.
        moved: Ones that keep their place in people's calendars but change time or ground.
        kept: Ones that stay as they are.
        withdrawn: Ones given back.
        closed: Ones that close ground.
    """

    added: int
    moved: int
    kept: int
    withdrawn: int
    closed: int = 0

    @property
    def sentence(self) -> str:
        """The same in words."""
        counts = count_changes(
            added=self.added, moved=self.moved, kept=self.kept, withdrawn=self.withdrawn
        )
        words = sentence(counts) + "."
        closed = ngettext("Ground closed.", "Ground closed on %(num)s dates.", self.closed)
        return f"{words} {closed}" if self.closed else words


def publish_share_out(
    store: Store, number: int, now: datetime, seen: str | None = None
) -> Published:
    """Turn a proposal into dated bookings.

    Only sessions that are still to come are touched. Training that an earlier share-out booked is
    kept where it is the same, moved within its week where it can be, and withdrawn otherwise;
    everything else stands. Ground that the proposal closes is closed in the same go.

    Args:
        store: The database.
        number: The proposal's number.
        now: The present instant.
        seen: Digest of the difference that the person was shown; None to publish unseen.

    Raises:
        ClashError: If the ground has been taken since the proposal was made; nothing is changed.
        MissingError: If there is no such proposal, or its squads or ground are gone.
        OutdatedError: If it would change something else than the person was shown.
        RefusedError: If it has been published already.
    """
    with store.write() as session:
        row = load_share_out(session, number)
        if row.published_at is not None:
            raise RefusedError(_("This share-out has been published already; run a new one."))
        proposal = proposal_from_row(row)
        difference = find_difference(session, proposal, now)
        if seen is not None and seen != difference.digest:
            raise OutdatedError(
                _(
                    "Bookings have changed since you looked, so this would change something else "
                    "than you were shown. Nothing was published; look at the differences again."
                )
            )
        lines = [asdict(line) for line in difference_lines(difference, load_zone(session))]
        published = _apply(session, difference, number, now)
        describe_change(
            session,
            _(
                "published share-out %(number)s, %(stretch)s",
                number=number,
                stretch=proposal.stretch.name,
            ),
        )
        why = "; ".join(dict.fromkeys(piece.reason for piece in difference.closed))
        explain_change(session, Reason(Cause.PLAN, why))
        row.published_at = now
        row.outcome = {**row.outcome, "published": {**asdict(published), "lines": lines}}
        return published


def _apply(session: Session, difference: Difference, number: int, now: datetime) -> Published:
    unclaimed = [one for one in difference.kept if one.share_out_id is None]
    moved = [one for one, _unused in difference.moves]
    rows = _load_rows(session, [*moved, *difference.withdrawn])
    lifted = {one.id: rows[one.id] for one in (*moved, *difference.withdrawn)}
    _hold_squads(session, rows.values())
    lift_at_once(session, list(lifted.values()))  # first, so that squads may swap ground
    _refuse_taken(session, difference)
    new_places = [wanted for _unused, wanted in difference.moves]
    areas = _load_areas(session, {wanted.area_id for wanted in new_places})
    claim_for_share_out(session, [one.id for one in unclaimed], number)
    moves = [
        (rows[one.id], _as_moved(rows[one.id], areas[wanted.area_id], wanted, number, now))
        for one, wanted in difference.moves
    ]
    withdrawn = [(rows[one.id], _as_changed(rows[one.id], now)) for one in difference.withdrawn]
    with told_in_words():
        write_at_once(session, moves)
        write_at_once(session, withdrawn)
    for row, values in moves:
        area = areas[values["area_id"]]
        set_committed_value(row, "pitch", area.pitch)
        set_committed_value(row, "area", area)
    added = [_new_values(wanted, difference.names, number, now) for wanted in difference.added]
    with told_in_words():
        put_bookings(session, added)
    closed = sum(_close(session, piece, now) for piece in difference.closed)
    return Published(
        len(difference.added),
        len(difference.moves),
        len(difference.kept),
        len(difference.withdrawn),
        closed,
    )


def _as_moved(
    row: BookingRow, area: AreaRow, wanted: Wanted, number: int, now: datetime
) -> dict[str, Any]:
    """Return what a moved booking becomes, as `put_row` and `note_change` would write it."""
    return _as_changed(row, now) | {
        "pitch_id": area.pitch_id,
        "area_id": area.id,
        "cells": area.cells,
        "starts_at": wanted.during.starts_at,
        "ends_at": wanted.during.ends_at,
        "overruled": "",
        "is_withdrawn": False,
        "share_out_id": number,
    }


def _as_changed(row: BookingRow, now: datetime) -> dict[str, Any]:
    """Return what counts a change that a squad would notice."""
    return {"sequence": row.sequence + 1, "changed_at": now}


def _load_rows(session: Session, booked: Iterable[Booked]) -> dict[int, BookingRow]:
    """Load those rows that are written over; the journal reads their names."""
    wanted, found = sorted({one.id for one in booked}), dict[int, BookingRow]()
    for start in range(0, len(wanted), AT_ONCE):
        chosen = BookingRow.id.in_(wanted[start : start + AT_ONCE])
        rows = session.scalars(select(BookingRow).where(chosen).options(*WITH_NAMES))
        found |= {row.id: row for row in rows}
    return found


def _hold_squads(session: Session, rows: Iterable[BookingRow]) -> None:
    """Load the squads of bookings at once: the journal asks what each is called."""
    wanted = sorted({row.squad_id for row in rows if row.squad_id is not None})
    held = session.info.setdefault(SQUADS_HELD, {})
    for start in range(0, len(wanted), AT_ONCE):
        chosen = SquadRow.id.in_(wanted[start : start + AT_ONCE])
        held.update({one.id: one for one in session.scalars(select(SquadRow).where(chosen))})


def _load_areas(session: Session, numbers: Collection[int]) -> dict[int, AreaRow]:
    wanted, found = sorted(numbers), dict[int, AreaRow]()
    for start in range(0, len(wanted), AT_ONCE):
        chosen = AreaRow.id.in_(wanted[start : start + AT_ONCE])
        rows = session.scalars(select(AreaRow).where(chosen).options(selectinload(AreaRow.pitch)))
        found |= {row.id: row for row in rows}
    return found


def _close(session: Session, piece: Closed, now: datetime) -> bool:
    """Close ground for a date, unless it is closed already; tell whether it was done."""
    holders = find_holders(session, piece.area.pitch_id, piece.area.cells, piece.during)
    if any(
        row.purpose is Purpose.CLOSED
        and row.cells & piece.area.cells == piece.area.cells
        and row.starts_at <= piece.during.starts_at
        and piece.during.ends_at <= row.ends_at
        for row in holders
    ):
        return False
    if holders:
        advice = _("Move or withdraw it by hand first; nothing was published.")
        raise ClashError(clashes_from_rows(session, holders[:3]), advice=advice)
    wish = BookingWish(
        area_id=piece.area.id,
        during=piece.during,
        purpose=Purpose.CLOSED,
        squad_id=None,
        holder=piece.reason,
        note="",
        is_fixed=True,
    )
    insert_booking(session, wish, now)
    return True


def _refuse_taken(session: Session, difference: Difference) -> None:
    """Raise ClashError, naming the holders, if something that stands is in the way."""
    wanted = [*difference.added, *(w for _unused, w in difference.moves)]
    if not wanted:
        return
    grounds = difference.names.grounds
    first, last = min(w.starts for w in wanted), max(w.ends for w in wanted)
    standing = session.execute(
        select(
            BookingRow.id,
            BookingRow.pitch_id,
            BookingRow.cells,
            type_coerce(BookingRow.starts_at, BigInteger),
            type_coerce(BookingRow.ends_at, BigInteger),
        ).where(
            BookingRow.is_withdrawn.is_(False),
            BookingRow.pitch_id.in_({grounds[w.area_id].pitch_id for w in wanted}),
            *BookingRow.running_between(instant_of(first), instant_of(last)),
        )
    )
    on_day: dict[tuple[int, int], list[tuple[int, int, int, int]]] = defaultdict(list)
    for number, pitch, cells, starts, ends in standing:
        for day in range(starts // A_DAY_S, (ends - 1) // A_DAY_S + 1):
            on_day[pitch, day].append((number, cells, starts, ends))
    taken: dict[int, None] = {}
    for one in wanted:
        ground = grounds[one.area_id]
        for day in range(one.starts // A_DAY_S, (one.ends - 1) // A_DAY_S + 1):
            for number, cells, starts, ends in on_day[ground.pitch_id, day]:
                if cells & ground.cells and starts < one.ends and one.starts < ends:
                    taken[number] = None
    if taken:
        rows = session.scalars(
            select(BookingRow).where(BookingRow.id.in_(list(taken)[:3])).options(*WITH_NAMES)
        )
        advice = _("Nothing was published; run the share-out again, it then goes round them.")
        raise ClashError(clashes_from_rows(session, rows.all()), advice=advice)


def _new_values(wanted: Wanted, names: Names, number: int, now: datetime) -> dict[str, Any]:
    area = names.grounds[wanted.area_id]
    return {
        "uid": f"{uuid.uuid4()}@clubplanner",
        "pitch_id": area.pitch_id,
        "area_id": area.id,
        "cells": area.cells,
        "starts_at": wanted.during.starts_at,
        "ends_at": wanted.during.ends_at,
        "purpose": Purpose.TRAINING,
        "squad_id": wanted.squad_id,
        "written_holder": names.squads[wanted.squad_id].name,
        "note": "",
        "is_withdrawn": False,
        "is_fixed": False,
        "share_out_id": number,
        "sequence": 0,
        "created_at": now,
        "changed_at": now,
        "overruled": "",
    }
