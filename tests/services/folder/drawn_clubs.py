"""Clubs drawn at random, with rows in every table that goes out: whatever sheets there are."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from hypothesis import strategies as st
from sqlalchemy import insert, select

from clubplanner.domain.club.people import Role
from clubplanner.domain.club.settings import ClubSettings
from clubplanner.domain.club.sharing_rules import AgeRule, PitchLimit, SharingRules
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.money.lines import Reduction
from clubplanner.domain.money.tariffs import InLight, Payer, Per, Spot, Tariff
from clubplanner.domain.money.terms import MoneyTerms
from clubplanner.domain.times.seasons import Break, Stretch
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.club_files.settings_file import MoneyWritten, write_settings
from clubplanner.inputs.club_files.size_rows import write_sizes
from clubplanner.inputs.club_files.squads_file.squad_rows import write_without_coaches
from clubplanner.services.folder.sheets import columns as kinds
from clubplanner.services.folder.sheets.booked_sheets import BOOKINGS
from clubplanner.services.folder.sheets.items import Item
from clubplanner.services.folder.sheets.sheets import SHEETS
from clubplanner.services.folder.sheets.statement_lines import StatementLines
from clubplanner.services.money.drafts import StatedLine
from clubplanner.services.rows.ground.known_sizes import published_formats
from clubplanner.services.setup.loading import load_files
from clubplanner.store.tables.booking_tables import ShareOutRow
from clubplanner.store.tables.club_tables import StretchRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow
from clubplanner.store.upkeep.filling import filling
from tests.builders import NOW, make_venue
from tests.records import is_file
from tests.small_club import grounds_file, pitch_feature

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

    from clubplanner.services.folder.sheets.sheet import Sheet
    from clubplanner.store.engine import Store

    Draw = Callable[[st.SearchStrategy[Any]], Any]

NASTY = (
    *("=1+1", "'=1+1", "@SUM(A1)", "+44 20", "-1", "'", "''", "\\", "\\x0d", "a,b;c\td", '"', '""'),
    *(
        "two\nlines",
        "two\r\nlines",
        "\r",
        " before and after ",
        "\u2028",
        "\ufeff",
        "٣ نادي",
        "東京",
    ),
    "e\u0301",
)
TEXTS = st.one_of(
    st.sampled_from(NASTY),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=12),
).map(lambda text: text if is_file() else text.replace("\0", ""))
NAMES = st.one_of(
    st.sampled_from(("U9 Ñandús", "=Cats", "'=Cats, again", "فريق", "東京 9", 'The "A", B; C')),
    st.text(st.characters(categories=["L", "Nd", "P", "Zs"]), min_size=1, max_size=10),
).map(lambda name: " ".join(name.split()))
GONE = "squad-987654"
"""Something of the next season about a squad that there is not."""
BASE = datetime(2026, 3, 1, 6, tzinfo=UTC)
"""Before the clocks go forward, so that bookings stand on both sides of that night."""


def names_of_kinds(most: int) -> st.SearchStrategy[list[str]]:
    """Return names that make keys of their own."""
    return st.lists(
        NAMES.filter(lambda name: key_from_name(name) != "unnamed" and len(name) > 0),
        min_size=1,
        max_size=most,
        unique_by=key_from_name,
    )


@st.composite
def club_files(draw: st.DrawFn) -> tuple[ClubFile, ...]:
    """Draw settings, grounds, squads and sizes."""
    venues, stretches = draw(names_of_kinds(2)), draw(names_of_kinds(2))
    clock = st.sampled_from([None, 18 * 60, 21 * 60 + 15])
    line = TEXTS.map(lambda text: " ".join(text.split()))
    club = ClubSettings(
        name=draw(NAMES.filter(bool)),
        zone=draw(st.sampled_from(["Europe/London", "Asia/Kathmandu", "America/St_Johns"])),
        step_minutes=draw(st.integers(5, 60)),
        changeover_minutes=draw(st.integers(0, 60)),
        travel_minutes=draw(st.integers(0, 240)),
        rules=SharingRules(
            ages=(AgeRule(draw(st.integers(3, 99)), draw(clock), draw(st.integers(0, 300))),),
            limits=(PitchLimit(venues[0], "Top", draw(st.integers(0, 900)), None),),
            wants_compact=draw(st.booleans()),
        ),
        language=draw(st.sampled_from(["en", "de"])),
    )
    places = draw(st.lists(st.booleans(), min_size=len(venues), max_size=len(venues)))
    made = [
        make_venue(
            name,
            address=draw(line),
            way_in=draw(line),
            lights_off_min=draw(clock),
            lon=-1.2 if is_placed else None,
            lat=52.9 if is_placed else None,
            pitches=(),
        )
        for name, is_placed in zip(venues, places, strict=True)
    ]
    first = date(2026, 9, 1)
    spans = [
        Stretch(key_from_name(name), name, first, first + timedelta(days=draw(st.integers(0, 300))))
        for name in stretches
    ]
    breaks = [Break(draw(NAMES.filter(bool)), first, first + timedelta(days=1)) for _ in range(2)]
    money = draw(money_of(venues[0]))
    settings = write_settings(club, made, spans, breaks, None, money)
    grounds = [grounds_file(*draw(pitches()), venue=name) for name in venues]
    named = [ClubFile(f"{n}.geojson", file.data) for n, file in enumerate(grounds)]
    squads = write_without_coaches(draw(squad_rows()))
    sizes = write_sizes(draw(st.sampled_from([(), published_formats()[:1]])))
    return (
        ClubFile("club.toml", settings.encode()),
        *named,
        ClubFile("squads.csv", squads.encode()),
        ClubFile("sizes.csv", sizes.encode()),
    )


@st.composite
def money_of(draw: st.DrawFn, venue: str) -> MoneyWritten:
    """Draw terms, tariffs of all kinds at a venue, and reductions."""
    terms = MoneyTerms(
        draw(st.sampled_from(["", "EUR", "JPY", "KWD"])),
        draw(st.integers(0, 100)),
        draw(st.integers(0, 100)),
        draw(TEXTS).strip(),
    )
    first = st.sampled_from([None, date(2026, 9, 1)])
    tariffs = [
        Tariff(
            number=0,
            payer=payer,
            spot=Spot(venue),
            amount=draw(st.integers(0, 10**6)),
            name=draw(NAMES),
            adds=draw(st.booleans()),
            light=draw(st.sampled_from(InLight)),
            weekdays=draw(st.frozensets(st.integers(0, 6))),
            from_min=draw(st.integers(0, 700)),
            to_min=draw(st.integers(701, 1440)),
            season_from="10-01",
            season_to="02-29",
            starts_on=draw(first),
        )
        for payer in Payer
    ]
    opening = Tariff(0, Payer.HIRER, Spot(venue), draw(st.integers(0, 10**6)), Per.OPENING)
    reductions = (
        Reduction(0, Payer.SQUAD, up_to_age=draw(st.integers(1, 99)), free_minutes=1),
        Reduction(0, Payer.HIRER, draw(NAMES), venue=venue, percent=draw(st.integers(1, 100))),
    )
    return MoneyWritten(terms, (*tariffs, opening), reductions)


@st.composite
def pitches(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Draw the features of some pitches, cut, drawn and marked in all ways."""
    found = []
    for name in draw(names_of_kinds(2)):
        length, width = draw(st.integers(30, 110)), draw(st.integers(20, 70))
        corners = [[1.5, 1.25], [length / 2, 1.25], [length / 2 + 0.333, width - 2], [1.5, 9]]
        feature = pitch_feature(
            name,
            length,
            width,
            cuts=draw(st.lists(st.sampled_from(["halves", "thirds", "grid"]), unique=True)),
            goals=draw(st.sampled_from([None, [], [{"at": "both ends"}]])),
            areas=[{"name": draw(NAMES.filter(bool)), "corners_m": corners}],
            markings=[{"name": "Small", "count": 1, "length_m": 15, "width_m": 10}],
            obstacles=[{"corners_m": [[0, 0], [2, 0], [0, 2.5]]}] if draw(st.booleans()) else [],
        )
        if draw(st.booleans()):
            feature["properties"]["entrance_m"] = [0, draw(st.floats(0, 20))]
        if draw(st.booleans()):
            feature["geometry"] = {"type": "Point", "coordinates": [-1.2, 52.9]}
            feature["properties"]["bearing_deg"] = draw(st.floats(0, 359.9))
        if feature["properties"]["goals"] is None:
            del feature["properties"]["goals"]
        found.append(json.loads(json.dumps(feature)))
    return found


