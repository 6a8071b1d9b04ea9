"""Finding squads and ground by what people call them, or by their keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.club.clubs_within import own_name
from clubplanner.domain.club.comparing_names import is_called
from clubplanner.domain.keys import ground_key
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.rows.own_club import own_squads, refuse_other_squad
from clubplanner.store.rights import scope_of
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from sqlalchemy import Select
    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.store.engine import Store


def find_squad(session: Session, words: str) -> SquadRow:
    """Return the squad of a key or name; to the secretary of a club its own go by theirs alone.

    Raises:
        MissingError: Naming the squads there are.
        RefusedError: If it is of another club than the one that whoever asks is held to.
    """
    query = select(SquadRow.id, SquadRow.key, SquadRow.name).order_by(SquadRow.position)
    for row in session.execute(query):
        if is_called(words, *names_of(session, row.key, row.name)):
            refuse_other_squad(session, row.id)
            return session.get_one(SquadRow, row.id)
    known = ", ".join(session.scalars(_own_keys(session))) or _("none yet")
    raise MissingError(
        _(
            "There is no squad “%(squad_key)s”; the squads are: %(known)s.",
            squad_key=words,
            known=known,
        )
    )


def names_of(session: Session, key: str, name: str) -> tuple[str, ...]:
    """Return what a squad of a key and a name is called by whoever is at work."""
    scope = scope_of(session)
    return (key, name) if scope is None else (key, name, own_name(scope.club_name, name))


def _own_keys(session: Session) -> Select[str]:
    return select(SquadRow.key).where(*own_squads(session)).order_by(SquadRow.position)


def find_squad_key(store: Store, words: str) -> str:
    """Return the key of a squad named by key or name.

    Raises:
        MissingError: Naming the squads there are.
    """
    with store.read() as session:
        return find_squad(session, words).key


def find_squad_number(store: Store, words: str) -> int:
    """Return the number of a squad named by key or name.

    Raises:
        MissingError: Naming the squads there are.
    """
    with store.read() as session:
        return find_squad(session, words).id


def find_area(session: Session, pitch: str, area: str = "whole") -> AreaRow:
    """Return an area by key or name of its pitch and of itself.

    Raises:
        MissingError: Naming what there is.
    """
    rows = _pitches(session)
    found = [row for row in rows if is_called(pitch, row.key, row.name)]
    if len(found) != 1:
        known = ", ".join(row.key for row in rows) or _("none yet")
        several = _("Several pitches are called") if found else _("There is no pitch")
        raise MissingError(
            _(
                "%(several)s “%(pitch)s”; write one of: %(known)s.",
                several=several,
                pitch=pitch,
                known=known,
            )
        )
    for row in found[0].areas:
        if is_called(area, row.key, row.name):
            return row
    known = ", ".join(row.key for row in found[0].areas)
    raise MissingError(
        _(
            "%(found)s has no area “%(area)s”; write one of: %(known)s.",
            found=found[0].name,
            area=area,
            known=known,
        )
    )


def find_area_id(store: Store, pitch: str, area: str = "whole") -> int:
    """Return the number of an area by key or name of its pitch and of itself.

    Raises:
        MissingError: Naming what there is.
    """
    with store.read() as session:
        return find_area(session, pitch, area).id


def keys_of_areas(store: Store, numbers: Collection[int]) -> dict[int, tuple[str, str]]:
    """Return the key of the pitch and the key of each area of some, by the areas' numbers."""
    with store.read() as session:
        query = select(AreaRow.id, PitchRow.key, AreaRow.key).join(AreaRow.pitch)
        rows = session.execute(query.where(AreaRow.id.in_(set(numbers))))
        return {number: (pitch, area) for number, pitch, area in rows}


def find_ground_key(store: Store, words: str) -> str:
    """Return the key of a pitch or an area of one: "Top pitch", or "North third, Top pitch".

    Raises:
        MissingError: If there is none, or several pitches of that name.
    """
    with store.read() as session:
        found = [
            ground_key(pitch.key, area.key)
            for pitch in _pitches(session)
            for area in pitch.areas
            if is_called(words, *_phrases(pitch, area))
        ]
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


def find_pitch(venues: Sequence[Venue], key: str) -> tuple[Venue, Pitch]:
    """Return a booking's pitch and its venue.

    Raises:
        MissingError: If there is none of that key.
    """
    for venue in venues:
        for pitch in venue.pitches:
            if pitch.key == key:
                return venue, pitch
    raise MissingError(_("The pitch of this booking no longer exists."))


def _phrases(pitch: PitchRow, area: AreaRow) -> set[str]:
    """Return what one area is called where nothing else says which pitch is meant."""
    phrases = {ground_key(pitch.key, area.key), f"{area.name}, {pitch.name}"}
    if area.cut == "whole":
        phrases |= {area.name, pitch.name}
    return phrases


def _pitches(session: Session) -> Sequence[PitchRow]:
    """Return every pitch with its areas, in the club's order."""
    query = select(PitchRow).join(PitchRow.venue).order_by(VenueRow.position, PitchRow.position)
    return session.scalars(query.options(selectinload(PitchRow.areas))).all()
