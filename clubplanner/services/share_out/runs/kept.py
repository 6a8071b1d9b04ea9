"""Runs of share-outs: asked for by anybody, worked on by one process at a time.

A run is a row, so it outlives the server: whoever looks finds how far it is and what came of it.
One whose process dies, or whose server dies before it began one, is taken up by a worker, once.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, marked, term
from clubplanner.services.rows.seasons.stretches import find_stretch
from clubplanner.services.share_out.runs.requests import (
    RunRequest,
    request_as_json,
    request_from_json,
)
from clubplanner.store.tables.run_tables import ShareRunRow

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.sharing.values.outcome import Progress
    from clubplanner.store.engine import Store

LONGEST_SILENCE = timedelta(seconds=30)
"""A process that has given no sign of life for so long is taken for dead; it gives one every
second, but a machine may be busy."""


class State(StrEnum):
    """How far a run is."""

    QUEUED = "queued"
    RUNNING = "running"
    DONE = "done"
    STOPPED = "stopped"
    FAILED = "failed"

    @property
    def is_live(self) -> bool:
        """Whether it has not come to an end."""
        return self in (State.QUEUED, State.RUNNING)


@dataclass(frozen=True, slots=True)
class AimShown:
    """How far one aim of a run is.

    Attributes:
        name: What is aimed at.
        value: The best so far; None before the first plan.
        bound: What no plan can pass; None while unknown.
        is_open: Whether it is worked on right now.
    """

    name: str
    value: int | None
    bound: int | None
    is_open: bool

    @property
    def is_proved(self) -> bool:
        """Whether value and bound meet."""
        return self.value is not None and self.value == self.bound

    @property
    def percent(self) -> int:
        """How near value and bound are, 100 when they meet; 0 while one is unknown."""
        if self.value is None or self.bound is None:
            return 0
        scale = max(abs(self.value), abs(self.bound), 1)
        return 100 * (scale - min(scale, abs(self.bound - self.value))) // scale

    @property
    def words(self) -> str:
        """Say how far it is."""
        if self.value is None:
            return _("looking for a first plan") if self.is_open else _("not begun")
        if self.is_proved:
            return _("%(value)s, proved best", value=self.value)
        bound = "" if self.bound is None else _("; no plan can pass %(bound)s", bound=self.bound)
        return f"{self.value}{bound}"


@dataclass(frozen=True, slots=True)
class RunShown:
    """A run as a page shows it.

    Attributes:
        number: The run's number.
        title: What it does.
        state: How far it is; a run whose process died is `State.FAILED`.
        words: The same in a sentence.
        aims: Its aims in order, those begun so far.
        aim_count: How many aims there are in all; 0 before the first is begun.
        percent: How much of the time allowed is used up, 0 to 100.
        seconds: For how long it has run, or did run.
        allowed: Seconds allowed, about.
        seed: Start of the search's random numbers.
        is_stop_asked: Whether somebody has asked to stop it.
        share_out: Number of the proposal that came of it.
    """

    number: int
    title: str
    state: State
    words: str
    aims: tuple[AimShown, ...]
    aim_count: int
    percent: int
    seconds: int
    allowed: int
    seed: int
    is_stop_asked: bool
    share_out: int | None


def ask_for_run(store: Store, request: RunRequest, now: datetime, wall: datetime) -> int:
    """Write down that a share-out is to be run, and return the run's number.

    Args:
        store: The database.
        request: What to do.
        now: The present instant by the club's clock.
        wall: The present instant by the machine's clock.

    Raises:
        MissingError: If there is no such stretch.
        RefusedError: If another one is running.
    """
    with store.write() as session:
        title = request.title
        if request.stretch:
            stretch = find_stretch(session, request.stretch)
            title = replace(request, stretch=stretch.name).title
            request = replace(request, stretch=stretch.key)
        for row in _live(session):
            if not is_dead(row, wall):
                raise RefusedError(
                    _(
                        "A share-out is running (%(title)s); wait until it is done, or stop it.",
                        title=row.title,
                    )
                )
            row.state, row.ended_at, row.fault = State.FAILED.value, wall, DIED
        row = ShareRunRow(
            request=request_as_json(request),
            title=title,
            state=State.QUEUED.value,
            asked_at=now,
            begun_at=None,
            seen_at=wall,
            ended_at=None,
            is_stop_asked=False,
            progress={},
            share_out_id=None,
            fault="",
        )
        session.add(row)
        session.flush()
        return row.id


DIED = marked("Its process ended without a word; the machine may have been restarted. Repeat it.")


TAKEN_UP = marked("Its process ended without a word, so it was begun once more.")


def take_up_run(store: Store, wall: datetime) -> int | None:
    """Queue the run whose process died, or never began, so that another process works on it.

    Once: what ends a second process may end a third. A run whose proposal is kept is done already.

    Args:
        store: The database.
        wall: The present instant by the machine's clock.

    Returns:
        The number of the run to be begun; None for none.
    """
    with store.read() as session:
        if not any(is_dead(row, wall) and not row.fault for row in _live(session)):
            return None
    with store.write() as session:
        for row in _live(session):
            if is_dead(row, wall) and not row.fault and not row.is_stop_asked:
                row.state, row.begun_at, row.seen_at = State.QUEUED.value, None, wall
                row.fault = TAKEN_UP
                return row.id
        return None


def repeat_run(store: Store, number: int, now: datetime, wall: datetime) -> int:
    """Ask for a run once more: with equal records it gives the same plan.

    Raises:
        MissingError: If there is no such run.
        RefusedError: If another one is running.
    """
    return ask_for_run(store, load_request(store, number), now, wall)


def load_request(store: Store, number: int) -> RunRequest:
    """Return what a run was asked to do.

    Raises:
        MissingError: If there is no such run.
    """
    with store.read() as session:
        return request_from_json(_load(session, number).request)


def stop_run(store: Store, number: int) -> None:
    """Ask a run to stop; its process then keeps the best plan it has.

    Raises:
        MissingError: If there is no such run.
    """
    with store.write() as session:
        row = _load(session, number)
        if State(row.state).is_live:
            row.is_stop_asked = True


def see_run(store: Store, number: int, wall: datetime) -> RunShown:
    """Show a run.

    Raises:
        MissingError: If there is none of that number.
    """
    with store.read() as session:
        return _shown(_load(session, number), wall)


def latest_run(store: Store, wall: datetime) -> RunShown | None:
    """Show the newest run, None before the first."""
    with store.read() as session:
        row = session.scalars(select(ShareRunRow).order_by(ShareRunRow.id.desc())).first()
        return None if row is None else _shown(row, wall)


def is_dead(row: ShareRunRow, wall: datetime) -> bool:
    """Whether the process of a live run has given no sign of life for too long."""
    return wall - row.seen_at > LONGEST_SILENCE


def progress_as_json(saved: Mapping[str, Any], progress: Progress) -> dict[str, Any]:
    """Return what is kept of a run's progress, with the newest report added."""
    aims = dict(saved.get("aims", {}))
    aims[str(progress.level)] = {
        "name": progress.name,
        "value": progress.value,
        "bound": progress.bound,
    }
    return {
        "aims": aims,
        "open": progress.level,
        "count": progress.level_count,
        "fraction": round(progress.fraction, 3),
    }


