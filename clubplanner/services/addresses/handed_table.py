"""Whose addresses there are, squad by squad, as tables to take away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.addresses.handing_out import SquadLine
    from clubplanner.services.addresses.mailed_addresses import MailedLine


def handed_out_tables(
    squads: Sequence[SquadLine], mailed: Sequence[MailedLine]
) -> tuple[Table, Table]:
    """Return how many addresses each squad has, and what was mailed in the last two weeks."""
    columns = (
        Column(_("Squad")),
        Column(_("Coaches")),
        Column(_("Addresses in use"), Kind.NUMBER),
    )
    rows = [(one.name, one.coaches, one.in_use) for one in squads]
    of_mails = (Column(_("Recipient")), Column(_("Subject")), Column(_("State")))
    sent = [(one.to, one.subject, one.state) for one in mailed]
    return Table(_("Addresses of squads"), columns, rows), Table(_("Mailed"), of_mails, sent)
