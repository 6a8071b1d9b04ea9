"""Reading the club's settings from a TOML file: club, venues, season, breaks, set bookings."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, TypeVar

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.sharing_rules import AgeRule, GroundPrice, PitchLimit, SharingRules
from clubplanner.domain.ground.grounds import Venue
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.seasons import Break, Stretch
from clubplanner.domain.times.times import Window, minute_from_clock
from clubplanner.domain.times.windows import parse_windows
from clubplanner.domain.times.zones import known_zones, zone_from_name
from clubplanner.inputs.club_files.bounded import read_toml
from clubplanner.inputs.club_files.faults import LARGEST, Faults, list_words, show_value
from clubplanner.language import ENGLISH, _, figure, languages

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from zoneinfo import ZoneInfo

LONGEST_STRETCH_DAYS = 400
FIRST_YEAR, LAST_YEAR = 2000, 2099
NO_LIMIT = -1

_Value = TypeVar("_Value")


@dataclass(frozen=True, slots=True)
class ClubSettings:
    """The club's own choices.

    Attributes:
        name: The club's name.
        zone: IANA time zone of all its venues.
        step_minutes: Sessions start at multiples of this.
        changeover_minutes: Kept free between two bookings of the same ground.
        travel_minutes: What a coach needs from one venue to another.
        rules: What else a share-out keeps to.
        language: Code of the language of calendars, mails and the notice board.
    """

    name: str
    zone: str
    step_minutes: int = 15
    changeover_minutes: int = 0
    travel_minutes: int = 30
    rules: SharingRules = field(default_factory=SharingRules)
    language: str = ENGLISH

    @property
    def time_zone(self) -> ZoneInfo:
        """The zone as an object."""
        return zone_from_name(self.zone)


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
    """What a settings file gave: complete only when there is no problem."""

    club: ClubSettings | None
    venues: tuple[Venue, ...]
    stretches: tuple[Stretch, ...]
    breaks: tuple[Break, ...]
    bookings: tuple[SetBooking, ...]
    problems: tuple[Problem, ...]


def read_settings(text: str, file_name: str) -> SettingsRead:
    """Read a settings file; every fault in it is reported at once."""
    faults = Faults(file_name)
    data = read_toml(text, faults)
    if data is None:
        return SettingsRead(None, (), (), (), (), tuple(faults.found))
    known = ("club", "venues", "stretches", "breaks", "bookings", "ages", "limits", "prices")
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
        ages=tuple(_each(data, "ages", _read_age, faults)),
        limits=tuple(_each(data, "limits", _read_limit, faults)),
        prices=tuple(_each(data, "prices", _read_price, faults)),
    )
    club = _read_club(_Table("[club]", data.get("club", {}), faults), rules)
    venues = tuple(_each(data, "venues", _read_venue, faults))
    stretches = tuple(_each(data, "stretches", _read_stretch, faults))
    breaks = tuple(_each(data, "breaks", _read_break, faults))
    bookings = tuple(_each(data, "bookings", _read_booking, faults))
    _check_names(faults, "venues", [venue.key for venue in venues])
    _check_names(faults, "stretches", [stretch.key for stretch in stretches])
    return SettingsRead(club, venues, stretches, breaks, bookings, tuple(faults.found))


def read_club(values: Mapping[str, object]) -> tuple[ClubSettings | None, tuple[Problem, ...]]:
    """Read the keys of `[club]` given by themselves; `where` of a problem is the key."""
    return _read_alone(values, lambda table: _read_club(table, SharingRules()))


def read_venue(values: Mapping[str, object]) -> tuple[Venue | None, tuple[Problem, ...]]:
    """Read the keys of one `[[venues]]` given by themselves; `where` of a problem is the key."""
    return _read_alone(values, _read_venue)


def _read_alone(
    values: Mapping[str, object], read: Callable[[_Table], _Value | None]
) -> tuple[_Value | None, tuple[Problem, ...]]:
    faults = Faults("")
    found = read(_Table("", dict(values), faults))
    problems = (
        Problem(
            fault.where.removeprefix(", ").strip(), fault.code, fault.form_words or fault.message
        )
        for fault in faults.found
    )
    return found, tuple(problems)


class _Table:
    """One TOML table, read key by key; what is left over at the end is a fault."""

    def __init__(self, place: str, data: object, faults: Faults) -> None:
        self.place = place
        self.faults = faults
        self.failed = False
        self._left: dict[str, Any] = dict(data) if isinstance(data, dict) else {}
        if not isinstance(data, dict):
            self.fault("", "not-a-table", _("A table of keys and values is expected here"))

    def fault(self, key: str, code: str, message: str, form_words: str = "") -> None:
        self.failed = True
        self.faults.add(f"{self.place} {key}".rstrip(), code, message, form_words)

    def _take(self, key: str, kind: type | tuple[type, ...], what: str, default: Any) -> Any:
        value = self._left.pop(key, None)
        if value is None:
            if default is None:
                self.fault(
                    key,
                    "missing",
                    _("“%(key)s” is missing; write %(what)s", key=key, what=what),
                    _("Write %(what)s.", what=what),
                )
            return default
        if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
            self.fault(
                key,
                "wrong-kind",
                _("%(value)s will not do; write %(what)s", value=show_value(value), what=what),
            )
            return default
        return value

    def text(self, key: str, default: str | None = None) -> str:
        return str(self._take(key, str, _("text in double quotes"), default) or "").strip()

    def name(self, key: str = "name", what: str = "") -> str:
        is_blank = self._is_blank(key)
        text = self.text(key)
        if is_blank:
            words = what or _("what people call it")
            self.fault(
                key,
                "missing",
                _("“%(key)s” is blank; write %(what)s", key=key, what=words),
                _("Write %(what)s.", what=words),
            )
        return text

    def _is_blank(self, key: str) -> bool:
        value = self._left.get(key)
        return isinstance(value, str) and not value.strip()

    def flag(self, key: str) -> bool:
        return bool(self._take(key, bool, _("true or false"), default=False))

    def whole(self, key: str, low: int, high: int, default: int) -> int:
        is_given = key in self._left
        value = int(
            self._take(
                key, int, _("a whole number from %(low)s to %(high)s", low=low, high=high), default
            )
        )
        if (is_given or value != NO_LIMIT) and not low <= value <= high:
            self.fault(
                key,
                "out-of-range",
                _(
                    "%(value)s will not do; write %(low)s to %(high)s",
                    value=show_value(value),
                    low=low,
                    high=high,
                ),
            )
        return value

    def number(self, key: str, low: float, high: float) -> float:
        taken = (
            self._take(
                key,
                (int, float),
                _(
                    "a number from %(low)s to %(high)s",
                    low=figure(low, "g"),
                    high=figure(high, "g"),
                ),
                None,
            )
            or 0
        )
        value = math.inf if taken > LARGEST else float(max(taken, -LARGEST))
        if not low <= value <= high:
            self.fault(
                key,
                "out-of-range",
                _(
                    "%(value)s will not do; write %(low)s to %(high)s",
                    value=figure(value, "g"),
                    low=figure(low, "g"),
                    high=figure(high, "g"),
                ),
            )
        return value

    def day(self, key: str) -> date:
        value = self._take(key, date, _("a date like 2026-09-07, without quotes"), None)
        if isinstance(value, datetime):
            self.fault(key, "wrong-kind", _("Leave out the time; write a date like 2026-09-07"))
        elif value is not None and not FIRST_YEAR <= value.year <= LAST_YEAR:
            self.fault(
                key,
                "out-of-range",
                _(
                    "%(value)s will not do; write a year %(first_year)s–%(last_year)s",
                    value=value,
                    first_year=FIRST_YEAR,
                    last_year=LAST_YEAR,
                ),
            )
        return value if value is not None else date.min

    def clock(self, key: str, default: str | None = None) -> int:
        is_blank = self._is_blank(key)
        text = self.text(key, default)
        try:
            return minute_from_clock(text) if text or is_blank else 0
        except ValueError as fault:
            self.fault(key, "not-a-time", str(fault))
            return 0

    def done(self) -> bool:
        for key in self._left:
            self.fault(
                key, "unknown", _("%(key)s is not known here; leave it out", key=show_value(key))
            )
        return not self.failed


def _read_club(table: _Table, rules: SharingRules) -> ClubSettings | None:
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
        rules=replace(rules, wants_compact=table.flag("compact_evenings")),
        language=language,
    )
    return club if table.done() else None


def _read_age(table: _Table) -> AgeRule | None:
    finish = table.clock("latest_finish", "24:00")
    start = table.clock("earliest_start", "00:00")
    rule = AgeRule(
        up_to=table.whole("up_to", 3, 99, 0),
        latest_finish_min=finish if finish < 24 * 60 else None,
        wear_percent=table.whole("wear_percent", 0, 1000, 100),
        earliest_start_min=start or None,
    )
    return rule if table.done() else None


def _read_limit(table: _Table) -> PitchLimit | None:
    venue, pitch = table.name("venue"), table.name("pitch")
    minutes = table.whole("minutes", 0, 7 * 24 * 60, NO_LIMIT)
    sessions = table.whole("sessions", 0, 9_999, NO_LIMIT)
    if minutes == sessions == NO_LIMIT:
        table.fault("", "missing", _("Write minutes or sessions a week, or both"))
    limit = PitchLimit(
        venue,
        pitch,
        None if minutes == NO_LIMIT else minutes,
        None if sessions == NO_LIMIT else sessions,
    )
    return limit if table.done() else None


def _read_price(table: _Table) -> GroundPrice | None:
    price = GroundPrice(
        venue=table.name("venue"),
        pitch=table.text("pitch", ""),
        per_hour=table.whole("per_hour", 0, 10**7, 0),
        per_opening=table.whole("per_opening", 0, 10**7, 0),
    )
    if price.pitch and price.per_opening:
        table.fault(
            "per_opening", "contradiction", _("A venue opens, not a pitch; leave pitch out")
        )
    return price if table.done() else None


def _read_venue(table: _Table) -> Venue | None:
    name = table.name()
    opening: tuple[Window, ...] = ()
    try:
        opening = parse_windows(table.text("opening"))
    except ValueError as fault:
        table.fault("opening", "not-a-window", str(fault))
    lights_off = table.clock("lights_off", "24:00")
    venue = Venue(
        key=key_from_name(name),
        name=name,
        address=table.text("address", ""),
        lon=table.number("lon", -180, 180),
        lat=table.number("lat", -90, 90),
        opening=opening,
        lights_off_min=lights_off if lights_off < 24 * 60 else None,
        dusk_margin_minutes=table.whole("dusk_margin_minutes", -120, 60, 0),
    )
    return venue if table.done() else None


def _read_stretch(table: _Table) -> Stretch | None:
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


def _read_break(table: _Table) -> Break | None:
    gap = Break(table.name(), table.day("starts"), table.day("ends"))
    if not table.failed and gap.ends_on < gap.starts_on:
        table.fault("ends", "out-of-range", _("The last date must not lie before the first"))
    return gap if table.done() else None


def _read_booking(table: _Table) -> SetBooking | None:
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


def _each(
    data: dict[str, Any], key: str, read: Callable[[_Table], _Value | None], faults: Faults
) -> list[_Value]:
    entries = data.get(key, [])
    if not isinstance(entries, list):
        faults.add(
            f"[{key}]", "not-a-list", _("Write it with double brackets: [[%(key)s]]", key=key)
        )
        return []
    results = [read(_Table(f"[[{key}]] {n}", entry, faults)) for n, entry in enumerate(entries, 1)]
    return [result for result in results if result is not None]


def _check_names(faults: Faults, part: str, keys: list[str]) -> None:
    for key in dict.fromkeys(key for key in keys if keys.count(key) > 1):
        faults.add(
            f"[[{part}]]",
            "repeated",
            _("Two are called “%(key)s”; give each a name of its own", key=key),
        )
