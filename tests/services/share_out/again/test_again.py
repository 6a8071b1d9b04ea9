"""Sharing out again for one evening, one week or the rest of a stretch, and publishing it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.squads import Ask, LeastGround
from clubplanner.domain.times.times import Window, minute_from_clock
from clubplanner.errors import ClashError, MissingError, OutdatedError, RefusedError
from clubplanner.services.evening.bookings import move_booking
from clubplanner.services.problem.standing_plans import Disruption, Scope, load_standing
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.proposals.proposal_page import pinned_sessions, see_share_out
from clubplanner.services.proposals.proposals import GroundClosed, Sort
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.snapshot import load_stretches
from clubplanner.services.season.grass.wear import set_limit_by_guidance
from clubplanner.services.share_out.again.again import propose_reshare
from clubplanner.services.share_out.anew.anew import run_share_out, share_evening_out
from clubplanner.services.share_out.by_hand.by_hand import other_places, put_by_hand
from clubplanner.services.share_out.by_hand.starting_from import Spot
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import LONDON, make_range
from tests.small_club import (
    HARRIERS,
    KESTRELS,
    LOW,
    SQUADS,
    TOP,
    book,
    find_area_id,
    kept_bookings,
    load_small_club,
)
from tests.stores import ALL_THE_SAME

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.small_club import Kept
    from tests.stores import Filled

AUTUMN = datetime(2026, 10, 1, 12, 0, 7, 482_193, tzinfo=UTC)
EFFORT = Effort(seconds=4)
WEDNESDAY = date(2026, 11, 25)
THIRDS = [f"{TOP}/third-{n}" for n in (1, 2, 3)]
MORE_SQUADS = (
    SQUADS
    + """\
U10 Wrens,U10,12,1,Jo Marsh,1,60,Wed 17:00-20:00,third
U11 Swifts,U11,12,1,Lee Ford,1,60,Wed 17:00-20:00,third
"""
)


def publish_winter(store: Store) -> None:
    """Load the small club with four squads and publish its winter."""
    load_small_club(store, AUTUMN, squads=MORE_SQUADS)
    done = run_share_out(store, "winter", EFFORT, AUTUMN)
    publish_share_out(store, done.number, AUTUMN)


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give the small club with four squads, its winter published."""
    return filled(publish_winter)


def on(store: Store, day: date, holder: str | None = None) -> list[Kept]:
    """Return what is booked on a date."""
    found = [b for b in kept_bookings(store) if b.local[0] == day]
    return [b for b in found if holder in (None, b.holder)]


def closing(own: Kept, last: date | None = None) -> Disruption:
    """Close a booking's ground at its hours."""
    day, start, end = own.local
    first, past = minute_from_clock(start), minute_from_clock(end)
    return Disruption((GroundClosed(own.area, day, last or day, first, past, "Waterlogged"),))


def closed(store: Store, holder: str, day: date = WEDNESDAY) -> Disruption:
    """Close the ground and hours that a squad has on a date."""
    (own,) = on(store, day, holder)
    return closing(own)


def test_one_evening_moves_who_is_hit_and_nobody_else(store: Store) -> None:
    """With room elsewhere the squad on closed ground moves, with its identity; all else stays."""
    before = kept_bookings(store)
    (own,) = on(store, WEDNESDAY, "U12 Kestrels")
    number = propose_reshare(
        store,
        Scope(Sort.EVENING, WEDNESDAY),
        closed(store, "U12 Kestrels"),
        EFFORT,
        AUTUMN,
    )
    assert kept_bookings(store) == before, "a proposal books nothing"
    page = see_share_out(store, number, AUTUMN)
    assert page.hit == ("U12 Kestrels",)
    assert page.disturbed == ()
    (line,) = page.difference.squads[0].lines
    place = line.old.partition(", ")[2]
    assert page.why == (f"{place} is closed, Wednesday 25 November 2026: Waterlogged.",)
    assert [squad.squad_name for squad in page.difference.squads] == ["U12 Kestrels"]
    published = publish_share_out(store, number, AUTUMN)
    assert (published.added, published.moved, published.withdrawn) == (0, 1, 0)
    assert published.closed == 1
    (moved,) = on(store, WEDNESDAY, "U12 Kestrels")
    assert (moved.uid, moved.sequence) == (own.uid, own.sequence + 1)
    assert moved.area != own.area
    assert moved.local[1:] == ("18:00", "19:15")
    (shut,) = on(store, WEDNESDAY, "Waterlogged")
    assert shut.area == own.area
    others = [b for b in kept_bookings(store) if b.uid not in (own.uid, shut.uid)]
    assert others == [b for b in before if b.uid != own.uid]