@st.composite
def squad_rows(draw: st.DrawFn) -> list[dict[str, str]]:
    """Draw rows of the squads file; some squads ask for nothing, some for several things."""
    rows = []
    for name in draw(names_of_kinds(3)):
        squad = {"squad": name, "players": str(draw(st.integers(1, 30))), "goalkeepers": "1"}
        count = draw(st.integers(0, 2))
        rows += [{**squad, "sessions a week": "0"}] if not count else []
        for _ in range(count):
            ask = {
                "sessions a week": "1",
                "minutes": str(draw(st.integers(15, 90))),
                "possible": draw(st.sampled_from(["Mon-Thu 17:00-18:30; Sat", "Wed 18:05-19:35"])),
                "least ground": draw(st.sampled_from(["", "1234.567 m2", "third", "1/7, 7v7"])),
                "latest finish": draw(st.sampled_from(["", "20:15"])),
                "wishes": draw(st.sampled_from(["", "Mon 17:00-18:00 = 3; Tue = 1; Top = 2"])),
                "needs goal": draw(st.sampled_from(["yes", "no"])),
                "evenings in a row": draw(st.sampled_from(["", "3"])),
            }
            rows.append({**squad, **ask})
    return rows


Value = st.SearchStrategy[Any]
SECONDS = st.integers(0, 86400 * 400)
INSTANTS = SECONDS.map(lambda seconds: BASE + timedelta(seconds=seconds))
DAYS = st.integers(0, 500).map(lambda days: date(2026, 1, 1) + timedelta(days=days))
STATED = st.builds(
    StatedLine,
    day=DAYS.map(date.isoformat),
    per=st.sampled_from([per.value for per in Per]),
    share=st.sampled_from(["1", "1/3"]),
    **dict.fromkeys(("start", "end", "place", "purpose", "who", "tariff", "reduction"), TEXTS),
)
OF_KIND: dict[type, Callable[[Any], Value]] = {
    kinds.Text: lambda _kind: TEXTS,
    kinds.Whole: lambda kind: st.integers(kind.low, min(kind.high, kind.low + 5)),
    kinds.Number: lambda _kind: st.floats(0, 1e9, allow_subnormal=False),
    kinds.YesNo: lambda _kind: st.booleans(),
    kinds.Day: lambda _kind: DAYS,
    kinds.Clock: lambda _kind: st.integers(0, 2 * 1440),
    kinds.Instant: lambda _kind: INSTANTS,
    kinds.Word: lambda kind: st.sampled_from([word.value for word in kind.words]),
    kinds.Json: lambda _kind: st.dictionaries(TEXTS, TEXTS, max_size=2),
    StatementLines: lambda _kind: st.lists(STATED.map(StatedLine.kept), max_size=2),
}


