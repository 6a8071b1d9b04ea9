"""Seasons that were begun in one go: which one a date lies in, and which stretches are its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.store.tables.turn_tables import SeasonRow

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from sqlalchemy.orm import Session

    from clubplanner.domain.times.seasons import Stretch


def season_began(session: Session, day: date) -> date | None:
    """Return the first date of the season that a date lies in; None before any was begun so."""
    return session.scalar(
        select(SeasonRow.starts_on)
        .where(SeasonRow.starts_on <= day)
        .order_by(SeasonRow.starts_on.desc())
        .limit(1)
    )


def last_season(session: Session) -> SeasonRow | None:
    """Return the season that was begun last, perhaps in advance; None for none."""
    query = select(SeasonRow).order_by(SeasonRow.starts_on.desc()).limit(1)
    return session.scalars(query).first()


def of_season(stretches: Iterable[Stretch], began: date | None) -> tuple[Stretch, ...]:
    """Return the stretches that are not over when a season begins: its own, and later ones."""
    return tuple(s for s in stretches if began is None or s.ends_on >= began)
