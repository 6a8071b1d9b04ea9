"""A venue's week drawn over time: leafed through, chosen from, printed."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from flask import make_response, render_template, request, url_for

from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.outputs.papers.week_sheet import PAPERS
from clubplanner.services.evening.booked import BookedWish, booked_table, list_booked
from clubplanner.services.evening.weeks.paper import print_week
from clubplanner.services.evening.weeks.week import PITCHES, WeekWish, monday_of, see_week
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.showing.choosing.choices import first_venue
from clubplanner.services.showing.drawn_weeks import day_shown
from clubplanner.webapp.base.asked_days import asked_day
from clubplanner.webapp.base.forms import EARLIEST, LATEST
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import current_person, for_ground_seen, may_open
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_ground, wants_file
from clubplanner.webapp.evening.desk import pages

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.services.evening.weeks.offers import Offer

A_WEEK = timedelta(weeks=1)


@pages.get("/week")
@for_ground_seen
def week() -> str | BaseResponse:
    """Show a venue's week; a session that is chosen says where else it could go."""
    state = app_state()
    zone = club_zone(state.store)
    today = state.today(zone)
    if wants_file(has_ground=True):
        return _week_file(_wish(today))
    may_choose = may_open(current_person(), "desk.booking")
    wish = _wish(today)
    page = see_week(
        state.store,
        wish,
        state.clock(),
        lambda booking: _address(booking, wish, zone, may_choose=may_choose),
        (lambda offer: _place_address(wish.chosen, offer)) if may_choose else None,
    )
    return render_template(
        "evening/week.html",
        page=page,
        leaf=leaf_through(page.pitches, PITCHES, "pitch", start=page.pitch),
        link={"pitch": str(page.pitch + 1)} if page.pitch else {},
        before=page.monday - A_WEEK if page.monday - A_WEEK >= EARLIEST else None,
        after=page.monday + A_WEEK if page.monday + 2 * A_WEEK <= LATEST else None,
        this_week=monday_of(today),
    )


@pages.get("/week/<key>/<paper>.pdf")
@for_ground_seen
def week_sheet(key: str, paper: str) -> BaseResponse:
    """Send a venue's week as one sheet of A4 or A3."""
    if paper not in PAPERS:
        raise MissingError(_("A week is printed on A4 or A3; choose one on its page."))
    state = app_state()
    monday = _wish(state.today(club_zone(state.store))).monday
    response = make_response(print_week(state.store, key, monday, paper, state.clock()))
    response.headers["Content-Type"] = "application/pdf"
    name = f"week-{monday.isoformat()}-{paper}.pdf"
    response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    return response


def _week_file(wish: WeekWish) -> BaseResponse:
    """Send what is booked in the week that is shown, on all pitches of its venue."""
    store = app_state().store
    venue = wish.venue_key or first_venue(store)
    first, last = wish.day or wish.monday, wish.day or wish.monday + A_WEEK - timedelta(days=1)
    booked = list_booked(store, BookedWish(first, last, venue), tells_moves=True)
    return send_ground(*booked_table(_("Week"), booked))


def _wish(today: date) -> WeekWish:
    pitch, chosen = (_number(request.args.get(name, "")) for name in ("pitch", "chosen"))
    day = asked_day("day", LATEST - A_WEEK)
    monday = monday_of(day or asked_day("week", LATEST - A_WEEK) or today)
    return WeekWish(
        request.args.get("venue") or None,
        monday,
        day,
        0 if pitch is None else pitch - 1,
        chosen,
    )


def _number(text: str) -> int | None:
    return int(text) if text.isdecimal() and len(text) < 10 else None


def _address(booking: Booking, wish: WeekWish, zone: ZoneInfo, *, may_choose: bool) -> str:
    """Return where a booking leads: to itself on this page, in short; else to its evening."""
    day = day_shown(booking.during, zone)
    if not may_choose:
        at = booking.during.starts_at.astimezone(zone).strftime("%H:%M")
        return url_for("desk.evening", venue=wish.venue_key, date=day, at=at)
    query: dict[str, Any] = {"day": wish.day} if wish.day else {}
    return url_for("desk.week", _anchor="chosen", chosen=booking.number, **query)


def _place_address(chosen: int | None, offer: Offer) -> str:
    """Return where a place is looked at before a session is put there."""
    when: dict[str, Any] = {"date": offer.day, "from": offer.starts, "area": offer.area_id}
    return url_for("desk.look_at_move", number=chosen, **when)
