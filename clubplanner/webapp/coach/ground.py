"""A squad's ground, its feed and its pictures, all behind one unguessable address."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from flask import Blueprint, jsonify, make_response, render_template, request, url_for

from clubplanner.domain.times.times import clock_in_zone
from clubplanner.errors import RefusedError
from clubplanner.language import _, figure
from clubplanner.outputs.drawings.qr import draw_qr
from clubplanner.services.calendars.feeds import draw_area_map
from clubplanner.services.coach.fit_pictures import draw_fit_picture
from clubplanner.services.coach.ground_page import GroundPage, see_ground
from clubplanner.services.coach.kept_fits import (
    FEWEST_KEPT,
    MOST_KEEPERS,
    MOST_KEPT,
    see_fits_to_keep,
)
from clubplanner.services.coach.squad_evening import FitForm
from clubplanner.services.rows.club import club_zone
from clubplanner.webapp.base.filters import seen_words
from clubplanner.webapp.base.forms import EARLIEST, LATEST, Form
from clubplanner.webapp.base.knowing import note_had
from clubplanner.webapp.base.security import by_address
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from flask import Response
    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.services.addresses.links import OwnSquad

pages = Blueprint("ground", __name__, url_prefix="/ground")

KEPT = {"fewest": FEWEST_KEPT, "most": MOST_KEPT, "keepers": MOST_KEEPERS}
MOST_METRES = 200.0
MOST_PLAYERS = 60
FIT_FIELDS = ("players", "goalkeepers", "length", "width", "goals", "targets", "pace", "margin")


@pages.get("/<secret>")
@by_address
def see(secret: str) -> BaseResponse:
    """Show the squad's ground on a date, and what fits there for the numbers typed."""
    feed_address = f"{app_state().config.public_address}/ground/{secret}/sessions.ics"
    page = show(secret, Room("ground", {"secret": secret}, feed_address))
    if "date" not in request.args:  # another day's page does not tell of what comes next
        note_had(secret)
    return page


@dataclass(frozen=True, slots=True)
class Room:
    """Where a squad's pages are: behind its address, or among a coach's own.

    Attributes:
        blueprint: Whose endpoints lead to the parts of the page.
        place: What their addresses are made of.
        feed_address: The squad's calendar; blank where it is not known.
    """

    blueprint: str
    place: dict[str, str]
    feed_address: str = ""

    def address(self, view: str, **values: Any) -> str:
        """Return the address of a part of the page."""
        parts: dict[str, Any] = {**self.place, **values}
        return url_for(f"{self.blueprint}.{view}", **parts)


def show(way: str | OwnSquad, room: Room) -> BaseResponse:
    """Show a squad's ground on a date, for the numbers in the address."""
    form = Form(request.args)
    wish = read_fit(form)
    try:
        page = _see(way, FitForm() if form.problems else wish)
    except RefusedError as fault:
        form.fault("players", str(fault))
        page = _see(way, FitForm())
    values = {
        "players": str(page.players),
        "goalkeepers": str(page.goalkeepers),
        "length": "" if page.length_m is None else f"{page.length_m:g}",
        "width": "" if page.width_m is None else f"{page.width_m:g}",
        **form.values,
    }
    webcal = "webcal://" + room.feed_address.partition("://")[2]
    html = render_template(
        "coach/ground.html",
        page=page,
        values=values,
        problems=form.problems,
        room=room,
        webcal_address=webcal,
        feed_code=draw_qr(webcal, _("The calendar of %(squad)s", squad=page.squad.name))
        if room.feed_address
        else "",
        fit_query={} if form.problems else typed_fit(form),
        kept=KEPT,
        seen_at=clock_in_zone(app_state().clock(), club_zone(app_state().store)),
    )
    return make_response(html, 422 if form.problems else 200)


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
    return send_kept_fits(secret, Room("ground", {"secret": secret}))


def send_kept_fits(way: str | OwnSquad, room: Room) -> BaseResponse:
    """Send what fits for a number of players, each answer as a part of the page.

    Raises:
        RefusedError: If no answers are kept for the number in the address.
    """
    state = app_state()
    text = request.args.get("players", "")
    players = int(text) if text.isdecimal() and len(text) <= 4 else 0
    found = see_fits_to_keep(state.store, way, _chosen_day(), players, state.clock())
    answers = {
        f"{one.players} {one.goalkeepers}": render_template(
            "coach/_fits.html",
            page=found,
            session={"number": found.number, "fit": one.fit},
            room=room,
            fit_query={"players": one.players, "goalkeepers": one.goalkeepers},
        )
        for one in found.fits
    }
    note = _("No signal. This answer was fetched on %(seen_words)s.", seen_words=seen_words())
    response = jsonify(key=found.digest, note=note, answers=answers)
    response.headers["Cache-Control"] = "private, no-cache"
    return response


