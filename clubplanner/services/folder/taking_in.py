"""Taking a club's folder into an empty database: all of it, or with any fault nothing."""

from __future__ import annotations

import re
from datetime import UTC
from typing import TYPE_CHECKING

from sqlalchemy import func, select, update

from clubplanner.domain.club.people import Role
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, RefusedError
from clubplanner.inputs.reading.faults import Faults, decode_text
from clubplanner.language import _, ngettext
from clubplanner.services.folder.exporting import READ_ME
from clubplanner.services.folder.intake import Intake
from clubplanner.services.folder.kept import tables_that_go_out
from clubplanner.services.folder.parts import PARTS, write_parts
from clubplanner.services.folder.share_out_files import FILE as SHARE_OUT
from clubplanner.services.folder.share_out_files import ShareOutsRead
from clubplanner.services.folder.sheets.names import Names, load_names
from clubplanner.services.folder.sheets.people_sheets import (
    CLUB_SECRETARIES,
    CLUBS,
    COACHES,
    PEOPLE,
    SQUAD_CLUBS,
)
from clubplanner.services.folder.sheets.sheet_rows import read_sheet
from clubplanner.services.folder.sheets.sheets import SHEETS
from clubplanner.services.setup.club_rows import ClubWriter
from clubplanner.services.setup.loading import (
    LARGEST_FILE_BYTES,
    LoadReport,
    check_together,
    read_files,
    write_reading,
)
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.busy_tables import BusyCalendarRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.within_tables import ClubSecretaryRow
from clubplanner.store.upkeep.filling import filling, find_unsound, note_filling

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.inputs.club_files.club_file import ClubFile
    from clubplanner.services.setup.loading import Reading
    from clubplanner.store.engine import Store

CALENDAR = re.compile(r"other-calendar-(\d{1,9})\.ics", re.ASCII)
OF_THE_MACHINE = (".", "Thumbs.db", "desktop.ini")
"""How files begin that computers put into folders by themselves."""


def take_in_folder(store: Store, files: Iterable[ClubFile], now: datetime) -> LoadReport:
    """Take in a club that went out as files, or that somebody wrote so.

    Passwords, addresses and who changed what are not in it; whoever is known already by their mail
    address, or as secretary by their name, stays who they are.

    Args:
        store: The database, migrated, without a club.
        files: The files, in any order.
        now: The present instant.

    Returns:
        What was taken in.

    Raises:
        FaultyInputError: With every fault of every file; nothing was changed.
        RefusedError: If there are records of a club already.
    """
    ours = [file for file in files if not file.name.startswith(OF_THE_MACHINE)]
    with filling(store) as session:
        _refuse_if_full(session)
        folder = _Folder(session, ours, now)
        folder.read()
        folder.write()
        if folder.problems:
            raise FaultyInputError(folder.problems)
        note_filling(session, _("took in the club's folder"), store.by, now)
        return LoadReport(tuple(folder.lines()))


def has_room_for_a_club(store: Store) -> bool:
    """Tell whether there is no club in the records, so that a folder may be taken in."""
    with store.read() as session:
        return not _full_tables(session)


def _full_tables(session: Session) -> list[str]:
    tables = Base.metadata.tables
    return [
        name
        for name in sorted(tables_that_go_out() - {PersonRow.__tablename__})
        if session.execute(select(1).select_from(tables[name]).limit(1)).first() is not None
    ]


def _refuse_if_full(session: Session) -> None:
    if _full_tables(session):
        raise RefusedError(
            _(
                "There are records of a club already, and a folder is taken in as a whole: make "
                "an empty database (“clubplanner --database sqlite:///new.sqlite init”) and take "
                "it in there. Single files (settings, grounds, squads, sizes) are loaded on the "
                "page “Files” or with “clubplanner club load”."
            )
        )


