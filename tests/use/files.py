"""Each kind of file that the planner gives, opened by a reader of that kind."""

from __future__ import annotations

import csv
import json
import zipfile
from io import BytesIO, StringIO
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import icalendar
import openpyxl
import pypdf
import shapely
from PIL import Image

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.use.visitor import Answer


def open_file(answer: Answer) -> None:
    """Open what came back with a reader of its kind.

    Raises:
        KeyError: If nobody here knows how to open it.
        Exception: Whatever a reader says of a file that is none of its kind.
    """
    READERS[answer.kind](answer)


def _page(answer: Answer) -> None:
    assert {"title", "h1", "main"} <= answer.page().tags, f"{answer.address} is no whole page"
    assert "Traceback" not in answer.text


def _picture(answer: Answer) -> None:
    with Image.open(BytesIO(answer.body)) as picture:
        picture.load()
        assert min(picture.size) > 50


def _sheet(answer: Answer) -> None:
    pages = pypdf.PdfReader(BytesIO(answer.body), strict=True).pages
    assert all(page.extract_text().strip() for page in pages)
    assert len(pages) == 1 or "/reports/" in answer.address, "what hangs on a wall is one page"


def _calendar(answer: Answer) -> None:
    calendar = icalendar.Calendar.from_ical(answer.body)
    assert not calendar.errors
    assert all(not event.errors for event in calendar.walk("VEVENT"))


def _table(answer: Answer) -> None:
    rows = list(csv.reader(StringIO(answer.text), strict=True))
    assert len({len(row) for row in rows}) == 1, "rows of several lengths"


def _workbook(answer: Answer) -> None:
    book = openpyxl.load_workbook(BytesIO(answer.body))
    assert [sheet for sheet in book.worksheets if sheet.max_row and sheet.max_column > 1]


def _ground(answer: Answer) -> None:
    features = json.loads(answer.body)["features"]
    assert features
    traced = [json.dumps(f["geometry"]) for f in features if f["geometry"]]  # else in metres
    assert all(shapely.from_geojson(shape).is_valid for shape in traced)


def _drawing(answer: Answer) -> None:
    assert ET.fromstring(answer.body).tag.endswith("svg")  # noqa: S314 - our own file


def _words(answer: Answer) -> None:
    assert answer.text.strip()


def _font(answer: Answer) -> None:
    assert answer.body[:4] in (b"wOF2", b"\0\1\0\0", b"OTTO")


def _packed(answer: Answer) -> None:
    with zipfile.ZipFile(BytesIO(answer.body)) as archive:
        assert archive.testzip() is None
        assert "settings.toml" in archive.namelist()


READERS: dict[str, Callable[[Answer], None]] = {
    "text/html": _page,
    "image/png": _picture,
    "application/pdf": _sheet,
    "text/calendar": _calendar,
    "text/csv": _table,
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet": _workbook,
    "application/geo+json": _ground,
    "application/zip": _packed,
    "application/json": lambda answer: json.loads(answer.body),
    "application/manifest+json": lambda answer: json.loads(answer.body),
    "image/svg+xml": _drawing,
    "text/css": _words,
    "text/javascript": _words,
    "application/javascript": _words,
    "text/plain": _words,
    "font/woff2": _font,
    "font/ttf": _font,
}
