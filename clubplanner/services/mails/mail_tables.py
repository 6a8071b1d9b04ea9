"""The newest mails, and what no mail has told, as tables to take away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from clubplanner.services.mails.mails_page import MailsPage


def mail_tables(page: MailsPage, zone: ZoneInfo) -> tuple[Table, Table]:
    """Return the mails of the page and the squads with changes that none has told."""
    columns = (
        Column(_("Recipient")),
        Column(_("About")),
        Column(_("Made"), Kind.INSTANT),
        Column(_("State")),
    )
    rows = [(one.to, one.about, one.made_at, one.state) for one in page.mails]
    waiting = (
        Column(_("Squad")),
        Column(_("About to be mailed"), Kind.NUMBER),
        Column(_("In the calendar alone"), Kind.NUMBER),
    )
    squads = [(one.name, one.wanted, one.calendar_only) for one in page.waiting]
    return (
        Table(_("Mails"), columns, rows, zone=zone),
        Table(_("Not told by mail"), waiting, squads),
    )
