"""Loading a club's files: all are read and checked, then all is written, or nothing."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.clubs_within import ClubWithin
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.geometry.frame import Frame
from clubplanner.inputs.club_files.fixtures import is_fixture_table
from clubplanner.inputs.club_files.settings import SettingsRead, read_settings
from clubplanner.inputs.club_files.sizes import SizesRead, is_size_table, read_sizes
from clubplanner.inputs.club_files.squads_file.squads import SquadsRead, read_squads
from clubplanner.inputs.ground_files.grounds import GroundsRead, read_grounds
from clubplanner.inputs.ground_files.plain_outlines import is_plain
from clubplanner.inputs.reading.faults import decode_text, list_words
from clubplanner.inputs.reading.table_files import ENDINGS, read_table_file
from clubplanner.language import ENGLISH, _, figure
from clubplanner.services.proposals.new_names import follow_in_proposals, load_spoken
from clubplanner.services.rows.ground.known_sizes import format_codes, published_formats
from clubplanner.services.rows.ground.own_sizes import (
    check_formats_asked_for,
    load_own_formats,
    write_own_formats,
)
from clubplanner.services.rows.own_club import load_clubs
from clubplanner.services.setup.calendars_follow import (
    count_renamed_ground,
    count_renamed_squads,
    places_shown,
    squad_names,
)
from clubplanner.services.setup.club_rows import ClubWriter
from clubplanner.services.setup.money_written import write_money
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.formats import GameFormat
    from clubplanner.domain.ground.grounds import Pitch
    from clubplanner.inputs.club_files.club_file import ClubFile
    from clubplanner.store.engine import Store

LARGEST_FILE_BYTES = 8_000_000
FURTHEST_M = 30_000.0
"""A pitch this far from its venue was traced with longitude and latitude the wrong way round."""


def explain_distance(place: tuple[float | None, float | None], pitch: Pitch) -> str:
    """Say that a pitch lies further from its venue than can be; blank when it does not.

    Args:
        place: The venue's longitude and latitude, degrees; None as long as they are not known.
        pitch: One of its pitches.
    """
    venue_lon, venue_lat = place
    if pitch.frame is None or venue_lon is None or venue_lat is None:
        return ""
    lon, lat = pitch.frame.lon, pitch.frame.lat
    there = venue_lon, venue_lat
    away_m = _distance_m(there, lon, lat)
    if away_m <= FURTHEST_M:
        return ""
    km = figure(away_m / 1000, ".0f")
    if abs(lon) <= 90.0 and _distance_m(there, lat, lon) <= FURTHEST_M:
        return _(
            "The pitch lies %(km)s km from its venue, and beside it with longitude and latitude "
            "the other way round; put longitude before latitude.",
            km=km,
        )
    return _(
        "The pitch lies %(km)s km from its venue; put longitude before latitude, or correct the "
        "venue's lon and lat.",
        km=km,
    )


def _distance_m(place: tuple[float, float], lon: float, lat: float) -> float:
    return math.hypot(*Frame(place[0], place[1], 0.0).local_from_lonlat(lon, lat))


@dataclass(frozen=True, slots=True)
class LoadReport:
    """What loading changed, in sentences."""

    lines: tuple[str, ...]


@dataclass(slots=True)
class Reading:
    """What files gave, and every fault of them."""

    settings: list[SettingsRead] = field(default_factory=list)
    grounds: list[tuple[str, GroundsRead]] = field(default_factory=list)
    squads: list[tuple[str, SquadsRead]] = field(default_factory=list)
    sizes: list[tuple[str, SizesRead]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def fault(self, where: str, code: str, message: str) -> None:
        """Note a fault."""
        self.problems.append(Problem(where, code, message))


def load_files(store: Store, files: Sequence[ClubFile], now: datetime) -> LoadReport:
    """Load settings, grounds, squads and a table of sizes into the club.

    Args:
        store: The database, migrated.
        files: Settings (.toml), grounds (.geojson, .json), squads and a table of the club's own
            sizes (.csv or .xlsx, told apart by their columns), in any order.
        now: The present instant, for bookings that come with the settings.

    Returns:
        What was loaded.

    Raises:
        FaultyInputError: With every fault of every file; nothing was changed.
    """
    with store.write() as session:
        describe_change(
            session, _("loaded %(files)s", files=", ".join(file.name for file in files))
        )
        return load_into(session, files, now)


def load_into(session: Session, files: Sequence[ClubFile], now: datetime) -> LoadReport:
    """Load files within an open transaction, which a fault gives up; see `load_files`.

    Raises:
        FaultyInputError: With every fault of every file.
    """
    language = session.scalars(select(ClubRow.language)).first() or ENGLISH
    clubs = load_clubs(session, ended=True)
    reading = read_files(files, load_own_formats(session), language, clubs)
    check_together(session, reading)
    if reading.problems:
        raise FaultyInputError(reading.problems)
    shown, names = places_shown(session), squad_names(session)
    spoken = load_spoken(session)
    writer = ClubWriter(session, now)
    write_reading(writer, reading)
    for settings in reading.settings:
        writer.write_bookings(settings.bookings)
    if writer.problems:
        raise FaultyInputError(writer.problems)
    follow_in_proposals(session, spoken)
    count_renamed_ground(session, shown, now)
    count_renamed_squads(session, names, now)
    return LoadReport(tuple(writer.lines))


def write_reading(writer: ClubWriter, reading: Reading, *, places_venues: bool = True) -> None:
    """Write what files without faults gave, set bookings aside.

    Args:
        writer: Writes into an open transaction, and keeps what could not be.
        reading: What the files gave.
        places_venues: Whether a venue of which nobody has said it lies where its pitches do.
    """
    for settings in reading.settings:
        writer.write_settings(settings)
    for _unused, grounds in reading.grounds:
        writer.pitches.write_pitches(grounds.venue_key, grounds.pitches, places_venue=places_venues)
    if reading.squads:
        writer.write_squads(
            [squad for _unused, squads in reading.squads for squad in squads.squads],
            [row.ask for _unused, squads in reading.squads for row in squads.asks],
            names_assistants=any(squads.names_assistants for _unused, squads in reading.squads),
            names_clubs=any(squads.names_clubs for _unused, squads in reading.squads),
            names_coaches=any(squads.names_coaches for _unused, squads in reading.squads),
        )
    for settings in reading.settings:
        writer.problems += write_money(writer.session, settings)
    for _unused, sizes in reading.sizes:
        writer.lines.append(write_own_formats(writer.session, sizes.formats))


def read_files(
    files: Sequence[ClubFile],
    own: Sequence[GameFormat] = (),
    language: str = ENGLISH,
    clubs: Sequence[ClubWithin] = (),
) -> Reading:
    """Read files, settings first: they say in which language the parts of pitches are called.

    Args:
        files: What to read.
        own: The club's own formats where no file brings a new table.
        language: The club's where no file brings settings.
        clubs: The clubs within the record where no file names others.
    """
    reading, tables = Reading(), list[tuple[str, str]]()
    if not files:
        reading.fault("", "no-files", _("Name at least one file to load."))
    for file in sorted(files, key=lambda file: not file.name.lower().endswith(".toml")):
        kind = PurePath(file.name).suffix.lower()
        if len(file.data) > LARGEST_FILE_BYTES:
            reading.fault(file.name, "too-large", _("The file is larger than 8 MB; split it."))
            continue
        if kind in ENDINGS:
            tables += _read_tables(reading, file)
            continue
        text = decode_text(file.data)
        if kind == ".toml":
            settings = read_settings(text, file.name)
            reading.settings.append(settings)
            language = language if settings.club is None else settings.club.language
            clubs = _clubs_named(settings, clubs)
            reading.problems.extend(settings.problems)
        elif kind in (".geojson", ".json"):
            _read_map(reading, file.name, text, language)
        else:
            reading.fault(
                file.name,
                "unknown-kind",
                _(
                    "Settings end in .toml, grounds in .geojson, squads and sizes in .csv or "
                    ".xlsx; rename the file."
                ),
            )
    read = [game for _unused, sizes in reading.sizes for game in sizes.formats]
    codes = format_codes([*(read if reading.sizes else own), *published_formats()])
    for name, text in tables:
        squads = read_squads(text, name, codes, clubs)
        reading.squads.append((name, squads))
        reading.problems.extend(squads.problems)
    return reading


def _read_tables(reading: Reading, file: ClubFile) -> list[tuple[str, str]]:
    """Read a file of tables; return those of squads, which need what other files say."""
    read = read_table_file(file.data, file.name)
    reading.problems.extend(read.problems)
    squads = []
    for table in read.tables:
        if is_size_table(table.text):
            sizes = read_sizes(table.text, table.name)
            reading.sizes.append((table.name, sizes))
            reading.problems.extend(sizes.problems)
        elif is_fixture_table(table.text):
            words = _(
                "These are fixtures; load them on the page “Matches” or with “clubplanner "
                "matches load”."
            )
            reading.fault(table.name, "fixtures", words)
        else:
            squads.append((table.name, table.text))
    return squads


def _clubs_named(settings: SettingsRead, known: Sequence[ClubWithin]) -> Sequence[ClubWithin]:
    """Return the clubs that a squads file may name beside settings: theirs, and those that ended.

    Where the settings name none, those known go on.
    """
    named = [ClubWithin(0, name) for name in settings.clubs]
    keys = {club.key for club in named}
    return [*named, *(c for c in known if c.has_ended and c.key not in keys)] if named else known


def _read_map(reading: Reading, name: str, text: str, language: str) -> None:
    if is_plain(text):
        words = _(
            "This is a map file that says nothing of the club's pitches. Load it on the page "
            "“Grounds”, where what is missing is asked."
        )
        reading.fault(name, "plain", words)
        return
    grounds = read_grounds(text, name, language)
    reading.grounds.append((name, grounds))
    reading.problems.extend(grounds.problems)


def check_together(session: Session, reading: Reading, *, has_surfaces: bool = False) -> None:
    """Look for what does not go together: within the files, and with what is already loaded.

    Args:
        session: An open session.
        reading: What the files gave; it gets the faults.
        has_surfaces: Whether squads may ask for a surface that no pitch has any more.
    """
    if session.get(ClubRow, 1) is None and not any(s.club or s.problems for s in reading.settings):
        reading.fault(
            "",
            "no-club",
            _("There is no club yet; load its settings file (.toml) with the others."),
        )
    places: dict[str, tuple[float | None, float | None]]
    places = {row.key: (row.lon, row.lat) for row in session.scalars(select(VenueRow))}
    for settings in reading.settings:
        places.update({venue.key: (venue.lon, venue.lat) for venue in settings.venues})
    is_whole = not any(settings.problems for settings in reading.settings)
    for name, grounds in reading.grounds:
        if is_whole and grounds.venue_key and grounds.venue_key not in places:
            known = list_words(sorted(places)) or _("none yet")
            reading.fault(
                name,
                "no-such-venue",
                _(
                    "The settings have no venue “%(venue_key)s” (known: %(known)s); name one of "
                    "them, or add it to the settings.",
                    venue_key=grounds.venue_key,
                    known=known,
                ),
            )
        for pitch in grounds.pitches:
            if grounds.venue_key in places:
                _check_distance(reading, name, pitch, places[grounds.venue_key])
    if not has_surfaces:
        _check_surfaces(session, reading)
    _check_sizes(session, reading)
    _check_repeats(reading)


def _check_distance(
    reading: Reading, name: str, pitch: Pitch, place: tuple[float | None, float | None]
) -> None:
    words = explain_distance(place, pitch)
    if words:
        reading.fault(f"{name}, “{pitch.name}”", "far-away", words)


def _check_surfaces(session: Session, reading: Reading) -> None:
    surfaces = set(session.scalars(select(PitchRow.surface).distinct()))
    surfaces |= {pitch.surface for _unused, grounds in reading.grounds for pitch in grounds.pitches}
    if not surfaces or any(grounds.problems for _unused, grounds in reading.grounds):
        return  # a pitch with faults may be the one meant
    for name, squads in reading.squads:
        for row in squads.asks:
            for surface in sorted(row.ask.surfaces - surfaces):
                reading.fault(
                    f"{name}, row {row.row}, column surface",
                    "no-such-surface",
                    _(
                        "No pitch has the surface “%(surface)s”; write %(surfaces)s.",
                        surface=surface,
                        surfaces=list_words(sorted(surfaces)),
                    ),
                )


def _check_sizes(session: Session, reading: Reading) -> None:
    """Look for asks, loaded earlier, whose format a new table leaves out."""
    if len(reading.sizes) > 1:
        reading.fault("", "two-tables", _("Load one table of sizes at a time."))
    if reading.squads:
        return  # their asks replace the earlier ones, and were read with the new table
    for name, sizes in reading.sizes:
        if not sizes.problems:
            reading.problems.extend(check_formats_asked_for(session, name, sizes.formats))


def _check_repeats(reading: Reading) -> None:
    """Look for what two files both describe: one of them would be lost without a word."""
    if len(reading.settings) > 1:
        reading.fault("", "two-settings", _("Load one settings file (.toml) at a time."))
    seen: dict[tuple[str, str], str] = {}
    things = [
        *((name, "pitch", p.key, p.name) for name, read in reading.grounds for p in read.pitches),
        *((name, "squad", s.key, s.name) for name, read in reading.squads for s in read.squads),
    ]
    for name, kind, key, called in things:
        first = seen.setdefault((kind, key), name)
        if first != name:
            reading.fault(
                name,
                "repeated",
                _(
                    "The %(kind)s “%(called)s” is in %(first)s too; keep it in one file.",
                    kind=kind,
                    called=called,
                    first=first,
                ),
            )