def send_area_map(way: str | OwnSquad, number: int) -> BaseResponse:
    """Send the map of one booking of a squad."""
    return _send_picture(draw_area_map(app_state().store, way, number))


def send_fit_picture(way: str | OwnSquad, number: int, name: str) -> BaseResponse:
    """Send one of the drawings of what fits a squad's session.

    Raises:
        RefusedError: If the numbers in the address cannot be used.
    """
    form = Form(request.args)
    wish = read_fit(form)
    if form.problems:
        raise RefusedError(form.problems[0].message)
    return _send_picture(draw_fit_picture(app_state().store, way, number, name, wish))


def _send_picture(data: bytes) -> BaseResponse:
    response = make_response(data)
    response.headers["Content-Type"] = "image/png"
    response.headers["Cache-Control"] = "private, max-age=300"
    response.add_etag()
    return response.make_conditional(request)


def _see(way: str | OwnSquad, wish: FitForm) -> GroundPage:
    state = app_state()
    return see_ground(state.store, way, _chosen_day(), wish, state.clock())


def _chosen_day() -> date | None:
    try:
        day = date.fromisoformat(request.args.get("date", ""))
    except ValueError:
        return None
    return day if EARLIEST <= day <= LATEST else None


def read_fit(form: Form) -> FitForm:
    """Read what the coach typed; fields left blank stay None."""
    players = _whole(form, "players", 1, _("Enter how many players come, 1 to 60."))
    keepers = _whole(form, "goalkeepers", 0, _("Enter how many of them keep goal, 0 to 60."))
    if players is not None and keepers is not None and keepers > players:
        form.fault("goalkeepers", _("Goalkeepers are counted among the players; enter fewer."))
    length, width = _metres(form, "length"), _metres(form, "width")
    if (length is None) != (width is None) and not form.problems:
        missing = "width" if width is None else "length"
        form.fault(missing, _("Enter both sides of the practice area, or neither."))
    return FitForm(
        players,
        keepers,
        length,
        width,
        _whole(form, "goals", 0, _("Enter how many portable goals there are, 0 to 60.")),
        _metres(form, "pace", (0.3, 1.5), "0.9"),
        _whole(form, "targets", 0, _("Enter how many small target goals there are, 0 to 60.")),
        _metres(form, "margin", (0.0, 20.0), "3"),
    )


def typed_fit(form: Form) -> dict[str, str]:
    """Return what was typed about the session, for the addresses of its pictures."""
    return {name: form.text(name) for name in FIT_FIELDS if form.text(name)}


def read_head_count(form: Form) -> tuple[int, int] | None:
    """Read how many come, and how many of them keep goal; None with a fault noted."""
    wish = read_fit(form)
    if wish.players is None and not form.problems:
        form.fault("players", _("Enter how many players come, 1 to 60."))
    if form.problems or wish.players is None:
        return None
    return wish.players, wish.goalkeepers or 0


def _whole(form: Form, name: str, least: int, message: str) -> int | None:
    text = form.text(name)
    if not text:
        return None
    if not text.isdecimal() or len(text) > 4 or not least <= int(text) <= MOST_PLAYERS:
        form.fault(name, message)
        return None
    return int(text)


def _metres(
    form: Form, name: str, limits: tuple[float, float] = (1.0, MOST_METRES), like: str = "12.5"
) -> float | None:
    text = form.text(name).replace(",", ".")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not limits[0] <= value <= limits[1]:
        form.fault(
            name,
            _(
                "Enter metres, %(low)s to %(high)s, like %(like)s.",
                low=figure(limits[0], "g"),
                high=figure(limits[1], "g"),
                like=like,
            ),
        )
        return None
    return value


def _plain_name(name: str) -> str:
    """Return a file name of ASCII letters only, for the header."""
    stem = name.removesuffix(".ics").encode("ascii", "ignore").decode().strip("-")
    return f"{stem or 'sessions'}.ics"