class Drawing:
    """Puts rows of every sheet into a club."""

    def __init__(self, draw: Draw, session: Session) -> None:
        self.draw, self.session = draw, session
        self.numbers: dict[str, list[int]] = {}
        for row in (SquadRow, StretchRow, AreaRow):
            self.numbers[row.__tablename__] = list(session.scalars(select(row.id)))
        tables = SquadRow.metadata.tables
        for name in ("pitch", "venue"):
            self.numbers[name] = list(session.scalars(select(tables[name].c.id)))

    def value(self, kind: Any) -> Any:
        """Draw a value of a kind."""
        if isinstance(kind, kinds.Optional):
            is_there = self.draw(st.booleans()) and self._has_any(kind.kind)
            return self.value(kind.kind) if is_there else None
        if isinstance(kind, kinds.Ref):
            return self.draw(st.sampled_from(self.numbers[kind.table]))
        if isinstance(kind, Item):
            squad = self.draw(st.sampled_from(self.numbers["squad"]))
            return self.draw(st.sampled_from([f"squad-{squad}", "season", GONE]))
        return self.draw(OF_KIND[type(kind)](kind))

    def _has_any(self, kind: Any) -> bool:
        return not isinstance(kind, kinds.Ref) or bool(self.numbers.get(kind.table))

    def rows(self, sheet: Sheet, most: int = 3) -> None:
        """Put one to three rows of a sheet into its table."""
        table, seen = sheet.table, set[str]()
        for n in range(self.draw(st.integers(1, most))):
            values = {one.name: self.value(one.kind) for one in sheet.columns}
            values |= {name: make() for name, make in sheet.given.items()}
            if sheet.file in ADJUST:
                ADJUST[sheet.file](self, values, n)
            unique = repr([values[name] for name in UNIQUE.get(sheet.file, ())])
            if (sheet.file in UNIQUE and unique in seen) or ("id" in sheet.given and n):
                continue
            seen.add(unique)
            done = self.session.connection().execute(insert(table).values(values))
            key = done.inserted_primary_key
            if key is not None:
                self.numbers.setdefault(table.name, []).append(key[0])