def _live(session: Session) -> list[ShareRunRow]:
    states = [state.value for state in State if state.is_live]
    return list(session.scalars(select(ShareRunRow).where(ShareRunRow.state.in_(states))))


def _load(session: Session, number: int) -> ShareRunRow:
    row = session.get(ShareRunRow, number)
    if row is None:
        raise MissingError(_("There is no run %(number)s; start a share-out first.", number=number))
    return row


def _shown(row: ShareRunRow, wall: datetime) -> RunShown:
    state = State(row.state)
    fault = term(row.fault)
    if state.is_live and is_dead(row, wall):
        state, fault = State.FAILED, term(DIED)
    effort = request_from_json(row.request).effort
    begun = row.begun_at or wall
    until = row.ended_at or (row.seen_at if state is State.FAILED else wall)
    seconds = max(0, round((until - begun).total_seconds()))
    used = seconds / effort.seconds if state.is_live else 1.0
    saved = row.progress
    return RunShown(
        number=row.id,
        title=row.title,
        state=state,
        words=_words(row, state, fault),
        aims=tuple(
            AimShown(
                term(aim["name"]),
                aim["value"],
                aim["bound"],
                is_open=state.is_live and int(level) == saved["open"],
            )
            for level, aim in sorted(saved.get("aims", {}).items())
        ),
        aim_count=saved.get("count", 0),
        percent=round(100 * min(1.0, max(used, saved.get("fraction", 0.0)))),
        seconds=seconds,
        allowed=round(effort.seconds),
        seed=effort.seed,
        is_stop_asked=row.is_stop_asked,
        share_out=row.share_out_id,
    )


def _words(row: ShareRunRow, state: State, fault: str) -> str:
    """Say how far a run is, one sentence."""
    if state is State.FAILED:
        return fault
    if state.is_live and row.is_stop_asked:
        return _("Stopping; the best plan so far is kept.")
    if state is State.QUEUED:
        return fault or _("Starting.")
    if state is State.STOPPED:
        return _("Stopped; the best plan found until then was kept.")
    if state is State.DONE:
        return _("Done.")
    saved = row.progress
    if not saved:
        return _("Reading the club's records.")
    aim = saved["aims"][str(saved["open"])]
    return _(
        "Aim %(number)s of %(count)s: %(aim)s.",
        number=saved["open"],
        count=saved["count"],
        aim=term(aim["name"]),
    )
