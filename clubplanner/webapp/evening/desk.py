"""The secretary's desk: the evening, and bookings by hand."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.club.people import Role
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.times import MINUTES_A_DAY, range_from_wall
from clubplanner.errors import ClashError, HinderedError, MissingError, OutdatedError, RefusedError
from clubplanner.language import _, sentence
from clubplanner.services.coach.coach_pages import refuse_evening_of_others
from clubplanner.services.evening.booked import BookedWish, booked_table, list_booked
from clubplanner.services.evening.bookings import (
    BookingDone,
    add_booking,
    move_booking,
    see_booking,
    see_where_booked,
    withdraw_booking,
)
from clubplanner.services.evening.closures.reopening import closures_of_day
from clubplanner.services.evening.evening import booking_choices, see_evening
from clubplanner.services.evening.fixed_sessions import fix_booking
from clubplanner.services.hires.pages import hire_of_booking
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.season.ahead import list_concerns_of_day
from clubplanner.services.showing.choosing.choices import first_venue
from clubplanner.webapp.base.asked_days import asked_day
from clubplanner.webapp.base.choosing import only_looks
from clubplanner.webapp.base.forms import (
    EARLIEST,
    LATEST,
    LONGEST_REASON,
    Form,
    chosen_minute,
    read_booking,
    read_overruling,
)
from clubplanner.webapp.base.security import (
    current_person,
    for_secretary,
    for_signed_in,
    for_squads,
    may_open,
    signed_in_person,
)
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_ground, wants_file

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.domain.club.told.concerns import Concern
    from clubplanner.services.evening.closures.reopening import ClosureHint
    from clubplanner.store.engine import Store

pages = Blueprint("desk", __name__, url_prefix="/desk")


@pages.get("/evening")
@for_signed_in
def evening() -> str | BaseResponse:
    """Show a venue's pitches at a chosen time and the whole day as a table.

    A coach sees an evening that one of their squads is part of; only the secretary sees forms.
    """
    return _evening_file() if wants_file(has_ground=True) else _evening_page(Form({}), 200)[0]


@pages.post("/bookings")
@for_squads
def add() -> str | BaseResponse:
    """Add a booking; with a fault the evening comes back with what was typed."""
    state = app_state()
    form = Form(request.form)
    overruling = read_overruling(form, request.form)
    if only_looks():
        return _evening_page(form, 200)[0]
    wish = read_booking(form, club_zone(state.store))
    if wish is not None:
        try:
            done = add_booking(state.store, wish, state.clock(), overruling)
        except HinderedError as fault:
            form.hinder(fault)
        except (ClashError, MissingError, RefusedError) as fault:
            form.problems.append(Problem("area", "clash", str(fault)))
        else:
            holder = wish.holder or _("the squad")
            words = _("Booked for %(holder)s.", holder=holder)
            return _back_to_evening(
                done,
                _("Booked for %(holder)s, against a rule.", holder=holder)
                if done.against
                else words,
            )
    page, status = _evening_page(form, 422)
    return _with_status(page, status)


@pages.get("/bookings/<int:number>")
@for_squads
def booking(number: int) -> str | BaseResponse:
    """Show one booking with the forms that move or withdraw it."""
    return _booking_page(number, Form({}))


@pages.post("/bookings/<int:number>/move")
@for_squads
def move(number: int) -> str | BaseResponse:
    """Move a booking."""
    state = app_state()
    form = Form(request.form)
    if only_looks():
        return _booking_page(number, form)
    area_id = form.number("area", _("Choose the ground."))
    during = form.during(club_zone(state.store))
    sequence = form.number("sequence", _("Open the booking again and repeat the change."))
    overruling = read_overruling(form, request.form)
    why = form.text("why", LONGEST_REASON)
    if area_id is not None and during is not None and sequence is not None and not form.problems:
        try:
            done = move_booking(
                state.store,
                number,
                sequence,
                area_id,
                during,
                state.clock(),
                overruling,
                why=why,
            )
        except HinderedError as fault:
            form.hinder(fault)
        except (ClashError, MissingError, OutdatedError, RefusedError) as fault:
            form.problems.append(Problem("area", "clash", str(fault)))
        else:
            return _back_to_evening(
                done, _("Moved, against a rule.") if done.against else _("Moved.")
            )
    return _with_status(_booking_page(number, form), 422)


@pages.post("/bookings/<int:number>/fix")
@for_secretary
def fix(number: int) -> str | BaseResponse:
    """Fix a session where it is, or let share-outs move it again."""
    state = app_state()
    form = Form(request.form)
    sequence = form.number("sequence", _("Open the booking again and repeat the change."))
    if sequence is None:
        return _with_status(_booking_page(number, form), 422)
    is_fixed = form.text("fixed") == "1"
    flash(fix_booking(state.store, number, sequence, state.clock(), is_fixed=is_fixed))
    return redirect(url_for("desk.booking", number=number))


@pages.post("/bookings/<int:number>/withdraw")
@for_squads
def withdraw(number: int) -> str | BaseResponse:
    """Withdraw a booking."""
    state = app_state()
    form = Form(request.form)
    sequence = form.number("sequence", _("Open the booking again and repeat the change."))
    why = form.text("why_off", LONGEST_REASON)
    if sequence is None or form.problems:
        return _with_status(_booking_page(number, form), 422)
    shown = see_booking(state.store, number)
    later = withdraw_booking(
        state.store, number, sequence, state.clock(), why=why, and_later="later" in request.form
    )
    words = _(
        "Withdrawn: %(holder)s, %(area_name)s. The ground is free.",
        holder=shown.holder,
        area_name=shown.area_name,
    )
    flash(words if later is None else f"{words} {sentence(later.words)}.")
    return redirect(url_for("desk.evening", venue=shown.venue_key, date=shown.day))


def _evening_file() -> BaseResponse:
    """Send what is booked on the day that is shown, at its venue."""
    store = app_state().store
    venue, day, known_at = _asked_evening()
    booked = list_booked(
        store,
        BookedWish(day, day, venue or first_venue(store)),
        known_at=known_at,
        tells_moves=True,
    )
    return send_ground(*booked_table(_("Evening"), booked))


def _asked_evening() -> tuple[str, date, datetime | None]:
    """Return venue, blank for the first, date and the instant as at which it is asked for.

    Raises:
        MissingError: If somebody asks for an evening of others.
    """
    state = app_state()
    day = asked_day() or state.today(club_zone(state.store))
    venue = request.values.get("venue") or ""
    person = signed_in_person()
    if person.role is Role.COACH:
        refuse_evening_of_others(state.store, person, venue, day)
        return venue, day, None
    return venue, day, _chosen_instant(state.store)


def _evening_page(form: Form, status: int) -> tuple[str, int]:
    state = app_state()
    zone = club_zone(state.store)
    today = state.today(zone)
    venue, day, known_at = _asked_evening()
    person = signed_in_person()
    may_roam = person.role is not Role.COACH
    may_change = may_open(person, "desk.booking") and known_at is None
    page = see_evening(
        state.store,
        venue or None,
        day,
        chosen_minute(),
        known_at,
        now=state.clock(),
        address=lambda b: (
            url_for("desk.booking", number=b.number)
            if may_change and person.looks_after(b.squad_key)
            else ""
        ),
    )
    choices = booking_choices(state.store, page.venue.value)
    values = {"date": day.isoformat(), "purpose": "training", **form.values}
    html = render_template(
        "evening/evening.html",
        page=page,
        choices=choices,
        values=values,
        problems=form.problems,
        hindered=form.hindered,
        today=today,
        zone=zone,
        may_roam=may_roam,
        concerns=[] if page.known_at else _concerns(day, page.venue.value),
        closed_here=() if page.known_at else _closed_here(page.venue.value, day, zone),
        before=day - timedelta(days=1) if day > EARLIEST else day,
        after=day + timedelta(days=1) if day < LATEST else day,
    )
    return html, status


def _concerns(day: date, venue_key: str) -> list[tuple[str, str, str]]:
    """Return what needs a hand on a date, of a venue among many: words, what to do, and where."""
    if not may_open(current_person(), "season.ahead"):
        return []
    state = app_state()
    concerns = list_concerns_of_day(state.store, day, state.clock(), venue_key)
    return [(concern.words, concern.remedy, _place_of(concern)) for concern in concerns]


def _closed_here(venue_key: str, day: date, zone: ZoneInfo) -> tuple[ClosureHint, ...]:
    """Return what is closed on a venue's day, and who could come back, for who may open ground."""
    if not may_open(current_person(), "season.closure"):
        return ()
    state = app_state()
    during = range_from_wall(day, 0, MINUTES_A_DAY, zone)
    return closures_of_day(state.store, venue_key, during, state.clock())


