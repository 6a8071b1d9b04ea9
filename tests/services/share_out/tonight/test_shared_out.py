"""An evening shared out by who comes, with how many, on the ground there is."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.people import Person, Role
from clubplanner.domain.keys import ground_key
from clubplanner.errors import ClashError, OutdatedError, RefusedError
from clubplanner.services.coach.coach_pages import see_coach
from clubplanner.services.evening.bookings import withdraw_booking
from clubplanner.services.giving.requests import hand_back
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.problem.standing_plans import Disruption, Scope, load_dated
from clubplanner.services.problem.tonight import with_numbers
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.proposals.proposal_page import pinned_sessions, see_share_out
from clubplanner.services.proposals.proposals import GroundClosed, ProposedSession, Sort
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.named import find_squad
from clubplanner.services.rows.people.turnouts import load_turnout, load_turnouts
from clubplanner.services.rows.seasons.stretches import lone_day
from clubplanner.services.rows.snapshot import load_squads
from clubplanner.services.setup.loading import load_files
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.by_hand.by_hand import other_places, put_by_hand
from clubplanner.services.share_out.by_hand.starting_from import Spot
from clubplanner.services.share_out.runs.requests import disruption_of
from clubplanner.services.share_out.tonight.page import see_tonight
from clubplanner.services.share_out.tonight.shared_out import AT_ONCE, Tonight, propose_tonight
from clubplanner.sharing.checks.checking import check
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import SETTINGS, book, kept_bookings, pitch_feature, small_club_files
from tests.tonight_club import NO_PLAN, load_tonight_club, say, squad_lines

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.stores import Filled

KIM = Person(1, "Kim", Role.SECRETARY, "")
PITCH = "marsh-lane-pitch-{}"


@pytest.fixture
def club(filled: Filled) -> Store:
    """Give a club of sixteen squads and five pitches that plans no weeks."""
    return filled(load_tonight_club)


def propose(store: Store, *closed: int, day: date = A_WEDNESDAY, now: datetime = NOW) -> int:
    """Share an evening out without some of the pitches."""
    closures = tuple(
        GroundClosed(ground_key(PITCH.format(n), "whole"), day, day, reason="waterlogged")
        for n in closed
    )
    return propose_tonight(store, Tonight(day, Disruption(closures, fills=True)), AT_ONCE, now)


def sessions(store: Store, number: int) -> dict[str, ProposedSession]:
    """Return what a proposal gives each squad."""
    with store.read() as session:
        proposal = load_proposal(session, number)
    by_squad = {item.squad_name: item for item in proposal.sessions}
    assert len(by_squad) == len(proposal.sessions), "nobody has two sessions on one evening"
    return by_squad


def where(item: ProposedSession) -> tuple[str, int]:
    """Return ground and start."""
    return item.ground, item.start_min


def is_quarter(item: ProposedSession) -> bool:
    """Tell whether a session has a quarter of a pitch."""
    return "corner" in item.ground


def test_a_club_without_a_plan_shares_its_evening_out(club: Store) -> None:
    """No stretch is needed; six players get a quarter, twenty-two a half, and it is proved."""
    say(club, "Squad 01", players=6, goalkeepers=0)
    say(club, "Squad 02", players=22, goalkeepers=2)
    number = propose(club)
    plan = sessions(club, number)
    assert len(plan) == 16
    assert is_quarter(plan["Squad 01"])
    assert "half" in plan["Squad 02"].ground
    assert see_share_out(club, number, NOW).is_proved
    assert publish_share_out(club, number, NOW).added == 16
    assert see_share_out(club, number, NOW).stretch_name == "Wednesday 25 November 2026"


def test_every_plan_holds_against_the_independent_checker(club: Store) -> None:
    """The published evening breaks none of the rules, with the ground that numbers need."""
    say(club, "Squad 01", players=6, goalkeepers=0)
    say(club, "Squad 02", players=22, goalkeepers=2)
    publish_share_out(club, propose(club), NOW)
    with club.read() as session:
        said, squads = load_turnouts(session, A_WEDNESDAY), load_squads(session)
        scope = Scope(Sort.EVENING, A_WEDNESDAY)
        standing = load_dated(session, lone_day(A_WEDNESDAY), scope, Disruption(), NOW)
    felt = with_numbers(standing.problem, standing.placements, said, squads)
    assert len(standing.placements) == 16
    assert check(felt.problem, standing.placements) == ()


def test_who_stays_away_leaves_ground_and_nobody_else_moves(club: Store) -> None:
    """A squad that is not coming gives its ground back; all others stay where they were."""
    first = sessions(club, propose(club))
    publish_share_out(club, propose(club), NOW)
    say(club, "Squad 03", is_coming=False)
    number = propose(club)
    plan = sessions(club, number)
    assert "Squad 03" not in plan
    assert {name: where(item) for name, item in plan.items()} == {
        name: where(item) for name, item in first.items() if name != "Squad 03"
    }
    published = publish_share_out(club, number, NOW)
    assert (published.kept, published.withdrawn, published.moved) == (15, 1, 0)


def test_more_players_than_the_ground_holds_move_alone(club: Store) -> None:
    """A squad with twice its number moves to larger ground, and no other squad is disturbed."""
    publish_share_out(club, propose(club), NOW)
    before = sessions(club, propose(club))
    assert is_quarter(before["Squad 04"])
    say(club, "Squad 04", players=24, goalkeepers=2)
    number = propose(club)
    plan = sessions(club, number)
    assert not is_quarter(plan["Squad 04"])
    moved = {name for name in plan if where(plan[name]) != where(before[name])}
    assert moved == {"Squad 04"}
    assert see_share_out(club, number, NOW).disturbed == ()


def test_closed_ground_moves_only_those_on_it(club: Store) -> None:
    """Whoever stood on the closed pitch finds another place; publishing closes the ground too."""
    first = sessions(club, propose(club))
    publish_share_out(club, propose(club), NOW)
    number = propose(club, 1)
    plan = sessions(club, number)
    hit = {name for name, item in first.items() if item.ground.startswith(PITCH.format(1))}
    assert hit
    assert {name for name in plan if where(plan[name]) != where(first[name])} == hit
    assert publish_share_out(club, number, NOW).closed == 1


def test_rather_less_ground_than_none(filled: Filled) -> None:
    """On one pitch eight squads of any size find room; it is said who has less than they need."""
    club = filled(_eight_on_one_pitch)
    number = propose(club)
    assert len(sessions(club, number)) == 8
    page = see_share_out(club, number, NOW)
    assert any("Squad 03 come with 22 and have 1,600 m²" in line for line in page.why)


def test_too_little_ground_for_all_says_who_goes_without_and_why(filled: Filled) -> None:
    """With nine squads on a pitch for eight, one goes without, and its reasons are told."""
    club = filled(_nine_on_one_pitch)
    page = see_share_out(club, propose(club), NOW)
    assert [refusal.missing for refusal in page.refusals] == [1]
    assert page.refusals[0].reasons


def test_a_squad_comes_too_at_its_own_times(club: Store) -> None:
    """Who asks for nothing on a Saturday can come, between the times said, for so long."""
    saturday = A_WEDNESDAY + timedelta(days=3)
    with pytest.raises(RefusedError, match="say first who comes"):
        propose(club, day=saturday)
    say(club, "Squad 05", saturday, is_coming=True, from_min=600, until_min=720, minutes=60)
    plan = sessions(club, propose(club, day=saturday))
    assert list(plan) == ["Squad 05"]
    item = plan["Squad 05"]
    assert item.start_min >= 600
    assert item.end_min == item.start_min + 60 <= 720


def test_a_session_handed_back_is_not_filled_again(club: Store) -> None:
    """What a coach gave back is not given to the same squad by the next press."""
    publish_share_out(club, propose(club), NOW)
    number, sequence = _booking_of(club, "Squad 07")
    hand_back(club, KIM, number, sequence, NOW)
    assert "Squad 07" not in sessions(club, propose(club))
    shown = next(s for s in see_tonight(club, A_WEDNESDAY, NOW).squads if s.name == "Squad 07")
    assert not shown.comes
    assert shown.about == "stays away tonight"


def test_one_of_two_sessions_handed_back_leaves_the_other(club: Store) -> None:
    """A squad with another session that day still comes."""
    publish_share_out(club, propose(club), NOW)
    number, sequence = _booking_of(club, "Squad 07")
    later = book(club, "x", "half-1", pitch_key=PITCH.format(5), start_min=1230, end_min=1290)
    with club.write() as session:
        session.get_one(BookingRow, later).squad_id = find_squad(session, "squad-07").id
    hand_back(club, KIM, number, sequence, NOW)
    with club.read() as session:
        squad = find_squad(session, "squad-07").id
        assert load_turnout(session, squad, A_WEDNESDAY).is_coming is None


def test_a_change_between_proposal_and_publishing_is_told(club: Store) -> None:
    """Two people at once: what was withdrawn meanwhile makes it refused, and nothing is booked."""
    publish_share_out(club, propose(club), NOW)
    say(club, "Squad 03", is_coming=False)
    number = propose(club)
    seen = see_share_out(club, number, NOW).difference.digest
    other, sequence = _booking_of(club, "Squad 08")
    withdraw_booking(club, other, sequence, NOW + timedelta(minutes=1))
    with pytest.raises(OutdatedError, match="Nothing was published"):
        publish_share_out(club, number, NOW + timedelta(minutes=2), seen)
    assert _booking_of(club, "Squad 03")


def test_a_session_put_elsewhere_is_pinned_and_shared_out_around(club: Store) -> None:
    """By hand and again: the pinned session keeps its place, closures are kept in mind."""
    publish_share_out(club, propose(club), NOW)
    number = propose(club, 1)
    with club.read() as session:
        placed = load_proposal(session, number).sessions
    place = next(n for n, item in enumerate(placed) if item.squad_name == "Squad 04")
    option = other_places(club, Spot(proposal=number, place=place), NOW).options[0]
    fresh = put_by_hand(club, Spot(proposal=number, place=place), option.choice, NOW)
    proposal, _unused = pinned_sessions(club, fresh, set())
    pinned = {n for n, item in enumerate(proposal.sessions) if item.is_pinned}
    proposal, pins = pinned_sessions(club, fresh, pinned)
    wish = Tonight(A_WEDNESDAY, disruption_of(proposal), pins)
    again = propose_tonight(club, wish, AT_ONCE, NOW)
    assert where(sessions(club, again)["Squad 04"]) == where(pins[0])
    assert not any(
        item.ground.startswith(PITCH.format(1)) for item in sessions(club, again).values()
    )
    assert publish_share_out(club, again, NOW).closed == 1


def test_ground_that_a_match_holds_is_not_closed_over_it(club: Store) -> None:
    """Whoever would have to be moved by hand is named before anything is searched."""
    book(club, "", "whole", pitch_key=PITCH.format(2), purpose=Purpose.MATCH)
    with pytest.raises(ClashError, match="call it off first"):
        propose(club, 2)


def test_ground_closed_in_the_hour_that_the_clocks_skip_is_in_nobodys_way(club: Store) -> None:
    """On the spring night there is no such hour; what is refused is refused for another reason."""
    spring = date(2027, 3, 28)
    book(club, "", "whole", pitch_key=PITCH.format(1), day=spring, purpose=Purpose.MATCH)
    ground = ground_key(PITCH.format(1), "whole")
    closures = (GroundClosed(ground, spring, spring, 60, 120, "frost"),)
    with pytest.raises(RefusedError, match="Nobody comes"):
        propose_tonight(club, Tonight(spring, Disruption(closures, fills=True)), AT_ONCE, NOW)


def test_an_evening_that_is_over_is_refused(club: Store) -> None:
    """Yesterday is shared out no more; the page says so instead of offering it."""
    after = datetime(2026, 11, 26, 0, 30, tzinfo=UTC)
    with pytest.raises(RefusedError, match="is over"):
        propose(club, now=after)
    page = see_tonight(club, A_WEDNESDAY, after)
    assert "is over" in page.closed_words
    assert page.coming == 0


def test_only_what_has_not_begun_is_moved(club: Store) -> None:
    """In the middle of the evening those on the ground stay, whatever their numbers."""
    publish_share_out(club, propose(club), NOW)
    first = sessions(club, propose(club))
    early = {name for name, item in first.items() if item.start_min == 1050}
    assert early
    half_past_six = datetime(2026, 11, 25, 18, 30, tzinfo=UTC)
    for name in first:
        say(club, name, players=6, goalkeepers=0)
    number = propose(club, 2, now=half_past_six)
    assert not early & set(sessions(club, number))


@pytest.mark.parametrize("day", [date(2026, 10, 25), date(2027, 3, 28)])
def test_the_nights_on_which_clocks_change(club: Store, day: date) -> None:
    """Sessions keep the times on the wall in both nights."""
    now = datetime(day.year, day.month, day.day, 0, 30, tzinfo=UTC)
    say(club, "Squad 01", day, is_coming=True, from_min=600, until_min=675)
    number = propose(club, day=day, now=now)
    assert sessions(club, number)["Squad 01"].times == "10:00–11:15"
    publish_share_out(club, number, now)
    with club.read() as session:
        row = session.scalars(select(BookingRow)).one()
    assert row.ends_at - row.starts_at == timedelta(minutes=75)


def test_a_pitch_of_one_part_and_one_at_an_angle(filled: Filled) -> None:
    """Ground of any outline is shared out: whole where it has no parts."""
    club = filled(_odd_grounds)
    plan = sessions(club, propose(club))
    assert len(plan) == 4
    assert {item.ground for item in plan.values()} <= {
        "marsh-lane-slope/whole",
        "marsh-lane-slope/half-1",
        "marsh-lane-slope/half-2",
        "marsh-lane-cage/whole",
    }


def test_the_page_shows_who_comes_and_why(club: Store) -> None:
    """Those who stand, those who ask, those who come too, and those who stay away."""
    publish_share_out(club, propose(club), NOW)
    say(club, "Squad 02", players=9, goalkeepers=1)
    say(club, "Squad 06", is_coming=False)
    shown = {squad.name: squad for squad in see_tonight(club, A_WEDNESDAY, NOW).squads}
    assert shown["Squad 01"].place
    assert shown["Squad 02"].said.players == 9
    assert "said by Kim at 12:00" in shown["Squad 02"].said_words
    assert not shown["Squad 06"].comes
    page = see_tonight(club, A_WEDNESDAY + timedelta(days=1), NOW)
    assert page.coming == 16, "each asks for two sessions and has one"


def _eight_on_one_pitch(store: Store) -> None:
    load_tonight_club(store, 8, 1)


def _nine_on_one_pitch(store: Store) -> None:
    load_tonight_club(store, 9, 1)


def _odd_grounds(store: Store) -> None:
    corners = [[0.0, 0.0], [75.5, 49.0], [42.8, 99.3], [-32.7, 50.3]]
    slope = pitch_feature("Slope", 0, 0, surface="artificial", floodlights=True, cuts=["halves"])
    properties = slope["properties"]
    del properties["length_m"], properties["width_m"], properties["goals"]
    properties["corners_m"] = corners
    cage = pitch_feature("Cage", 40, 30, surface="artificial", floodlights=True, cuts=[])
    files = small_club_files(settings=NO_PLAN, squads=squad_lines(4), pitches=(slope, cage))
    load_files(store, files, NOW)


def _booking_of(store: Store, name: str) -> tuple[int, int]:
    with store.read() as session:
        row = session.scalars(
            select(BookingRow).where(
                BookingRow.squad_id == find_squad(session, name).id,
                BookingRow.is_withdrawn.is_(False),
            )
        ).first()
        assert row is not None
        return row.id, row.sequence


def test_taking_a_hand_back_back_lets_the_squad_come_again(club: Store) -> None:
    """The session is there again, and nothing is left of the squad's staying away."""
    publish_share_out(club, propose(club), NOW)
    number, sequence = _booking_of(club, "Squad 07")
    hand_back(club, KIM, number, sequence, NOW)
    undo_change(club, list_changes(club, NOW)[0].number, NOW)
    assert "Squad 07" in sessions(club, propose(club))
    shown = next(s for s in see_tonight(club, A_WEDNESDAY, NOW).squads if s.name == "Squad 07")
    assert shown.comes
    assert shown.place


