"""Writing a club as a folder of files: the same club gives the same bytes."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.reading.exact_cells import read_cell
from clubplanner.services.folder import share_out_files
from clubplanner.services.folder.parts import PARTS, differing_parts
from clubplanner.services.folder.sheets.booked_sheets import BOOKINGS
from clubplanner.services.folder.sheets.names import Names, load_names
from clubplanner.services.folder.sheets.sheet import NUMBER
from clubplanner.services.folder.sheets.sheets import SHEETS
from clubplanner.services.folder.typed_files import SETTINGS, SIZES, SQUADS, write_typed
from clubplanner.services.rows.snapshot import load_club
from clubplanner.store.tables.busy_tables import BusyCalendarRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from typing import Any

    from sqlalchemy.orm import Session

    from clubplanner.services.folder.sheets.sheet import Sheet
    from clubplanner.store.engine import Store

READ_ME = "README.txt"
CALENDAR = "other-calendar-{}.ics"
CHUNK = 1000
LETTER = """\
This folder holds a club as files of its own: all that was typed, and what was booked.

"clubplanner club load FOLDER" takes it into an empty database ("clubplanner init" makes one), or
the page "Files" does, from one file with all of these in it. Tables open in any spreadsheet;
whatever is changed is looked at when the folder is taken in, and every fault is told with its file
and row. A cell that would be a formula begins with an apostrophe.

It holds names, addresses and telephone numbers of people: give it to nobody who need not have
them, and delete it when it has done its work.

Not in it are passwords, the addresses that open calendars and pages, who is signed in, mails, and
who changed what: a secretary gets in by "clubplanner people let-in", addresses are handed out
anew. To keep those, too, keep a copy of the records.

{files}
"""


def export_folder(store: Store) -> Iterator[ClubFile]:
    """Yield the files of a club, one at a time, as they are at one moment.

    Raises:
        NoClubError: If there is no club.
    """
    with store.read() as session:
        yield from files_of(session)


def files_of(session: Session) -> Iterator[ClubFile]:
    """Yield the files of a club as a transaction sees it.

    Raises:
        NoClubError: If there is no club.
    """
    club = load_club(session)
    names = load_names(session, Names(club.time_zone))
    share_out_files.name_share_outs(session, names)
    yield ClubFile(READ_ME, _letter().encode())
    grounds = []
    for file in write_typed(session):
        if file.name.endswith(".geojson"):
            grounds.append(file.data.decode())
        yield file
    differing = differing_parts(session, grounds, club.language)
    yield from _sheet(session, PARTS, names, only=differing)
    for sheet in SHEETS:
        yield from _sheet(session, sheet, names)
    yield from _calendars(session, names)
    yield from share_out_files.write_share_outs(session, names)


def _letter() -> str:
    files = {
        SETTINGS: "the club, its venues, stretches, breaks and rules",
        "grounds-….geojson": "the pitches of a venue each",
        SQUADS: "squads and what they ask for",
        SIZES: "the club's own sizes of games",
        PARTS.file: PARTS.about,
        **{sheet.file: sheet.about for sheet in SHEETS},
        CALENDAR.format("…"): "a calendar of others that came as a file",
        "share-out-….json": share_out_files.ABOUT,
    }
    longest = max(map(len, files)) + 2
    lines = (f"{name:<{longest}}{about}" for name, about in files.items())
    return LETTER.format(files="\n".join(lines))


def _sheet(
    session: Session, sheet: Sheet, names: Names, only: set[int] | None = None
) -> Iterator[ClubFile]:
    """Yield a sheet that has any rows, and note what its rows are called.

    Args:
        session: An open session.
        sheet: Which.
        names: What records are called.
        only: Numbers of the rows that go out; None for all.
    """
    rows = [
        (number, cells)
        for number, cells in _rows(session, sheet, names)
        if (only is None or number in only) and not _is_left_out(sheet, cells)
    ]
    if sheet.is_sorted:
        rows.sort(key=lambda row: row[1])
    if sheet.called_by == NUMBER:
        rows = [(number, [str(n), *cells]) for n, (number, cells) in enumerate(rows, start=1)]
    if sheet.called_by:
        place = sheet.header.index(_called_header(sheet))
        for number, cells in rows:
            names.add(sheet.table.name, number, read_cell(cells[place]))
    if rows:
        yield ClubFile(sheet.file, _written(sheet.header, (cells for _unused, cells in rows)))


def _called_header(sheet: Sheet) -> str:
    if sheet.called_by == NUMBER:
        return NUMBER
    return next(one.header for one in sheet.columns if one.name == sheet.called_by)


def _rows(session: Session, sheet: Sheet, names: Names) -> Iterator[tuple[int, list[str]]]:
    """Yield rows in the order in which they came, each with its number, 0 where it has none."""
    table = sheet.table
    query = select(table).order_by(*table.primary_key.columns)
    if sheet.where is not None:
        query = query.where(sheet.where())
    found = session.connection().execute(query, execution_options={"yield_per": CHUNK})
    for row in found.mappings():
        values: dict[str, Any] = dict(row)
        if sheet is BOOKINGS and values["cells"] == names.cells[values["area_id"]]:
            values["cells"] = None
        cells = [one.kind.write(values[one.name], names) for one in sheet.columns]
        yield values.get("id", 0), cells


def _is_left_out(sheet: Sheet, cells: list[str]) -> bool:
    return (
        bool(sheet.only_with)
        and not cells[[one.header for one in sheet.columns].index(sheet.only_with)]
    )


def _written(header: list[str], rows: Iterable[list[str]]) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return text.getvalue().encode()


def _calendars(session: Session, names: Names) -> Iterator[ClubFile]:
    """Yield the calendars of others that came as files; the others are read again."""
    query = select(BusyCalendarRow.id, BusyCalendarRow.data).where(
        BusyCalendarRow.url == "", BusyCalendarRow.data.is_not(None)
    )
    for number, data in session.execute(query.order_by(BusyCalendarRow.id)):
        name = CALENDAR.format(names.texts["busy_calendar"][number])
        yield ClubFile(name, data or b"")
