"""The files of a proposal pass the check that a stranger runs, and name nobody but squads."""

from __future__ import annotations

import json
from datetime import date
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.errors import MissingError
from clubplanner.services.problem.standing_plans import Disruption, Scope
from clubplanner.services.proposals import files_to_check
from clubplanner.services.proposals.files_to_check import (
    PROBLEM,
    RESULT,
    files_as_json,
    see_file_to_check,
)
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.proposals import GroundClosed, Sort
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.share_out.again.again import propose_reshare
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.by_hand.by_hand import other_places, put_by_hand
from clubplanner.services.share_out.by_hand.starting_from import Spot
from clubplanner.services.share_out.by_hand.what_if import Wish, take_what_if, what_if
from clubplanner.services.share_out.files.added_up import certified, sum_of
from clubplanner.services.share_out.files.files import NamedFile, untruths
from clubplanner.sharing import Effort
from clubplanner.sharing.solving.solve import solve
from clubplanner.store.tables.booking_tables import ShareOutRow
from clubplanner.store.tables.squad_tables import SquadRow
from tests.services.share_out.again.test_in_turns import AUTUMN, EFFORT, PITCH, SQUADS
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem
from tests.small_club import SETTINGS, load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.stores import Filled

FULL = SQUADS + "U8 Finches,U8,10,1,Pat Lowe,1,60,Wed 17:00-18:00,,half\n"


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give a club of one pitch with a share-out of its winter in which one squad goes without."""

    def fill(store: Store) -> None:
        load_small_club(store, AUTUMN, squads=FULL, settings=SETTINGS, pitches=(PITCH,))
        run_share_out(store, "winter", EFFORT, AUTUMN)

    return filled(fill)


def pair(store: Store, number: int) -> tuple[NamedFile, NamedFile]:
    """Return the problem and the result of a proposal."""
    found = (see_file_to_check(store, number, which) for which in (PROBLEM, RESULT))
    problem, result = (NamedFile(file.name, file.data) for file in found)
    return problem, result


def test_the_pair_passes_the_check_and_its_prices_add_up(store: Store) -> None:
    """It is told as true without the optimiser, and so is what no plan can pass."""
    files = pair(store, 1)
    assert untruths(*files) == ()
    proof, added = certified(files[1]), sum_of(*files)
    assert proof is not None
    assert added is not None
    assert added[1].most == proof.most
    assert see_share_out(store, 1, AUTUMN).has_prices
    assert files[0].name == "proposal-1-problem.json"


def test_a_bent_pair_does_not_pass(store: Store) -> None:
    """A session more than was asked for belongs to another problem; another price proves less."""
    problem, result = pair(store, 1)
    body = json.loads(problem.data)
    body["asks"][0]["sessions"] += 1
    bent = NamedFile(problem.name, json.dumps(body).encode())
    assert untruths(bent, result)
    claim = json.loads(result.data)
    claim["certificate"]["most"] -= 1
    assert untruths(problem, NamedFile(result.name, json.dumps(claim).encode()))


def test_coaches_are_numbered_and_bookings_have_no_holder(store: Store) -> None:
    """Whoever gets the files learns of no person; in the proposal itself they stand as ever."""
    problem = make_problem(
        (*make_pitch("top"), *make_pitch("back")),
        *(make_ask(key, coach="Ada Holt", minutes=90) for key in "abc"),
        days=make_days(2),
    )
    outcome = solve(problem, Effort(seconds=5))
    assert any(r.facts.person for one in outcome.refusals for r in one.reasons)
    kept = files_as_json(problem, outcome)[files_to_check.KEPT]
    texts = {name: files_to_check._unpack(text).decode() for name, text in kept.items()}
    assert not any("Holt" in text for text in texts.values())
    assert '"coach 1"' in texts[PROBLEM]
    assert untruths(*(NamedFile(name, text.encode()) for name, text in texts.items())) == ()


def test_they_stay_as_they_were_when_records_change(store: Store) -> None:
    """What was proved is about the records of then, whatever is booked since."""
    before = pair(store, 1)
    with store.write() as session:
        session.scalars(select(SquadRow)).all()[0].name = "Hill School"
    publish_share_out(store, 1, AUTUMN)
    assert pair(store, 1) == before
    assert b"Hill School" not in before[0].data


def test_sharing_out_again_has_its_own_pair(store: Store) -> None:
    """With the ground closed in its problem, and without the words why."""
    publish_share_out(store, 1, AUTUMN)
    day = date(2026, 12, 2)
    ground = see_ground(store)
    closed = GroundClosed(ground, day, day, reason="Frost")
    number = propose_reshare(
        store, Scope(Sort.EVENING, day), Disruption(closures=(closed,)), EFFORT, AUTUMN
    )
    files = pair(store, number)
    assert untruths(*files) == ()
    assert b"Frost" not in files[0].data


def see_ground(store: Store) -> str:
    """Return the key of some ground on which the proposal has a session."""
    body = json.loads(see_file_to_check(store, 1, RESULT).data)
    return str(body["placements"][0]["ground"])


def test_a_plan_by_hand_has_its_own_pair(store: Store) -> None:
    """The check tells it as true; a session more than it gives is told as untrue."""
    spot = Spot(proposal=1, place=0)
    choice = other_places(store, spot, AUTUMN).options[0].choice
    fresh = put_by_hand(store, spot, choice, AUTUMN)
    files = pair(store, fresh)
    assert see_share_out(store, fresh, AUTUMN).no_files == ""
    assert untruths(*files) == ()
    assert certified(files[1]) is None
    body = json.loads(files[1].data)
    assert body["kind"] == "by hand"
    body["placements"][0]["start_min"] += 15
    body["placements"][0]["end_min"] += 15
    assert untruths(files[0], NamedFile(files[1].name, json.dumps(body).encode()))


def test_what_was_insisted_on_has_its_own_pair(store: Store) -> None:
    """A session that somebody insisted on is pinned in the problem of its files."""
    placed = json.loads(pair(store, 1)[1].data)["placements"][0]
    wish = Wish(placed["ask"], placed["day"], placed["start_min"], placed["ground"])
    shown = what_if(store, 1, wish, AUTUMN)
    fresh = take_what_if(store, 1, wish, shown.changes, AUTUMN)
    files = pair(store, fresh)
    assert untruths(*files) == ()
    pins = [pin for ask in json.loads(files[0].data)["asks"] for pin in ask["pinned"]]
    assert [(pin["ask"], pin["ground"]) for pin in pins] == [(wish.ask, wish.ground)]


def test_where_there_is_none_it_is_said_why(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Too large to be read with every proposal, or kept by a release that had no such files."""
    with store.write() as session:
        row = session.get_one(ShareOutRow, 1)
        row.outcome = {k: v for k, v in row.outcome.items() if k != files_to_check.KEPT}
    assert "earlier release" in see_share_out(store, 1, AUTUMN).no_files
    with pytest.raises(MissingError, match="earlier release"):
        see_file_to_check(store, 1, PROBLEM)
    monkeypatch.setattr(files_to_check, "MOST_BYTES", 10)
    done = run_share_out(store, "winter", EFFORT, AUTUMN)
    assert "Share out one venue at a time" in see_share_out(store, done.number, AUTUMN).no_files
    with pytest.raises(MissingError, match="larger than"):
        see_file_to_check(store, done.number, RESULT)