def test_an_evening_of_a_planned_week_moves_nobody_for_nothing(filled: Filled) -> None:
    """Where a week is published and nothing has come up, everything stands already."""
    club = filled(_planned)
    asked = Tonight(kept_bookings(club)[0].local[0], Disruption((), fills=True))
    number = propose_tonight(club, asked, Effort(seconds=8), NOW)  # a busy machine needs more
    difference = see_share_out(club, number, NOW).difference
    assert not difference.squads
    assert difference.unchanged


def test_usual_numbers_leave_a_published_plan_alone(club: Store) -> None:
    """What stands was made with the usual numbers in mind; only a number said moves somebody."""
    with club.write() as session:
        find_squad(session, "squad-04").players = 10
    publish_share_out(club, propose(club), NOW)
    before = sessions(club, propose(club))
    with club.write() as session:
        find_squad(session, "squad-04").players = 24
    after = sessions(club, propose(club))
    assert {n: where(item) for n, item in before.items()} == {
        n: where(item) for n, item in after.items()
    }


def _planned(store: Store) -> None:
    load_tonight_club(store, 8, 4, settings=SETTINGS)
    number = run_share_out(store, "winter", Effort(seconds=3), NOW).number
    publish_share_out(store, number, NOW)


def test_called_off_and_shared_out_anew_is_moved(club: Store) -> None:
    """Whoever had no place any more and gets one tonight reads where to go, not that it is off."""
    at = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
    publish_share_out(club, propose(club, now=at), at)
    with club.read() as session:
        booked = session.scalars(select(BookingRow).where(BookingRow.holder == "Squad 01")).one()
        number, ground = booked.id, booked.pitch.key
    at += timedelta(minutes=1)
    withdraw_booking(club, number, 0, at)
    at += timedelta(minutes=1)
    publish_share_out(club, propose(club, int(ground[-1]), now=at), at)
    coach = Person(2, "Coach 01", Role.COACH, "", frozenset({"squad-01"}))
    page = see_coach(club, coach, at)
    (off,), (next_ground,) = page.missed, page.sessions
    assert next_ground.state is not None
    assert next_ground.state.outcome == "moved"
    assert any(line.startswith("Instead: ") for line in off.state.details)
