"""A squad's page for its families, its feed and its pictures, behind one unguessable address."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from flask import Blueprint, make_response, render_template, request, url_for

from clubplanner.domain.times.times import clock_in_zone
from clubplanner.language import _
from clubplanner.outputs.drawings.qr import draw_qr
from clubplanner.services.calendars.feeds import draw_area_map
from clubplanner.services.coach.ground_page import see_ground
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.base.asked_days import asked_day
from clubplanner.webapp.base.knowing import note_had
from clubplanner.webapp.base.security import by_address
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.coach.fits import (
    led_to_fits,
    send_fit_picture,
    send_kept_fits,
    send_picture,
    show_fits,
)

if TYPE_CHECKING:
    from flask import Response
    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.services.addresses.links import OwnSquad

pages = Blueprint("ground", __name__, url_prefix="/ground")


@dataclass(frozen=True, slots=True)
class Room:
    """Where a squad's pages are: behind its address, or among a coach's own.

    Attributes:
        blueprint: Whose endpoints lead to the pages.
        place: What their addresses are made of.
        view: The endpoint of the squad's ground on a date.
    """

    blueprint: str
    place: dict[str, str]
    view: str = "see"

    def address(self, view: str, **values: Any) -> str:
        """Return the address of one of the squad's pages, or of a part of one."""
        parts: dict[str, Any] = {**self.place, **values}
        return url_for(f"{self.blueprint}.{view}", **parts)

    def ground(self, **values: Any) -> str:
        """Return the address of the squad's ground."""
        return self.address(self.view, **values)


def room_of(secret: str) -> Room:
    """Return where the pages behind a squad's address are."""
    return Room("ground", {"secret": secret})


@pages.get("/<secret>")
@by_address
def see(secret: str) -> BaseResponse:
    """Show families the squad's ground on a date, what comes, and how to have it in a calendar."""
    room = room_of(secret)
    led = led_to_fits(room)
    if led is not None:
        return led
    state = app_state()
    page = see_ground(state.store, secret, asked_day(), state.clock())
    feed_address = f"{state.config.public_address}/ground/{secret}/sessions.ics"
    webcal = "webcal://" + feed_address.partition("://")[2]
    html = render_template(
        "coach/families.html",
        page=page,
        room=room,
        feed_address=feed_address,
        webcal_address=webcal,
        feed_code=draw_qr(webcal, _("The calendar of %(squad)s", squad=page.squad.name)),
        seen_at=clock_in_zone(state.clock(), club_zone(state.store)),
    )
    if "date" not in request.args:  # another day's page does not tell of what comes next
        note_had(secret)
    return make_response(html)


@pages.get("/<secret>/fits")
@by_address
def fits(secret: str) -> BaseResponse:
    """Show what fits at one of the squad's sessions, for the numbers typed."""
    return show_fits(secret, room_of(secret))


@pages.get("/<secret>/sessions.ics")
@by_address
def feed(secret: str) -> BaseResponse:
    """Send the squad's calendar; an unchanged one is answered without a body."""
    return send_feed(secret)


def send_feed(secret: str) -> BaseResponse:
    """Send the calendar behind an address; an unchanged one is neither built nor written."""
    state = app_state()
    if request.if_none_match:
        digest = state.feeds.unchanged_digest(state.store, secret, state.clock())
        if digest is not None and request.if_none_match.contains(digest):
            note_had(secret, feed=True)
            return _as_feed(make_response(b""), digest)
    file = state.feeds.build(state.store, secret, state.config.public_address, state.clock())
    note_had(secret, feed=True)
    is_known = request.if_none_match.contains(file.digest)
    response = make_response(b"" if is_known else file.data)
    response.headers["Content-Disposition"] = f'inline; filename="{_plain_name(file.name)}"'
    return _as_feed(response, file.digest)


def _as_feed(response: Response, digest: str) -> BaseResponse:
    response.headers["Content-Type"] = "text/calendar; charset=utf-8"
    response.headers["Cache-Control"] = "private, no-cache"
    response.set_etag(digest)
    return response.make_conditional(request)


@pages.get("/<secret>/map/<int:number>.png")
@by_address
def area_map(secret: str, number: int) -> BaseResponse:
    """Send the map of one booking."""
    return send_area_map(secret, number)


@pages.get("/<secret>/fit/<int:number>/<name>.png")
@by_address
def fit_picture(secret: str, number: int, name: str) -> BaseResponse:
    """Send one of the drawings of what fits, for the numbers in the address."""
    return send_fit_picture(secret, number, name)


@pages.get("/<secret>/fits.json")
@by_address
def kept_fits(secret: str) -> BaseResponse:
    """Send answers for a number of players, for a browser to keep."""
    return send_kept_fits(secret, room_of(secret))


def send_area_map(way: str | OwnSquad, number: int) -> BaseResponse:
    """Send the map of one booking of a squad."""
    return send_picture(draw_area_map(app_state().store, way, number))


def _plain_name(name: str) -> str:
    """Return a file name of ASCII letters only, for the header."""
    stem = name.removesuffix(".ics").encode("ascii", "ignore").decode().strip("-")
    return f"{stem or 'sessions'}.ics"
