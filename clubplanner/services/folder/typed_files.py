"""The files of a club that are loaded by themselves as well: settings, grounds, squads, sizes."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import shapely
from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.times.seasons import Break
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.club_files.settings_file import write_settings
from clubplanner.inputs.club_files.size_rows import write_sizes
from clubplanner.inputs.club_files.squads_file.squad_rows import (
    no_ask,
    row_of_ask,
    row_of_squad,
    write_without_coaches,
)
from clubplanner.inputs.ground_files.ground_features import collection, pitch_in_metres
from clubplanner.services.folder.sheets.names import BREAKS_IN_ORDER
from clubplanner.services.rows.club.keeping_rows import load_keeping
from clubplanner.services.rows.ground.own_sizes import load_own_formats
from clubplanner.services.rows.snapshot import (
    load_asks,
    load_club,
    pitch_from_row,
    squad_from_row,
    stretch_from_row,
    venue_from_row,
)
from clubplanner.services.setup.money_written import money_in_names
from clubplanner.store.tables.club_tables import BreakRow, StretchRow
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.keeping_tables import KeepingRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.persons.coaches import Coach
    from clubplanner.domain.ground.grounds import Pitch

SETTINGS, SQUADS, SIZES = "settings.toml", "squads.csv", "sizes.csv"
LONGEST_STEM = 40
DRAWN = "drawn"
NOBODY: tuple[Coach, ...] = ()
"""Who coaches stands in a sheet of its own."""


def write_typed(session: Session) -> Iterator[ClubFile]:
    """Yield settings, grounds, squads and sizes as they stand.

    Raises:
        NoClubError: If there is no club.
    """
    yield ClubFile(SETTINGS, _settings(session).encode())
    for place, venue in enumerate(_venues(session), start=1):
        pitches = [
            pitch_in_metres(_settled(pitch_from_row(row, venue.key))) for row in _pitches(venue)
        ]
        if pitches:
            name = f"grounds-{place}-{venue.key[:LONGEST_STEM]}.geojson"
            yield ClubFile(name, collection(venue.name, pitches).encode())
    squads = _squads(session)
    if squads:
        yield ClubFile(SQUADS, squads.encode())
    formats = load_own_formats(session)
    if formats:
        yield ClubFile(SIZES, write_sizes(formats).encode())


def _settings(session: Session) -> str:
    venues = [venue_from_row(row) for row in _venues(session)]
    stretches = session.scalars(select(StretchRow).order_by(StretchRow.starts_on, StretchRow.key))
    breaks = session.execute(
        select(BreakRow.name, BreakRow.starts_on, BreakRow.ends_on).order_by(*BREAKS_IN_ORDER)
    )
    return write_settings(
        load_club(session),
        venues,
        [stretch_from_row(row) for row in stretches],
        [Break(*row) for row in breaks],
        None if session.get(KeepingRow, 1) is None else load_keeping(session),
        money_in_names(session),
    )


def _venues(session: Session) -> Sequence[VenueRow]:
    query = select(VenueRow).order_by(VenueRow.position, VenueRow.id)
    within = selectinload(VenueRow.pitches)
    return session.scalars(
        query.options(within.selectinload(PitchRow.areas), within.selectinload(PitchRow.obstacles))
    ).all()


def _pitches(venue: VenueRow) -> list[PitchRow]:
    return sorted(venue.pitches, key=lambda row: (row.position, row.id))


def _settled(pitch: Pitch) -> Pitch:
    """Let the outlines of drawn parts begin at one corner, whichever they were computed from."""
    areas = (
        replace(area, polygon=shapely.normalize(area.polygon)) if area.cut == DRAWN else area
        for area in pitch.areas
    )
    return replace(pitch, areas=tuple(areas))


def _squads(session: Session) -> str:
    squads = session.scalars(select(SquadRow).order_by(SquadRow.position, SquadRow.id)).all()
    names = {row.key: row.name for row in squads}
    asks: dict[str, list[dict[str, str]]] = {}
    for _number, ask in load_asks(session):
        asks.setdefault(ask.squad_key, []).append(row_of_ask(ask, names))
    rows = [
        row_of_squad(squad_from_row(squad, NOBODY)) | ask
        for squad in squads
        for ask in asks.get(squad.key, [no_ask()])
    ]
    return write_without_coaches(rows) if rows else ""
