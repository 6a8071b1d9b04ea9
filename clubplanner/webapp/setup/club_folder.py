"""The whole club as one file: sent to the secretary, and taken in where there is no club yet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.language import _
from clubplanner.services.folder.packing import pack_folder, unpack_folder
from clubplanner.services.folder.taking_in import has_room_for_a_club, take_in_folder
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

PACKED = "club.zip"
MOST_SHOWN = 200
"""Faults that one page tells."""

pages = Blueprint("club_folder", __name__, url_prefix="/desk")


@pages.get(f"/files/{PACKED}")
@for_secretary
def send() -> BaseResponse:
    """Send all that the club typed and booked."""
    with pack_folder(app_state().store) as packed:
        answer = make_response(packed.read())
    answer.content_type = "application/zip"
    answer.headers["Content-Disposition"] = f"attachment; filename={PACKED}"
    return answer


@pages.post("/files/club")
@for_secretary
def take_in() -> str | BaseResponse:
    """Take a club in; with faults nothing is changed and all of them are listed."""
    state, sent = app_state(), request.files.get("folder")
    try:
        if sent is None or not sent.filename:
            words = _("Choose the file (.zip) with the club in it first.")
            raise FaultyInputError([Problem("", "missing", words)])  # noqa: TRY301
        files = unpack_folder(sent.stream, sent.filename)
        report = take_in_folder(state.store, files, state.clock())
    except FaultyInputError as fault:
        problems = [Problem("folder", p.code, str(p)) for p in fault.problems[:MOST_SHOWN]]
        page = render_template(
            "setup/squads/files.html",
            problems=(),
            folder_problems=problems,
            has_room=has_room_for_a_club(state.store),
        )
        return make_response(page, 422)
    for line in report.lines:
        flash(_("Taken in: %(line)s.", line=line))
    return redirect(url_for("squads.listing"))