def _booking(drawing: Drawing, values: dict[str, Any], n: int) -> None:
    area = drawing.session.get_one(AreaRow, values["area_id"])
    values |= {"pitch_id": area.pitch_id, "cells": area.cells, "uid": f"{n}=,\\@x"}
    seconds = drawing.draw(st.integers(60, 24 * 3600))
    values["starts_at"] = BASE + timedelta(days=28 * n, seconds=seconds)
    values["ends_at"] = values["starts_at"] + timedelta(seconds=seconds)
    values["sequence"] = values["sequence"] or 0


def _run(_drawing: Drawing, values: dict[str, Any], _n: int) -> None:
    values["ends_at"] = values["starts_at"] + timedelta(hours=50)


def _hire(_drawing: Drawing, values: dict[str, Any], _n: int) -> None:
    values["end_min"] = values["start_min"] + 60


def _end(_drawing: Drawing, values: dict[str, Any], _n: int) -> None:
    if values["goes_on_in_id"] == values["squad_id"]:
        values["goes_on_in_id"] = None


def _turnout(_drawing: Drawing, values: dict[str, Any], _n: int) -> None:
    values["goalkeepers"] = None if values["players"] is None else 0
    values["until_min"] = None if values["from_min"] is None else values["from_min"] + 30


def _reader(drawing: Drawing, values: dict[str, Any], _n: int) -> None:
    names = ("squad_id", "person_id", "pitch_id")
    kept = drawing.draw(st.sampled_from(names))
    values |= dict.fromkeys(names)
    values[kept] = drawing.numbers[kept.removesuffix("_id")][0]
    values["email"] = values["email"] or "x@y.example"


def _calendar(drawing: Drawing, values: dict[str, Any], _n: int) -> None:
    if not values["url"]:
        values["data"] = drawing.draw(st.binary(min_size=1, max_size=20))


def _holidays(_drawing: Drawing, values: dict[str, Any], _n: int) -> None:
    values["country"] = values["country"] or "GB"


