"""The club's own choices and its venues by form: the same rules as the settings file."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.spread import Evenings
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.times import clock_from_minute
from clubplanner.domain.times.windows import write_windows
from clubplanner.errors import FaultyInputError, MissingError, OutdatedError
from clubplanner.inputs.club_files.settings import read_club, read_venue
from clubplanner.inputs.ground_files.pasted_place import geo_uri
from clubplanner.language import _, spoken
from clubplanner.services.proposals.new_names import follow_in_proposals, load_spoken
from clubplanner.services.rows.snapshot import load_club, venue_from_row
from clubplanner.services.setup.calendars_follow import count_renamed_ground, places_shown
from clubplanner.services.setup.club_rows import ClubWriter
from clubplanner.services.setup.grounds.typed_place import with_place_read
from clubplanner.services.setup.rules_follow import follow_new_names, place_names
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.ground_tables import VenueRow

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.store.engine import Store

NEW = ""
"""Stands for the key of a venue that is not there yet."""
CLUB_TEXTS = ("name", "time_zone", "language", "evenings")
CLUB_NUMBERS = ("step_minutes", "changeover_minutes", "travel_minutes")
WAY_THERE = ("way_in", "parking", "contact", "contact_phone")
VENUE_TEXTS = ("name", "address", "opening", "lights_off", *WAY_THERE)
VENUE_NUMBERS = ("lon", "lat", "dusk_margin_minutes")
MAY_BE_BLANK = ("address", "lights_off", "language", "evenings", *WAY_THERE)
SHOWN = "yes"
"""Stands in the cell "phone_for_parents" where parents may see whom to call."""
USUAL_CLUB = {"time_zone": "Europe/London", "step_minutes": "15", "changeover_minutes": "0",
              "travel_minutes": "30", "evenings": Evenings.EVEN.value}  # fmt: skip
USUAL_VENUE = {"opening": "Mon-Fri 16:00-22:00; Sat-Sun 08:00-20:00", "dusk_margin_minutes": "0"}


@dataclass(frozen=True, slots=True)
class SettingsForm:
    """A club or a venue as its form shows it.

    Attributes:
        name: What it is called now; blank for a new one.
        cells: What stands, by the keys of the settings file.
        seen: What stands now, as a digest: a form sends it back, so that the later of two is told.
    """

    name: str
    cells: dict[str, str]
    seen: str


def see_club_form(store: Store) -> SettingsForm:
    """Return the form of the club's own choices; usual ones before there is a club."""
    with store.read() as session:
        if session.get(ClubRow, 1) is None:
            return SettingsForm("", {**USUAL_CLUB, "language": spoken()}, digest({}))
        club = load_club(session)
    return SettingsForm(club.name, _club_cells(club), digest(_club_cells(club)))


def save_club(store: Store, cells: Mapping[str, str], seen: str, now: datetime) -> str:
    """Write the club's own choices; return its name.

    Raises:
        FaultyInputError: With every fault; `where` is the key.
        OutdatedError: If somebody changed them since the form was shown.
    """
    values = _values(cells, CLUB_TEXTS, CLUB_NUMBERS)
    with store.write() as session:
        is_there = session.get(ClubRow, 1) is not None
        stands = load_club(session) if is_there else None
        if stands is not None:
            values["compact_evenings"] = stands.rules.wants_compact
            values.setdefault("language", stands.language)
            values.setdefault("evenings", stands.rules.evenings.value)
        if digest({} if stands is None else _club_cells(stands)) != seen:
            raise OutdatedError(
                _(
                    "Somebody has changed the club's settings in the meantime; look at what "
                    "stands now, then save yours again."
                )
            )
        club, problems = read_club(values)
        if club is None or problems:
            raise FaultyInputError(problems)
        describe_change(
            session, _("changed the club's settings") if is_there else _("began the club")
        )
        known = club.rules if stands is None else stands.rules
        rules = replace(known, evenings=club.rules.evenings)
        ClubWriter(session, now).write_club(replace(club, rules=rules))
        return club.name


def see_venue_form(store: Store, key: str = NEW) -> SettingsForm:
    """Return a venue's form; with a blank key that of a new one.

    Raises:
        MissingError: If there is no such venue.
    """
    with store.read() as session:
        load_club(session)
        if key == NEW:
            return SettingsForm("", dict(USUAL_VENUE), "")
        venue = venue_from_row(_row(session, key))
    cells = _venue_cells(venue)
    return SettingsForm(venue.name, cells, digest(cells))


