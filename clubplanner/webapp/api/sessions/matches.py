"""Matches at home: arranged, changed, given their ground, called off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.problems import Problem
from clubplanner.domain.times.times import minute_from_clock
from clubplanner.errors import FaultyInputError
from clubplanner.inputs.club_files.fixtures import FixtureLine
from clubplanner.language import _
from clubplanner.services.evening.matches.booking import place_match
from clubplanner.services.evening.matches.booking import see_match as see_match_page
from clubplanner.services.evening.matches.changes import (
    bring_back_for,
    call_off,
    change_match,
    see_made_way,
)
from clubplanner.services.evening.matches.fixture_rows import add_fixture, list_match_formats
from clubplanner.services.evening.matches.whole import list_whole_matches, see_whole_match
from clubplanner.services.places.coming_back import chosen_of
from clubplanner.services.rows.named import keys_of_areas
from clubplanner.webapp.api.frame.cursors import leaf_of
from clubplanner.webapp.api.frame.faults_at import at_members
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import LeafQuery
from clubplanner.webapp.api.sessions.match_values import (
    GroundChosen,
    GroundOption,
    MatchForeseen,
    MatchGround,
    MatchLeaf,
    MatchValue,
    MatchWritten,
    match_value,
)
from clubplanner.webapp.api.shared.coming_back_values import (
    BackChosen,
    MadeWayValue,
    coming_back,
)
from clubplanner.webapp.api.shared.displaced_values import decisions_of, displaced_values
from clubplanner.webapp.api.shared.ground_at import Place, area_at, squad_at
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from clubplanner.services.evening.matches.booking import MatchPage

MEMBERS = {"date": "/day"} | {name: f"/{name}" for name in ("format", "opponent", "squad")}


@operation("GET", "/matches", answer=MatchLeaf, query=LeafQuery)
@for_squads
def list_matches(query: LeafQuery) -> MatchLeaf:
    """List matches at home that are not over, by date."""
    state = app_state()
    found = list_whole_matches(state.store, state.clock())
    leaf, following = leaf_of(
        found, lambda one: (one.fixture.day.isoformat(), one.number), query, (str, int)
    )
    return MatchLeaf(items=[match_value(one) for one in leaf], next=following)


@operation("GET", "/matches/<int:number>", answer=MatchValue)
@for_squads
def see_match(number: int) -> MatchValue:
    """Show one match."""
    return match_value(see_whole_match(app_state().store, number))


@operation("POST", "/matches", answer=MatchValue, status=201, takes=MatchWritten)
@for_squads
def arrange(body: MatchWritten) -> Done:
    """Add a match at home; its form and length follow from the squad's age if left out."""
    store = app_state().store
    line = _line(body)
    squad_at(body.squad)
    _check_form(body)
    try:
        number = add_fixture(store, line)
    except FaultyInputError as fault:
        raise at_members(fault, lambda where: MEMBERS.get(where, "")) from fault
    return done(see_match, number=number)


@operation("PUT", "/matches/<int:number>", answer=MatchValue, takes=MatchWritten)
@for_squads
def change(number: int, body: MatchWritten, present: MatchValue) -> Done:
    """Change a match, all of it but whose it is.

    At another time it keeps its ground where that is free, and gives it back where it is not.
    """
    if body.squad != present.squad:
        words = _("A match stays its squad's; call it off, and add one.")
        raise FaultyInputError([Problem("/squad", "stays", words)])
    _check_form(body)
    state = app_state()
    try:
        change_match(state.store, number, _line(body), state.clock())
    except FaultyInputError as fault:
        raise at_members(fault, lambda where: MEMBERS.get(where, "")) from fault
    return done(see_match, number=number)


@operation("GET", "/matches/<int:number>/returns", answer=MadeWayValue)
@for_squads
def see_returns(number: int) -> MadeWayValue:
    """Say who made way for a match, also one called off, and could come back."""
    state = app_state()
    shown = see_made_way(state.store, number, state.clock())
    return MadeWayValue(is_called_off=shown.is_called_off, returns=coming_back(shown.returns))


