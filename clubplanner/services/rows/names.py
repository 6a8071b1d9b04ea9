"""Finding squads and ground by what people call them, or by their keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.evening.evening import AreaGroup, Choice
from clubplanner.services.share_out.problem import ground_key
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store


def find_squad_key(store: Store, words: str) -> str:
    """Return the key of a squad named by key or name.

    Raises:
        MissingError: If there is none.
    """
    wanted = words.strip().casefold()
    with store.read() as session:
        for squad in session.scalars(select(SquadRow).order_by(SquadRow.position)):
            if wanted in (squad.key.casefold(), squad.name.casefold()):
                return squad.key
    raise MissingError(
        _("There is no squad “%(words)s”; write a squad's name as on the squads page.", words=words)
    )


def find_ground_key(store: Store, words: str) -> str:
    """Return the key of a pitch or an area of one: "Top pitch", or "North third, Top pitch".

    Raises:
        MissingError: If there is none, or several pitches of that name.
    """
    wanted = words.strip().casefold()
    with store.read() as session:
        names = _grounds(session)
    found = [key for key, own in names.items() if wanted == key.casefold() or wanted in own]
    if len(found) == 1:
        return found[0]
    if found:
        raise MissingError(
            _(
                "There are several grounds “%(words)s”; write one of: %(found)s.",
                words=words,
                found=", ".join(found),
            )
        )
    raise MissingError(
        _(
            "There is no ground “%(words)s”; write a pitch's name, or an area and its "
            "pitch like “North third, Top pitch”.",
            words=words,
        )
    )


def list_squads(store: Store) -> tuple[Choice, ...]:
    """Return every squad's key and name, in the club's order."""
    with store.read() as session:
        rows = session.scalars(select(SquadRow).order_by(SquadRow.position))
        return tuple(Choice(row.key, row.name) for row in rows)


def list_grounds(store: Store) -> tuple[AreaGroup, ...]:
    """Return every area's ground key and name, by pitch."""
    with store.read() as session:
        rows = session.scalars(
            select(PitchRow)
            .join(PitchRow.venue)
            .order_by(VenueRow.position, PitchRow.position)
            .options(selectinload(PitchRow.areas), selectinload(PitchRow.venue))
        )
        return tuple(
            AreaGroup(
                f"{row.name}, {row.venue.name}",
                tuple(Choice(ground_key(row.key, area.key), area.name) for area in row.areas),
            )
            for row in rows
        )


def _grounds(session: Session) -> dict[str, set[str]]:
    """Return what each ground is called, by its key."""
    rows = session.scalars(
        select(AreaRow)
        .join(AreaRow.pitch)
        .join(PitchRow.venue)
        .order_by(VenueRow.position, PitchRow.position, AreaRow.position)
        .options(selectinload(AreaRow.pitch))
    )
    names: dict[str, set[str]] = {}
    for area in rows:
        called = {f"{area.name}, {area.pitch.name}"}
        if area.cut == "whole":
            called |= {area.name, area.pitch.name}
        key = ground_key(area.pitch.key, area.key)
        names[key] = {name.casefold() for name in called}
    return names
