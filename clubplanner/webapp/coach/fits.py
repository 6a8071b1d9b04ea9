"""What fits at a squad's session: the page, its pictures, and answers for a browser to keep."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import jsonify, make_response, redirect, render_template, request

from clubplanner.errors import RefusedError
from clubplanner.language import _, figure
from clubplanner.services.coach.coach_tables import fits_table
from clubplanner.services.coach.fits.fit_pictures import draw_fit_picture
from clubplanner.services.coach.fits.fits_page import FitsPage, see_fits
from clubplanner.services.coach.fits.kept_fits import (
    FEWEST_KEPT,
    MOST_KEEPERS,
    MOST_KEPT,
    see_fits_to_keep,
)
from clubplanner.services.coach.squad_evening import FitForm
from clubplanner.webapp.base.asked_days import asked_day
from clubplanner.webapp.base.filters import seen_words
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file

if TYPE_CHECKING:
    from datetime import date

    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.services.addresses.links import OwnSquad
    from clubplanner.webapp.coach.ground import Room

KEPT = {"fewest": FEWEST_KEPT, "most": MOST_KEPT, "keepers": MOST_KEEPERS}
MOST_METRES = 200.0
MOST_PLAYERS = 60
FIT_FIELDS = ("players", "goalkeepers", "length", "width", "goals", "targets", "pace", "margin")


def show_fits(way: str | OwnSquad, room: Room) -> BaseResponse:
    """Show what fits at a squad's session, for the numbers in the address."""
    form = Form(request.args)
    wish = read_fit(form)
    try:
        page = _see(way, FitForm() if form.problems else wish)
    except RefusedError as fault:
        form.fault("players", str(fault))
        page = _see(way, FitForm())
    if wants_file():
        return send_tables(fits_table(page))
    values = {
        "players": str(page.players),
        "goalkeepers": str(page.goalkeepers),
        "length": "" if page.length_m is None else f"{page.length_m:g}",
        "width": "" if page.width_m is None else f"{page.width_m:g}",
        **form.values,
    }
    html = render_template(
        "coach/fits.html",
        page=page,
        values=values,
        problems=form.problems,
        room=room,
        fit_query={} if form.problems else typed_fit(form),
        kept=KEPT,
    )
    return make_response(html, 422 if form.problems else 200)


def led_to_fits(room: Room) -> BaseResponse | None:
    """Lead to what fits whoever opens a squad's page with numbers typed, as it once took them."""
    if not any(name in request.args for name in FIT_FIELDS):
        return None
    return redirect(room.address("fits", **request.args))


def send_kept_fits(way: str | OwnSquad, room: Room, day: date | None = None) -> BaseResponse:
    """Send what fits for a number of players, each answer as a part of the page.

    Args:
        way: Whose.
        room: Where the pages are.
        day: The local date; None for that in the address.

    Raises:
        RefusedError: If no answers are kept for the number in the address.
    """
    state = app_state()
    text = request.args.get("players", "")
    players = int(text) if text.isdecimal() and len(text) <= 4 else 0
    found = see_fits_to_keep(
        state.store, way, day or asked_day(), _chosen_session(), players, state.clock()
    )
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


def send_fit_picture(way: str | OwnSquad, number: int, name: str) -> BaseResponse:
    """Send one of the drawings of what fits a squad's session.

    Raises:
        RefusedError: If the numbers in the address cannot be used.
    """
    form = Form(request.args)
    wish = read_fit(form)
    if form.problems:
        raise RefusedError(form.problems[0].message)
    return send_picture(draw_fit_picture(app_state().store, way, number, name, wish))


def send_picture(data: bytes) -> BaseResponse:
    """Send a PNG, for whoever asked to keep for some minutes."""
    response = make_response(data)
    response.headers["Content-Type"] = "image/png"
    response.headers["Cache-Control"] = "private, max-age=300"
    response.add_etag()
    return response.make_conditional(request)


def _chosen_session() -> int | None:
    text = request.args.get("session", "")
    return int(text) if text.isdecimal() and len(text) <= 9 else None


def _see(way: str | OwnSquad, wish: FitForm) -> FitsPage:
    state = app_state()
    return see_fits(state.store, way, asked_day(), _chosen_session(), wish, state.clock())


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
