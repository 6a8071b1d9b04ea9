"""Reading the club's settings from a TOML file: club, venues, season, breaks, set bookings."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.persons.coaches import is_phone
from clubplanner.domain.club.settings import ClubSettings
from clubplanner.domain.club.sharing_rules import SharingRules
from clubplanner.domain.club.spread import Evenings
from clubplanner.domain.ground.grounds import Venue
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.times.seasons import Break, Stretch
from clubplanner.domain.times.windows import parse_windows
from clubplanner.domain.times.zones import known_zones
from clubplanner.inputs.club_files.keeping import read_keeping
from clubplanner.inputs.club_files.money import (
    read_price,
    read_reduction,
    read_tariff,
    read_terms,
)
from clubplanner.inputs.club_files.rules import age_rule, pitch_limit
from clubplanner.inputs.club_files.squads_file.coach_cells import no_phone_words
from clubplanner.inputs.reading.alone import read_alone
from clubplanner.inputs.reading.bounded import read_toml
from clubplanner.inputs.reading.faults import Faults, list_words, show_value
from clubplanner.inputs.reading.toml_tables import TomlTable, read_each
from clubplanner.language import ENGLISH, _, languages

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from clubplanner.domain.club.persons.keeping import Keeping
    from clubplanner.domain.money.terms import MoneyTerms
    from clubplanner.domain.problems import Problem
    from clubplanner.domain.times.times import Window
    from clubplanner.inputs.club_files.money import ReductionRead, TariffRead

LONGEST_STRETCH_DAYS = 400
LONGEST_LINE = 200
"""Letters of what is told of the way to a venue."""
CLUB = ""
"""Stands for the club itself among the keys of venues."""
KEPT_OF_CLUB = frozenset({"language"})
KEPT_OF_VENUE = frozenset(
    {"address", "lon", "lat", "way_in", "parking", "contact", "contact_phone", "phone_for_parents"}
)
"""What is typed by form as well, and older files have no word for."""


@dataclass(frozen=True, slots=True)
class SetBooking:
    """A booking the club already knows of: a match, a hire, a closure.

    Attributes:
        place: Where in the file it stands, for telling of faults.
    """

    place: str
    venue_key: str
    pitch_name: str
    area_name: str
    day: date
    start_min: int
    end_min: int
    purpose: Purpose
    holder: str
    note: str


@dataclass(frozen=True, slots=True)
class SettingsRead:
    """What a settings file gave: complete only when there is no problem.

    Attributes:
        club: The club's own choices.
        venues: Its venues.
        stretches: What is shared out as one.
        breaks: When nobody trains.
        bookings: Those known beforehand.
        problems: Every fault.
        clubs: The names of the clubs within the record; empty where the file names none, and they
            stay as they are.
        left_out: What the file has no word for and is to stay as it is known: names of fields by
            the venue's key, those of the club by `CLUB`.
        keeping: For how long things are kept; None where the file does not say.
        terms: What the club settled about money; None where the file does not say.
        tariffs: All of them; None where the file does not say. Those that older files call prices
            are among them.
        reductions: All of them; None where the file does not say.
    """

    club: ClubSettings | None
    venues: tuple[Venue, ...]
    stretches: tuple[Stretch, ...]
    breaks: tuple[Break, ...]
    bookings: tuple[SetBooking, ...]
    problems: tuple[Problem, ...]
    left_out: Mapping[str, frozenset[str]] = field(default_factory=dict)
    keeping: Keeping | None = None
    clubs: tuple[str, ...] = ()
    terms: MoneyTerms | None = None
    tariffs: tuple[TariffRead, ...] | None = None
    reductions: tuple[ReductionRead, ...] | None = None


def read_settings(text: str, file_name: str) -> SettingsRead:
    """Read a settings file; every fault in it is reported at once."""
    faults = Faults(file_name)
    data = read_toml(text, faults)
    if data is None:
        return SettingsRead(None, (), (), (), (), tuple(faults.found))
    known = (
        *("club", "venues", "stretches", "breaks", "bookings", "ages", "limits", "clubs"),
        *("keep", "money", "tariffs", "reductions", "prices"),
    )
    for name in (name for name in data if name not in known):
        faults.add(
            f"[{name}]",
            "unknown",
            _(
                "%(name)s is not a part; write %(known)s",
                name=show_value(name),
                known=list_words(known),
            ),
        )
    rules = SharingRules(
        ages=tuple(read_each(data, "ages", age_rule, faults)),
        limits=tuple(read_each(data, "limits", pitch_limit, faults)),
    )
    club = _read_club(TomlTable("[club]", data.get("club", {}), faults), rules)
    keeping = read_keeping(TomlTable("[keep]", data["keep"], faults)) if "keep" in data else None
    venues = tuple(read_each(data, "venues", _read_venue, faults))
    stretches = tuple(read_each(data, "stretches", _read_stretch, faults))
    breaks = tuple(read_each(data, "breaks", _read_break, faults))
    bookings = tuple(read_each(data, "bookings", _read_booking, faults))
    clubs = tuple(read_each(data, "clubs", _read_club_within, faults))
    terms = read_terms(TomlTable("[money]", data["money"], faults)) if "money" in data else None
    tariffs, reductions = _read_tariffs(data, faults), None
    if "reductions" in data:
        reductions = tuple(read_each(data, "reductions", read_reduction, faults))
    _check_names(faults, "clubs", [key_from_name(name) for name in clubs])
    _check_names(faults, "venues", [venue.key for venue in venues])
    _check_names(faults, "stretches", [stretch.key for stretch in stretches])
    found = tuple(faults.found)
    left_out = _left_out(data)
    return SettingsRead(
        club,
        venues,
        stretches,
        breaks,
        bookings,
        found,
        left_out,
        keeping,
        clubs,
        terms,
        tariffs,
        reductions,
    )


def _read_tariffs(data: dict[str, Any], faults: Faults) -> tuple[TariffRead, ...] | None:
    """Read tariffs, and the prices of older files; None where there is neither word."""
    if "tariffs" not in data and "prices" not in data:
        return None
    prices = read_each(data, "prices", read_price, faults)
    return (
        *read_each(data, "tariffs", read_tariff, faults),
        *(one for two in prices for one in two),
    )


def _left_out(data: Mapping[str, object]) -> dict[str, frozenset[str]]:
    """Return what a file without faults has no word for, by venue."""
    club, venues = data.get("club"), data.get("venues")
    found = {CLUB: KEPT_OF_CLUB - set(club if isinstance(club, dict) else ())}
    for table in venues if isinstance(venues, list) else ():
        if isinstance(table, dict):
            key = key_from_name(str(table.get("name", "")).strip())
            found[key] = KEPT_OF_VENUE - set(table)
    return found


def read_club(values: Mapping[str, object]) -> tuple[ClubSettings | None, tuple[Problem, ...]]:
    """Read the keys of `[club]` given by themselves; `where` of a problem is the key."""
    return read_alone(values, lambda table: _read_club(table, SharingRules()))


def read_venue(values: Mapping[str, object]) -> tuple[Venue | None, tuple[Problem, ...]]:
    """Read the keys of one `[[venues]]` given by themselves; `where` of a problem is the key."""
    return read_alone(values, _read_venue)


def _read_club(table: TomlTable, rules: SharingRules) -> ClubSettings | None:
    zone = table.name("time_zone", _("one like Europe/London"))
    if zone and zone not in known_zones():
        table.fault(
            "time_zone",
            "unknown-zone",
            _(
                "%(show_value)s is not a time zone; write one like Europe/London",
                show_value=show_value(zone),
            ),
        )
    language = table.text("language", ENGLISH)
    if language not in languages():
        words = list_words(languages())
        table.fault(
            "language",
            "unknown",
            _("%(value)s is no language; write %(words)s", value=show_value(language), words=words),
        )
    club = ClubSettings(
        name=table.name(),
        zone=zone,
        step_minutes=table.whole("step_minutes", 5, 60, 15),
        changeover_minutes=table.whole("changeover_minutes", 0, 60, 0),
        travel_minutes=table.whole("travel_minutes", 0, 240, 30),
        rules=replace(
            rules, wants_compact=table.flag("compact_evenings"), evenings=_evenings(table)
        ),
        language=language,
    )
    return club if table.done() else None


def _evenings(table: TomlTable) -> Evenings:
    """Return how evenings should be filled; evenly where nothing is said."""
    said = table.text("evenings", Evenings.EVEN.value)
    if said in tuple(Evenings):
        return Evenings(said)
    table.fault(
        "evenings",
        "unknown",
        _(
            "%(value)s is no way to fill evenings; write %(words)s",
            value=show_value(said),
            words=list_words(sorted(Evenings)),
        ),
    )
    return Evenings.EVEN


def _read_club_within(table: TomlTable) -> str | None:
    name = table.name()
    return name if table.done() else None


def _read_venue(table: TomlTable) -> Venue | None:
    name = table.name()
    opening: tuple[Window, ...] = ()
    try:
        opening = parse_windows(table.text("opening"))
    except ValueError as fault:
        table.fault("opening", "not-a-window", str(fault))
    lights_off = table.clock("lights_off", "24:00")
    lon, lat = _read_place(table)
    venue = Venue(
        key=key_from_name(name),
        name=name,
        address=table.text("address", ""),
        lon=lon,
        lat=lat,
        opening=opening,
        lights_off_min=lights_off if lights_off < 24 * 60 else None,
        dusk_margin_minutes=table.whole("dusk_margin_minutes", -120, 60, 0),
        way_in=_line(table, "way_in"),
        parking=_line(table, "parking"),
        contact=_line(table, "contact"),
        contact_phone=_read_phone(table),
        phone_for_parents=table.flag("phone_for_parents"),
    )
    return venue if table.done() else None


def _line(table: TomlTable, key: str) -> str:
    """Return a short text on one line; blank where there is none."""
    text = " ".join(table.text(key, "").split())
    if len(text) > LONGEST_LINE:
        table.fault(
            key,
            "too-long",
            _("Write at most %(longest)s letters; people read it on a phone", longest=LONGEST_LINE),
        )
    return text


def _read_phone(table: TomlTable) -> str:
    phone = _line(table, "contact_phone")
    if phone and not is_phone(phone):
        table.fault("contact_phone", "not-a-number", no_phone_words(phone))
    return phone


def _read_place(table: TomlTable) -> tuple[float | None, float | None]:
    """Read where a venue lies; both None where the file leaves it for later."""
    if not (table.has("lon") or table.has("lat")):
        return None, None
    return table.number("lon", -180, 180), table.number("lat", -90, 90)


def _read_stretch(table: TomlTable) -> Stretch | None:
    name = table.name()
    stretch = Stretch(key_from_name(name), name, table.day("starts"), table.day("ends"))
    if not table.failed:
        days = (stretch.ends_on - stretch.starts_on).days
        if not 0 <= days <= LONGEST_STRETCH_DAYS:
            table.fault(
                "ends",
                "out-of-range",
                _(
                    "The last date must follow the first, by at most %(longest_stretch_days)s days",
                    longest_stretch_days=LONGEST_STRETCH_DAYS,
                ),
            )
    return stretch if table.done() else None


def _read_break(table: TomlTable) -> Break | None:
    gap = Break(table.name(), table.day("starts"), table.day("ends"))
    if not table.failed and gap.ends_on < gap.starts_on:
        table.fault("ends", "out-of-range", _("The last date must not lie before the first"))
    return gap if table.done() else None


def _read_booking(table: TomlTable) -> SetBooking | None:
    word = table.text("purpose", Purpose.HIRE.value)
    purpose = Purpose.HIRE
    if word in [p.value for p in Purpose]:
        purpose = Purpose(word)
    else:
        table.fault(
            "purpose",
            "unknown",
            _(
                "%(word)s is not a purpose; write %(purposes)s",
                word=show_value(word),
                purposes=list_words(p.value for p in Purpose),
            ),
        )
    booking = SetBooking(
        place=table.place,
        venue_key=key_from_name(table.name("venue")),
        pitch_name=table.name("pitch"),
        area_name=table.text("area", ""),
        day=table.day("date"),
        start_min=table.clock("from"),
        end_min=table.clock("to"),
        purpose=purpose,
        holder=table.name("who"),
        note=table.text("note", ""),
    )
    if not table.failed and booking.end_min <= booking.start_min:
        table.fault("to", "out-of-range", _("The end must come after the start"))
    return booking if table.done() else None


def _check_names(faults: Faults, part: str, keys: list[str]) -> None:
    for key in dict.fromkeys(key for key in keys if keys.count(key) > 1):
        faults.add(
            f"[[{part}]]",
            "repeated",
            _("Two are called “%(key)s”; give each a name of its own", key=key),
        )
