"""Files that nobody means well with: good ones spoilt, and small ones that ask for very much."""

from __future__ import annotations

import io
import zipfile
from functools import cache
from typing import TYPE_CHECKING

from tests.fuzz.examples import good_files, workbook
from tests.fuzz.values import DATES, NUMBERS, SIGNS, TIMES, draw_text

if TYPE_CHECKING:
    from random import Random

LARGEST = 1_500_000
WORDS = tuple(word.encode("utf-8", "surrogatepass") for word in (*SIGNS, *NUMBERS, *DATES, *TIMES))
_WORD = (
    *(b"null", b"[]", b"{}", b"[[", b"]]", b'"', b"'", b",", b";", b"\t", b"\r", b"\n", b"\r\n"),
    *(
        b"1e999",
        b"-0.0",
        b"\xff\xfe",
        b"\xef\xbb\xbf",
        b"\x00",
        b"\x1a",
        b"&#0;",
        b"<![CDATA[",
        b"%",
    ),
    *(b"20261110T250000", b"P99999999W", b"FREQ=SECONDLY", b"COUNT=999999999", b"INTERVAL=0"),
    *(b"BYSETPOS=-366", b"UNTIL=00010101", b"BYMONTHDAY=31;BYMONTH=2", b"TZID=/etc/passwd"),
    *(b"Mon 00:00-24:00", b"24:00", b"=1/0", b"2028-02-29", b"POLYGON EMPTY", b"NaN NaN"),
)


def draw_file(draw: Random, kind: str = "") -> tuple[str, bytes]:
    """Draw a file with its name.

    Args:
        draw: Draws.
        kind: The end of the name that it had when it was good, such as ".csv"; blank for any.
    """
    known = {name: data for name, data in good_files().items() if name.endswith(kind)}
    name = draw.choice(sorted(known))
    shape = draw.random()
    if shape < 0.08:
        name, data = draw.choice(sorted(greedy_files().items()))
    elif shape < 0.14:
        data = draw_text(draw).encode("utf-8", "surrogatepass")
    elif shape < 0.17:
        data = draw.randbytes(draw.choice((0, 1, 40, 4000)))
    elif name.endswith(".xlsx") and draw.random() < 0.7:
        data = _spoil_inside(draw, known[name])
    else:
        data = spoil(draw, known[name])
    if draw.random() < 0.1:
        name = draw.choice(ODD_NAMES)
    return name, data


ODD_NAMES = (
    *(
        "",
        ".",
        "..",
        "../../x.csv",
        "C:\\x.toml",
        "x" * 3000 + ".csv",
        "\x00.toml",
        "x.toml\x00.csv",
    ),
    *("\ud800.csv", "a.CSV", "a.exe", "<zq>.csv", "\u202evsc.x", "squads.csv", "a.xlsx", "a.ics"),
    *("a.geojson", "a.kml", "a.gpx", "a.json", "a.toml", "a.txt", "con", "%2e%2e%2f"),
)


def spoil(draw: Random, data: bytes) -> bytes:
    """Spoil a file in one place or a few."""
    for _ in range(draw.choice((1, 1, 1, 2, 3, 8))):
        data = _spoil_once(draw, data)[:LARGEST]
    return data


def _spoil_once(draw: Random, data: bytes) -> bytes:
    first, last = sorted((draw.randrange(len(data) + 1), draw.randrange(len(data) + 1)))
    last = min(last, first + draw.choice((1, 4, 30, 400)))
    kind = draw.randrange(9)
    if kind == 0:
        return data[:first] + data[last:]
    if kind == 1:
        return data[:first] + draw.choice(WORDS) + data[last:]
    if kind == 2:
        return data[:first] + draw.choice(_WORD) + data[first:]
    if kind == 3:
        times = draw.choice((2, 3, 20, 1000))
        return data[:first] + data[first:last] * times + data[last:]
    if kind == 4:
        return data[:first] + bytes([draw.randrange(256)]) + data[first + 1 :]
    if kind == 5:
        return _cell_spoilt(draw, data)
    if kind == 6:
        return _lines_spoilt(draw, data)
    if kind == 7:
        return data[:first]
    other = draw.choice(sorted(good_files().items()))[1]
    return data[:first] + other[first : first + 300] + data[last:]


def _cell_spoilt(draw: Random, data: bytes) -> bytes:
    """Put something else in place of a word between two signs."""
    for sign in draw.sample((b",", b"=", b":", b";", b'"', b"\n", b" "), 7):
        if data.count(sign) > 1:
            parts = data.split(sign)
            place = draw.randrange(len(parts))
            parts[place] = draw.choice(WORDS + _WORD)
            return sign.join(parts)
    return data


def _lines_spoilt(draw: Random, data: bytes) -> bytes:
    lines = data.splitlines(keepends=True) or [b""]
    one, other = draw.randrange(len(lines)), draw.randrange(len(lines))
    if draw.random() < 0.5:
        lines[one], lines[other] = lines[other], lines[one]
    else:
        lines[one:one] = [lines[other]] * draw.choice((1, 2, 300))
    return b"".join(lines)


