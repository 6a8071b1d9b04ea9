"""What people typed about the next season is kept as they type it, whoever they are.

A form brings along, for each thing it shows, a digest of what stood when it was shown. What its
reader left alone is not written; of what two people changed, the later one is told, and the rest of
their form is kept.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import delete, select

from clubplanner.store.tables.turn_tables import NextSeasonAnswerRow

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

    from clubplanner.services.season.next_season.values import Given

LONGEST = 200
"""Characters of one field."""


@dataclass(frozen=True, slots=True)
class Sent:
    """What a form says of one thing.

    Attributes:
        typed: Its fields, as far as they are not what is proposed.
        was: The digest that the form was shown with.
    """

    typed: Given
    was: str


@dataclass(frozen=True, slots=True)
class Differing:
    """A thing of which somebody else said something else in the meantime.

    Attributes:
        item: Which thing.
        by: Who, in words.
        stands: What they typed.
    """

    item: str
    by: str
    stands: Given


def load_answers(session: Session) -> dict[str, Given]:
    """Return what was typed, by what it is about."""
    return {row.item: dict(row.given) for row in session.scalars(select(NextSeasonAnswerRow))}


def keep_answers(session: Session, sent: Mapping[str, Sent], by: str) -> tuple[Differing, ...]:
    """Keep what a form says.

    Args:
        session: The open write session.
        sent: What it says, by what it is about.
        by: Who typed it.

    Returns:
        What was not kept, as somebody else has changed it since the form was shown.
    """
    rows = {row.item: row for row in session.scalars(select(NextSeasonAnswerRow))}
    differing = []
    for item, one in sent.items():
        row = rows.get(item)
        stands: Given = {} if row is None else dict(row.given)
        if one.typed == stands or digest_of(one.typed) == one.was:
            continue
        if digest_of(stands) != one.was:
            differing.append(Differing(item, "" if row is None else row.by, stands))
            continue
        if row is None:
            row = NextSeasonAnswerRow(item=item)
            session.add(row)
        row.given, row.by = one.typed, by
    return tuple(differing)


def forget_answers(session: Session) -> None:
    """Forget all that was typed."""
    session.execute(delete(NextSeasonAnswerRow))


def digest_of(given: Mapping[str, str]) -> str:
    """Return a short digest of what was typed of one thing."""
    text = json.dumps({name: given[name] for name in sorted(given) if given[name]})
    return hashlib.sha256(text.encode()).hexdigest()[:10]
