"""Game formats a club may name: those of its own table, and the published ones."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.ground.formats import GameFormat
from clubplanner.domain.problems import Problem
from clubplanner.language import _, ngettext
from clubplanner.services.rows.ground.known_sizes import with_published
from clubplanner.store.tables.club_tables import OwnFormatRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session


def load_own_formats(session: Session) -> tuple[GameFormat, ...]:
    """Return the formats of the club's own table, in its order."""
    rows = session.scalars(select(OwnFormatRow).order_by(OwnFormatRow.position))
    return tuple(GameFormat(**row.figures) for row in rows)


def load_formats(session: Session) -> tuple[GameFormat, ...]:
    """Return every format known, one a code: the club's own stand in for published namesakes."""
    return with_published(load_own_formats(session))


def write_own_formats(session: Session, formats: Sequence[GameFormat]) -> str:
    """Put a table in place of the club's earlier one, and say so."""
    known = {row.code: row for row in session.scalars(select(OwnFormatRow))}
    wanted = {game.code: (position, asdict(game)) for position, game in enumerate(formats)}
    for code, row in known.items():
        if code not in wanted:
            session.delete(row)
    for code, (position, figures) in wanted.items():
        row = known.get(code) or OwnFormatRow(code=code)
        row.position, row.figures = position, figures
        session.add(row)
    session.flush()
    if not formats:
        return _("no sizes of the club's own any more")
    return ngettext(
        "%(num)s size of the club's own", "%(num)s sizes of the club's own", len(formats)
    )


def check_formats_asked_for(
    session: Session, file_name: str, own: Sequence[GameFormat]
) -> list[Problem]:
    """List squads that ask for a format which a new table would leave out."""
    known = {game.code for game in with_published(own)}
    rows = session.execute(
        select(SquadRow.name, AskRow.least_format)
        .join(AskRow.squad)
        .where(AskRow.least_format != "")
        .order_by(SquadRow.position, AskRow.id)
    )
    return [
        Problem(
            file_name,
            "still-asked-for",
            _(
                "%(name)s asks for “%(code)s”, which is not in the table; keep it there, or "
                "load the squads file without it as well.",
                name=name,
                code=code,
            ),
        )
        for name, code in rows
        if code not in known
    ]
