"""Share-outs at the desk: start one, look at its proposal, publish it."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.errors import ClashError, MissingError, OutdatedError
from clubplanner.language import _
from clubplanner.services.problem.standing_plans import Scope
from clubplanner.services.proposals.files_to_check import PROBLEM, RESULT, see_file_to_check
from clubplanner.services.proposals.kept_reasons import told_together
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.proposals import Sort
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.rows.seasons.stretches import list_stretches
from clubplanner.services.share_out.anew.beforehand import (
    MOST_EXPLAINED,
    current_stretch,
    look_before,
    remedies_in_records,
)
from clubplanner.services.share_out.listed.proposal_tables import proposal_tables, proposals_table
from clubplanner.services.share_out.listed.share_out_list import list_numbers, list_share_outs
from clubplanner.services.share_out.runs.kept import latest_run
from clubplanner.services.share_out.runs.requests import RunRequest, Work
from clubplanner.services.share_out.tonight.outcome import see_evening_outcome
from clubplanner.services.showing.choosing.choices import is_many
from clubplanner.services.showing.not_said import list_not_said
from clubplanner.sharing.values.problem import Effort
from clubplanner.webapp.base.forms import Form, chosen_minute
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_file, send_tables, wants_file
from clubplanner.webapp.share_out.proposal_weeks import drawn_week
from clubplanner.webapp.share_out.sharing import effort_seconds, pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

SESSIONS, SQUADS, PROPOSALS = 80, 40, 20
"""Sessions of a plan, squads of a list, and proposals that one leaf holds."""
MOST_DRAWN_BYTES = 60_000
"""A larger drawing has a page of its own only, so that this one stays light."""


@pages.get("")
@for_secretary
def listing() -> str | BaseResponse:
    """List the proposals, the newest run, and the forms that start one."""
    if wants_file():
        store = app_state().store
        return send_tables(proposals_table(list_share_outs(store), club_zone(store)))
    return _list_page(Form({}))


@pages.post("")
@for_secretary
def run() -> str | BaseResponse:
    """Start sharing out a stretch; the page of its run shows the progress."""
    key = request.form.get("stretch", "")
    if key not in {stretch.key for stretch in list_stretches(app_state().store)}:
        raise MissingError(_("Choose a stretch of the season; load the settings if there is none."))
    return start(RunRequest(Work.STRETCH, read_effort(), stretch=key))


@pages.post("/evening")
@for_secretary
def run_evening() -> str | BaseResponse:
    """Start sharing out what is free on one evening."""
    form = Form(request.form)
    day = form.day("day")
    if day is None:
        return make_response(_list_page(form), 422)
    return start(RunRequest(Work.EVENING, read_effort(), scope=Scope(Sort.EVENING, day)))


@pages.get("/<int:number>")
@for_secretary
def see(number: int) -> str | BaseResponse:
    """Show a proposal."""
    if wants_file():
        store = app_state().store
        page = see_share_out(store, number, app_state().clock())
        return send_tables(*proposal_tables(store, page))
    return _proposal_page(number, "")


@pages.get("/<int:number>/problem.json")
@for_secretary
def problem_to_check(number: int) -> BaseResponse:
    """Give the problem of a proposal as a file, to check its result with."""
    return _send_to_check(number, PROBLEM)


@pages.get("/<int:number>/result.json")
@for_secretary
def result_to_check(number: int) -> BaseResponse:
    """Give the result of a proposal as a file that anybody can check."""
    return _send_to_check(number, RESULT)


@pages.post("/<int:number>/publish")
@for_secretary
def publish(number: int) -> str | BaseResponse:
    """Publish a proposal as it was shown."""
    state = app_state()
    seen = request.form.get("seen") or None
    try:
        published = publish_share_out(state.store, number, state.clock(), seen)
    except (ClashError, OutdatedError) as fault:
        return make_response(_proposal_page(number, str(fault)), 409)
    flash(_("Published: %(sentence)s", sentence=published.sentence))
    return redirect(url_for("share_outs.see", number=number))


def _send_to_check(number: int, which: str) -> BaseResponse:
    file = see_file_to_check(app_state().store, number, which)
    return send_file(file.data, file.name, "application/json")


def start(wanted: RunRequest) -> BaseResponse:
    """Start a run and go to its page."""
    state = app_state()
    number = state.runner.start(state.store, wanted, state.clock())
    return redirect(url_for("share_outs.see_run_page", number=number))


def read_effort() -> Effort:
    """Read how hard to try from the form that was sent."""
    seed = request.form.get("seed", "")
    number = int(seed) if seed.isdecimal() and len(seed) <= 9 else 1
    return Effort(seconds=effort_seconds(request.form.get("seconds", "")), seed=number)


def _proposal_page(number: int, fault: str) -> str:
    state = app_state()
    page = see_share_out(state.store, number, state.clock())
    rows = [(day, place) for day, places in page.days for place in places]
    plan = leaf_through(rows, SESSIONS, "session")
    shown = {place.place for _unused, place in plan.items}
    days = groupby(plan.items, key=lambda row: row[0])
    is_evening = page.sort is Sort.EVENING
    refused = leaf_through(told_together(page.refusals), SQUADS, "refused")
    may_change = page.sort is Sort.STRETCH and not page.published_at and page.stretch_key
    drawn = (
        None if is_evening or page.published_at else drawn_week(number, page.difference.first_day)
    )
    return render_template(
        "share_out/evening.html" if is_evening else "share_out/see.html",
        page=page,
        drawn=drawn,
        shows_drawing=drawn is not None
        and len(drawn.drawing) + len(drawn.narrow) <= MOST_DRAWN_BYTES,
        outcome=see_evening_outcome(state.store, number, chosen_minute(), state.clock())
        if is_evening
        else None,
        zone=club_zone(state.store),
        fault=fault,
        changed=leaf_through(page.difference.squads, SQUADS, "squad"),
        refused=refused,
        remedies=remedies_in_records(
            state.store,
            page.stretch_key,
            {one.ask for group in refused.items for one in group.asks},
        )
        if may_change and page.refusals
        else {},
        served=leaf_through(sorted(page.satisfactions, key=lambda s: s.percent), SQUADS, "served"),
        plan=plan,
        days=[(day, [place for _unused, place in places]) for day, places in days],
        pinned_elsewhere=[p.place for _unused, p in rows if p.is_pinned and p.place not in shown],
    )


def _list_page(form: Form) -> str:
    state = app_state()
    stretches = list_stretches(state.store)
    zone = club_zone(state.store)
    today = state.today(zone)
    wanted = request.args.get("stretch", "")
    current = next((s for s in stretches if s.key == wanted), current_stretch(stretches, today))
    is_asked = bool(wanted or request.args.get("all") or not is_many(state.store))
    leaf = leaf_through(list_numbers(state.store), PROPOSALS, "proposal")
    return render_template(
        "share_out/list.html",
        leaf=leaf,
        lines=list_share_outs(state.store, leaf.items),
        stretches=stretches,
        current=current,
        beforehand=look_before(
            state.store, current.key, most=None if request.args.get("all") else MOST_EXPLAINED
        )
        if current and is_asked
        else None,
        is_asked=is_asked,
        run=latest_run(state.store, state.runner.wall()),
        zone=zone,
        values={"day": today.isoformat(), **form.values},
        problems=form.problems,
        not_said=list_not_said(state.store),
    )
