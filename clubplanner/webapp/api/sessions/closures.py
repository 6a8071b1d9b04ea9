"""Closed ground and conditions, for the secretary and the groundskeeper."""

from __future__ import annotations

from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.language import _
from clubplanner.services.evening.closures import changes
from clubplanner.services.evening.closures.closing import ClosureWish, close_ground, foresee_closure
from clubplanner.services.evening.closures.reopening import reopen_ground
from clubplanner.services.evening.closures.whole import list_whole_closures, see_whole_closure
from clubplanner.services.places.coming_back import proposed
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.api.frame.cursors import leaf_of
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import LeafQuery
from clubplanner.webapp.api.sessions.closure_values import (
    ClosureChange,
    ClosureForeseen,
    ClosureLeaf,
    ClosureValue,
    ClosureWritten,
    OpenQuery,
    closure_line,
    closure_value,
)
from clubplanner.webapp.api.shared.displaced_values import decisions_of, displaced_values
from clubplanner.webapp.api.shared.ground_at import area_at, during_at
from clubplanner.webapp.base.security import for_grounds
from clubplanner.webapp.base.state import app_state


@operation("GET", "/closures", answer=ClosureLeaf, query=LeafQuery)
@for_grounds
def list_closed(query: LeafQuery) -> ClosureLeaf:
    """List what is closed or open with a condition, now and ahead, by number."""
    state = app_state()
    found = list_whole_closures(state.store, state.clock())
    leaf, following = leaf_of(found, lambda one: (one.number,), query, (int,))
    zone = club_zone(state.store)
    return ClosureLeaf(items=[closure_line(one, zone) for one in leaf], next=following)


@operation("GET", "/closures/<int:number>", answer=ClosureValue)
@for_grounds
def see_closed(number: int) -> ClosureValue:
    """Show one closure, and who could come back were it opened."""
    state = app_state()
    whole = see_whole_closure(state.store, number, state.clock())
    return closure_value(whole, club_zone(state.store))


@operation("POST", "/closures/look", answer=ClosureForeseen, takes=ClosureWritten, is_once=False)
@for_grounds
def look_at_closing(body: ClosureWritten) -> ClosureForeseen:
    """Say whom closing ground displaces and where each can go; nothing is changed."""
    state = app_state()
    foreseen = foresee_closure(state.store, _wish(body), state.clock())
    return ClosureForeseen(
        place=foreseen.place, when=foreseen.when, displaced=displaced_values(foreseen.displaced)
    )


@operation("POST", "/closures", answer=ClosureValue, status=201, takes=ClosureWritten)
@for_grounds
def close(body: ClosureWritten) -> Done:
    """Close ground, and settle every session that stands on it, or open it with a condition."""
    state = app_state()
    made = close_ground(state.store, _wish(body), decisions_of(body.decisions), state.clock())
    return done(see_closed, number=made.number)


@operation("PATCH", "/closures/<int:number>", answer=ClosureValue, takes=ClosureChange)
@for_grounds
def change_closed(number: int, body: ClosureChange, present: ClosureValue) -> Done:
    """Change a closure from now on; what the body leaves out stays.

    Who else has to go is settled, and who is proposed comes back.
    """
    state = app_state()
    condition = Condition(body.condition or present.condition)
    words = present.words if body.words is None else body.words
    change = changes.ClosureChange(
        area_at(body.place or present.place),
        body.ends_at or present.ends_at,
        condition,
        body.reason or present.reason,
        _allowed(condition, words),
    )
    decisions, now = decisions_of(body.decisions), state.clock()
    changes.change_closure(state.store, number, change, decisions, None, now, stand=present.stand)
    return done(see_closed, number=number)


@operation("DELETE", "/closures/<int:number>", answer=ClosureValue, query=OpenQuery)
@for_grounds
def open_again(number: int, query: OpenQuery, present: ClosureValue) -> Done:
    """Open ground again from now on; what is left of the closure is withdrawn."""
    state = app_state()
    now = state.clock()
    back = {}
    if query.bring_back:
        back = proposed(see_whole_closure(state.store, number, now).returns)
    reopen_ground(state.store, number, now, back, stand=present.stand)
    return done(see_closed, number=number)


def _wish(body: ClosureWritten) -> ClosureWish:
    condition = Condition(body.condition)
    return ClosureWish(
        area_at(body.place),
        during_at(body.starts_at, body.ends_at),
        condition,
        body.reason,
        _allowed(condition, body.words),
    )


def _allowed(condition: Condition, words: str) -> str:
    """Return what a condition allows; only one of another kind has words of its own."""
    if condition is not Condition.OTHER:
        return ""
    if not words.strip():
        told = _("Say what is allowed: “walking football only”.")
        raise FaultyInputError([Problem("/words", "missing", told)])
    return words.strip()