def _spoil_inside(draw: Random, data: bytes) -> bytes:
    """Spoil a part of a workbook and pack it again."""
    kept = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as packed, zipfile.ZipFile(kept, "w") as made:
        names = packed.namelist()
        hit = draw.choice(names)
        for name in names:
            part = packed.read(name)
            made.writestr(name, spoil(draw, part) if name == hit else part)
    return kept.getvalue()


def _zip(parts: dict[str, bytes]) -> bytes:
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as made:
        for name, data in parts.items():
            made.writestr(name, data)
    return kept.getvalue()


def _with_part(name: str, data: bytes) -> bytes:
    """Return a workbook with one part put in place of its own."""
    book = workbook("a,b\n1,2\n")
    with zipfile.ZipFile(io.BytesIO(book)) as packed:
        parts = {one: packed.read(one) for one in packed.namelist()}
    return _zip({**parts, name: data})


SHEET = "xl/worksheets/sheet1.xml"
_SHEET = (
    b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
    b"%s</sheetData></worksheet>"
)
_EVENT = (
    "BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:a@b\r\nDTSTART:%s\r\n%s\r\n"
    "END:VEVENT\r\nEND:VCALENDAR\r\n"
)
RULES = (
    *("FREQ=SECONDLY", "FREQ=MINUTELY;INTERVAL=1", "FREQ=YEARLY;BYSECOND=0,1,2,3,4,5;BYMINUTE=1"),
    *(
        "FREQ=DAILY;COUNT=999999999999",
        "FREQ=YEARLY;BYMONTHDAY=31;BYMONTH=2",
        "FREQ=DAILY;INTERVAL=0",
    ),
    *("FREQ=YEARLY;BYYEARDAY=366;INTERVAL=9999999", "FREQ=WEEKLY;UNTIL=99991231T235959Z;BYDAY=MO"),
    *("FREQ=YEARLY;BYDAY=" + ",".join(f"{n}MO" for n in range(-53, 54) if n), "FREQ=", "RRULE"),
    *("FREQ=MONTHLY;BYSETPOS=" + ",".join(str(n) for n in range(1, 367)) + ";BYDAY=MO,TU", "X"),
    *(
        "FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=HOURLY;BYSETPOS=-1;BYMINUTE=" + "1," * 59 + "2",
    ),
)


@cache
def greedy_files() -> dict[str, bytes]:
    """Return small files that stand for very much, by name."""
    wide = b'<row r="1"><c r="XFD1"><v>1</v></c></row><row r="1048576"><c r="A1"><v>2</v></c></row>'
    many = b"<row><c><v>1</v></c></row>" * 300_000
    laugh = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">' + b"".join(
        b'<!ENTITY a%d "%s">' % (n, (b"&a%d;" % (n - 1) if n else b"&a;") * 10) for n in range(9)
    )
    files = {
        "bomb.xlsx": _with_part("xl/sharedStrings.xml", b"\x00" * 60_000_000),
        "wide.xlsx": _with_part(SHEET, _SHEET % wide),
        "many.xlsx": _with_part(SHEET, _SHEET % many),
        "laugh.xlsx": _with_part(SHEET, laugh + b"]><x>&a8;</x>"),
        "deep.xlsx": _with_part(SHEET, b"<a>" * 200_000),
        "date.xlsx": _with_part(SHEET, _SHEET % b'<row><c s="1" t="d"><v>9999999999</v></c></row>'),
        "parts.xlsx": _zip({f"xl/{n}.xml": b"x" for n in range(3000)}),
        "nested.zip": _zip({"a.zip": _zip({"b.zip": _zip({"c": b"\x00" * 10_000_000})})}),
        "deep.geojson": b"[" * 400_000,
        "deep.toml": b"a = " + b"[" * 400_000,
        "keys.toml": b".".join([b"a"] * 20_000) + b" = 1",
        "deep.kml": b"<a>" * 300_000,
        "laugh.kml": laugh + b"]><kml>&a8;</kml>",
        "rows.csv": b"squad,players\n" + b"x,1\n" * 300_000,
        "cells.csv": b"," * LARGEST,
        "quotes.csv": b'"' * LARGEST,
        "long.csv": b"x" * LARGEST,
        "nul.csv": b"\x00" * LARGEST,
        "folds.ics": b"BEGIN:VCALENDAR\r\nX:" + b"\r\n " * 400_000,
        "deep.ics": b"BEGIN:VEVENT\r\n" * 100_000,
        "events.ics": b"BEGIN:VCALENDAR\r\n"
        + b"BEGIN:VEVENT\r\nDTSTART:20261110T190000Z\r\nDURATION:PT1H\r\nEND:VEVENT\r\n" * 18_000,
        "periods.ics": _EVENT.encode() % (b"20261110", b"RDATE:" + b"20261110T190000Z," * 80_000),
        "long.wkt": b"POLYGON((" + b"0 0," * 300_000 + b"0 0))",
        "deep.wkt": b"GEOMETRYCOLLECTION(" * 100_000,
        "numbers.json": b'{"a": ' + b"9" * 100_000 + b"}",
    }
    rules = {
        f"rule-{n}.ics": (_EVENT % ("20261110T190000Z", f"RRULE:{rule}"))
        for n, rule in enumerate(RULES)
    }
    return files | {name: text.encode() for name, text in rules.items()}
