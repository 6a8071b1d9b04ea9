"""Surface: grass, artificial, indoor: what the squad's ask says will do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance
from clubplanner.language import _, marked, term

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("surface")


def surface(case: Case) -> Hindrance | None:
    """Refuse ground of a surface that the ask does not name."""
    if case.ask is None or not case.ask.surfaces or case.pitch.surface in case.ask.surfaces:
        return None
    return Hindrance(
        NAME,
        _(
            "%(pitch)s is %(surface)s; %(squad)s ask for %(surfaces)s.",
            pitch=case.pitch.name,
            surface=term(case.pitch.surface),
            squad=case.holder,
            surfaces=", ".join(sorted(term(one) for one in case.ask.surfaces)),
        ),
        is_own=True,
    )
