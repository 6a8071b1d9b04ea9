"""Sharing out one evening: who comes, the ground as it is, and one press."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.searching import is_found_by, search_words
from clubplanner.errors import ClashError, MissingError, RefusedError, ShareOutError
from clubplanner.language import _
from clubplanner.services.giving.head_counts import say_who_comes
from clubplanner.services.problem.standing_plans import Disruption, Scope
from clubplanner.services.proposals.proposals import Sort
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.share_out.runs.requests import RunRequest, Work
from clubplanner.services.share_out.tonight.page import see_tonight
from clubplanner.services.share_out.tonight.shared_out import AT_ONCE, Tonight, propose_tonight
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.services.showing.choosing.narrowing import MOST_TICKED, Offered
from clubplanner.sharing.values.problem import Effort
from clubplanner.webapp.base.asked_days import asked_day
from clubplanner.webapp.base.choosing import LONGEST, only_looks
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_secretary, signed_in_person
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.share_out.share_outs import start
from clubplanner.webapp.share_out.sharing import pages
from clubplanner.webapp.share_out.tonight_form import (
    FIELDS,
    PITCH_FIELDS,
    carried,
    fields_before,
    read_closures,
    read_said,
    shown_fields,
)

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence
    from datetime import date

    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.services.share_out.tonight.page import SquadTonight, TonightPage

MOST_AT_ONCE = 24
"""With more squads than these the search takes longer than anybody likes to wait for a page; it
then runs beside it, and its progress is shown."""
LONGER = Effort(seconds=10.0)
SQUADS = 50
"""Squads that one leaf of the form holds; what is said of those on others stays."""


@pages.get("/tonight")
@for_secretary
def tonight() -> str:
    """Show who comes on an evening and the ground as it is."""
    return _page(Form({}), _day())


@pages.post("/tonight")
@for_secretary
def share_tonight() -> str | BaseResponse:
    """Keep what was said of the evening and share it out; a proposal comes of it."""
    state = app_state()
    day = _day()
    form = Form(request.form)
    if only_looks():
        return _page(form, day)
    page = see_tonight(state.store, day, state.clock())
    if form.text("date"):
        form.day("date")  # today's evening is another than the one that was sent
    said = read_said(form, page)
    closures = read_closures(form, page, day)
    if form.problems:
        return make_response(_page(form, day), 422)
    say_who_comes(state.store, day, said, signed_in_person().name, state.clock())
    if "keep" in request.form:
        flash(_("Noted who comes; nothing is shared out yet."))
        return redirect(url_for("share_outs.tonight", date=day))
    wish = Tonight(day, Disruption(closures=closures, fills=True))
    try:
        return propose(wish)
    except (ClashError, MissingError, RefusedError, ShareOutError) as fault:
        form.fault("squads", str(fault))
        return make_response(_page(form, day), 422)


def propose(wish: Tonight, *, is_longer: bool = False) -> BaseResponse:
    """Share an evening out, at once where it is quickly done, and go to what comes of it."""
    state = app_state()
    coming = see_tonight(state.store, wish.day, state.clock()).coming
    if is_longer or coming > MOST_AT_ONCE:
        scope = Scope(Sort.EVENING, wish.day)
        return start(
            RunRequest(
                Work.TONIGHT, LONGER, scope=scope, disruption=wish.disruption, pins=wish.pins
            )
        )
    number = propose_tonight(state.store, wish, AT_ONCE, state.clock())
    return redirect(url_for("share_outs.see", number=number))


def _page(form: Form, day: date) -> str:
    state = app_state()
    page = see_tonight(state.store, day, state.clock())
    asked = request.values.get("find-squads", "")[:LONGEST]
    words = search_words(asked)
    squads = [one for one in page.squads if not words or is_found_by(words, one.name)]
    faulty = {problem.where for problem in form.problems}
    comers = leaf_through(squads, SQUADS, "squad", start=_first_faulty(squads, faulty))
    venue = _venue(page, form, faulty)
    pitches = [one for one in page.pitches if venue in ("", one.venue_key)]
    travels = carried(form, page, comers.items, pitches)
    return render_template(
        "share_out/tonight.html",
        page=page,
        comers=comers,
        looking=_looking(page, squads, asked),
        leaf=comers.first,
        venue=venue,
        pitches=pitches,
        carried=travels,
        closed_elsewhere=[
            f"{one.name}, {one.venue_name}"
            for one in page.pitches
            if (f"closed-{one.key}", form.values.get(f"closed-{one.key}", "")) in travels
        ],
        today=state.today(club_zone(state.store)),
        shown=shown_fields,
        was=fields_before,
        values=form.values,
        problems=form.problems,
    )


def _first_faulty(squads: Sequence[SquadTonight], faulty: Collection[str]) -> int | None:
    """Return the place of the first squad with a fault, so that its leaf is shown."""
    for place, squad in enumerate(squads):
        if any(f"{name}-{squad.key}" in faulty for name in FIELDS):
            return place
    return None


def _venue(page: TonightPage, form: Form, faulty: Collection[str]) -> str:
    """Return the venue whose ground is shown; blank for all."""
    for pitch in page.pitches if page.venues else ():
        if any(f"{name}-{pitch.key}" in faulty for name in PITCH_FIELDS):
            return pitch.venue_key
    keys = [one.value for one in page.venues]
    asked = form.values.get("venue", "")
    return asked if asked in keys else next(iter(keys), "")


def _looking(page: TonightPage, squads: Sequence[SquadTonight], asked: str) -> Offered | None:
    """Return what the field says that looks for squads; None where there are too few for one."""
    if len(page.squads) <= MOST_TICKED:
        return None
    found = tuple(Choice(one.key, one.name) for one in squads)
    return Offered((), found, 0, len(page.squads), asked, is_whole=False)


def _day() -> date:
    state = app_state()
    return asked_day() or state.today(club_zone(state.store))
