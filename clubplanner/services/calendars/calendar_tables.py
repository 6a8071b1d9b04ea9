"""Addresses in use and calendars of others as tables to take away; never an address itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _, sentence, term
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from collections.abc import Sequence
    from zoneinfo import ZoneInfo

    from clubplanner.services.addresses.session_links import SessionLinkLine
    from clubplanner.services.calendars.busy_pages import BusyLine
    from clubplanner.services.calendars.calendar_links import LinkLine


def address_tables(
    lines: Sequence[LinkLine], of_sessions: Sequence[SessionLinkLine], zone: ZoneInfo
) -> tuple[Table, Table]:
    """Return the addresses in use, and those of single sessions; without their secret parts."""
    columns = (
        Column(_("Who has it")),
        Column(_("Kind")),
        Column(_("What for")),
        Column(_("Since"), Kind.INSTANT),
        Column(_("Notes")),
    )
    rows = [
        (one.holder, sentence(term(one.kind)), one.subject, one.since, one.notes) for one in lines
    ]
    by_session = (
        Column(_("Who has it")),
        Column(_("Session")),
        Column(_("Passed on by")),
        Column(_("Opens until")),
    )
    passed_on = [(one.holder, one.session, one.made_by, one.ends) for one in of_sessions]
    return (
        Table(_("Addresses"), columns, rows, zone=zone),
        Table(_("Addresses of sessions"), by_session, passed_on),
    )


def busy_table(lines: Sequence[BusyLine], zone: ZoneInfo) -> Table:
    """Return the calendars of others that count."""
    columns = (
        Column(_("Whose calendar")),
        Column(_("Ground")),
        Column(_("From where")),
        Column(_("Last read"), Kind.INSTANT),
        Column(_("Times booked"), Kind.NUMBER),
        Column(_("Waiting"), Kind.NUMBER),
        Column(_("Faults"), Kind.NUMBER),
    )
    rows = [
        (one.name, one.place, one.source, one.read_at, one.booked, one.waiting, one.problems)
        for one in lines
    ]
    return Table(_("Calendars of others"), columns, rows, zone=zone)
