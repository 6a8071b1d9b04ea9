"""Hires that were booked one by one, and the dates of one hire, as tables to take away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from collections.abc import Sequence
    from zoneinfo import ZoneInfo

    from clubplanner.services.hires.pages import HirePage, OtherHire


def other_hires_table(others: Sequence[OtherHire], zone: ZoneInfo) -> Table:
    """Return hires to come that no series holds, by hirer and next date."""
    columns = (
        Column(_("Hirer")),
        Column(_("Next time from"), Kind.INSTANT),
        Column(_("Until"), Kind.INSTANT),
        Column(_("Ground")),
        Column(_("Later ones"), Kind.NUMBER),
    )
    rows = [
        (one.name, one.during.starts_at, one.during.ends_at, one.place, one.later) for one in others
    ]
    return Table(_("Booked one by one"), columns, rows, zone=zone)


def hire_dates_table(page: HirePage, zone: ZoneInfo) -> Table:
    """Return the dates of a hire, booked or left out."""
    columns = (
        Column(_("Date"), Kind.DATE),
        Column(_("From"), Kind.INSTANT),
        Column(_("Until"), Kind.INSTANT),
        Column(_("Ground")),
        Column(_("State")),
        Column(_("Because")),
    )
    rows = [
        (
            one.on,
            None if one.during is None else one.during.starts_at,
            None if one.during is None else one.during.ends_at,
            "" if one.during is None else one.place or page.line.place,
            _("left out") if one.during is None else _("booked"),
            one.overruled,
        )
        for one in page.dates
    ]
    return Table(page.line.name, columns, rows, page.line.rhythm, zone)