def save_venue(store: Store, key: str, cells: Mapping[str, str], seen: str, now: datetime) -> str:
    """Write a venue; return its key, which follows its name.

    Raises:
        FaultyInputError: With every fault; `where` is the key.
        MissingError: If the venue is gone.
        OutdatedError: If somebody changed it since the form was shown.
    """
    with store.write() as session:
        load_club(session)
        row = None if key == NEW else _row(session, key)
        if row is not None and digest(_venue_cells(venue_from_row(row))) != seen:
            raise OutdatedError(
                _(
                    "Somebody has changed %(name)s in the meantime; look at what stands now, "
                    "then save yours again.",
                    name=row.name,
                )
            )
        values = _values(with_place_read(session, cells), VENUE_TEXTS, VENUE_NUMBERS)
        values["phone_for_parents"] = cells.get("phone_for_parents", "") == SHOWN
        venue, problems = read_venue(values)
        if venue is None or problems:
            raise FaultyInputError(problems)
        held = session.scalars(select(VenueRow.key).where(VenueRow.key == venue.key)).first()
        if held is not None and held != key:
            text = _("Another venue has this name; choose one that no other has.")
            raise FaultyInputError([Problem("name", "taken", text)])
        shown, names = places_shown(session), place_names(session)
        spoken = load_spoken(session)
        done = _("changed") if row else _("added")
        describe_change(session, f"{done} {venue.name}")
        if row is not None and row.key != venue.key:
            for pitch in row.pitches:  # a pitch's key begins with its venue's
                pitch.key = venue.key + pitch.key.removeprefix(row.key)
            row.key = venue.key
            session.flush()
        ClubWriter(session, now).write_venue(venue)
        follow_new_names(session, names)
        follow_in_proposals(session, spoken)
        count_renamed_ground(session, shown, now)
        return venue.key


def _values(
    cells: Mapping[str, str], texts: tuple[str, ...], numbers: tuple[str, ...]
) -> dict[str, object]:
    """Turn typed cells into what the settings file would hold; what may be blank is left out."""
    typed = {key: cells.get(key, "").strip() for key in (*texts, *numbers)}
    may_lack = (*numbers, *MAY_BE_BLANK)
    return {
        key: number_typed(text) if key in numbers else text
        for key, text in typed.items()
        if text or key not in may_lack
    }


def number_typed(text: str) -> object:
    """Return the number that a text is, with comma or point; the text itself where it is none."""
    plain = text.replace(",", ".").replace("−", "-")
    for kind in (int, float):
        try:
            return kind(plain)
        except ValueError:
            continue
    return text


def _club_cells(club: ClubSettings) -> dict[str, str]:
    return {
        "name": club.name,
        "time_zone": club.zone,
        "language": club.language,
        "step_minutes": str(club.step_minutes),
        "changeover_minutes": str(club.changeover_minutes),
        "travel_minutes": str(club.travel_minutes),
        "evenings": club.rules.evenings.value,
    }


def _venue_cells(venue: Venue) -> dict[str, str]:
    off = venue.lights_off_min
    has_place = venue.lon is not None and venue.lat is not None
    place = geo_uri((venue.lon or 0.0, venue.lat or 0.0)) if has_place else ""
    return {
        "name": venue.name,
        "address": venue.address,
        "place": place,
        "opening": write_windows(venue.opening),
        "lights_off": "" if off is None else clock_from_minute(off),
        "dusk_margin_minutes": str(venue.dusk_margin_minutes),
        **{name: getattr(venue, name) for name in WAY_THERE},
        "phone_for_parents": SHOWN if venue.phone_for_parents else "",
    }


def _row(session: Session, key: str) -> VenueRow:
    row = session.scalars(select(VenueRow).where(VenueRow.key == key)).first()
    if row is None:
        raise MissingError(_("There is no such venue (any more); look at the grounds."))
    return row


def digest(cells: Mapping[str, str]) -> str:
    """Return what cells can be told apart by: 16 hexadecimal digits."""
    text = json.dumps(dict(cells), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]