def _heading(_drawing: Drawing, values: dict[str, Any], _n: int) -> None:
    values["heading"] = values["heading"] or "Day"


def _named(_drawing: Drawing, values: dict[str, Any], n: int) -> None:
    values["starts_on"] = date(2026, 8, 1) + timedelta(days=n)


def _club(drawing: Drawing, values: dict[str, Any], _n: int) -> None:
    name = drawing.draw(NAMES.filter(bool))
    values |= {"name": name, "key": key_from_name(name)}


def _club_secretary(drawing: Drawing, values: dict[str, Any], _n: int) -> None:
    person = drawing.session.get_one(PersonRow, values["person_id"])
    person.role = Role.COACH
    drawing.session.flush()


ADJUST: dict[str, Callable[[Drawing, dict[str, Any], int], None]] = {
    "bookings.csv": _booking,
    "closures.csv": _run,
    "club-secretaries.csv": _club_secretary,
    "clubs.csv": _club,
    "headings.csv": _heading,
    "hires.csv": _hire,
    "holidays-of.csv": _holidays,
    "mail-readers.csv": _reader,
    "other-calendars.csv": _calendar,
    "seasons.csv": _named,
    "squad-ends.csv": _end,
    "turnouts.csv": _turnout,
}
UNIQUE = {
    "closure-days.csv": ("booking_id",),
    "club-secretaries.csv": ("person_id",),
    "clubs.csv": ("key",),
    "coaches.csv": ("squad_id", "person_id"),
    "grass-limits.csv": ("pitch_id",),
    "headings.csv": ("kind", "heading"),
    "matches.csv": ("booking_id",),
    "next-season.csv": ("item",),
    "no-mails.csv": ("address",),
    "other-bookings.csv": ("booking_id",),
    "squad-clubs.csv": ("squad_id",),
    "squad-ends.csv": ("squad_id",),
    "squad-seasons.csv": ("squad_id",),
    "statements.csv": ("number",),
    "training-holidays.csv": ("day",),
    "turnouts.csv": ("squad_id", "day"),
}


def fill_club(draw: Draw, store: Store) -> None:
    """Draw a club and put it into an empty database."""
    load_files(store, draw(club_files()), NOW)
    with filling(store) as session:
        drawing = Drawing(draw, session)
        _share_outs(drawing)
        for sheet in SHEETS:
            drawing.rows(sheet, 6 if sheet is BOOKINGS else 3)
        _redraw(drawing)


def _share_outs(drawing: Drawing) -> None:
    asks = list(drawing.session.scalars(select(AskRow.id)))
    for n in range(2):
        ask = drawing.draw(st.sampled_from([*map(str, asks), "4711", "booking-1", "booking-99"]))
        row = ShareOutRow(
            stretch_id=drawing.value(kinds.Optional(kinds.Ref("stretch"))),
            sort="stretch",
            created_at=drawing.draw(INSTANTS),
            kind="good",
            outcome={
                "first": "2026-10-01",
                "last": "2026-10-31",
                "squads": None,
                "placements": [],
                "closures": [],
                "refusals": [{"ask": ask, "text": drawing.draw(TEXTS)}],
            },
            published_at=drawing.value(kinds.Optional(kinds.Instant())),
        )
        drawing.session.add(row)
        drawing.session.flush()
        drawing.numbers.setdefault("share_out", []).append(row.id)
        assert n < row.id


def _redraw(drawing: Drawing) -> None:
    """Let some ground have been drawn anew, and a booking that was over keep what it held."""
    if not drawing.draw(st.booleans()):
        return
    booking = BOOKINGS.table
    first = drawing.session.execute(select(booking.c.id, booking.c.area_id)).first()
    assert first is not None
    area = drawing.session.get_one(AreaRow, first.area_id)
    area.redrawn_at = BASE + timedelta(days=3000)
    drawing.session.execute(
        booking.update().where(booking.c.id == first.id).values(cells=area.cells ^ (1 << 40))
    )
