"""Lists taken away as files: the address of the page, with the kind of file asked for in addition.

`?as=csv` or `?as=xlsx` (where it is ground, `?as=geojson`) is answered by the view of the page
itself, from the same values and by the same rights, with all that was chosen on screen; of a list
that is shown a leaf at a time, with all leaves. A view asks `wants_file` and answers with
`send_tables` or `send_ground`; its template offers the files by `forms.take_away`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import IO, TYPE_CHECKING

from flask import current_app, g, make_response, request, url_for

from clubplanner.domain.keys import key_from_name
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.outputs.tables import map_files, text_files, workbooks
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.outputs.tables.map_files import GroundShape
    from clubplanner.outputs.tables.table import Table

CSV, XLSX, GEOJSON = "csv", "xlsx", "geojson"
MIMES = {CSV: text_files.MIME, XLSX: workbooks.MIME, GEOJSON: map_files.MIME}
AS, TABLE = "as", "table"
"""Parts of the query: the kind of file, and which of a page's tables, counted from 1."""
PART = 65_536
"""Bytes that are read and sent at once of a file that goes out in parts."""
_IN_PARTS = "sent_in_parts"
_LEAF = "from"
_OF_THE_PAGE = (AS, TABLE, "chosen")


@dataclass(frozen=True, slots=True)
class FileLink:
    """A kind of file as it is offered."""

    words: str
    address: str


def register(app: Flask) -> None:
    """Let templates offer files."""
    app.add_template_global(file_links, "file_links")


def wants_file(*, has_ground: bool = False) -> str:
    """Return the kind of file that the request asks for; blank for the page itself.

    Args:
        has_ground: Whether the page can be taken away as ground on a map, too.

    Raises:
        MissingError: If it asks for a kind that there is not.
    """
    wanted = request.args.get(AS, "")
    if has_ground and wanted not in ("", CSV, XLSX, GEOJSON):
        words = _("This list can be had as CSV, XLSX or GeoJSON; go back and choose one.")
        raise MissingError(words)
    if not has_ground and wanted not in ("", CSV, XLSX):
        raise MissingError(_("This list can be had as CSV or XLSX; go back and choose one."))
    return wanted


def send_tables(*tables: Table) -> BaseResponse:
    """Send the tables of a page as the kind of file that the request asks for.

    A workbook holds all of them, a sheet each, or the one asked for; a text file one, the first if
    none is asked for.

    Args:
        tables: In the order in which the page shows them, at least one.

    Raises:
        MissingError: If the page has no such table.
    """
    state = app_state()
    chosen = _chosen(tables)
    if wants_file(has_ground=True) == XLSX:
        data, ending = workbooks.write_workbook(chosen, state.clock()), XLSX
    else:
        data, ending = text_files.write_csv(chosen[0]), CSV
    return send_file(data, f"{file_name(chosen[0].title)}.{ending}", MIMES[ending])


def send_ground(table: Table, shapes: Sequence[GroundShape]) -> BaseResponse:
    """Send a table whose rows are ground: as `send_tables` does, or as a map.

    Args:
        table: The only table of the page.
        shapes: The ground of each row.
    """
    if wants_file(has_ground=True) != GEOJSON:
        return send_tables(table)
    name = f"{file_name(table.title)}.{GEOJSON}"
    return send_file(map_files.write_map(table, shapes), name, MIMES[GEOJSON])


def file_name(title: str) -> str:
    """Return what a file is called, without its ending: what it is of, and the present date."""
    state = app_state()
    return f"{key_from_name(title)}-{state.today(club_zone(state.store)).isoformat()}"


def send_file(data: bytes, name: str, mime: str) -> BaseResponse:
    """Send a file that is kept, not shown; its name may have letters of any script (RFC 6266)."""
    response = make_response(data)
    _name(response, name, mime)
    return response


def send_in_parts(file: IO[bytes], name: str, mime: str) -> BaseResponse:
    """Send a file that is larger than what is held in memory, and close it then."""
    setattr(g, _IN_PARTS, True)
    response = current_app.response_class(_parts_of(file))
    response.call_on_close(file.close)  # where not all of it is sent
    _name(response, name, mime)
    return response


def is_sent_in_parts() -> bool:
    """Tell whether this request is answered by `send_in_parts`: a file, not told as it happens."""
    return _IN_PARTS in g


def _parts_of(file: IO[bytes]) -> Iterator[bytes]:
    with file:
        yield from iter(partial(file.read, PART), b"")


def _name(response: BaseResponse, name: str, mime: str) -> None:
    response.headers["Content-Type"] = mime
    response.headers.set("Content-Disposition", "attachment", filename=name)


def file_links(table: int = 0, *, has_ground: bool = False, leaf: str = _LEAF) -> list[FileLink]:
    """Return the files that the present page can be taken away as, with what is chosen on it.

    Args:
        table: Which of its tables, counted from 1; 0 for all of them.
        has_ground: Whether as ground on a map, too.
        leaf: The part of the query that turns leaves; what is taken away has all of them.
    """
    query = {
        name: values
        for name, values in request.args.lists()
        if name not in _OF_THE_PAGE and name != leaf
    }
    if table:
        query[TABLE] = [str(table)]
    kinds = ((CSV, "CSV"), (XLSX, "XLSX"), *(((GEOJSON, "GeoJSON"),) if has_ground else ()))
    endpoint, parts = request.endpoint or "", request.view_args or {}
    return [
        FileLink(words, url_for(endpoint, **{**parts, **query, AS: kind})) for kind, words in kinds
    ]


def _chosen(tables: Sequence[Table]) -> Sequence[Table]:
    text = request.args.get(TABLE, "")
    if not text:
        return tables
    if text.isdecimal() and len(text) < 3 and 1 <= int(text) <= len(tables):
        return [tables[int(text) - 1]]
    raise MissingError(_("The page has no such table; go back and choose one."))
