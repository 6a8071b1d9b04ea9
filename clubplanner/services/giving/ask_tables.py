"""Who waits for ground, what was decided, and what is offered, as tables to take away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _, sentence, term
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.giving.swap_pages import SwapLine
    from clubplanner.services.giving.waiting_list import AskLine


def ask_tables(asks: Sequence[AskLine], swaps: Sequence[SwapLine]) -> tuple[Table, Table]:
    """Return the asks, waiting ones in fair order before the others, and the offers."""
    of_asks = (
        Column(_("Squad")),
        Column(_("Date"), Kind.DATE),
        Column(_("Asks for")),
        Column(_("Asked by")),
        Column(_("Note")),
        Column(_("State")),
        Column(_("Answer")),
    )
    asked = [
        (
            ask.squad_name,
            ask.on,
            sentence(ask.words),
            ask.by,
            ask.note,
            sentence(term(ask.state.value)),
            ask.answer,
        )
        for ask in asks
    ]
    of_swaps = (
        Column(_("No."), Kind.NUMBER),
        Column(_("Offers")),
        Column(_("For")),
        Column(_("Offered by")),
        Column(_("Note")),
        Column(_("Cannot be done any more")),
    )
    offered = [
        (swap.number, swap.own, swap.other, swap.by, swap.note, " ".join(swap.hindered))
        for swap in swaps
    ]
    return Table(_("Asks"), of_asks, asked), Table(_("Offers"), of_swaps, offered)
