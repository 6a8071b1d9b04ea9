"""A venue's pitches as a grounds file: sent, and taken in after a look at what would change."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import is_same_ground
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, MissingError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.ground_files.ground_features import write_grounds
from clubplanner.inputs.ground_files.grounds import read_grounds
from clubplanner.inputs.reading.faults import decode_text
from clubplanner.language import _, marked
from clubplanner.services.rows.club.club import club_language
from clubplanner.services.rows.snapshot import load_venues
from clubplanner.services.setup.grounds.forms import draw_pitch
from clubplanner.services.setup.loading import LoadReport, load_into
from clubplanner.store.journal.journal import describe_change

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.store.engine import Store

MOST_BYTES = 700_000
"""A file up to this size can be looked at before it is loaded."""
NEW, CHANGED, SAME = "new", "changed", marked("as it is")


@dataclass(frozen=True, slots=True)
class PitchChange:
    """What a file would do to one pitch.

    Attributes:
        name: The pitch.
        what: "new", "changed" or "as it is".
        before: How it is drawn now; blank for a new one.
        after: How it would be drawn; blank where nothing changes.
    """

    name: str
    what: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class GroundsForeseen:
    """What loading a grounds file would do.

    Attributes:
        venue_name: Which venue it is for.
        text: The file, to be sent again.
        pitches: Pitch by pitch; those of the venue that the file leaves out stay as they are.
    """

    venue_name: str
    text: str
    pitches: tuple[PitchChange, ...]


def grounds_file(store: Store, venue_key: str) -> bytes:
    """Return a venue's pitches as the file that they could be loaded from.

    Raises:
        MissingError: If there is no such venue.
    """
    venue = _venue(store, venue_key)
    return write_grounds(venue.name, venue.pitches).encode()


def foresee_grounds(store: Store, file: ClubFile, now: datetime) -> GroundsForeseen:
    """Tell what loading a grounds file would change; nothing is changed.

    Raises:
        FaultyInputError: With every fault.
    """
    if not file.name:
        raise FaultyInputError([Problem("file", "missing", _("Choose a grounds file first."))])
    if len(file.data) > MOST_BYTES:
        text = _("The file is too large to be looked at first; load it on the page “Files”.")
        raise FaultyInputError([Problem("file", "too-large", text)])
    text = decode_text(file.data)
    with store.write() as session:
        load_into(session, [ClubFile("grounds.geojson", text.encode())], now)
        session.rollback()
    read = read_grounds(text, file.name, club_language(store))
    venue = _venue(store, read.venue_key)
    known = {pitch.key: pitch for pitch in venue.pitches}
    changes = []
    for pitch in read.pitches:
        was = known.get(pitch.key)
        before = "" if was is None else draw_pitch(was)
        is_same = was is not None and is_same_ground(was, pitch)
        what = NEW if was is None else SAME if is_same else CHANGED
        changes.append(PitchChange(pitch.name, what, before, "" if is_same else draw_pitch(pitch)))
    return GroundsForeseen(venue.name, text, tuple(changes))


def load_grounds(store: Store, text: str, now: datetime) -> LoadReport:
    """Load a grounds file that was looked at.

    Raises:
        FaultyInputError: With every fault; nothing was changed.
    """
    with store.write() as session:
        describe_change(session, _("loaded a grounds file"))
        return load_into(session, [ClubFile("grounds.geojson", text.encode())], now)


def _venue(store: Store, key: str) -> Venue:
    with store.read() as session:
        venues = load_venues(session)
    found = next((venue for venue in venues if venue.key == key), None)
    if found is None:
        raise MissingError(_("There is no such venue (any more); look at the grounds."))
    return found
