"""A good file of each kind that somebody may hand in, to be spoilt."""

from __future__ import annotations

import io
import json
from functools import cache

from openpyxl import Workbook

from clubplanner.resources import invented_club_files
from clubplanner.sharing.example.example import example
from clubplanner.sharing.files.files import write_value
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.problem import Effort
from tests.small_club import SQUADS, small_club_files

CALENDAR = """\
BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//Parish//EN
BEGIN:VTIMEZONE
TZID:Parish time
BEGIN:STANDARD
DTSTART:19701025T020000
TZOFFSETFROM:+0100
TZOFFSETTO:+0000
RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:19700329T010000
TZOFFSETFROM:+0000
TZOFFSETTO:+0100
RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU
END:DAYLIGHT
END:VTIMEZONE
BEGIN:VEVENT
UID:choir@parish.example
DTSTAMP:20261101T120000Z
DTSTART;TZID=Parish time:20261110T190000
DTEND;TZID=Parish time:20261110T203000
RRULE:FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,TH;COUNT=12;WKST=MO
EXDATE;TZID=Parish time:20261124T190000
RDATE;VALUE=PERIOD:20261212T100000Z/PT2H
SUMMARY:Choir\\, upstairs
STATUS:CONFIRMED
END:VEVENT
BEGIN:VEVENT
UID:choir@parish.example
RECURRENCE-ID;TZID=Parish time:20261126T190000
DTSTART;TZID=Europe/London:20261127T190000
DURATION:PT1H30M
END:VEVENT
BEGIN:VEVENT
UID:fair@parish.example
DTSTART;VALUE=DATE:20261205
DTEND;VALUE=DATE:20261207
TRANSP:OPAQUE
END:VEVENT
BEGIN:VFREEBUSY
FREEBUSY;FBTYPE=BUSY:20261112T090000Z/20261112T110000Z,20261113T090000Z/PT1H
END:VFREEBUSY
END:VCALENDAR
""".replace("\n", "\r\n")
FIXTURES = """\
date,kick-off,squad,opponent,minutes,format,note
2026-12-12,10:00-12:00,U12 Kestrels,Brook End,75,9v9,Cup
2026-12-13,14:00,U14 Harriers,Mill Lane,,,
"""
SIZES = """\
code,age_from,age_to,players_a_side,length_m,width_m,source
8v8-league,13,14,8,60,40,our league
5v5-tiny,7,8,5,37,27,
"""
PASTED = """\
Mannschaft;Jahrgang;Trainer;Spieler;Trainingszeit;Platz
U12 Falken;2015;Robin Hale;14;Mo 17:00-18:30, Mi 18-19;halber Platz
E-Jugend 2;2016/2017;Sam Reed;12 + 1;Di + Do 17.30 Uhr;Viertel
"""
HIRES = """\
who,pitch,day,from,to,first,last,every,contact,phone
Hill Runners,Hall,Tue,18:00,19:30,2026-12-01,2027-02-28,2 weeks,Ada Nyman,01632 960123
Choir,Top pitch,Sat,10-12,,05.12.2026,30.1.27,weekly,,
"""
MAP_FILES = {
    "traced.kml": """<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>
<Placemark><name>Top</name><Polygon><outerBoundaryIs><LinearRing><coordinates>
-1.2,52.9,0 -1.1985,52.9,0 -1.1985,52.9006,0 -1.2,52.9006,0 -1.2,52.9,0
</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></Document></kml>""",
    "track.gpx": """<?xml version="1.0"?><gpx version="1.1"><trk><name>Low</name><trkseg>
<trkpt lat="52.9" lon="-1.2"/><trkpt lat="52.9" lon="-1.1985"/><trkpt lat="52.9006" lon="-1.1985"/>
<trkpt lat="52.9006" lon="-1.2"/></trkseg></trk></gpx>""",
    "outline.wkt": "POLYGON((-1.2 52.9, -1.1985 52.9, -1.1985 52.9006, -1.2 52.9006, -1.2 52.9))",
    "plain.geojson": json.dumps(
        {
            "type": "FeatureCollection",
            "features": [
                {
                    "type": "Feature",
                    "properties": {"name": "Top", "leisure": "pitch", "sport": "soccer"},
                    "geometry": {
                        "type": "Polygon",
                        "coordinates": [
                            [[-1.2, 52.9], [-1.1985, 52.9], [-1.1985, 52.9006], [-1.2, 52.9006]]
                        ],
                    },
                }
            ],
        }
    ),
}
TEXTS = {
    "squads.csv": SQUADS,
    "fixtures.csv": FIXTURES,
    "sizes.csv": SIZES,
    "teams.csv": PASTED,
    "hires.csv": HIRES,
    "choir.ics": CALENDAR,
    **MAP_FILES,
}


@cache
def good_files() -> dict[str, bytes]:
    """Return a good file of each kind by its name; the largest has some ten thousand bytes."""
    files = {file.name: file.data for file in small_club_files()}
    files |= {name: text.encode() for name, text in TEXTS.items()}
    files |= {f"invented-{path.name}": path.read_bytes() for path in invented_club_files()}
    files |= _share_outs()
    files["teams.xlsx"] = workbook(PASTED.replace(";", ","))
    return files


def _share_outs() -> dict[str, bytes]:
    """Return a problem and its result."""
    problem = example(3, 1, 1)
    outcome = solve(problem, Effort(seconds=1))
    return {
        "problem.json": write_value(problem).encode(),
        "result.json": write_value(outcome).encode(),
    }


def workbook(table: str) -> bytes:
    """Return a workbook (.xlsx) of a table."""
    book = Workbook()
    for line in table.splitlines():
        book.active.append(line.split(","))
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()
