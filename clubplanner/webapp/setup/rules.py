"""The rules of sharing out at the desk: by age, and how much a pitch may be used."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, OutdatedError
from clubplanner.language import _
from clubplanner.services.setup.rules_form import AGE_FIELDS, MOST_AGES, save_rules, see_rules
from clubplanner.webapp.base.choosing import looked_for, only_looks
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.setup.grounds import pages

if TYPE_CHECKING:
    from collections.abc import Sequence

    from werkzeug.wrappers import Response as BaseResponse

MOST_LETTERS = 100


@pages.get("/club/rules")
@for_secretary
def rules() -> str:
    """Show the rules of sharing out as a form."""
    return _page()


@pages.post("/club/rules")
@for_secretary
def change_rules() -> str | BaseResponse:
    """Save the rules of sharing out."""
    cells = {name: value[:MOST_LETTERS] for name, value in request.form.items()}
    if only_looks():
        return _page((), cells)
    state = app_state()
    try:
        save_rules(state.store, cells, request.form.get("seen", ""), state.clock())
    except FaultyInputError as fault:
        return make_response(_page(fault.problems, cells), 422)
    except OutdatedError as fault:
        return make_response(_page((Problem("up_to_1", "outdated", str(fault)),), cells), 409)
    flash(_("Rules saved. What is booked against them already stands under Ahead."))
    return redirect(url_for("grounds.rules"))


def _page(problems: Sequence[Problem] = (), cells: dict[str, str] | None = None) -> str:
    form = see_rules(app_state().store)
    values = form.cells if cells is None else cells
    lines = [n for n in range(1, MOST_AGES + 1) if any(values.get(f"{f}_{n}") for f in AGE_FIELDS)]
    return render_template(
        "setup/rules.html",
        form=form,
        values=values,
        lines=min(max([form.ages, *lines]) + 1, MOST_AGES),
        problems=problems,
        seen=request.form.get("seen", "") if looked_for() else form.seen,
    )
