"""Reading one table of a TOML file, key by key, with every fault noted."""

from __future__ import annotations

import math
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, TypeVar

from clubplanner.domain.times.times import minute_from_clock
from clubplanner.inputs.reading.faults import LARGEST, show_value
from clubplanner.language import _, figure

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.inputs.reading.faults import Faults

FIRST_YEAR, LAST_YEAR = 2000, 2099
NO_LIMIT = -1
"""A whole number that is left out."""

_Value = TypeVar("_Value")


class TomlTable:
    """One TOML table, read key by key; what is left over at the end is a fault."""

    def __init__(self, place: str, data: object, faults: Faults) -> None:
        self.place = place
        self.faults = faults
        self.failed = False
        self._left: dict[str, Any] = dict(data) if isinstance(data, dict) else {}
        if not isinstance(data, dict):
            self.fault("", "not-a-table", _("A table of keys and values is expected here"))

    def fault(self, key: str, code: str, message: str, form_words: str = "") -> None:
        """Note a fault of a key, or of the whole table where the key is blank."""
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

    def has(self, key: str) -> bool:
        """Tell whether a key is there that was not taken yet."""
        return key in self._left

    def text(self, key: str, default: str | None = None) -> str:
        """Return a text, stripped; without a default it must be there."""
        return str(self._take(key, str, _("text in double quotes"), default) or "").strip()

    def name(self, key: str = "name", what: str = "") -> str:
        """Return a text that must not be blank; `what` says what to write."""
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
        """Return true or false; false when absent."""
        return bool(self._take(key, bool, _("true or false"), default=False))

    def whole(self, key: str, low: int, high: int, default: int) -> int:
        """Return a whole number from low to high, both included."""
        is_given, faults = key in self._left, len(self.faults.found)
        value = int(
            self._take(
                key, int, _("a whole number from %(low)s to %(high)s", low=low, high=high), default
            )
        )
        if len(self.faults.found) > faults:
            return value  # told already
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
        """Return a number from low to high, both included; it must be there."""
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
        """Return a date; it must be there."""
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
        """Return the minute of the day of a time like "17:30"."""
        is_blank = self._is_blank(key)
        text = self.text(key, default)
        try:
            return minute_from_clock(text) if text or is_blank else 0
        except ValueError as fault:
            self.fault(key, "not-a-time", str(fault))
            return 0

    def done(self) -> bool:
        """Note every key that nobody asked for; tell whether the table is without fault."""
        for key in self._left:
            self.fault(
                key, "unknown", _("%(key)s is not known here; leave it out", key=show_value(key))
            )
        return not self.failed


def read_each(
    data: dict[str, Any], key: str, read: Callable[[TomlTable], _Value | None], faults: Faults
) -> list[_Value]:
    """Read a list of tables of one kind; those with faults are left out."""
    entries = data.get(key, [])
    if not isinstance(entries, list):
        faults.add(
            f"[{key}]", "not-a-list", _("Write it with double brackets: [[%(key)s]]", key=key)
        )
        return []
    results = [
        read(TomlTable(f"[[{key}]] {n}", entry, faults)) for n, entry in enumerate(entries, 1)
    ]
    return [result for result in results if result is not None]
