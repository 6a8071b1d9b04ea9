"""Sharing out again after something has come up: the form, and starting it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import make_response, render_template, request

from clubplanner.domain.club.squads import Ask, LeastGround
from clubplanner.domain.times.times import MINUTES_A_DAY
from clubplanner.domain.times.windows import EXAMPLE, file_days, parse_windows, told_days
from clubplanner.language import _, marked
from clubplanner.services.problem.standing_plans import Disruption, Scope
from clubplanner.services.proposals.proposals import GroundClosed, Sort
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.share_out.runs.requests import RunRequest, Work
from clubplanner.services.showing.choosing.choices import (
    Choice,
    choices_of,
    list_grounds,
    list_squads,
)
from clubplanner.webapp.base.choosing import only_looks
from clubplanner.webapp.base.forms import Form, told
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.share_out.share_outs import read_effort, start
from clubplanner.webapp.share_out.sharing import pages

if TYPE_CHECKING:
    from datetime import date

    from werkzeug.wrappers import Response as BaseResponse

SCOPES = (
    Choice(Sort.EVENING.value, marked("this evening alone")),
    Choice(Sort.WEEK.value, marked("the whole week of this date")),
    Choice(Sort.REST.value, marked("the rest of the stretch, from this date on")),
)
LEAST = (
    Choice("0", marked("any ground")),
    Choice("0.25", marked("a quarter of a pitch")),
    Choice("0.3333", marked("a third of a pitch")),
    Choice("0.5", marked("half a pitch")),
    Choice("1", marked("a whole pitch")),
)
SHORTEST, LONGEST = 15, 300
"""Minutes that a session may last."""


@pages.get("/again")
@for_secretary
def again() -> str | BaseResponse:
    """Show the form that says what has come up."""
    return _page(Form(request.args))


@pages.post("/again")
@for_secretary
def run_again() -> str | BaseResponse:
    """Start sharing out again."""
    form = Form(request.form)
    if only_looks():
        return _page(form)
    scope = _scope(form)
    disruption = Disruption(
        closures=_closures(form, scope),
        dropped=frozenset(request.form.getlist("dropped")),
        extra=_extra(form),
    )
    unknown = disruption.dropped - {squad.value for squad in list_squads(app_state().store)}
    if unknown:
        form.fault("dropped", _("One of these squads is no longer there; choose again."))
    if form.problems or scope is None:
        return make_response(_page(form), 422)
    return start(RunRequest(Work.AGAIN, read_effort(), scope=scope, disruption=disruption))


def _page(form: Form) -> str:
    state = app_state()
    today = state.today(club_zone(state.store)).isoformat()
    values = {
        "scope": Sort.EVENING.value,
        "day": today,
        "until": "",
        "from": "00:00",
        "to": "24:00",
        "minutes": "60",
        "least": "0",
        **form.values,
    }
    return render_template(
        "share_out/again.html",
        scopes=told(SCOPES),
        least=told(LEAST),
        example=told_days(EXAMPLE),
        squads=list_squads(state.store),
        dropped=request.form.getlist("dropped"),
        grounds=choices_of(list_grounds(state.store)),
        values=values,
        problems=form.problems,
    )


def _scope(form: Form) -> Scope | None:
    sorts = {choice.value for choice in SCOPES}
    sort, day = form.text("scope"), form.day("day")
    if sort not in sorts:
        form.fault("scope", _("Choose how much is shared out again."))
        return None
    return None if day is None else Scope(Sort(sort), day)


def _closures(form: Form, scope: Scope | None) -> tuple[GroundClosed, ...]:
    """Read the closed ground; none where no ground is chosen."""
    key = form.text("ground")
    if not key:
        return ()
    if key not in {area.value for group in list_grounds(app_state().store) for area in group.areas}:
        form.fault("ground", _("This ground is no longer there; choose another one."))
    start_min, end_min = form.minute("from"), form.minute("to")
    if start_min is not None and end_min is not None and end_min <= start_min:
        form.fault("to", _("The end must come after the start, on the same day."))
    last = _last(form, scope)
    reason = form.text("reason", 80)
    if not reason:
        form.fault("reason", _("Say why it is closed: waterlogged, frost, an event."))
    if form.problems or scope is None or last is None:
        return ()
    return (GroundClosed(key, scope.day, last, start_min or 0, end_min or MINUTES_A_DAY, reason),)


def _last(form: Form, scope: Scope | None) -> date | None:
    """Read the last date of the closure; where none is typed, that of the scope."""
    if form.text("until"):
        last = form.day("until")
        if last is not None and scope is not None and last < scope.day:
            form.fault("until", _("The closure must not end before it begins."))
        return last
    if scope is not None and scope.last is None:
        form.fault("until", _("Enter how long the ground is closed."))
        return None
    return None if scope is None else scope.last


def _extra(form: Form) -> tuple[Ask, ...]:
    """Read the session asked for on top; none where no squad is chosen."""
    squad = form.text("squad")
    if not squad:
        return ()
    if squad not in {choice.value for choice in list_squads(app_state().store)}:
        form.fault("squad", _("This squad is no longer there; choose another one."))
    minutes = form.number("minutes", _("Enter the length in minutes."))
    if minutes is not None and not SHORTEST <= minutes <= LONGEST:
        form.fault(
            "minutes",
            _("Enter %(shortest)s to %(longest)s minutes.", shortest=SHORTEST, longest=LONGEST),
        )
    try:
        possible = parse_windows(file_days(form.text("possible")))
    except ValueError as fault:
        form.fault("possible", str(fault))
        return ()
    if not possible:
        form.fault(
            "possible", _("Enter when it may be, like %(example)s", example=told_days(EXAMPLE))
        )
    least = form.text("least")
    if least not in {choice.value for choice in LEAST}:
        form.fault("least", _("Choose how much ground it needs."))
    if form.problems or minutes is None:
        return ()
    return (
        Ask(
            squad_key=squad,
            sessions=1,
            minutes=minutes,
            possible=possible,
            preferred=(),
            least_ground=LeastGround(share=float(least)),
            surfaces=frozenset(),
            needs_goal=False,
            needs_light=False,
        ),
    )
