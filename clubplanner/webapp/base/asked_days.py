"""The date that an address asks for: one that cannot be shown is told, and the page shown without.

A date that somebody typed and sends is a form's (`forms.py`): with a fault nothing is done.
"""

from __future__ import annotations

from datetime import date

from flask import flash, request

from clubplanner.language import _, isolated
from clubplanner.webapp.base.forms import EARLIEST, LATEST

LONGEST_TOLD = 40
"""Letters of what was asked that are told back."""


def asked_day(name: str = "date", latest: date = LATEST) -> date | None:
    """Return the date that the address, or the form, of this request asks for.

    Args:
        name: Of the field.
        latest: The last date that the page can show.

    Returns:
        None where nothing is asked, or what is no date, or none from `EARLIEST` to `latest`; then
        the page says so.
    """
    text = request.values.get(name, "").strip()
    if not text:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        day = None
    if day is None or not EARLIEST <= day <= latest:
        words = _(
            "“%(typed)s” is no date that can be shown. Enter the date as year-month-day, "
            "like 2026-11-25.",
            typed=isolated(text[:LONGEST_TOLD]),
        )
        flash(words, "caution")
        return None
    return day
