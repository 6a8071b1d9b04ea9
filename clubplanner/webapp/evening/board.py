"""The notice board: a screen or a sheet a venue and evening; off until it is turned on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for

from clubplanner.language import _
from clubplanner.services.evening.notice_board import (
    BoardPage,
    board_tables,
    is_board_on,
    print_board,
    refuse_when_off,
    see_board,
    turn_board,
)
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.base.asked_days import asked_day
from clubplanner.webapp.base.security import for_anybody, for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.base.under_path import public_url

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("board", __name__)


@pages.get("/board/<key>")
@for_anybody
def see(key: str) -> str | BaseResponse:
    """Show a venue's evening to whoever walks past."""
    refuse_when_off(app_state().store)
    if wants_file():
        return send_tables(*board_tables(_page(key)))
    return render_template("evening/board.html", page=_page(key))


@pages.get("/board/<key>/sheet.pdf")
@for_anybody
def sheet(key: str) -> BaseResponse:
    """Send a venue's evening as a sheet of A4."""
    refuse_when_off(app_state().store)
    return _pdf(_page(key))


@pages.get("/desk/board")
@for_secretary
def desk() -> str | BaseResponse:
    """Show whether the board is on, and where its screens and sheets are."""
    state = app_state()
    page = _page(request.args.get("venue") or None)
    if wants_file():
        return send_tables(*board_tables(page))
    return render_template("evening/board_desk.html", page=page, is_on=is_board_on(state.store))


@pages.post("/desk/board")
@for_secretary
def turn() -> BaseResponse:
    """Turn the board on or off."""
    state = app_state()
    is_on = request.form.get("turn") == "on"
    turn_board(state.store, is_on=is_on, now=state.clock())
    flash(_("The notice board is on.") if is_on else _("The notice board is off; nobody sees it."))
    return redirect(url_for("board.desk"))


@pages.get("/desk/board/<key>/sheet.pdf")
@for_secretary
def desk_sheet(key: str) -> BaseResponse:
    """Send a sheet to pin up, also while the board is off; it has a code only when it is on."""
    return _pdf(_page(key))


def _page(key: str | None) -> BoardPage:
    state = app_state()
    day = asked_day() or state.today(club_zone(state.store))
    return see_board(state.store, key, day, state.clock())


def _pdf(page: BoardPage) -> BaseResponse:
    state = app_state()
    address = ""
    if is_board_on(state.store):
        page_path = url_for("board.see", key=page.venue_key)
        address = public_url(state.config.public_address, page_path)
    data = print_board(page, address, state.clock(), club_zone(state.store))
    response = make_response(data)
    response.headers["Content-Type"] = "application/pdf"
    name = f"board-{page.day.isoformat()}.pdf"
    response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    return response
