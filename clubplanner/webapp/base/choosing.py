"""Choosing from a list that may be very long: the words that are looked for in a form.

Beside each long list of a form stands a field for a part of the name (`find-` and the list's name)
and a button that sends the form for a look alone: what was typed comes back, with what was found.
The words of the look before are sent along (`found-`), so that Enter in the field looks, too, and
nothing is done by a form whose words nobody has looked for yet. It needs no script.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import request

from clubplanner.services.showing.choosing.narrowing import MOST_SELECTED, MOST_TICKED, offer
from clubplanner.webapp.base.once import let_go

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from flask import Flask

    from clubplanner.services.showing.choosing.choices import Choice
    from clubplanner.services.showing.choosing.narrowing import Offered

LOOK = "look-for"
FIND, FOUND = "find-", "found-"
LONGEST = 100
"""So many letters are looked for; nobody types more by hand."""


def register(app: Flask) -> None:
    """Add what the macros of `_choosing.html` ask to what templates may call."""
    app.add_template_global(offered)
    app.add_template_global(looked_for)
    app.jinja_env.globals.update(most_ticked=MOST_TICKED, most_selected=MOST_SELECTED)


def offered(name: str, choices: Sequence[Choice], chosen: Collection[str], most: int) -> Offered:
    """Return what the form that is shown offers of a list, after the words that were sent.

    Args:
        name: The list's name in the form.
        choices: The whole list.
        chosen: The values that are chosen.
        most: Up to how many entries it is offered whole.
    """
    return offer(choices, chosen, request.values.get(FIND + name, "")[:LONGEST], most=most)


def looked_for() -> str:
    """Return the name of the list that was just looked through; blank for none."""
    sent = request.values
    if sent.get(LOOK):
        return sent[LOOK]
    for field, words in sent.items():
        if field.startswith(FIND):
            name = field.removeprefix(FIND)
            if words.strip() != sent.get(FOUND + name, "").strip():
                return name
    return ""


def only_looks() -> bool:
    """Tell whether a form was sent for a look alone; then it may be sent again.

    A view asks this first, and shows its page with what was typed.
    """
    if not looked_for():
        return False
    let_go()
    return True
