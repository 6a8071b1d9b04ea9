"""Proposals read from the records, each text of them once."""

from __future__ import annotations

import json
from datetime import date
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import Text, cast, select
from sqlalchemy.orm import selectinload

from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.proposals.proposals import (
    WEEKLY,
    GroundClosed,
    Proposal,
    ProposedSession,
    Sort,
)
from clubplanner.services.rows.seasons.stretches import lone_day
from clubplanner.services.rows.snapshot import stretch_from_row
from clubplanner.store.tables.booking_tables import ShareOutRow
from clubplanner.store.tables.club_tables import StretchRow

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy import Row
    from sqlalchemy.orm import Session

    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.store.engine import Store

MOST_READ = 2
"""How many proposals are remembered as read: one, or two beside each other."""
_PLAIN = (
    ShareOutRow.id,
    ShareOutRow.sort,
    ShareOutRow.created_at,
    ShareOutRow.kind,
    ShareOutRow.published_at,
    ShareOutRow.stretch_id,
)
_OUTCOME = cast(ShareOutRow.outcome, Text)


def load_proposal(session: Session, number: int) -> Proposal:
    """Read a proposal.

    Raises:
        MissingError: If there is none of that number.
    """
    query = select(*_PLAIN, _OUTCOME).where(ShareOutRow.id == number)
    found = session.execute(query).first()
    if found is None:
        raise _no_share_out(number)
    return _proposal(session, found)


def see_proposal(store: Store, number: int) -> Proposal:
    """Return a proposal as it is kept.

    Raises:
        MissingError: If there is none of that number.
    """
    with store.read() as session:
        return load_proposal(session, number)


def load_share_out(session: Session, number: int) -> ShareOutRow:
    """Return a proposal's row.

    Raises:
        MissingError: If there is none of that number.
    """
    row = session.get(ShareOutRow, number, options=[selectinload(ShareOutRow.stretch)])
    if row is None:
        raise _no_share_out(number)
    return row


def proposal_from_row(row: ShareOutRow) -> Proposal:
    """Read a proposal from its row."""
    stretch = None if row.stretch is None else stretch_from_row(row.stretch)
    plain = row.id, row.sort, row.created_at, row.kind, row.published_at
    return _made_of(plain, stretch, *_read_saved(row.outcome))


def last_weekly(session: Session, stretch: Stretch) -> Proposal | None:
    """Return the weekly proposal of a stretch that was published last, if any was."""
    return _last_published(session, stretch, WEEKLY)


def turns_in_force(session: Session, stretch: Stretch) -> Proposal | None:
    """Return the turns of a stretch that were published since its last weekly plan, if any were."""
    return _last_published(session, stretch, (Sort.TURNS, *WEEKLY), only=Sort.TURNS)


def _last_published(
    session: Session, stretch: Stretch, sorts: Collection[Sort], only: Sort | None = None
) -> Proposal | None:
    """Return what was published last of some sorts, read only if it is of the one looked for."""
    latest = session.execute(
        select(ShareOutRow.id, ShareOutRow.sort)
        .join(ShareOutRow.stretch)
        .where(
            StretchRow.key == stretch.key,
            ShareOutRow.published_at.is_not(None),
            ShareOutRow.sort.in_(list(sorts)),
        )
        .order_by(ShareOutRow.published_at.desc(), ShareOutRow.id.desc())
        .limit(1)
    ).first()
    if latest is None or only not in (None, Sort(latest.sort)):
        return None
    return load_proposal(session, latest.id)


def _proposal(session: Session, found: Row[*tuple[Any, ...]]) -> Proposal:
    number, sort, created_at, kind, published_at, stretch_id, text = found
    stretch = None if stretch_id is None else session.get(StretchRow, stretch_id)
    plain = number, sort, created_at, kind, published_at
    return _made_of(
        plain, None if stretch is None else stretch_from_row(stretch), *_read_text(text)
    )


def _made_of(
    plain: tuple[int, str, datetime, str, datetime | None],
    stretch: Stretch | None,
    saved: Mapping[str, Any],
    sessions: tuple[ProposedSession, ...],
) -> Proposal:
    number, sort, created_at, kind, published_at = plain
    squads, first = saved["squads"], date.fromisoformat(saved["first"])
    return Proposal(
        number=number,
        sort=Sort(sort),
        stretch=lone_day(first) if stretch is None else stretch,
        first=first,
        last=date.fromisoformat(saved["last"]),
        squads=None if squads is None else frozenset(squads),
        sessions=sessions,
        closures=tuple(closure_from_json(item) for item in saved["closures"]),
        created_at=created_at,
        published_at=published_at,
        kind=kind,
        saved=saved,
    )


@lru_cache(maxsize=MOST_READ)
def _read_text(text: str) -> tuple[Mapping[str, Any], tuple[ProposedSession, ...]]:
    """Read what is stored of a proposal; the same text is the same value, which nobody changes.

    A council's is some megabytes, and a page and its drawing read it one after the other.
    """
    return _read_saved(json.loads(text))


def _read_saved(
    saved: Mapping[str, Any],
) -> tuple[Mapping[str, Any], tuple[ProposedSession, ...]]:
    return saved, tuple(session_from_json(item) for item in saved["placements"])


def _no_share_out(number: int) -> MissingError:
    return MissingError(_("There is no share-out %(number)s; run one first.", number=number))


def session_from_json(saved: Mapping[str, Any]) -> ProposedSession:
    """Read a session back."""
    return ProposedSession(
        **{**saved, "dates": _dates(saved["dates"]), "lost_dates": _dates(saved["lost_dates"])}
    )


def closure_from_json(saved: Mapping[str, Any]) -> GroundClosed:
    """Read closed ground back."""
    first, last = date.fromisoformat(saved["first"]), date.fromisoformat(saved["last"])
    return GroundClosed(**{**saved, "first": first, "last": last})


def _dates(texts: Sequence[str]) -> tuple[date, ...]:
    return _read_dates(tuple(texts))


@lru_cache(maxsize=1024)
def _read_dates(texts: tuple[str, ...]) -> tuple[date, ...]:
    """Read dates; a season has few lists of them, each named by hundreds of sessions."""
    return tuple(map(date.fromisoformat, texts))
