"""Runs of share-outs: asked for, worked on, stopped, found again, and told when they died."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.squads import Ask, LeastGround
from clubplanner.domain.times.times import Window
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import speaking
from clubplanner.services.problem.standing_plans import Disruption, Scope
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.proposals import GroundClosed, ProposedSession, Sort
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.runs import share_worker
from clubplanner.services.share_out.runs.kept import (
    LONGEST_SILENCE,
    State,
    ask_for_run,
    latest_run,
    progress_as_json,
    repeat_run,
    see_run,
    stop_run,
    take_up_run,
)
from clubplanner.services.share_out.runs.requests import (
    RunRequest,
    Work,
    request_as_json,
    request_from_json,
)
from clubplanner.services.share_out.runs.share_worker import work
from clubplanner.sharing.values import levels
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.outcome import Progress
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.tables.run_tables import ShareRunRow
from tests.builders import NOW
from tests.small_club import KESTRELS, TOP, load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

AUTUMN = datetime(2026, 10, 1, 12, 0, 7, 482_193, tzinfo=UTC)
WALL = datetime(2026, 11, 25, 16, 0, 7, 482_193, tzinfo=UTC)
STRETCH = RunRequest(Work.STRETCH, Effort(seconds=3), stretch="winter")
WEDNESDAY = date(2026, 11, 25)


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club as it stands in autumn."""
    return load_small_club(empty_store, AUTUMN)


def test_a_request_survives_being_kept() -> None:
    """What is read back is what was written, with all its parts."""
    session = ProposedSession(
        "1", 0, KESTRELS, "U12", f"{TOP}/third-1", "Third", 2, 1080, 1155, (WEDNESDAY,)
    )
    windows = (Window(2, 1020, 1200),)
    ask = Ask(
        KESTRELS, 1, 60, windows, (), LeastGround(share=0.5), frozenset({"grass"}),
        needs_goal=False, needs_light=True,
    )  # fmt: skip
    disruption = Disruption(
        (GroundClosed(TOP, WEDNESDAY, WEDNESDAY),), frozenset({"a", "b"}), (ask,)
    )
    scope = Scope(Sort.WEEK, WEDNESDAY)
    for request in (
        STRETCH,
        RunRequest(Work.STRETCH, Effort(5, 2, 7), stretch="x", pins=(session,)),
        RunRequest(Work.AGAIN, Effort(), scope=scope, disruption=disruption),
    ):
        assert request_from_json(request_as_json(request)) == request
    assert RunRequest(Work.AGAIN, Effort(), scope=scope).title == (
        "Sharing out the week of Wednesday 25 November 2026 again"
    )


def test_a_run_is_worked_on_to_its_end(store: Store) -> None:
    """A queued run becomes a proposal; its aims and time are there to look at."""
    number = ask_for_run(store, STRETCH, AUTUMN, WALL)
    assert see_run(store, number, WALL).state is State.QUEUED
    work(store, number)
    run = see_run(store, number, WALL)
    assert run.state is State.DONE
    assert run.title == "Sharing out Winter"
    assert run.share_out is not None
    assert see_share_out(store, run.share_out, AUTUMN).created_at == AUTUMN.replace(microsecond=0)
    work(store, number)
    assert see_run(store, number, WALL) == run, "a run that is done is not done again"
    assert latest_run(store, WALL) == run


def test_repeating_a_run_gives_the_same_plan(store: Store) -> None:
    """With the same records, seed and effort the plan is the same to the last place."""
    first = ask_for_run(store, STRETCH, AUTUMN, WALL)
    work(store, first)
    second = repeat_run(store, first, AUTUMN, WALL)
    work(store, second)
    pages = []
    for number in (first, second):
        share_out = see_run(store, number, WALL).share_out
        assert share_out is not None
        pages.append(see_share_out(store, share_out, AUTUMN))
    assert pages[0].days == pages[1].days
    assert pages[0].levels == pages[1].levels
    assert "give the same plan again" in pages[0].effort_words


