"""Taking a change of records other than bookings back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError

from clubplanner.errors import RefusedError
from clubplanner.language import _, quoted, term
from clubplanner.services.setup.season_back import (
    season_obstacles,
    season_of,
    take_season_back,
)
from clubplanner.services.setup.squads.names import follow_names
from clubplanner.store.journal.record_sorts import SORT_OF_NAME
from clubplanner.store.journal.records import (
    can_be_restored,
    complete_state,
    has_all_columns,
    read_key,
    read_states,
    restore,
)
from clubplanner.store.tables.season_tables import ChangedRecordRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.journal.records import Key, State

KEPT_WHEN_NEW = ("squad", "stretch")
"""Records that much is built on: a new one is not taken away again, unless a whole season is."""


def present_states(session: Session, rows: Iterable[ChangedRecordRow]) -> dict[Key, State]:
    """Read what the records of changes are now, as far as they could be made what they were."""
    restored = (row for row in rows if can_be_restored(row.sort, row.before))
    return read_states(session, [read_key(row.sort, row.number) for row in restored])


def record_obstacles(
    session: Session, rows: Sequence[ChangedRecordRow], states: Mapping[Key, State]
) -> list[str]:
    """Say what keeps records from becoming what they were before a change.

    Records that cannot be restored from the journal (ground, people, what became of an ask) stay
    as they are; they stand in the way only where there is nothing else to take back.

    Args:
        session: An open session.
        rows: The records of the change.
        states: What `present_states` gave for these records, or more.
    """
    is_season = season_of(session, rows) is not None
    lines = list(season_obstacles(session, rows)) if is_season else []
    restored = [row for row in rows if can_be_restored(row.sort, row.before)]
    for row in restored:
        called = f"{term(row.sort)} {quoted(row.title)}" if row.title else term(row.sort)
        after = complete_state(row.sort, row.after)
        if states.get(read_key(row.sort, row.number)) != after:
            latest = session.scalars(
                select(ChangedRecordRow.change_id)
                .where(ChangedRecordRow.sort == row.sort, ChangedRecordRow.number == row.number)
                .order_by(ChangedRecordRow.id.desc())
            ).first()
            lines.append(
                _(
                    "%(called)s: changed again since, by change %(latest)s; take that back first.",
                    called=called,
                    latest=latest,
                )
            )
        elif row.before is None and row.sort in KEPT_WHEN_NEW and not is_season:
            lines.append(
                _("%(called)s is new and stays; change it on its own page.", called=called)
            )
        elif after is None and not has_all_columns(SORT_OF_NAME[row.sort]):
            lines.append(
                _("%(called)s is gone; add it again on its own page or by its file.", called=called)
            )
    return lines


def can_restore(rows: Sequence[ChangedRecordRow]) -> bool:
    """Tell whether any record of a change could be made what it was."""
    return any(can_be_restored(row.sort, row.before) for row in rows)


def put_records_back(session: Session, rows: Sequence[ChangedRecordRow], now: datetime) -> int:
    """Make records what they were before a change, and return how many.

    Raises:
        RefusedError: If something is built on one that would go, or a season that has begun.
    """
    season = season_of(session, rows)
    if season is not None:
        take_season_back(session, season, now)
    restored = [row for row in rows if can_be_restored(row.sort, row.before)]
    for row in restored:
        restore(session, read_key(row.sort, row.number), row.before, now)
    try:
        session.flush()
        follow_names(session)
    except IntegrityError as fault:
        raise RefusedError(
            _("Something else in the records is built on this change; change it on its own page.")
        ) from fault
    return len(restored)
