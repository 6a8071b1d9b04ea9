"""A coach's own pages: the next ground, what fits, the coming weeks, the calendar.

A session's ground is told in one place, `coach/_ground.html`: on the first page for the next day
that has one, on a squad's page for a date. No page leads from the one to the other for a session
that it shows itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, make_response, render_template

from clubplanner.domain.booked.waiting import AskState
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.addresses.links import OwnSquad, create_squad_link, draw_squad_code
from clubplanner.services.coach.coach_pages import list_squads, see_coach, see_weeks
from clubplanner.services.coach.coach_tables import weeks_table
from clubplanner.services.coach.ground_page import see_ground
from clubplanner.services.giving.swap_pages import list_swaps
from clubplanner.services.giving.waiting_list import list_asks
from clubplanner.webapp.base.asked_days import asked_day
from clubplanner.webapp.base.knowing import note_had
from clubplanner.webapp.base.security import for_coach, signed_in_person
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.coach.fits import (
    led_to_fits,
    send_fit_picture,
    send_kept_fits,
    show_fits,
)
from clubplanner.webapp.coach.ground import Room, send_area_map

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("coach", __name__, url_prefix="/coach")


@pages.get("")
@for_coach
def home() -> str:
    """Show the ground of the next day that has a session."""
    state = app_state()
    person = signed_in_person()
    page = see_coach(state.store, person, state.clock())
    note_had(person.number)
    answered = (AskState.GRANTED, AskState.REFUSED)
    return render_template(
        "coach/home.html",
        page=page,
        offers=[x for x in list_swaps(state.store, person, state.clock()) if not x.is_mine],
        answers=[x for x in list_asks(state.store, state.clock(), person) if x.state in answered],
    )


@pages.get("/weeks")
@for_coach
def weeks() -> str | BaseResponse:
    """Show the coming weeks, with what differs from the usual."""
    state = app_state()
    page = see_weeks(state.store, signed_in_person(), state.clock())
    if wants_file():
        return send_tables(weeks_table(page))
    return render_template("coach/weeks.html", page=page)


@pages.get("/calendar")
@for_coach
def calendar() -> str:
    """Show how sessions come into calendars, and notices to this phone."""
    squads = list_squads(app_state().store, signed_in_person())
    return render_template("coach/calendar.html", squads=squads)


@pages.get("/squads/<key>")
@for_coach
def squad(key: str) -> BaseResponse:
    """Show a squad's ground on a date."""
    way, room = _own(key), _room(key)
    led = led_to_fits(room)
    if led is not None:
        return led
    state = app_state()
    page = see_ground(state.store, way, asked_day(), state.clock())
    return make_response(render_template("coach/ground.html", page=page, room=room))


@pages.get("/squads/<key>/fits")
@for_coach
def fits(key: str) -> BaseResponse:
    """Show what fits at one of a squad's sessions, for the numbers typed."""
    return show_fits(_own(key), _room(key))


@pages.get("/squads/<key>/map/<int:number>.png")
@for_coach
def area_map(key: str, number: int) -> BaseResponse:
    """Send the map of one booking."""
    return send_area_map(_own(key), number)


@pages.get("/squads/<key>/fit/<int:number>/<name>.png")
@for_coach
def fit_picture(key: str, number: int, name: str) -> BaseResponse:
    """Send one of the drawings of what fits, for the numbers in the address."""
    return send_fit_picture(_own(key), number, name)


@pages.get("/squads/<key>/fits.json")
@for_coach
def kept_fits(key: str) -> BaseResponse:
    """Send answers for a number of players, for a browser to keep."""
    return send_kept_fits(_own(key), _room(key))


@pages.post("/squads/<key>/link")
@for_coach
def new_link(key: str) -> str:
    """Make a new address for the squad; it is shown once, for only its hash is kept."""
    state = app_state()
    holder = _("the squad, from %(signed_in_person)s", signed_in_person=signed_in_person().name)
    secret = create_squad_link(state.store, _own(key).key, holder, state.clock())
    address = f"{state.config.public_address}/ground/{secret}"
    code = draw_squad_code(address, _("the squad"))
    return render_template(
        "setup/squads/link.html", key=key, holder=_("the squad"), address=address, code=code
    )


def _room(key: str) -> Room:
    return Room("coach", {"key": key}, view="squad")


def _own(key: str) -> OwnSquad:
    """Return a squad that the person looks after; others look as if they were not there."""
    if not signed_in_person().looks_after(key):
        raise MissingError(_("You look after no such squad; ask the secretary if you should."))
    return OwnSquad(key)
