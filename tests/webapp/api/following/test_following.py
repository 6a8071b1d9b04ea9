"""What has happened since a mark, by the API: begun, followed, refused."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.rows.journal.journal_eras import begin_era
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.council import BROOK_U14, WEIR, WEIR_U12, book_squad, club_number, load_council
from tests.small_club import HARRIERS, KESTRELS, book
from tests.webapp.api.programs import is_problem, program_of
from tests.webapp.conftest import ADDRESS

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.stores import Filled
    from tests.webapp.api.programs import Program


def test_a_program_begins_and_follows(desk: Program, small: Store) -> None:
    """First the mark of the present, then each change from it, leaf by leaf."""
    begun = desk.get("/changes").json
    assert (begun["happenings"], begun["has_more"]) == ([], False)
    book(small)
    book(small, HARRIERS, "third-2")
    first = desk.get(f"/changes?since={begun['mark']}&limit=1").json
    assert first["has_more"]
    (one,) = first["happenings"]
    assert (one["kind"], one["before"], one["mark"]) == ("booking", None, first["mark"])
    assert one["after"]["squad"] == KESTRELS
    second = desk.get(f"/changes?since={first['mark']}").json
    assert [one["after"]["squad"] for one in second["happenings"]] == [HARRIERS]
    assert not second["has_more"]
    assert desk.get(f"/changes?since={second['mark']}").json["happenings"] == []
    assert desk.get(f"/changes/{one['change']}").json["number"] == one["change"]


def test_a_mark_that_is_gone_says_so(desk: Program, small: Store) -> None:
    """410 where the records came back from a backup, 422 for what is no mark."""
    mark = desk.get("/changes").json["mark"]
    with small.write() as session:
        begin_era(session, 0, NOW)
    assert is_problem(desk.get(f"/changes?since={mark}"), 410, "mark-gone")
    assert is_problem(desk.get("/changes?since=yesterday"), 422, "refused")
    assert is_problem(desk.get("/changes?limit=501"), 422, "faulty")


def test_only_who_keeps_squads_may_follow(coach: Program) -> None:
    """A coach's token reads their own ground by other addresses."""
    assert is_problem(coach.get("/changes"), 403, "not-yours")


def test_a_clubs_program_follows_its_own(filled: Filled) -> None:
    """Its squads alone; making the first mark is no change of the office's."""
    store = filled(load_council)
    app = create_app(store, Config("", ADDRESS), lambda: NOW)
    club = club_number(store, WEIR)
    own = program_of(app, store, Role.CLUB_SECRETARY, name="Lee", club=club)
    mark = own.get("/changes").json["mark"]
    book_squad(store, WEIR_U12)
    book_squad(store, BROOK_U14, "third-2")
    followed = own.get(f"/changes?since={mark}").json
    assert [one["after"]["squad"] for one in followed["happenings"]] == [WEIR_U12]