@operation(
    "POST", "/matches/<int:number>/returns", answer=MadeWayValue, takes=BackChosen, of=see_returns
)
@for_squads
def bring_back(number: int, body: BackChosen) -> Done:
    """Bring sessions back to ground that a match gave back."""
    state = app_state()
    shown = see_made_way(state.store, number, state.clock())
    back = chosen_of(shown.returns, body.bookings)
    bring_back_for(state.store, number, state.clock(), back)
    return done(see_returns, number=number)


@operation("GET", "/matches/<int:number>/ground", answer=MatchGround)
@for_squads
def see_match_ground(number: int) -> MatchGround:
    """Say what a match needs, and which ground and kick-offs do."""
    state = app_state()
    page = see_match_page(state.store, number, state.clock())
    keys = keys_of_areas(state.store, {one.area_id for one in page.options})
    options = [
        GroundOption(
            place=Place(pitch=keys[one.area_id][0], area=keys[one.area_id][1]),
            kick_off=one.kick_off,
            words=one.place,
            needed=one.needed,
            displaces=one.displaces,
            cautions=list(one.cautions),
            is_full_size=one.is_full_size,
        )
        for one in page.options
    ]
    return MatchGround(needs=page.needs, options=options)


@operation(
    "POST",
    "/matches/<int:number>/look",
    answer=MatchForeseen,
    takes=GroundChosen,
    is_once=False,
)
@for_squads
def look_at_ground(number: int, body: GroundChosen) -> MatchForeseen:
    """Say whom a choice of ground displaces, and where each can go; nothing is changed."""
    return MatchForeseen(displaced=displaced_values(_chosen(number, body).displaced))


@operation(
    "POST", "/matches/<int:number>/ground", answer=MatchValue, takes=GroundChosen, of=see_match
)
@for_squads
def give_ground(number: int, body: GroundChosen) -> Done:
    """Give a match its ground, and settle the trainings that it displaces."""
    state = app_state()
    decisions = decisions_of(body.decisions)
    if decisions is None:
        displaced = _chosen(number, body).displaced
        decisions = {one.number: one.chosen for one in displaced}
    place_match(state.store, number, _choice(body), decisions, state.clock())
    return done(see_match, number=number)


@operation("POST", "/matches/<int:number>/call-off", answer=MatchLeaf, of=see_match)
@for_squads
def call_match_off(number: int) -> Done:
    """Call a match off; its ground is given back. The answer is the first leaf of those ahead."""
    state = app_state()
    call_off(state.store, number, state.clock())
    return done(list_matches)


def _chosen(number: int, body: GroundChosen) -> MatchPage:
    state = app_state()
    return see_match_page(state.store, number, state.clock(), _choice(body))


def _choice(body: GroundChosen) -> tuple[int, int]:
    return area_at(body.place), minute_from_clock(body.kick_off)


def _check_form(body: MatchWritten) -> None:
    if body.format and body.format not in dict(list_match_formats(app_state().store)):
        words = _("Choose a form of the game, or leave it to the squad's age.")
        raise FaultyInputError([Problem("/format", "no-such-format", words)])


def _line(body: MatchWritten) -> FixtureLine:
    earliest = minute_from_clock(body.kick_off)
    latest = minute_from_clock(body.latest_kick_off) if body.latest_kick_off else earliest
    if latest < earliest:
        words = _("The latest kick-off must not come before the earliest.")
        raise FaultyInputError([Problem("/latest_kick_off", "order", words)])
    return FixtureLine(
        row=0,
        squad=body.squad,
        day=body.day,
        kick_off_from=earliest,
        kick_off_to=latest,
        opponent=body.opponent.strip(),
        format_code=body.format,
        minutes=body.minutes,
        warm_up_minutes=None,
        after_minutes=None,
        pitch_name="",
        officials=body.officials.strip(),
        opponents=body.opponents.strip(),
        note=body.note.strip(),
    )
