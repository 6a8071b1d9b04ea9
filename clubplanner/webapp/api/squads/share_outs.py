"""Share-outs: started, followed, stopped, read and published, by the secretary's programs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal, Self

from pydantic import Field, model_validator

from clubplanner.domain.keys import pitch_of_ground
from clubplanner.domain.times.times import clock_from_minute
from clubplanner.language import _
from clubplanner.services.problem.standing_plans import Scope
from clubplanner.services.proposals.kept_proposals import see_proposal
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.proposals import Sort
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.share_out.listed.share_out_list import list_numbers, list_share_outs
from clubplanner.services.share_out.runs.kept import see_run, stop_run
from clubplanner.services.share_out.runs.requests import RunRequest, Work
from clubplanner.sharing.values.problem import Effort
from clubplanner.webapp.api.frame.cursors import leaf_of
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import Day, LeafQuery, Moment, Name, Value, Words, example
from clubplanner.webapp.api.shared.ground_at import PLACE, Place, in_zone
from clubplanner.webapp.api.shared.squad_values import WEEKDAY_WORDS, Weekday
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from clubplanner.services.proposals.proposal_page import ProposalPage
    from clubplanner.services.proposals.proposals import ProposedSession
    from clubplanner.services.share_out.listed.share_out_list import ShareOutLine
    from clubplanner.services.share_out.runs.kept import RunShown

_LINE = {
    "number": 1,
    "sort": "Share-out",
    "stretch": "Winter",
    "made_at": "2026-11-20T12:00:00+00:00",
    "published_at": None,
    "sentence": "All 3 sessions placed.",
}
_SESSION = {
    "squad": "u12-kestrels",
    "place": PLACE,
    "place_name": "Clubhouse third, Top pitch",
    "weekday": "wed",
    "starts": "18:00",
    "ends": "19:15",
    "dates": ["2026-11-25"],
    "lost_dates": [],
    "is_pinned": False,
}
_REFUSED = {
    "squad_name": "U14 Harriers",
    "missing": 1,
    "answer": "Tuesday 18:00–19:15, North third, if Kites lose one of 2 sessions.",
    "reasons": ["Top pitch is held then."],
    "changes": ["A start of 19:30 would help."],
}
_RUN = {
    "number": 1,
    "title": "Sharing out Winter",
    "state": "running",
    "words": "Aim 1 of 6: sessions placed.",
    "percent": 40,
    "seconds": 8,
    "allowed_seconds": 20,
    "share_out": None,
}


class ProposalLine(Value):
    """A proposal in the list."""

    model_config = example(**_LINE)

    number: int
    sort: str = Field(description="What it is for, in words.")
    stretch: str = Field(description="The stretch of the season, or the date.")
    made_at: Moment
    published_at: Moment | None = Field(description="None while it is a proposal.")
    sentence: str = Field(description="How it came out.")


class ShareOutLeaf(Value):
    """A leaf of proposals, the newest first."""

    model_config = example(items=[_LINE], next=None)

    items: list[ProposalLine]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


class SessionProposed(Value):
    """A session of a plan, on all its dates."""

    model_config = example(**_SESSION)

    squad: str = Field(description="The squad's key.")
    place: Place
    place_name: str
    weekday: Weekday
    starts: str = Field(description="On the club's wall clock.")
    ends: str
    dates: list[Day]
    lost_dates: list[Day] = Field(description="On which something else stands there.")
    is_pinned: bool = Field(description="Whether a person put it there.")


class RefusedAsk(Value):
    """An ask that goes without, or lacks some of it, and why."""

    model_config = example(**_REFUSED)

    squad_name: str
    missing: int = Field(description="How many sessions a week.")
    answer: str = Field(description="Why, and the cheapest exchange, to be said first.")
    reasons: list[str]
    changes: list[str] = Field(description="What would help, a sentence each.")


class ShareOutValue(Value):
    """A proposal: how good it is, what it gives whom, and what publishing changes."""

    model_config = example(
        **_LINE,
        aims=["sessions placed: 3, proved best"],
        is_proved=True,
        sessions=[_SESSION],
        refused=[_REFUSED],
        difference="3 sessions added, 1 moved",
        seen="0f9d349c070ef99b",
    )

    number: int
    sort: str
    stretch: str
    made_at: Moment
    published_at: Moment | None
    sentence: str
    aims: list[str] = Field(description="Each aim and how near to the best it is.")
    is_proved: bool = Field(description="Whether no plan is better in any aim.")
    sessions: list[SessionProposed]
    refused: list[RefusedAsk]
    difference: str = Field(description="What publishing changes, or changed, in bookings.")
    seen: str = Field(description="Send it along to publish; blank once it is published.")


class ShareOutWanted(Value):
    """What is to be shared out: a stretch of the season, or what is free on one evening."""

    model_config = example(stretch="winter", day=None, seconds=30, seed=1)

    stretch: Name | None = Field(None, description="Key of the stretch.")
    day: Day | None = Field(None, description="The evening's date.")
    seconds: int = Field(30, ge=1, le=600, description="About how long to look for a plan.")
    seed: int = Field(1, ge=0, le=999_999_999, description="The same gives the same plan again.")

    @model_validator(mode="after")
    def _is_one(self) -> Self:
        if (self.stretch is None) == (self.day is None):
            raise ValueError(_("Give a stretch or a day, one of the two."))
        return self


class RunValue(Value):
    """How far the making of a plan is."""

    model_config = example(**_RUN)

    number: int
    title: str
    state: Literal["queued", "running", "done", "stopped", "failed"]
    words: str = Field(description="The same in a sentence.")
    percent: int = Field(description="Of the time allowed, 0 to 100.")
    seconds: int = Field(description="For how long it has run.")
    allowed_seconds: int
    share_out: int | None = Field(description="Number of the proposal, once there is one.")


class PublishWanted(Value):
    """Which difference was seen."""

    model_config = example(seen="0f9d349c070ef99b")

    seen: Words = Field(min_length=1, description="As it was read with the proposal.")


@operation("GET", "/share-outs", answer=ShareOutLeaf, query=LeafQuery)
@for_secretary
def list_proposals(query: LeafQuery) -> ShareOutLeaf:
    """List proposals, the newest first."""
    store = app_state().store
    leaf, following = leaf_of(list_numbers(store), lambda one: (-one,), query, (int,))
    zone = club_zone(store)
    lines = list_share_outs(store, leaf)
    return ShareOutLeaf(items=[_line(one, zone) for one in lines], next=following)


@operation("POST", "/share-outs", answer=RunValue, status=201, takes=ShareOutWanted)
@for_secretary
def start_share_out(body: ShareOutWanted) -> Done:
    """Start sharing out a stretch, or what is free on one evening; follow the run it makes.

    One runs at a time; nothing is booked before a proposal is published.
    """
    state = app_state()
    effort = Effort(seconds=float(body.seconds), seed=body.seed)
    if body.day is None:
        wanted = RunRequest(Work.STRETCH, effort, stretch=body.stretch or "")
    else:
        wanted = RunRequest(Work.EVENING, effort, scope=Scope(Sort.EVENING, body.day))
    return done(follow_run, number=state.runner.start(state.store, wanted, state.clock()))


@operation("GET", "/share-outs/<int:number>", answer=ShareOutValue)
@for_secretary
def read_share_out(number: int) -> ShareOutValue:
    """Show a proposal with its sessions, who goes without and why, and what it changes."""
    state = app_state()
    page = see_share_out(state.store, number, state.clock())
    sessions = see_proposal(state.store, number).sessions
    zone = club_zone(state.store)
    return ShareOutValue(
        number=page.number,
        sort=page.sort_words,
        stretch=page.stretch_name,
        made_at=in_zone(page.created_at, zone),
        published_at=page.published_at and in_zone(page.published_at, zone),
        sentence=page.sentence,
        aims=[f"{one.name}: {one.words}" for one in page.levels],
        is_proved=page.is_proved,
        sessions=[_session(one) for one in sessions],
        refused=_refused(page),
        difference=page.difference.sentence or page.difference.fault,
        seen=page.difference.digest,
    )


@operation(
    "POST",
    "/share-outs/<int:number>/publish",
    answer=ShareOutValue,
    status=201,
    takes=PublishWanted,
)
@for_secretary
def publish_proposal(number: int, body: PublishWanted) -> Done:
    """Turn a proposal into bookings, all of it or nothing."""
    state = app_state()
    publish_share_out(state.store, number, state.clock(), body.seen)
    return done(read_share_out, number=number)


@operation("GET", "/share-outs/runs/<int:number>", answer=RunValue)
@for_secretary
def follow_run(number: int) -> RunValue:
    """Show how far a run is; ask again every few seconds while it is queued or running."""
    state = app_state()
    return _run(see_run(state.store, number, state.runner.wall()))


@operation("POST", "/share-outs/runs/<int:number>/stop", answer=RunValue, status=201)
@for_secretary
def stop_share_out(number: int) -> Done:
    """Ask a run to stop; the best plan it has is kept."""
    stop_run(app_state().store, number)
    return done(follow_run, number=number)


def _line(one: ShareOutLine, zone: ZoneInfo) -> ProposalLine:
    return ProposalLine(
        number=one.number,
        sort=one.sort_words,
        stretch=one.stretch_name,
        made_at=in_zone(one.created_at, zone),
        published_at=one.published_at and in_zone(one.published_at, zone),
        sentence=one.sentence,
    )


def _session(one: ProposedSession) -> SessionProposed:
    pitch = pitch_of_ground(one.ground)
    members: dict[str, Any] = {
        "weekday": WEEKDAY_WORDS[one.weekday],
        "place": Place(pitch=pitch, area=one.ground.removeprefix(f"{pitch}/")),
    }
    return SessionProposed(
        squad=one.squad,
        place_name=one.ground_name,
        starts=clock_from_minute(one.start_min),
        ends=clock_from_minute(one.end_min),
        dates=list(one.dates),
        lost_dates=list(one.lost_dates),
        is_pinned=one.is_pinned,
        **members,
    )


def _refused(page: ProposalPage) -> list[RefusedAsk]:
    return [
        RefusedAsk(
            squad_name=one.squad_name,
            missing=one.missing,
            answer=one.answer,
            reasons=list(one.reasons),
            changes=list(one.changes),
        )
        for one in page.refusals
    ]


def _run(run: RunShown) -> RunValue:
    return RunValue(
        number=run.number,
        title=run.title,
        state=run.state.value,
        words=run.words,
        percent=run.percent,
        seconds=run.seconds,
        allowed_seconds=run.allowed,
        share_out=run.share_out,
    )
