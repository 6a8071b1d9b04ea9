"""Squads get other names, many at once: all that knows them by their keys follows.

A squad's key follows from its name. Where squads pass their names on to each other, as under 12s
that become under 13s, no two may have one key at any moment: first all let go of theirs.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.keys import key_from_name
from clubplanner.services.proposals.new_names import follow_in_proposals, load_spoken
from clubplanner.store.rights import by_rule_of_all
from clubplanner.store.tables.squad_tables import AskRow, SquadRow

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session


def give_names(session: Session, names: Mapping[int, str]) -> None:
    """Let squads be called otherwise; wishes about them and share-outs know them by it.

    Args:
        session: The open write session.
        names: New names by the squads' numbers; the keys they make differ from each other and
            from those of all other squads.
    """
    spoken = load_spoken(session)
    for row in session.scalars(select(SquadRow).where(SquadRow.id.in_(names))):
        row.name = names[row.id]
    follow_in_wishes(session, follow_names(session))
    follow_in_proposals(session, spoken)


def follow_in_wishes(session: Session, keys: Mapping[str, str]) -> None:
    """Let wishes about squads be about them still, whosever they are.

    Args:
        session: The open write session.
        keys: New keys by those of before.
    """
    with by_rule_of_all(session):
        for ask in session.scalars(select(AskRow)):
            partners = [[kind, keys.get(key, key), grade] for kind, key, grade in ask.partners]
            if partners != ask.partners:
                ask.partners = partners


def follow_names(session: Session) -> dict[str, str]:
    """Give squads the keys of their names.

    Args:
        session: The open write session.

    Returns:
        New keys by those of before.
    """
    session.flush()
    changed = [
        row for row in session.scalars(select(SquadRow)) if row.key != key_from_name(row.name)
    ]
    before = {row.id: row.key for row in changed}
    for row in changed:
        row.key = f" {row.id}"  # no name makes such a key
    session.flush()
    for row in changed:
        row.key = key_from_name(row.name)
    session.flush()
    return {before[row.id]: row.key for row in changed}
