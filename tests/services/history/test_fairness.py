"""What each squad has had so far, and what the next share-out makes good."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.fair import Stint, balances, share_ground
from clubplanner.errors import RefusedError
from clubplanner.services.evening.bookings import withdraw_booking
from clubplanner.services.history.fair_pictures import draw_fairness
from clubplanner.services.history.fairness import see_fairness, served_so_far
from clubplanner.services.history.past import past_balances
from clubplanner.services.problem.season_terms import with_past
from clubplanner.services.problem.stretch_problem import load_stretch_problem
from clubplanner.services.rows.seasons.stretches import find_stretch
from clubplanner.services.season.year import save_stretch
from clubplanner.store.tables.booking_tables import ShareOutRow
from clubplanner.store.tables.club_tables import StretchRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import HARRIERS, KESTRELS, TOP, book
from tests.stores import booking_row

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

LATER = datetime(2026, 11, 27, 0, 0, 7, 482_193, tzinfo=UTC)
SPRING = date(2027, 4, 12)


def publish(store: Store, key: str, percents: dict[str, int], sort: str = "stretch") -> None:
    """Keep a published share-out of a stretch with these satisfactions."""
    with store.write() as session:
        stretch = session.query(StretchRow).filter_by(key=key).one()
        entries: list[dict[str, Any]] = [
            {"squad": squad, "squad_name": squad, "percent": percent}
            for squad, percent in percents.items()
        ]
        session.add(
            ShareOutRow(
                stretch_id=stretch.id,
                sort=sort,
                created_at=NOW,
                kind="proved best",
                outcome={"satisfactions": entries, "sentence": ""},
                published_at=NOW,
            )
        )


def test_hours_are_counted_against_what_was_asked_for(small: Store) -> None:
    """Seven weeks less a few days: Kestrels asked 1.25 h a week, Harriers 2 h."""
    book(small, KESTRELS, "third-1")
    book(small, HARRIERS, "half-2", end_min=19 * 60)
    book(small, HARRIERS, "half-1", day=A_WEDNESDAY + timedelta(days=1), purpose=Purpose.MATCH)
    book(small, HARRIERS, "half-1", day=A_WEDNESDAY + timedelta(days=7))
    page = see_fairness(small, LATER)
    assert page.since == date(2026, 10, 12)
    kestrels, harriers = (next(s for s in page.squads if s.key == k) for k in (KESTRELS, HARRIERS))
    weeks = 47 / 7
    assert (kestrels.hours, harriers.hours) == (1.25, 1.0), "training alone, and so far"
    assert kestrels.asked == pytest.approx(1.25 * weeks)
    assert harriers.asked == pytest.approx(2 * weeks)
    assert page.squads[0] is harriers, "the worst served first"
    assert kestrels.even == harriers.even == pytest.approx(1.125)
    assert page.worst == harriers
    assert page.jain is not None
    assert page.gini is not None
    assert 0.5 <= page.jain < 1
    assert page.gini > 0
    pictures = draw_fairness(page, page.squads)
    assert pictures is not None
    assert all("U14 Harriers" in drawing for drawing in (pictures.wide, pictures.narrow))


def test_before_anybody_trained_nothing_is_even(small: Store) -> None:
    """No hours yet: no measure, no picture; before the season there is nothing to compare."""
    page = see_fairness(small, datetime(2026, 10, 12, 9, tzinfo=UTC))
    assert (page.jain, page.gini, page.worst) == (None, None, None)
    assert draw_fairness(page, page.squads) is None
    assert [squad.served for squad in page.squads] == [0, 0], "asked, and had nothing"
    assert all(squad.ground is None for squad in page.squads)
    with pytest.raises(RefusedError, match="has not begun"):
        see_fairness(small, datetime(2026, 9, 1, tzinfo=UTC))


def test_who_asked_for_nothing_has_no_percentage(small: Store) -> None:
    """It stands last, with what it had, and bends no measure."""
    with small.write() as session:
        harriers = session.query(SquadRow).filter_by(key=HARRIERS).one()
        session.query(AskRow).filter_by(squad_id=harriers.id).delete()
    book(small, KESTRELS, "third-1")
    without = see_fairness(small, LATER)
    assert [squad.served is None for squad in without.squads] == [False, True]
    book(small, HARRIERS, "half-2", end_min=19 * 60)
    page = see_fairness(small, LATER)
    last = page.squads[-1]
    assert (last.key, last.served, last.hours) == (HARRIERS, None, 1.0)
    assert (page.jain, page.gini) == (1.0, 0.0), "Kestrels alone asked"
    with small.read() as session:
        assert set(served_so_far(session, LATER)) == {KESTRELS}


@given(
    st.lists(
        st.builds(Stint, st.sampled_from("abc"), st.floats(0.5, 3), st.floats(20, 400)), max_size=9
    )
)
def test_all_ground_together_is_a_third_each(stints: list[Stint]) -> None:
    """Whoever has what: over all squads good, middling and bad hours are equal."""
    shares = share_ground(stints)
    total = sum(s.hours for s in stints)
    hours = {k: sum(s.hours for s in stints if s.squad == k) for k in shares}
    for part in ("good", "middling", "bad"):
        together = sum(getattr(shares[k], part) * hours[k] for k in shares)
        assert together == pytest.approx(total / 3)


def test_the_best_ground_is_good_and_the_worst_bad() -> None:
    """Three squads with an hour each on 100, 200 and 300 m² a player."""
    shares = share_ground([Stint("c", 1, 300), Stint("a", 1, 100), Stint("b", 1, 200)])
    assert shares["a"].bad == pytest.approx(1)
    assert shares["b"].middling == pytest.approx(1)
    assert shares["c"].good == pytest.approx(1)


def test_balances_sum_to_nothing() -> None:
    """Points above and below the mean cancel out."""
    assert balances({}) == {}
    assert balances({"a": 90, "b": 60, "c": 60}) == {"a": 20, "b": -10, "c": -10}


def test_the_past_counts_published_stretches_and_what_was_lost(small: Store) -> None:
    """90 and 50 percent: 20 points apart from the mean; half of the sessions lost weighs in."""
    with small.read() as session:
        assert past_balances(session, SPRING) == {}
    publish(small, "winter", {KESTRELS: 90, HARRIERS: 70}, sort="evening")
    with small.read() as session:
        assert past_balances(session, SPRING) == {}, "one evening is no stretch"
    publish(small, "winter", {KESTRELS: 10, HARRIERS: 10})
    publish(small, "winter", {KESTRELS: 90, HARRIERS: 50})
    with small.read() as session:
        assert past_balances(session, SPRING) == {KESTRELS: 20, HARRIERS: -20}
        assert past_balances(session, date(2026, 10, 12)) == {}, "not begun before that date"
    book(small, KESTRELS, "third-1")
    gone = book(small, KESTRELS, "third-2", day=A_WEDNESDAY + timedelta(days=7))
    withdraw_booking(small, gone, booking_row(small, gone).sequence, NOW)
    with small.read() as session:
        assert past_balances(session, SPRING) == {KESTRELS: -2.5, HARRIERS: 2.5}


def test_a_record_of_a_squad_that_could_have_nothing_counts_as_nothing(small: Store) -> None:
    """Earlier records say 100 percent for a squad for which there was no place at all."""
    publish(small, "winter", {KESTRELS: 100, HARRIERS: 50})
    with small.write() as session:
        row = session.query(ShareOutRow).one()
        entries = [
            {**entry, "score": 0, "best_alone": 0} if entry["squad"] == KESTRELS else entry
            for entry in row.outcome["satisfactions"]
        ]
        row.outcome = {**row.outcome, "satisfactions": entries}
    with small.read() as session:
        assert past_balances(session, SPRING) == {KESTRELS: -25, HARRIERS: 25}


def test_the_next_share_out_takes_the_past_into_account(small: Store) -> None:
    """Each ask of the next stretch carries its squad's points, rounded."""
    save_stretch(small, "", "Spring", SPRING, date(2027, 5, 28))
    publish(small, "winter", {KESTRELS: 90, HARRIERS: 50})
    with small.read() as session:
        problem = load_stretch_problem(session, find_stretch(session, "spring"))
        assert {ask.squad: ask.past for ask in problem.asks} == {KESTRELS: 20, HARRIERS: -20}
        first = load_stretch_problem(session, find_stretch(session, "winter"))
        assert {ask.past for ask in first.asks} == {0}
        assert with_past(session, first, date(2026, 10, 1)) is first
    assert TOP in {ground.pitch for ground in problem.grounds}
