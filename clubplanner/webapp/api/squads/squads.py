"""Squads and what they ask for: a secretary's to change, a coach's own to read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.errors import FaultyInputError
from clubplanner.services.setup.squads.whole import (
    list_whole_squads,
    save_whole_squad,
    see_whole_squad,
)
from clubplanner.webapp.api.frame.cursors import leaf_of
from clubplanner.webapp.api.frame.faults_at import at_members
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import LeafQuery
from clubplanner.webapp.api.shared.squad_values import (
    SquadChange,
    SquadLeaf,
    SquadValue,
    squad_value,
)
from clubplanner.webapp.base.security import for_coach, for_squads, signed_in_person
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from collections.abc import Collection

    from clubplanner.domain.club.people import Person

NEW = ""
MEMBERS = {
    "squad": "/name",
    "age group": "/age_group",
    "players": "/players",
    "goalkeepers": "/goalkeepers",
    "club": "/club",
    "coach": "/coaches/0/name",
    "coach e-mail": "/coaches/0/email",
    "coach phone": "/coaches/0/phone",
    "coach_person": "/first_coach",
    "coach_is": "/coach_is",
    "assistants": "/coaches",
}
"""Where the columns of the squads file stand in a body."""
ASK_MEMBERS = {
    "sessions a week": "sessions",
    "minutes": "minutes",
    "possible": "possible",
    "preferred": "preferred",
    "least ground": "least_ground",
    "surface": "surfaces",
    "needs goal": "needs_goal",
    "needs light": "needs_light",
    "priority": "priority",
    "latest finish": "latest_finish",
    "rest days": "rest_days",
    "free day before": "no_day_before",
    "free day after": "no_day_after",
    "evenings in a row": "most_in_a_row",
    "wishes": "wishes",
    "other squads": "partners",
}
"""The same within an ask."""


@operation("GET", "/squads", answer=SquadLeaf, query=LeafQuery)
@for_coach
def list_squads(query: LeafQuery) -> SquadLeaf:
    """List squads with what they ask for, in the club's order.

    A coach's token lists their own, without anybody's address or telephone number.
    """
    person = signed_in_person()
    found = list_whole_squads(app_state().store, _own_keys(person))
    leaf, following = leaf_of(found, lambda one: (one.position, one.squad.key), query, (int, str))
    items = [squad_value(one, with_contact=person.keeps_squads) for one in leaf]
    return SquadLeaf(items=items, next=following)


@operation("GET", "/squads/<key>", answer=SquadValue)
@for_coach
def see_squad(key: str) -> SquadValue:
    """Show one squad."""
    person = signed_in_person()
    whole = see_whole_squad(app_state().store, key, _own_keys(person))
    return squad_value(whole, with_contact=person.keeps_squads).seen_at(whole.stand)


@operation("POST", "/squads", answer=SquadValue, status=201, takes=SquadChange)
@for_squads
def add_squad(body: SquadChange) -> Done:
    """Add a squad."""
    return _save(NEW, body, "")


@operation("PUT", "/squads/<key>", answer=SquadValue, takes=SquadChange)
@for_squads
def change_squad(key: str, body: SquadChange, present: SquadValue) -> Done:
    """Change a squad and what it asks for, as a whole.

    With another name its key changes, and what refers to it follows; see Content-Location.
    """
    return _save(key, body, present.stand)


def _save(key: str, body: SquadChange, stand: str) -> Done:
    state = app_state()
    asks = [one.ask(key) for one in body.asks]
    try:
        new_key = save_whole_squad(
            state.store,
            key,
            body.squad(),
            asks,
            stand,
            state.clock(),
            body.coach_is or "",
            body.first_coach,
        )
    except FaultyInputError as fault:
        raise at_members(fault, _member) from fault
    return done(see_squad, key=new_key)


def _member(where: str) -> str:
    number, _blank, column = where.partition(" ")
    if number.isdecimal():
        return f"/asks/{int(number) - 1}/{ASK_MEMBERS.get(column, '')}".rstrip("/")
    return MEMBERS.get(where, "")


def _own_keys(person: Person) -> Collection[str] | None:
    """Return which squads somebody may see; None where the services know it."""
    return None if person.keeps_squads else person.squad_keys
