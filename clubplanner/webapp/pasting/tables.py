"""Tables that are pasted or dropped: read, looked at with their questions, taken in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import (
    Blueprint,
    abort,
    flash,
    make_response,
    redirect,
    render_template,
    request,
    url_for,
)

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.inputs.pasting.kinds import HIRES, KINDS, MATCHES, SQUADS
from clubplanner.inputs.reading.sheets import (
    Sheet,
    read_carried,
    read_pasted,
    read_sheets,
    write_carried,
)
from clubplanner.language import _
from clubplanner.services.pasting.sent import SentTable
from clubplanner.services.pasting.table_page import page_of
from clubplanner.services.pasting.tables import (
    MOST_LETTERS,
    TableLook,
    look_at_table,
    take_table,
)
from clubplanner.services.pasting.templates import TEMPLATES, write_template
from clubplanner.webapp.base.navigation import belong_to
from clubplanner.webapp.base.security import for_squads, signed_in_person
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import MIMES, send_file
from clubplanner.webapp.pasting.sent_form import read_sent

if TYPE_CHECKING:
    from collections.abc import Sequence

    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("pasting", __name__, url_prefix="/desk/tables")

MOST_SHEETS = 50
BACK = {SQUADS: "squads.listing", MATCHES: "season.matches", HIRES: "season.hires"}
"""Where what was taken in is shown."""
EXAMPLE_ROWS = 4


@pages.get("/<kind>")
@for_squads
def start(kind: str) -> str:
    """Show the form into which a table is pasted or dropped."""
    return _start_page(_known(kind))


@pages.post("/<kind>")
@for_squads
def look(kind: str) -> str | BaseResponse:
    """Read a table, show it with its questions, or take it in."""
    _known(kind)
    try:
        if "table" in request.form:
            return _look_again(kind)
        sheets = _sheets()
        total = sum(len(cell) for sheet in sheets for row in sheet.rows for cell in row)
        if len(sheets) > 1 and total <= MOST_LETTERS:
            return _choose_page(kind, sheets)
        state = app_state()
        sent = SentTable(kind, sheets[0].rows)
        return _look_page(look_at_table(state.store, sent, state.clock()))
    except FaultyInputError as fault:
        problems = [Problem("file", problem.code, str(problem)) for problem in fault.problems]
        return make_response(_start_page(kind, problems), 422)


@pages.get("/<kind>/<what>.csv", defaults={"ending": "csv"})
@pages.get("/<kind>/<what>.xlsx", defaults={"ending": "xlsx"})
@for_squads
def template(kind: str, what: str, ending: str) -> BaseResponse:
    """Send an empty template, or a filled example, in the language of the page."""
    if what not in TEMPLATES:
        abort(404)
    state = app_state()
    data, name = write_template(state.store, _known(kind), what, ending, state.clock())
    return send_file(data, name, MIMES[ending])


def _known(kind: str) -> str:
    if kind not in KINDS:
        abort(404)
    if kind == HIRES and not signed_in_person().is_secretary:
        abort(403)
    belong_to(BACK[kind])
    return kind


def _sheets() -> Sequence[Sheet]:
    """Return what was chosen, dropped or pasted.

    Raises:
        FaultyInputError: If nothing of it can be read.
    """
    if "sheet" in request.form:
        number = request.form.get("sheet", "")
        return [Sheet("", read_carried(request.form.get(f"sheet-{number}", "")))]
    sent = request.files.get("file")
    if sent is not None and sent.filename:
        read = read_sheets(sent.read(), sent.filename)
    else:
        read = read_pasted(request.form.get("text", ""), "")
    if read.problems:
        raise FaultyInputError(read.problems)
    return read.sheets


def _look_again(kind: str) -> str | BaseResponse:
    state = app_state()
    sent = read_sent(kind, request.form)
    if request.form.get("act") != "take":
        return _look_page(look_at_table(state.store, sent, state.clock()))
    look = take_table(state.store, sent, state.clock())
    if not look.can_be_taken:
        return make_response(_look_page(look), 422)
    for line in look.taken.lines:
        flash(_("Taken in: %(line)s.", line=line.rstrip(".")))
    return redirect(url_for(BACK[kind]))


def _start_page(kind: str, problems: Sequence[Problem] = ()) -> str:
    return render_template(
        "pasting/start.html", kind=kind, problems=problems, text=request.form.get("text", "")
    )


def _choose_page(kind: str, sheets: Sequence[Sheet]) -> str:
    shown = [
        (sheet.name, write_carried(sheet.rows), [row for row in sheet.rows if any(row)])
        for sheet in sheets[:MOST_SHEETS]
    ]
    return render_template("pasting/choose.html", kind=kind, sheets=shown, most=EXAMPLE_ROWS)


def _look_page(look: TableLook) -> str:
    return render_template("pasting/look.html", page=page_of(look))
