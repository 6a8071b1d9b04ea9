"""Reading forms: every fault at once, each with its field, and nothing typed is lost."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from flask import request

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.hours_typed import TypedTimeError, range_typed
from clubplanner.domain.times.times import (
    TimeRange,
    minute_from_clock,
)
from clubplanner.language import _, term, without_isolates
from clubplanner.services.places.ruling import Overruling
from clubplanner.services.rows.bookings.booking_rows import BookingWish
from clubplanner.services.showing.choosing.choices import Choice

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from zoneinfo import ZoneInfo

    from werkzeug.datastructures import MultiDict

    from clubplanner.errors import HinderedError

EARLIEST, LATEST = date(2000, 1, 1), date(2199, 12, 31)
LONGEST_TEXT = 500
MOST_RULES = 50
MOST_DIGITS = 9
LONGEST_REASON = 120
"""Characters of why a session is off or elsewhere: it stands in titles and on boards."""


def told(choices: Sequence[Choice]) -> list[Choice]:
    """Tell the words of marked choices in the language spoken now."""
    return [Choice(choice.value, term(choice.words)) for choice in choices]


@dataclass(slots=True)
class Form:
    """A sent form: its raw values, and the problems found so far.

    Attributes:
        values: What was typed, by field.
        problems: Each names its field in `where`.
        hindered: The words of the rules that stand in the way of what was asked; the page tells
            them, and asks why it is done all the same.
    """

    values: Mapping[str, str]
    problems: list[Problem] = field(default_factory=list)
    hindered: tuple[str, ...] = ()

    def text(self, name: str, most: int = LONGEST_TEXT) -> str:
        """Return a text, stripped, without the signs that keep copied names apart."""
        value = without_isolates(self.values.get(name, "")).strip()
        if len(value) > most:
            self.fault(name, _("Use at most %(most)s characters here.", most=most))
        return value

    def fault(self, name: str, message: str) -> None:
        """Note a fault of one field."""
        self.problems.append(Problem(name, "form", message))

    def hinder(self, fault: HinderedError) -> None:
        """Note the rules that stand in the way; the reason's field is where they are met."""
        if "overrule" in self.values and not self.values.get("because", "").strip():
            self.fault("because", _("Say why it is done all the same."))
        self.hindered = tuple(one.words for one in fault.hindrances)
        for one in fault.hindrances:
            self.problems.append(Problem("because", "rule", one.words))

    def number(self, name: str, missing: str) -> int | None:
        """Return a whole number of up to nine digits, or None with a fault."""
        value = self.text(name)
        if not is_count(value):
            self.fault(name, missing)
            return None
        return int(value)

    def day(self, name: str) -> date | None:
        """Return a date, or None with a fault."""
        try:
            value = date.fromisoformat(self.text(name))
        except ValueError:
            self.fault(name, _("Enter the date as year-month-day, like 2026-11-25."))
            return None
        if not EARLIEST <= value <= LATEST:
            self.fault(name, _("Enter a date between 2000 and 2199."))
            return None
        return value

    def minute(self, name: str) -> int | None:
        """Return a minute of the day, or None with a fault."""
        try:
            return minute_from_clock(self.text(name))
        except ValueError:
            self.fault(name, _("Enter a time of day, like 17:30."))
            return None

    def during(self, zone: ZoneInfo) -> TimeRange | None:
        """Return the range given by the fields date, from and to; past midnight is the next day."""
        day, start, end = self.day("date"), self.minute("from"), self.minute("to")
        if day is None or start is None or end is None:
            return None
        try:
            return range_typed(day, start, end, zone)
        except TypedTimeError as fault:
            self.fault("from" if fault.is_start else "to", str(fault))
            return None


def read_booking(form: Form, zone: ZoneInfo) -> BookingWish | None:
    """Read the booking form; None when it has problems."""
    area_id = form.number("area", _("Choose the ground."))
    during = form.during(zone)
    word = form.text("purpose")
    purposes = [purpose.value for purpose in Purpose]
    if word not in purposes:
        form.fault("purpose", _("Choose what the booking is for."))
    squad = form.text("squad")
    squad_id = (
        form.number("squad", _("Choose a squad, or leave it at “nobody of ours”."))
        if squad
        else None
    )
    holder = form.text("who", 80)
    if not squad and not holder:
        form.fault("who", _("Choose a squad, or enter who it is for (or why it is closed)."))
    note = form.text("note")
    if form.problems or area_id is None or during is None:
        return None
    return BookingWish(area_id, during, Purpose(word), squad_id, holder, note, is_fixed=True)


def read_overruling(form: Form, sent: MultiDict[str, str]) -> Overruling:
    """Read whether rules are overruled: by the button for it, with a reason, and which were told.

    The rules told so far stay on the page, so that a reason typed for them is not lost.
    """
    told = [words[:LONGEST_TEXT] for words in sent.getlist("told")[:MOST_RULES]]
    form.hindered = tuple(told)
    because = form.text("because", LONGEST_REASON)
    return Overruling(because, frozenset(told)) if "overrule" in sent else Overruling()


def is_count(text: str) -> bool:
    """Tell whether a text is a whole number of at most `MOST_DIGITS`; Python reads none of 5000."""
    return text.isdecimal() and len(text) <= MOST_DIGITS


def chosen_minute() -> int | None:
    """Return the minute of the day that the address asks to be shown, None for none."""
    try:
        return minute_from_clock(request.args.get("at", ""))
    except ValueError:
        return None


def own_path(text: str) -> str:
    """Return a path of this app that a form brought along; blank when it leads elsewhere."""
    below = text.removeprefix(request.root_path)
    is_ours = text.startswith(f"{request.root_path}/") and not below.startswith(("//", "/\\"))
    return text if is_ours and text.isprintable() else ""
