"""What was changed, by whom, and taking it back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from clubplanner.services.journal.change_table import changes_table
from clubplanner.services.journal.changes import USUAL_COUNT, list_changes, undo_change
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.base.forms import own_path
from clubplanner.webapp.base.security import for_signed_in, for_squads, home_endpoint
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.base.taking_back import asker
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse


@pages.get("/changes")
@for_squads
def changes() -> str | BaseResponse:
    """List the last changes, each with what keeps it from being taken back."""
    state = app_state()
    text = request.args.get("before", "")
    before = int(text) if text.isdecimal() and len(text) < 10 else None
    if wants_file():
        return send_tables(changes_table(state.store, before))
    lines = list_changes(state.store, state.clock(), before=before)
    earlier = lines[-1].number if len(lines) == USUAL_COUNT else None
    return render_template(
        "journal/changes.html", lines=lines, earlier=earlier, zone=club_zone(state.store)
    )


@pages.post("/changes/<int:number>/undo")
@for_signed_in
def undo(number: int) -> str | BaseResponse:
    """Take a change back: any for the secretary, of the club for a club's, else one's own last."""
    state = app_state()
    who = asker()
    done = undo_change(state.store, number, state.clock(), who)
    flash(done.words)
    home = "season.changes" if who.person.keeps_squads else home_endpoint(who.person)
    return redirect(own_path(request.form.get("back", "")) or url_for(home))
