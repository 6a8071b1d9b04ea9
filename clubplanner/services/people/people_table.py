"""Who coaches and who may sign in, as a table to take away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _, sentence, term
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.people.people import PersonLine


def people_table(lines: Sequence[PersonLine]) -> Table:
    """Return the people of the list, with all that it shows of them and nothing else."""
    columns = (
        Column(_("Name")),
        Column(_("Does")),
        Column(_("Club")),
        Column(_("E-mail address")),
        Column(_("Telephone")),
        Column(_("Squads")),
        Column(_("Assists with")),
        Column(_("May sign in")),
        Column(_("Browsers signed in"), Kind.NUMBER),
    )
    rows = [
        (
            line.person.name,
            sentence(term(line.person.role.value)),
            "" if line.person.scope is None else line.person.scope.club_name,
            line.person.email,
            line.phone,
            ", ".join(line.squad_names),
            ", ".join(line.assisted_names),
            _("yes") if line.may_sign_in else _("no"),
            line.browsers,
        )
        for line in lines
    ]
    return Table(_("People"), columns, rows)
