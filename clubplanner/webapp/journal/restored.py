"""That the records were brought back from a backup, and what it means."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.restoring.restored_page import is_unseen, note_seen, see_restored
from clubplanner.webapp.base.navigation import belong_to
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse


def register(app: Flask) -> None:
    """Let the secretary's first page say that it waits."""
    app.add_template_global(lambda: is_unseen(app_state().store), "restored_unseen")


@pages.get("/restored")
@for_secretary
def restored() -> str | BaseResponse:
    """Show what was kept, what was lost, and who knows."""
    state = app_state()
    belong_to("season.changes")
    shown = see_restored(state.store, state.config, state.clock())
    return render_template("journal/restored.html", shown=shown, known=shown and shown.knowing)


@pages.post("/restored/seen")
@for_secretary
def restored_seen() -> str | BaseResponse:
    """Take the note off the first page."""
    state = app_state()
    text = request.form.get("number", "")
    if not (text.isdecimal() and len(text) < 10):
        raise MissingError(_("The records were never brought back from a backup."))
    note_seen(state.store, int(text), state.clock())
    flash(_("It is off the first page; it stays here."))
    return redirect(url_for("season.restored"))