def test_an_evening_that_is_shut_altogether_withdraws_with_reasons(store: Store) -> None:
    """When nothing is left the sessions are withdrawn, and it is said who loses out and why."""
    shut = tuple(
        GroundClosed(f"{pitch}/whole", WEDNESDAY, WEDNESDAY, reason="Storm")
        for pitch in (TOP, "marsh-lane-low-pitch", "marsh-lane-hall")
    )
    disruption = Disruption(closures=shut)
    number = propose_reshare(store, Scope(Sort.EVENING, WEDNESDAY), disruption, EFFORT, AUTUMN)
    page = see_share_out(store, number, AUTUMN)
    assert "U12 Kestrels" in page.hit
    assert {refusal.squad_name for refusal in page.refusals} >= {"U12 Kestrels"}
    publish_share_out(store, number, AUTUMN)
    assert {b.holder for b in on(store, WEDNESDAY)} == {"Storm"}


def test_a_session_under_way_on_ground_that_closes_ends(store: Store) -> None:
    """Closing in the middle of a session cuts it short; the ground is shut from then on."""
    (own,) = on(store, WEDNESDAY, "U12 Kestrels")
    now = datetime(2026, 11, 25, 18, 40, 12, tzinfo=LONDON).astimezone(UTC)
    disruption = closed(store, "U12 Kestrels")
    number = propose_reshare(store, Scope(Sort.EVENING, WEDNESDAY), disruption, EFFORT, now)
    publish_share_out(store, number, now)
    (cut,) = on(store, WEDNESDAY, "U12 Kestrels")
    assert cut.local[1:] == ("18:00", "18:40")
    assert cut.uid == own.uid
    (shut,) = on(store, WEDNESDAY, "Waterlogged")
    assert shut.local[1] == "18:40"


def test_a_dropped_squad_makes_room_for_one_week(store: Store) -> None:
    """A squad that stays away for a week gives back that week only."""
    disruption = Disruption(dropped=frozenset({HARRIERS}))
    number = propose_reshare(store, Scope(Sort.WEEK, WEDNESDAY), disruption, EFFORT, AUTUMN)
    page = see_share_out(store, number, AUTUMN)
    assert page.dropped == ("U14 Harriers",)
    publish_share_out(store, number, AUTUMN)
    weeks = [b.local[0].isocalendar().week for b in kept_bookings(store)]
    away = [
        b.local[0].isocalendar().week for b in kept_bookings(store) if b.holder == "U14 Harriers"
    ]
    assert 48 in weeks
    assert 48 not in away
    assert {47, 49} <= set(away)


def test_the_rest_of_a_stretch_keeps_what_was_and_moves_what_is_hit(store: Store) -> None:
    """From a date on one squad has other ground; before it all stays as it was."""
    before = kept_bookings(store)
    start = date(2027, 1, 6)
    last = date(2027, 4, 9)
    (own,) = on(store, start, "U12 Kestrels")
    disruption = Disruption(closures=(GroundClosed(own.area, start, last, reason="New turf"),))
    now = datetime(2027, 1, 5, 12, tzinfo=UTC)
    number = propose_reshare(store, Scope(Sort.REST, start), disruption, EFFORT, now)
    published = publish_share_out(store, number, now)
    assert published.withdrawn == 0
    after = kept_bookings(store)
    kestrels = [b for b in after if b.holder == "U12 Kestrels"]
    assert {b.uid for b in kestrels} == {b.uid for b in before if b.holder == "U12 Kestrels"}
    assert {b.area for b in kestrels if b.local[0] < start} == {own.area}
    assert own.area not in {b.area for b in kestrels if b.local[0] >= start}
    assert published.closed == (last - start).days + 1


