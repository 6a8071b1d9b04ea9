"""The proposals there are, a line each, newest first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select, true

from clubplanner.language import term
from clubplanner.services.proposals.proposals import SORT_WORDS, Sort
from clubplanner.services.proposals.said import sentence_kept
from clubplanner.services.share_out.listed.names import FIRST_DAY, name_of_stretch
from clubplanner.store.tables.booking_tables import ShareOutRow
from clubplanner.store.tables.club_tables import StretchRow

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import datetime

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class ShareOutLine:
    """A proposal in the list."""

    number: int
    sort_words: str
    stretch_name: str
    created_at: datetime
    published_at: datetime | None
    sentence: str


def list_numbers(store: Store) -> tuple[int, ...]:
    """Return the numbers of all proposals, newest first."""
    with store.read() as session:
        return tuple(session.scalars(select(ShareOutRow.id).order_by(ShareOutRow.id.desc())))


def list_share_outs(
    store: Store, numbers: Collection[int] | None = None
) -> tuple[ShareOutLine, ...]:
    """Return the proposals of some numbers, or all of them, newest first."""
    with store.read() as session:
        rows = session.execute(
            select(
                ShareOutRow.id,
                ShareOutRow.sort,
                ShareOutRow.created_at,
                ShareOutRow.published_at,
                StretchRow.name,
                # what a proposal holds is large, and taken apart for each of these
                FIRST_DAY,
                ShareOutRow.outcome["said"].as_json(),
                ShareOutRow.outcome["sentence"].as_string(),
            )
            .outerjoin(ShareOutRow.stretch)
            .where(true() if numbers is None else ShareOutRow.id.in_(numbers))
            .order_by(ShareOutRow.id.desc())
        )
        return tuple(
            ShareOutLine(
                number,
                term(SORT_WORDS[Sort(sort)]),
                name_of_stretch(name, first),
                created_at,
                published_at,
                sentence_kept(said, sentence),
            )
            for number, sort, created_at, published_at, name, first, said, sentence in rows
        )
