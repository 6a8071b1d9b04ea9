"""Venues and pitches by form: seen, drawn while they are typed, saved, taken out."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError

from clubplanner.domain.ground.orientation.facing import edge_at_bottom
from clubplanner.domain.ground.orientation.measures import size_in_words
from clubplanner.domain.problems import Problem
from clubplanner.domain.terms import SURFACES
from clubplanner.errors import FaultyInputError, MissingError, OutdatedError, RefusedError
from clubplanner.inputs.ground_files.pasted_place import geo_uri
from clubplanner.inputs.ground_files.pitch_sheet import (
    PLACE_DIGITS,
    SheetRead,
    read_sheet,
    sheet_of,
)
from clubplanner.language import _, term
from clubplanner.outputs.drawings.plan_values import AreaRole, GroundPlan, PlanArea
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.services.proposals.new_names import follow_in_proposals, load_spoken
from clubplanner.services.rows.snapshot import load_club, load_venues, pitch_from_row
from clubplanner.services.setup.calendars_follow import count_renamed_ground, places_shown
from clubplanner.services.setup.club_rows import ClubWriter
from clubplanner.services.setup.grounds.typed_place import with_place_read
from clubplanner.services.setup.loading import explain_distance
from clubplanner.services.setup.rules_follow import follow_new_names, place_names
from clubplanner.services.showing.ground.plans import painted_lines
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Area, Pitch, Venue
    from clubplanner.store.engine import Store

NEW = ""
"""Stands for the key of a pitch that is not there yet."""


@dataclass(frozen=True, slots=True)
class PitchShown:
    """A pitch in the list of grounds.

    Attributes:
        key: Its key.
        name: Its name.
        facts: Size, surface and light, in words.
        parts: What it is cut into, in words.
        drawing: Its ground plan, SVG.
    """

    key: str
    name: str
    facts: str
    parts: str
    drawing: str


@dataclass(frozen=True, slots=True)
class VenueShown:
    """A venue with its pitches."""

    key: str
    name: str
    address: str
    pitches: tuple[PitchShown, ...]


@dataclass(frozen=True, slots=True)
class PitchForm:
    """A pitch as its form shows it.

    Attributes:
        venue_key: Where it lies.
        venue_name: The same, as people say it.
        name: What it is called now; blank for a new one.
        cells: Its sheet; see `clubplanner.inputs.ground_files.pitch_sheet`.
        drawing: Its ground plan, SVG; blank for a new one.
        areas: Each part that can be booked, in words.
        surfaces: Surfaces to choose from.
        seen: What stands now, as a digest: a form sends it back, so that the later of two is told.
    """

    venue_key: str
    venue_name: str
    name: str
    cells: dict[str, str]
    drawing: str
    areas: tuple[str, ...]
    surfaces: tuple[str, ...]
    seen: str


def list_ground(store: Store) -> tuple[tuple[str, str], ...]:
    """Return the keys of every venue and pitch, in order; a venue without any has a blank one."""
    with store.read() as session:
        rows = session.execute(
            select(VenueRow.key, PitchRow.key)
            .outerjoin(VenueRow.pitches)
            .order_by(VenueRow.position, VenueRow.id, PitchRow.position, PitchRow.id)
        )
        return tuple((venue, pitch or "") for venue, pitch in rows)


def see_grounds(
    store: Store, only: Collection[tuple[str, str]] | None = None
) -> tuple[VenueShown, ...]:
    """Return venues with their pitches, each drawn.

    Args:
        store: The database.
        only: Keys of those that are asked about, as `list_ground` tells them; None for all.
    """
    with store.read() as session:
        load_club(session)
        venues = load_venues(session)
    asked = None if only is None else {venue for venue, _pitch in only}
    return tuple(
        VenueShown(
            v.key,
            v.name,
            v.address,
            tuple(_shown(p) for p in v.pitches if only is None or (v.key, p.key) in only),
        )
        for v in venues
        if asked is None or v.key in asked
    )


def see_pitch_form(store: Store, venue_key: str, key: str = NEW) -> PitchForm:
    """Return a pitch's form; with a blank key that of a new pitch.

    Raises:
        MissingError: If there is no such venue or pitch.
    """
    with store.read() as session:
        venues = load_venues(session)
    venue = _venue(venues, venue_key)
    known = (pitch.surface for item in venues for pitch in item.pitches)
    surfaces = tuple(dict.fromkeys((*SURFACES, *known)))
    if key == NEW:
        return PitchForm(venue.key, venue.name, "", {}, "", (), surfaces, "")
    pitch = next((item for item in venue.pitches if item.key == key), None)
    if pitch is None:
        raise MissingError(
            _("%(venue)s has no such pitch (any more); look at the grounds.", venue=venue.name)
        )
    return PitchForm(
        venue.key,
        venue.name,
        pitch.name,
        _form_cells(pitch),
        draw_pitch(pitch),
        _areas_in_words(pitch),
        surfaces,
        _digest(pitch),
    )


def look_at_sheet(
    store: Store, venue_key: str, cells: Mapping[str, str]
) -> tuple[str, tuple[str, ...]]:
    """Draw what was typed, and name its parts; nothing is saved.

    Raises:
        FaultyInputError: With every fault; `where` is the cell.
        MissingError: If there is no such venue.
    """
    with store.read() as session:
        venue = _venue(load_venues(session), venue_key)
        language = load_club(session).language
        cells = with_place_read(session, cells)
    pitch = _pitch_of(read_sheet(cells, venue.name, language))
    return draw_pitch(pitch), _areas_in_words(pitch)


def save_pitch(
    store: Store, venue_key: str, key: str, cells: Mapping[str, str], seen: str, now: datetime
) -> str:
    """Write a pitch as it was typed; bookings stay on the parts that stay.

    Args:
        store: The database.
        venue_key: Where it lies.
        key: Which pitch; blank for a new one.
        cells: Its sheet.
        seen: The digest that the form was shown with.
        now: The present instant.

    Returns:
        Its key, which follows its name.

    Raises:
        FaultyInputError: With every fault; `where` is the cell.
        MissingError: If the venue or the pitch is gone.
        OutdatedError: If somebody changed it since the form was shown.
    """
    with store.write() as session:
        venue = _venue(load_venues(session), venue_key)
        cells = with_place_read(session, cells)
        pitch = _pitch_of(read_sheet(cells, venue.name, load_club(session).language))
        row = None if key == NEW else _row(session, key)
        if row is not None:
            stands = pitch_from_row(row, venue_key)
            if _digest(stands) != seen:
                raise OutdatedError(
                    _(
                        "Somebody has changed %(name)s in the meantime; what stands now: %(facts)s,"
                        " %(parts)s. Look at it, then save yours again.",
                        name=stands.name,
                        facts=_facts(stands),
                        parts=_parts(stands),
                    )
                )
            pitch = _with_place_kept(pitch, stands)
        refuse_taken_name(session, pitch, key)
        far_away = explain_distance((venue.lon, venue.lat), pitch)
        if far_away:
            raise FaultyInputError([Problem("place", "far-away", far_away)])
        shown, names = places_shown(session), place_names(session)
        spoken = load_spoken(session)
        done = _("changed") if row else _("added")
        describe_change(session, f"{done} {pitch.name}, {venue.name}")
        if row is not None:
            row.key = pitch.key
            session.flush()
        writer = ClubWriter(session, now)
        writer.pitches.write_pitch(venue_key, pitch)
        if writer.problems:
            raise FaultyInputError(
                [Problem("name", item.code, item.message) for item in writer.problems]
            )
        follow_new_names(session, names)
        follow_in_proposals(session, spoken)
        count_renamed_ground(session, shown, now)
        return pitch.key


def take_pitch_out(store: Store, venue_key: str, key: str, seen: str) -> str:
    """Take a pitch out that nothing speaks of; return its name.

    Raises:
        MissingError: If it is gone already.
        OutdatedError: If somebody changed it since the form was shown.
        RefusedError: If there are bookings, past ones included, or addresses of it.
    """
    with store.write() as session:
        row = _row(session, key)
        pitch = pitch_from_row(row, venue_key)
        if _digest(pitch) != seen:
            raise OutdatedError(
                _("Somebody has changed %(name)s in the meantime; look at it.", name=row.name)
            )
        count = session.scalar(select(func.count()).where(BookingRow.pitch_id == row.id)) or 0
        refusal = RefusedError(
            _(
                "%(name)s cannot be taken out: there are bookings on it, past ones included, "
                "or addresses of its own. Close it instead, under Closures.",
                name=row.name,
            )
        )
        if count:
            raise refusal
        describe_change(session, _("took out %(name)s", name=row.name))
        for area in row.areas:
            session.delete(area)
        session.delete(row)
        try:
            session.flush()
        except IntegrityError as fault:
            raise refusal from fault
        return pitch.name


def draw_pitch(pitch: Pitch) -> str:
    """Draw a pitch with every part that is not an equal cut, cuts as fine lines."""
    drawn = [area for area in pitch.areas if area.cut in ("markings", "drawn")]
    drawn.sort(key=lambda area: -area.area_m2)  # smaller ones lie on top
    plan = GroundPlan(
        pitch=pitch,
        title=pitch.name,
        summary=f"{pitch.name}: {_facts(pitch)}, {_parts(pitch)}.",
        areas=tuple(
            PlanArea(area.polygon, area.name, (), AreaRole.OTHER, tint)
            for tint, area in enumerate(drawn)
        ),
        cut_lines=tuple(
            area.polygon for area in pitch.areas if area.cut not in ("whole", "markings", "drawn")
        ),
        markings=painted_lines(pitch),
        at_bottom=edge_at_bottom(pitch),
    )
    return draw_ground_plan(plan)


def _shown(pitch: Pitch) -> PitchShown:
    return PitchShown(pitch.key, pitch.name, _facts(pitch), _parts(pitch), draw_pitch(pitch))


def _facts(pitch: Pitch) -> str:
    light = _("floodlit") if pitch.is_lit else _("no floodlights")
    kind = _("under a roof") if pitch.is_indoor else light
    return f"{_size(pitch.areas[0])}, {term(pitch.surface)}, {kind}"


def _parts(pitch: Pitch) -> str:
    cuts = dict.fromkeys(area.cut for area in pitch.areas if area.cut not in ("markings", "drawn"))
    names = [term(cut) for cut in cuts if cut != "whole"]
    names += [area.name for area in pitch.areas if area.cut in ("markings", "drawn")]
    return ", ".join([_("whole"), *names])


def _size(area: Area) -> str:
    return size_in_words(area.length_m, area.width_m)


def _areas_in_words(pitch: Pitch) -> tuple[str, ...]:
    return tuple(f"{area.name}, {_size(area)}" for area in pitch.areas)


def _pitch_of(read: SheetRead) -> Pitch:
    if read.pitch is None:
        raise FaultyInputError(read.problems)
    return read.pitch


def _with_place_kept(pitch: Pitch, stands: Pitch) -> Pitch:
    """Keep the exact place of a pitch whose place was not typed anew."""
    was, now = sheet_of(stands), sheet_of(pitch)
    place = ("lon", "lat", "bearing")
    is_same = all(now.get(cell, "") == was.get(cell, "") for cell in place)
    return replace(pitch, frame=stands.frame) if is_same else pitch


def _form_cells(pitch: Pitch) -> dict[str, str]:
    """Write a pitch as cells, its place as one that can be pasted anew."""
    cells = sheet_of(pitch)
    if pitch.frame is not None:
        del cells["lon"], cells["lat"]
        cells["place"] = geo_uri((pitch.frame.lon, pitch.frame.lat), PLACE_DIGITS)
    return cells


def refuse_taken_name(session: Session, pitch: Pitch, key: str = NEW) -> None:
    """Refuse the name of another pitch of the venue.

    Raises:
        FaultyInputError: At the cell `name`.
    """
    held = session.scalars(select(PitchRow.key).where(PitchRow.key == pitch.key)).first()
    if held is not None and held != key:
        text = _("Another pitch of this venue has this name; choose one that no other has.")
        raise FaultyInputError([Problem("name", "taken", text)])


def _venue(venues: tuple[Venue, ...], key: str) -> Venue:
    found = next((venue for venue in venues if venue.key == key), None)
    if found is None:
        raise MissingError(_("There is no such venue (any more); look at the grounds."))
    return found


def _row(session: Session, key: str) -> PitchRow:
    row = session.scalars(select(PitchRow).where(PitchRow.key == key)).first()
    if row is None:
        raise MissingError(_("There is no such pitch (any more); look at the grounds."))
    return row


def _digest(pitch: Pitch) -> str:
    text = json.dumps(sheet_of(pitch), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]
