"""Calendars of coaches and pitches behind unguessable addresses, and the list of addresses."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for

from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, marked, term
from clubplanner.outputs.drawings.qr import draw_qr
from clubplanner.services.addresses.session_links import (
    list_session_links,
    withdraw_session_link,
)
from clubplanner.services.calendars.calendar_links import (
    LinkKind,
    LinkMade,
    LinkWish,
    create_link,
    link_choices,
    list_links,
    withdraw_link,
)
from clubplanner.services.calendars.calendar_page import see_calendar
from clubplanner.services.calendars.calendar_tables import address_tables
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.base.choosing import only_looks
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.knowing import note_had
from clubplanner.webapp.base.security import by_address, for_squads
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.coach.ground import send_area_map, send_feed

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("calendars", __name__)

REMINDERS = (
    (0, marked("None")),
    (30, marked("30 minutes")),
    (60, marked("1 hour")),
    (120, marked("2 hours")),
    (1440, marked("1 day")),
)
"""Minutes and words; 0 stands for none."""


@pages.get("/calendar/<secret>")
@by_address
def see(secret: str) -> str | BaseResponse:
    """Show what is booked and how to subscribe."""
    state = app_state()
    page = see_calendar(state.store, secret, state.config.public_address, state.clock())
    note_had(secret)
    return render_template("calendars/see.html", page=page, secret=secret)


@pages.get("/calendar/<secret>/bookings.ics")
@by_address
def feed(secret: str) -> BaseResponse:
    """Send the calendar; an unchanged one is answered without a body."""
    return send_feed(secret)


@pages.get("/calendar/<secret>/map/<int:number>.png")
@by_address
def area_map(secret: str, number: int) -> BaseResponse:
    """Send the map of one booking."""
    return send_area_map(secret, number)


@pages.get("/desk/addresses")
@for_squads
def listing() -> str | BaseResponse:
    """List the addresses in use, and the form for a new one."""
    if wants_file():
        store = app_state().store
        of_sessions = list_session_links(store, app_state().clock())
        return send_tables(*address_tables(list_links(store), of_sessions, club_zone(store)))
    return _list_page(Form(request.args), 200)


@pages.post("/desk/addresses")
@for_squads
def add() -> str | BaseResponse:
    """Make an address; it is shown once, for only its hash is kept."""
    state = app_state()
    form = Form(request.form)
    if only_looks():
        return _list_page(form, 200)
    wish = _read_wish(form)
    if wish is not None:
        try:
            made = create_link(state.store, wish, state.clock())
        except (MissingError, RefusedError) as fault:
            form.fault("holder", str(fault))
        else:
            return _made_page(made, wish.holder)
    return _list_page(form, 422)


@pages.post("/desk/addresses/<int:number>/withdraw")
@for_squads
def withdraw(number: int) -> str | BaseResponse:
    """Make one address useless."""
    state = app_state()
    holder = withdraw_link(state.store, number, state.clock())
    flash(_("Withdrawn: the address of %(holder)s opens nothing any more.", holder=holder))
    return redirect(url_for("calendars.listing"))


@pages.post("/desk/addresses/sessions/<int:number>/withdraw")
@for_squads
def withdraw_session(number: int) -> str | BaseResponse:
    """Make one address of a session useless."""
    state = app_state()
    holder = withdraw_session_link(state.store, number, state.clock())
    flash(_("Withdrawn: the address of %(holder)s opens nothing any more.", holder=holder))
    return redirect(url_for("calendars.listing"))


def _list_page(form: Form, status: int) -> BaseResponse:
    state = app_state()
    store = state.store
    html = render_template(
        "calendars/list.html",
        lines=list_links(store),
        session_lines=list_session_links(store, state.clock()),
        choices=link_choices(store).about,
        reminders=[(minutes, term(words)) for minutes, words in REMINDERS],
        values=form.values,
        problems=form.problems,
    )
    return make_response(html, status)


def _made_page(made: LinkMade, holder: str) -> str:
    address = f"{app_state().config.public_address}{made.path}"
    feed = f"{address}/{made.file}"
    webcal = "webcal://" + feed.partition("://")[2]
    return render_template(
        "calendars/made.html",
        holder=holder,
        address=address,
        feed=feed,
        webcal=webcal,
        page_code=draw_qr(address, _("The page for %(holder)s", holder=holder)),
        feed_code=draw_qr(webcal, _("The calendar for %(holder)s", holder=holder)),
    )


def _read_wish(form: Form) -> LinkWish | None:
    kind, _unused, subject = form.text("about").partition(":")
    if kind not in {k.value for k in LinkKind} or not subject:
        form.fault("about", _("Choose what the address is for."))
    holder = form.text("holder", 80)
    if not holder:
        form.fault("holder", _("Enter who gets it, so that it can be withdrawn one day."))
    minutes = form.text("reminder") or "0"
    if minutes not in {str(m) for m, _unused in REMINDERS}:
        form.fault("reminder", _("Choose a reminder, or none."))
    if form.problems:
        return None
    reminder = int(minutes) or None
    return LinkWish(LinkKind(kind), subject, holder, form.text("email", 254), reminder)