def test_ground_closed_night_after_night_is_not_in_the_hour_that_the_clocks_skip(
    store: Store,
) -> None:
    """On the spring night there is no such hour, so there is nothing to close."""
    first, last = date(2027, 3, 27), date(2027, 3, 29)
    closures = (GroundClosed(THIRDS[0], first, last, 60, 120, reason="Watering"),)
    now = datetime(2027, 3, 26, 12, tzinfo=UTC)
    number = propose_reshare(store, Scope(Sort.REST, first), Disruption(closures), EFFORT, now)
    assert publish_share_out(store, number, now).closed == 2


def test_one_week_shared_out_again_survives_the_rest_being_shared_out(store: Store) -> None:
    """What was settled for one evening stands when the weekly pattern changes later."""
    disruption = closed(store, "U12 Kestrels")
    evening = propose_reshare(store, Scope(Sort.EVENING, WEDNESDAY), disruption, EFFORT, AUTUMN)
    publish_share_out(store, evening, AUTUMN)
    (settled,) = on(store, WEDNESDAY, "U12 Kestrels")
    dropped = Disruption(dropped=frozenset({HARRIERS}))
    rest = propose_reshare(store, Scope(Sort.REST, date(2026, 11, 23)), dropped, EFFORT, AUTUMN)
    publish_share_out(store, rest, AUTUMN)
    assert on(store, WEDNESDAY, "U12 Kestrels") == [settled]
    assert [b for b in kept_bookings(store) if b.local[0] > WEDNESDAY and "14" in b.holder] == []


def test_an_extra_session_is_placed_where_nobody_need_move(store: Store) -> None:
    """One more session for one week finds free ground and disturbs nobody."""
    extra = Ask(
        squad_key=KESTRELS,
        sessions=1,
        minutes=45,
        possible=(Window(4, 17 * 60, 21 * 60),),
        preferred=(),
        least_ground=LeastGround(share=1 / 3),
        surfaces=frozenset(),
        needs_goal=False,
        needs_light=True,
    )
    disruption = Disruption(extra=(extra,))
    number = propose_reshare(store, Scope(Sort.WEEK, WEDNESDAY), disruption, EFFORT, AUTUMN)
    published = publish_share_out(store, number, AUTUMN)
    assert (published.added, published.moved, published.withdrawn) == (1, 0, 0)
    assert len(on(store, date(2026, 11, 27), "U12 Kestrels")) == 1


def test_tonight_is_shared_out_among_those_who_lack_a_session(store: Store) -> None:
    """A squad whose session was withdrawn gets a place tonight; what is booked stays."""
    before = on(store, WEDNESDAY)
    disruption = Disruption(dropped=frozenset({"u10-wrens"}))
    gone = propose_reshare(store, Scope(Sort.WEEK, WEDNESDAY), disruption, EFFORT, AUTUMN)
    publish_share_out(store, gone, AUTUMN)
    assert on(store, WEDNESDAY, "U10 Wrens") == []
    done = share_evening_out(store, WEDNESDAY, EFFORT, AUTUMN)
    page = see_share_out(store, done.number, AUTUMN)
    assert [squad.squad_name for squad in page.difference.squads] == ["U10 Wrens"]
    published = publish_share_out(store, done.number, AUTUMN)
    assert (published.added, published.moved, published.withdrawn) == (1, 0, 0)
    assert len(on(store, WEDNESDAY)) == len(before)
    with pytest.raises(RefusedError, match="No squad lacks a session"):
        share_evening_out(store, WEDNESDAY, EFFORT, AUTUMN)


