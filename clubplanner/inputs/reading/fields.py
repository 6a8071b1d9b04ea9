"""Reading one object of a JSON file, field by field, with every fault noted."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from clubplanner.inputs.reading.faults import LARGEST, LONGEST_SHOWN, list_words, show_value
from clubplanner.language import _, figure

if TYPE_CHECKING:
    from collections.abc import Collection

    from clubplanner.inputs.reading.faults import Faults

SLIP = 0.75
"""How alike two names are, from 0 to 1, of which one is taken for a slip for the other."""


@dataclass(slots=True)
class Fields:
    """The fields of one object; `done` reports those nobody asked for.

    Attributes:
        place: Where the object stands, in words.
        values: The object.
        faults: Where problems go.
        failed: Whether this object has a fault.
    """

    place: str
    values: dict[str, Any]
    faults: Faults
    failed: bool = False
    _asked: set[str] = field(default_factory=set)

    def fault(self, key: str, code: str, message: str, form_words: str = "") -> None:
        """Note a fault of one field; `form_words` are for a form, which shows no property names."""
        self.failed = True
        place = f"{self.place}, property {key[:LONGEST_SHOWN]}" if key else self.place
        self.faults.add(place, code, message, form_words)

    def take(self, key: str) -> Any:
        """Return the raw value, None when absent."""
        self._asked.add(key)
        return self.values.get(key)

    def text(self, key: str, *, required: bool = False) -> str:
        """Return a text, stripped; blank when absent."""
        value = self.take(key)
        if value is None:
            value = ""
        if not isinstance(value, str):
            self.fault(
                key,
                "wrong-kind",
                _("%(value)s will not do; write text in double quotes", value=show_value(value)),
            )
            return ""
        if required and not value.strip():
            self.fault(key, "missing", _("“%(key)s” is missing; write it as text", key=key))
        return value.strip()

    def number(self, key: str, low: float, high: float, default: float | None = None) -> float:
        """Return a number from low to high; a missing one without default is a fault."""
        value = self.take(key)
        if value is None and default is not None:
            return default
        if not is_number(value) or not low <= value <= high:
            self._fault_number(key, value, figure(low, "g"), figure(high, "g"))
            return low
        return float(value)

    def _fault_number(self, key: str, value: object, low: str, high: str) -> None:
        shown = show_value(value)
        wanted = _("Enter a number from %(low)s to %(high)s.", low=low, high=high)
        if value is None or value == "":
            form_words = wanted
        else:
            form_words = _(
                "%(value)s will not do; enter a number from %(low)s to %(high)s.",
                value=shown,
                low=low,
                high=high,
            )
        if value is None:
            message = _(
                "%(key)s is missing; write a number from %(low)s to %(high)s",
                key=key,
                low=low,
                high=high,
            )
        else:
            message = _(
                "%(key)s %(value)s will not do; write a number from %(low)s to %(high)s",
                key=key,
                value=shown,
                low=low,
                high=high,
            )
        self.fault(key, "not-a-number", message, form_words)

    def whole(self, key: str, low: int, high: int, default: int) -> int:
        """Return a whole number from low to high, the default when absent."""
        value = self.number(key, low, high, default)
        if value != int(value):
            self.fault(
                key,
                "not-a-number",
                _(
                    "%(key)s %(value)s is not whole; write one from %(low)s to %(high)s",
                    key=key,
                    value=figure(value, "g"),
                    low=low,
                    high=high,
                ),
                _("Enter a whole number from %(low)s to %(high)s.", low=low, high=high),
            )
        return int(value)

    def yes(self, key: str) -> bool:
        """Return true or false; false when absent."""
        value = self.take(key)
        if value is None:
            return False
        if not isinstance(value, bool):
            self.fault(
                key,
                "wrong-kind",
                _("%(value)s will not do; write true or false", value=show_value(value)),
            )
        return value is True

    def choice(self, key: str, words: Collection[str], default: str) -> str:
        """Return one of the words, the default when absent."""
        value = self.text(key) or default
        if value not in words:
            self.fault(
                key,
                "unknown",
                _(
                    "%(value)s is not known; write %(words)s",
                    value=show_value(value),
                    words=list_words(words),
                ),
            )
            return default
        return value

    def objects(self, key: str) -> list[Fields]:
        """Return a list of objects as fields of their own; empty when absent."""
        value = self.take(key)
        if value is None:
            return []
        if not isinstance(value, list) or not all(isinstance(entry, dict) for entry in value):
            self.fault(key, "wrong-kind", _("“%(key)s” must be a list of objects: [{…}]", key=key))
            return []
        return [
            Fields(f"{self.place}, {key} {n}", entry, self.faults)
            for n, entry in enumerate(value, 1)
        ]

    def done(self, *, ignores_others: bool = False) -> None:
        """Report fields that are not known here.

        Args:
            ignores_others: Whether to report only those that look like a slip for a known one:
                other programs add fields of their own.
        """
        for key in self.values:
            if key in self._asked:
                continue
            if not ignores_others or get_close_matches(key.lower(), self._asked, 1, SLIP):
                self.fault(
                    key,
                    "unknown",
                    _("%(key)s is not known here; leave it out", key=show_value(key)),
                )


def is_number(value: object) -> bool:
    """Tell whether a value of a JSON file is a number that can be measured with."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return False
    return abs(value) < LARGEST if isinstance(value, int) else math.isfinite(value)