def _place_of(concern: Concern) -> str:
    """Return where a concern is met: its own page for who may open that, else the evening."""
    endpoint, *parts = concern.target.split(" ")
    if endpoint == "desk.evening" or not may_open(current_person(), endpoint):
        return "#table-heading"
    if endpoint in ("season.match", "desk.booking"):
        return url_for(endpoint, number=int(parts[0]))
    return url_for(endpoint)


def _booking_page(number: int, form: Form) -> str:
    state = app_state()
    shown = see_booking(state.store, number)
    values = {
        "area": str(shown.area_id),
        "date": shown.day,
        "from": shown.starts,
        "to": shown.ends,
        "sequence": str(shown.sequence),
        **form.values,
    }
    return render_template(
        "evening/booking.html",
        shown=shown,
        hire=hire_of_booking(state.store, number),
        choices=booking_choices(state.store, None),
        values=values,
        problems=form.problems,
        hindered=form.hindered,
    )


def _chosen_instant(store: Store) -> datetime | None:
    """Return the instant of “as it stood on”, read on the club's own clock; None for now."""
    try:
        wall = datetime.fromisoformat(request.args.get("known", ""))
        return wall.replace(tzinfo=club_zone(store)).astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def _back_to_evening(done: BookingDone, message: str) -> BaseResponse:
    at = see_where_booked(app_state().store, done.number)
    flash(message)
    return redirect(url_for("desk.evening", venue=at.venue, date=at.day, at=at.starts))


def _with_status(page: str, status: int) -> BaseResponse:
    return make_response(page, status)