class _Folder:
    """One folder on its way in.

    Attributes:
        problems: Every fault so far.
    """

    def __init__(self, session: Session, files: Sequence[ClubFile], now: datetime) -> None:
        self.problems: list[Problem] = []
        self._session, self._now = session, now
        self._names = Names(UTC, now)
        self._writer = ClubWriter(session, now)
        self._intake = Intake(session, self._names, self.problems)
        sheets = {sheet.file for sheet in (PARTS, *SHEETS)}
        self._sheets = {file.name: file for file in files if file.name in sheets}
        self._calendars = [file for file in files if CALENDAR.fullmatch(file.name)]
        self._share_outs = [file for file in files if SHARE_OUT.fullmatch(file.name)]
        special = {*self._sheets, READ_ME}
        self._typed = [
            file
            for file in files
            if file.name not in special and file not in (*self._calendars, *self._share_outs)
        ]

    def read(self) -> None:
        """Read and write the files that are loaded by themselves as well."""
        reading = read_files(self._typed)
        check_together(self._session, reading, has_surfaces=True)
        self._check_said_once(reading)
        self.problems += reading.problems
        for settings in reading.settings:
            if settings.club is not None and not settings.problems:
                self._names.zone = settings.club.time_zone
        if self.problems:
            self._names.is_whole = False
            return
        write_reading(self._writer, reading, places_venues=False)
        self._session.flush()
        load_names(self._session, self._names)
        self._take_parts()
        if not self.problems:
            for settings in reading.settings:
                self._writer.write_bookings(settings.bookings)
            self.problems += self._writer.problems

    def _check_said_once(self, reading: Reading) -> None:
        """Note what a typed file says that a sheet of its own says as well: one would be lost."""
        if CLUBS.file in self._sheets and any(settings.clubs for settings in reading.settings):
            words = _(
                "Which clubs there are stands in the settings, too; take this file out of the "
                "folder, or [[clubs]] out of the settings."
            )
            self.problems.append(Problem(CLUBS.file, "twice", words))
        for name, squads in reading.squads:
            if squads.names_clubs and SQUAD_CLUBS.file in self._sheets:
                words = _(
                    "Which club a squad is of stands in %(sheet)s; take that file out of the "
                    "folder, or the column of clubs out of this one.",
                    sheet=SQUAD_CLUBS.file,
                )
                self.problems.append(Problem(name, "twice", words))
            if squads.names_coaches and COACHES.file in self._sheets:
                words = _(
                    "Who coaches stands in %(sheet)s; take that file out of the folder, or the "
                    "columns of coaches out of this one.",
                    sheet=COACHES.file,
                )
                self.problems.append(Problem(name, "twice", words))

    def _take_parts(self) -> None:
        file = self._sheets.get(PARTS.file)
        if file is None:
            return
        faults = Faults(file.name)
        rows = [
            (number, values)
            for number, _called, values in read_sheet(
                PARTS, decode_text(file.data), self._names, faults
            )
            if values is not None
        ]
        if not faults.found:
            write_parts(self._session, rows, faults)
            load_names(self._session, self._names)
        self.problems += faults.found

    def write(self) -> None:
        """Read everything else, and write it as long as there is no fault."""
        share_outs = ShareOutsRead(self._share_outs, self._names)
        self.problems += share_outs.problems
        if not self.problems:
            share_outs.write(self._session)
        for sheet in SHEETS:
            if sheet.file in self._sheets:
                self._intake.take(sheet, self._sheets[sheet.file])
        self._take_calendars()
        if self.problems:
            return
        self._check_secretaries()
        share_outs.write_outcomes(self._session)
        unsound = find_unsound(self._session)
        for number in (*(two for _one, two in unsound.overlapping), *unsound.off_ground):
            words = _("A booking does not go with the others or with its ground; correct it.")
            self.problems.append(Problem(self._intake.place_of_booking(number), "clash", words))

    def _check_secretaries(self) -> None:
        """Note secretaries of a club who have a role besides that is no coach's.

        Whoever takes the folder in keeps their own: they would have locked themselves out.
        """
        query = (
            select(PersonRow.name)
            .join(ClubSecretaryRow, ClubSecretaryRow.person_id == PersonRow.id)
            .where(PersonRow.role != Role.COACH)
            .order_by(PersonRow.id)
        )
        for name in self._session.scalars(query):
            words = _(
                "%(name)s has another role; take their row out of this file, or write coach as "
                "their role in %(people)s.",
                name=name,
                people=PEOPLE.file,
            )
            self.problems.append(Problem(CLUB_SECRETARIES.file, "other-role", words))

    def _take_calendars(self) -> None:
        for file in self._calendars:
            match = CALENDAR.fullmatch(file.name)
            called = match[1] if match else ""
            if len(file.data) > LARGEST_FILE_BYTES:
                words = _("The file is larger than 8 MB; split it.")
                self.problems.append(Problem(file.name, "too-large", words))
            elif not self._names.knows("busy_calendar", called):
                words = _("There is no calendar of others with this number; correct one of both.")
                self.problems.append(Problem(file.name, "no-such-calendar", words))
            elif not self.problems:
                number = self._names.ids["busy_calendar"][called]
                self._session.execute(
                    update(BusyCalendarRow)
                    .where(BusyCalendarRow.id == number)
                    .values(data=file.data)
                )

    def lines(self) -> list[str]:
        """Return what was taken in, in sentences."""
        count = self._session.scalar(select(func.count()).select_from(BOOKING)) or 0
        bookings = ngettext("%(num)s booking", "%(num)s bookings", count)
        return [*self._writer.lines, bookings]


BOOKING = Base.metadata.tables["booking"]
