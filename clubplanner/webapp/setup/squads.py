"""Squads, their addresses, and loading the club's files."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.language import _, ngettext
from clubplanner.services.addresses.links import (
    create_squad_link,
    draw_squad_code,
    revoke_squad_links,
)
from clubplanner.services.folder.taking_in import has_room_for_a_club
from clubplanner.services.pasting.taken_away import squads_table
from clubplanner.services.setup.loading import load_files
from clubplanner.services.setup.size_table import sizes_table
from clubplanner.services.setup.squads.page import see_squads
from clubplanner.services.showing.not_said import list_not_said
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_secretary, for_squads, signed_in
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

SQUADS = 60
"""Rows of one leaf."""

pages = Blueprint("squads", __name__, url_prefix="/desk")


@pages.get("/squads")
@for_squads
def listing() -> str | BaseResponse:
    """List the squads, what they ask for and how many sessions they have."""
    state = app_state()
    page = see_squads(state.store, state.clock())
    if wants_file():
        return send_tables(squads_table(state.store, page))
    return render_template(
        "setup/squads/list.html",
        page=page,
        leaf=leaf_through(page.squads, SQUADS),
        not_said=list_not_said(state.store) if signed_in() else (),
    )


@pages.post("/squads/<key>/link")
@for_squads
def new_link(key: str) -> str | BaseResponse:
    """Make a new address for a squad; it is shown once, for only its hash is kept."""
    state = app_state()
    holder = request.form.get("holder", "").strip()[:80] or _("the squad")
    secret = create_squad_link(state.store, key, holder, state.clock())
    address = f"{state.config.public_address}/ground/{secret}"
    code = draw_squad_code(address, holder)
    return render_template(
        "setup/squads/link.html", key=key, holder=holder, address=address, code=code
    )


@pages.post("/squads/<key>/revoke")
@for_squads
def revoke(key: str) -> str | BaseResponse:
    """Make every address of a squad useless."""
    state = app_state()
    count = revoke_squad_links(state.store, key, state.clock())
    flash(ngettext("%(num)s address revoked.", "%(num)s addresses revoked.", count))
    return redirect(url_for("squads.listing"))


@pages.get("/files")
@for_secretary
def files() -> str | BaseResponse:
    """Show the forms that load the club's files, one by one or all in one."""
    if wants_file():
        return send_tables(sizes_table(app_state().store))
    has_room = has_room_for_a_club(app_state().store)
    return render_template(
        "setup/squads/files.html", problems=(), folder_problems=(), has_room=has_room
    )


@pages.post("/files")
@for_secretary
def load() -> str | BaseResponse:
    """Load files; with faults nothing is changed and all of them are listed."""
    state = app_state()
    sent = [file for file in request.files.getlist("files") if file.filename]
    try:
        report = load_files(
            state.store, [ClubFile(f.filename or "", f.read()) for f in sent], state.clock()
        )
    except FaultyInputError as fault:
        problems = [Problem("files", p.code, str(p)) for p in fault.problems]
        page = render_template(
            "setup/squads/files.html",
            problems=problems,
            folder_problems=(),
            has_room=has_room_for_a_club(state.store),
        )
        return make_response(page, 422)
    for line in report.lines:
        flash(_("Loaded: %(line)s.", line=line))
    return redirect(url_for("squads.listing"))