def test_an_evening_is_run_again_around_what_was_put_by_hand(store: Store) -> None:
    """Two lack a session: one is put at its other hour, the other goes round it; bookings stay."""
    disruption = Disruption(dropped=frozenset({"u10-wrens", "u11-swifts"}))
    gone = propose_reshare(store, Scope(Sort.WEEK, WEDNESDAY), disruption, EFFORT, AUTUMN)
    publish_share_out(store, gone, AUTUMN)
    first = share_evening_out(store, WEDNESDAY, EFFORT, AUTUMN).number
    page = see_share_out(store, first, AUTUMN)
    assert page.may_run_again
    wrens = next(p for _, places in page.days for p in places if p.squad_name == "U10 Wrens")
    spot = Spot(proposal=first, place=wrens.place)
    options = other_places(store, spot, AUTUMN).options
    by_hand = put_by_hand(store, spot, options[-1].choice, AUTUMN)
    shown = see_share_out(store, by_hand, AUTUMN)
    put = next(p for _, places in shown.days for p in places if p.squad_name == "U10 Wrens")
    proposal, pins = pinned_sessions(store, by_hand, {put.place})
    assert proposal.first == WEDNESDAY
    again = share_evening_out(store, WEDNESDAY, EFFORT, AUTUMN, pins=pins).number
    after = see_share_out(store, again, AUTUMN)
    kept = next(p for _, places in after.days for p in places if p.squad_name == "U10 Wrens")
    assert (kept.times, kept.ground, kept.is_pinned) == (put.times, put.ground, True)
    assert {s.squad_name for s in after.difference.squads} == {"U10 Wrens", "U11 Swifts"}


def test_what_is_booked_is_not_moved_by_a_pin(store: Store) -> None:
    """A proposal that moves a booked session cannot be kept by sharing out what is free."""
    own = on(store, WEDNESDAY, "U10 Wrens")[0]
    shut = Disruption((GroundClosed(own.area, WEDNESDAY, WEDNESDAY),))
    number = propose_reshare(store, Scope(Sort.EVENING, WEDNESDAY), shut, EFFORT, AUTUMN)
    with store.read() as session:
        sessions = load_proposal(session, number).sessions
    with pytest.raises(RefusedError, match="moves sessions that are booked"):
        share_evening_out(store, WEDNESDAY, EFFORT, AUTUMN, pins=sessions)


def test_a_coach_who_is_booked_elsewhere_is_not_given_a_second_place(store: Store) -> None:
    """A session moved by hand keeps its squad away from that hour on other ground."""
    (own,) = on(store, WEDNESDAY, "U12 Kestrels")
    book(
        store, KESTRELS, "half-1", day=WEDNESDAY, pitch_key="marsh-lane-hall", start_min=1080,
        end_min=1155, purpose=Purpose.MATCH, now=AUTUMN,
    )  # fmt: skip
    number = propose_reshare(store, Scope(Sort.EVENING, WEDNESDAY), closing(own), EFFORT, AUTUMN)
    page = see_share_out(store, number, AUTUMN)
    (line,) = page.difference.squads[0].lines
    assert (line.squad_name, line.change) == ("U12 Kestrels", "withdrawn")


def test_a_session_moved_by_hand_stands_in_for_that_week(store: Store) -> None:
    """Sharing out anew does not book a second session in a week where a person moved one."""
    (own,) = on(store, WEDNESDAY, "U12 Kestrels")
    with store.read() as session:
        number = session.scalars(select(BookingRow.id).where(BookingRow.uid == own.uid)).one()
    during = make_range(date(2026, 11, 26), 1200, 1275, LONDON)
    move_booking(
        store,
        number,
        own.sequence,
        find_area_id(store, TOP, "third-1"),
        during,
        AUTUMN,
        ALL_THE_SAME,
    )
    again = run_share_out(store, "winter", EFFORT, AUTUMN)
    publish_share_out(store, again.number, AUTUMN)
    week = [
        b
        for b in kept_bookings(store)
        if b.holder == "U12 Kestrels" and b.local[0].isocalendar().week == 48
    ]
    assert [b.local[0] for b in week] == [date(2026, 11, 26)]