def test_one_run_at_a_time(store: Store) -> None:
    """A second one is refused while the first lives, and names it; a dead one does not block."""
    first = ask_for_run(store, STRETCH, AUTUMN, WALL)
    with pytest.raises(RefusedError, match=r"running \(Sharing out Winter\)"):
        ask_for_run(store, STRETCH, AUTUMN, WALL)
    later = WALL + LONGEST_SILENCE + timedelta(seconds=1)
    second = ask_for_run(store, STRETCH, AUTUMN, later)
    dead = see_run(store, first, later)
    assert dead.state is State.FAILED
    assert "ended without a word" in dead.words
    assert see_run(store, second, later).state is State.QUEUED
    with pytest.raises(MissingError, match="no stretch"):
        ask_for_run(store, RunRequest(Work.STRETCH, Effort(), stretch="x"), AUTUMN, later)
    with pytest.raises(MissingError, match="no run 99"):
        see_run(store, 99, later)


def test_a_process_that_died_is_told_before_anybody_asks_again(store: Store) -> None:
    """Silence for long means that the process is gone."""
    number = ask_for_run(store, STRETCH, AUTUMN, WALL)
    with store.write() as session:
        row = session.get_one(ShareRunRow, number)
        row.state, row.begun_at = State.RUNNING.value, WALL
    assert see_run(store, number, WALL + timedelta(seconds=20)).state is State.RUNNING
    run = see_run(store, number, WALL + timedelta(minutes=2))
    assert (run.state, run.seconds) == (State.FAILED, 0)


def test_a_run_is_told_in_the_language_of_whoever_reads(store: Store) -> None:
    """Its aims, and how it died, are told in German to who reads German, whoever noted them."""
    number = ask_for_run(store, STRETCH, AUTUMN, WALL)
    saved = progress_as_json({}, Progress(1, 2, 41, 45, 0.2, levels.PLACING))
    saved = progress_as_json(saved, Progress(2, 2, None, None, 0.5, levels.FAIRNESS))
    with store.write() as session:
        row = session.get_one(ShareRunRow, number)
        row.state, row.begun_at, row.progress = State.RUNNING.value, WALL, saved
    with speaking("de"):
        run = see_run(store, number, WALL)
        assert [aim.name for aim in run.aims] == ["untergebrachte Einheiten", "Fairness"]
        assert run.words == "Ziel 2 von 2: Fairness."
    assert run.aims != see_run(store, number, WALL).aims
    later = WALL + LONGEST_SILENCE + timedelta(seconds=1)
    take_up_run(store, later)
    assert "begun once more" in see_run(store, number, later).words
    with speaking("de"):
        assert "noch einmal begonnen" in see_run(store, number, later).words


def test_a_run_is_stopped_and_keeps_its_best_plan(
    club_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Asking to stop ends a search that would take minutes; the plan so far is a proposal."""
    monkeypatch.setattr(share_worker, "BEAT_S", 0.1)
    request = RunRequest(Work.STRETCH, Effort(seconds=300), stretch="winter")
    number = ask_for_run(club_store, request, NOW, WALL)
    worker = threading.Thread(target=work, args=(club_store, number))
    worker.start()
    for _ in range(3000):  # five minutes, on whatever machine
        run = see_run(club_store, number, datetime.now(UTC))
        if run.aims:
            break
        time.sleep(0.1)
    assert run.state is State.RUNNING
    assert run.aims[0].name == "placing sessions"
    assert run.words.startswith("Aim ")
    stop_run(club_store, number)
    worker.join(60)
    assert not worker.is_alive()
    run = see_run(club_store, number, WALL)
    assert run.state is State.STOPPED
    assert run.share_out is not None
    page = see_share_out(club_store, run.share_out, NOW)
    assert page.days
    assert "may come out differently" in page.effort_words


def test_what_goes_wrong_is_told_and_no_detail_shown(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A refusal keeps its words; anything else says to repeat it."""
    over = RunRequest(Work.EVENING, Effort(), scope=Scope(Sort.EVENING, date(2026, 9, 1)))
    number = ask_for_run(store, over, AUTUMN, WALL)
    work(store, number)
    run = see_run(store, number, WALL)
    assert run.state is State.FAILED
    assert "choose a date still to come" in run.words

    def broken(*_: object, **__: object) -> None:
        raise ValueError("inner detail")

    monkeypatch.setattr(share_worker, "run_share_out", broken)
    number = ask_for_run(store, STRETCH, AUTUMN, WALL)
    work(store, number)
    assert see_run(store, number, WALL).words == "It broke off; repeat it, or allow less time."


def test_a_process_of_its_own_shares_out_again(store: Store) -> None:
    """The worker's own process finds its run by number and works on it; the server may be gone."""
    done = run_share_out(store, "winter", Effort(seconds=3), AUTUMN)
    publish_share_out(store, done.number, AUTUMN)
    disruption = Disruption((GroundClosed(f"{TOP}/whole", WEDNESDAY, WEDNESDAY, reason="Frost"),))
    scope = Scope(Sort.EVENING, WEDNESDAY)
    number = ask_for_run(
        store,
        RunRequest(Work.AGAIN, Effort(seconds=3), scope=scope, disruption=disruption),
        AUTUMN,
        WALL,
    )
    command = [sys.executable, "-m", "clubplanner.services.share_out.runs.share_worker"]
    address = store.engine.url.render_as_string(hide_password=False)
    subprocess.run(
        [*command, str(number)],
        check=True,
        timeout=120,
        env={**os.environ, "CLUBPLANNER_DATABASE": address},
    )
    run = see_run(store, number, WALL)
    assert run.state is State.DONE
    assert run.share_out is not None
    assert see_share_out(store, run.share_out, AUTUMN).why


def test_a_search_lets_all_else_go_first() -> None:
    """From then on the process is nice, its later threads too; asked twice, it stays so."""
    code = (
        "import os\nfrom clubplanner.services.share_out.runs import standing_back as s\n"
        "s.stand_back(); s.stand_back(); print(os.nice(0), s.NICENESS)"
    )
    run = subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        capture_output=True,
        text=True,
        start_new_session=True,
    )
    now, wanted = map(int, run.stdout.split())
    assert now == max(wanted, os.nice(0))


def test_others_of_its_session_do_not_stand_back() -> None:
    """A search begun in somebody's session makes itself nice, and not all that they have begun."""
    kept = Path("/proc/self/autogroup")
    if not kept.exists():
        pytest.skip("This kernel does not share its time among sessions.")
    before = kept.read_text("ascii")
    code = "from clubplanner.services.share_out.runs import standing_back as s; s.stand_back()"
    subprocess.run([sys.executable, "-c", code], check=True)
    assert kept.read_text("ascii") == before


def test_signs_of_life_do_not_stand_back(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """The process of a run stands back, once its pulse beats: that one holds the write lock."""
    order: list[str] = []
    start = share_worker.Pulse.start

    def begin(pulse: share_worker.Pulse) -> None:
        order.append("pulse")
        start(pulse)

    monkeypatch.setattr(share_worker.Pulse, "start", begin)
    monkeypatch.setattr(share_worker, "stand_back", lambda: order.append("stands back"))
    monkeypatch.setattr(share_worker, "_share_out", lambda *_u, **_v: order.append("searches"))
    number = ask_for_run(store, STRETCH, AUTUMN, WALL)
    share_worker._work_logged(store, number, Brake())
    assert order == ["pulse", "stands back", "searches"]


def test_progress_is_kept_aim_by_aim() -> None:
    """Reports of the same aim replace each other; the bar is full when value and bound meet."""
    saved = progress_as_json({}, Progress(1, 3, None, 45, 0.1, "placing sessions"))
    saved = progress_as_json(saved, Progress(1, 3, 41, 45, 0.2, "placing sessions"))
    saved = progress_as_json(saved, Progress(2, 3, 7, 7, 0.5, "being fair"))
    assert saved == {
        "aims": {
            "1": {"name": "placing sessions", "value": 41, "bound": 45},
            "2": {"name": "being fair", "value": 7, "bound": 7},
        },
        "open": 2,
        "count": 3,
        "fraction": 0.5,
    }