def test_what_was_not_seen_is_not_published(store: Store) -> None:
    """Whoever looked before somebody else changed things is told, and nothing happens."""
    disruption = closed(store, "U12 Kestrels")
    number = propose_reshare(store, Scope(Sort.EVENING, WEDNESDAY), disruption, EFFORT, AUTUMN)
    seen = see_share_out(store, number, AUTUMN).difference.digest
    other = propose_reshare(
        store,
        Scope(Sort.WEEK, WEDNESDAY),
        Disruption(dropped=frozenset({KESTRELS})),
        EFFORT,
        AUTUMN,
    )
    publish_share_out(store, other, AUTUMN)
    before = kept_bookings(store)
    with pytest.raises(OutdatedError, match="look at the differences again"):
        publish_share_out(store, number, AUTUMN, seen)
    assert kept_bookings(store) == before


def test_a_match_on_closed_ground_is_named(store: Store) -> None:
    """Closing ground does not push a match aside: it is named, and nothing is published."""
    day = date(2026, 11, 28)
    book(store, "League", "whole", day=day, start_min=600, end_min=700, purpose=Purpose.MATCH,
         now=AUTUMN)  # fmt: skip
    disruption = Disruption(closures=(GroundClosed(THIRDS[0], day, day),))
    number = propose_reshare(store, Scope(Sort.WEEK, WEDNESDAY), disruption, EFFORT, AUTUMN)
    with pytest.raises(ClashError, match=r"held by League.*Move or withdraw it by hand"):
        publish_share_out(store, number, AUTUMN)


def test_what_cannot_be_shared_out_again_is_told(store: Store, empty_store: Store) -> None:
    """Past evenings, breaks, unknown ground, squads and dates each get their own sentence."""
    later = datetime(2026, 12, 1, tzinfo=UTC)
    evening = Scope(Sort.EVENING, WEDNESDAY)
    with pytest.raises(RefusedError, match="is over"):
        propose_reshare(store, evening, Disruption(), EFFORT, later)
    with pytest.raises(RefusedError, match="break"):
        propose_reshare(
            store, Scope(Sort.EVENING, date(2026, 12, 23)), Disruption(), EFFORT, AUTUMN
        )
    with pytest.raises(MissingError, match="lies in no stretch"):
        propose_reshare(store, Scope(Sort.WEEK, date(2028, 1, 1)), Disruption(), EFFORT, AUTUMN)
    unknown = Disruption(closures=(GroundClosed("nowhere", WEDNESDAY, WEDNESDAY),))
    with pytest.raises(MissingError, match="no ground"):
        propose_reshare(store, evening, unknown, EFFORT, AUTUMN)
    with pytest.raises(MissingError, match="no squad"):
        propose_reshare(store, evening, Disruption(dropped=frozenset({"x"})), EFFORT, AUTUMN)
    long = Disruption(closures=(GroundClosed(THIRDS[0], WEDNESDAY, date(2026, 12, 3)),))
    with pytest.raises(RefusedError, match="whole week or the rest"):
        propose_reshare(store, evening, long, EFFORT, AUTUMN)


def test_grass_counts_for_a_week_and_for_the_rest_but_not_for_one_evening(store: Store) -> None:
    """At 17:40 nobody is refused a place for the sake of the grass."""
    set_limit_by_guidance(store, "Low pitch", "undrained", "poor")
    with store.read() as session:
        stretch = load_stretches(session)[0]
        for sort, limited in ((Sort.EVENING, []), (Sort.WEEK, [LOW]), (Sort.REST, [LOW])):
            standing = load_standing(session, stretch, Scope(sort, WEDNESDAY), Disruption(), AUTUMN)
            assert [load.pitch for load in standing.problem.loads] == limited
