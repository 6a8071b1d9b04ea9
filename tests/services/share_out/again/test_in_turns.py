"""Fair turns over a published stretch: planned, shown, published, and kept apart from the rest."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, ClassVar, Self

import pytest

from clubplanner.errors import MissingError, RefusedError, ShareOutError
from clubplanner.language import speaking
from clubplanner.outputs.charts.turn_chart import BAND, TurnRow, draw_turns
from clubplanner.services.problem.standing_plans import Disruption, Scope
from clubplanner.services.proposals import files_to_check
from clubplanner.services.proposals.files_to_check import PROBLEM, RESULT, see_file_to_check
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.proposals import GroundClosed, Sort
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.proposals.turn_words import letter_of
from clubplanner.services.proposals.weeks.week import ProposalWeekWish, see_proposal_week
from clubplanner.services.share_out.again import in_turns
from clubplanner.services.share_out.again.again import propose_reshare
from clubplanner.services.share_out.again.in_turns import TurnWishes, propose_turns
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.by_hand.by_hand import other_places
from clubplanner.services.share_out.by_hand.starting_from import Spot
from clubplanner.services.share_out.files.files import NamedFile
from clubplanner.services.share_out.files.files_of_turns import check_turns
from clubplanner.sharing.solving.memory import MemoryWatch
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.tables.booking_tables import ShareOutRow
from tests.small_club import SETTINGS, kept_bookings, load_small_club, pitch_feature

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.small_club import Kept
    from tests.stores import Filled

AUTUMN = datetime(2026, 10, 1, 12, 0, 7, 482_193, tzinfo=UTC)
EFFORT = Effort(seconds=4)
SQUADS = """\
squad,age group,players,goalkeepers,coach,sessions a week,minutes,possible,preferred,least ground
U12 Kestrels,U12,14,1,Robin Hale,1,60,Wed 17:00-19:00,Wed 17:00-18:00,half
U12 Merlins,U12,14,1,Sam Reed,1,60,Wed 17:00-19:00,Wed 17:00-18:00,half
U13 Harriers,U13,14,1,Jo Marsh,1,60,Wed 17:00-19:00,Wed 17:00-18:00,half
U13 Terns,U13,14,1,Lee Ford,1,60,Wed 17:00-19:00,Wed 17:00-18:00,half
U9 Wrens,U9,10,1,Kim Rowe,1,45,Thu 17:00-18:00,,third
"""
"""Four squads that all want the early hour, with room for two of them at a time."""
PITCH = pitch_feature("Top pitch", 100, 64, surface="artificial", floodlights=True)


def publish_winter(store: Store) -> None:
    """Load a club of one pitch and publish its winter."""
    load_small_club(store, AUTUMN, squads=SQUADS, settings=SETTINGS, pitches=(PITCH,))
    done = run_share_out(store, "winter", EFFORT, AUTUMN)
    publish_share_out(store, done.number, AUTUMN)


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give a club of one pitch with its winter published."""
    return filled(publish_winter)


def pair(store: Store, number: int) -> tuple[NamedFile, NamedFile]:
    """Return the problem and the result of a proposal."""
    found = (see_file_to_check(store, number, which) for which in (PROBLEM, RESULT))
    problem, result = (NamedFile(file.name, file.data) for file in found)
    return problem, result


def test_turns_have_their_own_pair_of_files(store: Store) -> None:
    """The check derives them again, adds up how even they can be, and sees what is bent."""
    number = propose_turns(store, "winter", TurnWishes(), EFFORT, AUTUMN)
    page = see_share_out(store, number, AUTUMN)
    assert page.no_files == ""
    problem, result = pair(store, number)
    assert b"Robin Hale" not in problem.data + result.data
    done = check_turns(problem, result)
    assert done.faults == ()
    (group,) = done.groups
    (shown,) = page.turns
    assert list(group.squads) == [line.squad_name for line in shown.lines]
    burdens = [line.burden for line in shown.lines]
    assert (group.low, group.high) == (min(burdens), max(burdens))
    assert group.is_added_up
    body = json.loads(result.data)
    (turns,) = body["turns"]
    first = turns["turns"][0]
    first[0], first[1] = first[1], first[0]
    bent = NamedFile(result.name, json.dumps(body).encode())
    assert check_turns(problem, bent).faults
    assert check_turns(problem, bent).groups == ()


def test_what_is_settled_on_one_date_is_lost_by_whoever_has_the_place_then(store: Store) -> None:
    """The files say which dates a place loses, and what is booked has just those missing."""
    day = date(2026, 11, 25)
    (own,) = [b for b in of(store, "U12 Kestrels") if b.local[0] == day]
    shut = Disruption((GroundClosed(own.area, day, day, 17 * 60, 18 * 60, "Frost"),))
    evening = propose_reshare(store, Scope(Sort.EVENING, day), shut, EFFORT, AUTUMN)
    publish_share_out(store, evening, AUTUMN)
    number = propose_turns(store, "winter", TurnWishes(), EFFORT, AUTUMN)
    problem, result = pair(store, number)
    assert check_turns(problem, result).faults == ()
    lost = [place["lost_dates"] for place in json.loads(result.data)["placements"]]
    assert ["2026-11-25"] in lost
    assert b"Frost" not in problem.data


def test_turns_without_files_say_why(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Those of an earlier release, and those that are too large to be read each time."""
    number = propose_turns(store, "winter", TurnWishes(), EFFORT, AUTUMN)
    with store.write() as session:
        row = session.get_one(ShareOutRow, number)
        kept = {k: v for k, v in row.outcome.items() if k != files_to_check.KEPT}
        row.outcome = kept | {"turns": [dict(kept["turns"][0])]}
        del row.outcome["turns"][0]["fairest_worst"]
    page = see_share_out(store, number, AUTUMN)
    assert "plan them again" in page.no_files
    assert "Proved fairest but for about half a turn" in page.turns[0].words
    monkeypatch.setattr(files_to_check, "MOST_BYTES", 10)
    number = propose_turns(store, "winter", TurnWishes(), EFFORT, AUTUMN)
    assert "larger than" in see_share_out(store, number, AUTUMN).no_files


def starts(store: Store) -> dict[str, Counter[str]]:
    """Count by squad how often its sessions start when."""
    found: dict[str, Counter[str]] = defaultdict(Counter)
    for booking in kept_bookings(store):
        found[booking.holder][booking.local[1]] += 1
    return found


def test_the_worse_hour_is_shared_out_over_the_weeks(store: Store) -> None:
    """Before, two squads are always late; after, all are late about as often, with few changes."""
    before = starts(store)
    late = sorted(before[name]["18:00"] for name in before if name != "U9 Wrens")
    assert late == [0, 0, 24, 24]
    uids = {b.uid for b in kept_bookings(store)}
    number = propose_turns(store, "Winter", TurnWishes(), EFFORT, AUTUMN)
    page = see_share_out(store, number, AUTUMN)
    (group,) = page.turns
    assert group.day == "Wednesday"
    assert {line.squad_name for line in group.lines} == set(before) - {"U9 Wrens"}
    burdens = [line.burden for line in group.lines]
    assert max(burdens) - min(burdens) <= 20, "a turn at the later hour weighs 20 points"
    assert sorted(line.without for line in group.lines) == [0, 0, 480, 480]
    assert group.drawing.startswith("<svg")
    published = publish_share_out(store, number, AUTUMN)
    assert (published.added, published.withdrawn) == (0, 0)
    after = starts(store)
    assert all(11 <= after[line.squad_name]["18:00"] <= 13 for line in group.lines)
    assert after["U9 Wrens"] == before["U9 Wrens"]
    assert {b.uid for b in kept_bookings(store)} == uids
    changes = sum(
        a.area != b.area or a.local[1] != b.local[1]
        for name in after
        for a, b in zip(of(store, name), of(store, name)[1:], strict=False)
    )
    assert changes <= 12


def of(store: Store, holder: str) -> list[Kept]:
    """Return a squad's bookings by date."""
    return [b for b in kept_bookings(store) if b.holder == holder]


def test_turns_lead_to_no_other_places(store: Store) -> None:
    """They are planned again instead: their page and their drawn week offer no other places."""
    number = propose_turns(store, "Winter", TurnWishes(), EFFORT, AUTUMN)
    shared_out = see_share_out(store, 1, AUTUMN)
    assert shared_out.has_other_places
    assert not see_share_out(store, number, AUTUMN).has_other_places
    with pytest.raises(RefusedError, match="planning them again"):
        other_places(store, Spot(proposal=number, place=0), AUTUMN)
    for other in (None, 1):
        wish = ProposalWeekWish(number, other)
        week = see_proposal_week(store, wish, AUTUMN, lambda n: f"/s/{n}", lambda n: f"/b/{n}")
        assert week.drawing
        assert 'href="/s/' not in week.drawing + week.narrow
    back = see_proposal_week(
        store, ProposalWeekWish(1, number), AUTUMN, lambda n: f"/s/{n}", lambda n: f"/b/{n}"
    )
    assert 'href="/s/' in back.drawing


def test_a_week_that_is_over_leads_to_no_other_places(store: Store) -> None:
    """A proposal of one week answers to its last date; one of the whole stretch always does."""
    week = Scope(Sort.WEEK, date(2026, 11, 25))
    number = propose_reshare(store, week, Disruption(), EFFORT, AUTUMN)
    sunday, monday = (datetime(2026, 11, day, 12, tzinfo=UTC) for day in (29, 30))
    assert see_share_out(store, number, sunday).has_other_places
    assert not see_share_out(store, number, monday).has_other_places
    assert see_share_out(store, 1, monday).has_other_places


def test_a_squad_can_be_kept_still(store: Store) -> None:
    """Who is kept still has the same place in every week."""
    wishes = TurnWishes(still=frozenset({"u12-kestrels"}))
    number = propose_turns(store, "winter", wishes, EFFORT, AUTUMN)
    publish_share_out(store, number, AUTUMN)
    assert len(starts(store)["U12 Kestrels"]) == 1
    (group,) = see_share_out(store, number, AUTUMN).turns
    assert [line.squad_name for line in group.lines if line.is_still] == ["U12 Kestrels"]


def test_the_weeks_that_are_over_count(store: Store) -> None:
    """Half-way through, those who were always late so far are early more often from then on."""
    before = starts(store)
    halfway = datetime(2027, 1, 11, 12, tzinfo=UTC)
    number = propose_turns(store, "winter", TurnWishes(), EFFORT, halfway)
    (group,) = see_share_out(store, number, halfway).turns
    carried = {line.squad_name: line.carried for line in group.lines}
    assert {carried[name] > 0 for name in before if before[name]["18:00"]} == {True}
    publish_share_out(store, number, halfway)
    late = [starts(store)[name]["18:00"] for name in carried]
    assert max(late) - min(late) <= 2


def test_a_week_shared_out_again_stays_and_the_rest_puts_all_back(store: Store) -> None:
    """Turns go round what was settled for one evening; the rest of the stretch undoes them."""
    day = date(2026, 11, 25)
    (own,) = [b for b in of(store, "U12 Kestrels") if b.local[0] == day]
    shut = Disruption((GroundClosed(own.area, day, day, 17 * 60, 18 * 60, "Frost"),))
    evening = propose_reshare(store, Scope(Sort.EVENING, day), shut, EFFORT, AUTUMN)
    publish_share_out(store, evening, AUTUMN)
    settled = [b for b in kept_bookings(store) if b.local[0] == day]
    pattern = {b.uid: (b.area, b.local) for b in kept_bookings(store) if b.local[0] != day}
    number = propose_turns(store, "winter", TurnWishes(), EFFORT, AUTUMN)
    publish_share_out(store, number, AUTUMN)
    moved = [b for b in settled if b not in kept_bookings(store)]
    assert all(b.holder != "U12 Kestrels" for b in moved)
    rest = propose_reshare(
        store, Scope(Sort.REST, date(2026, 10, 12)), Disruption(), EFFORT, AUTUMN
    )
    publish_share_out(store, rest, AUTUMN)
    now = {b.uid: (b.area, b.local) for b in kept_bookings(store) if b.local[0] != day}
    assert now == pattern


def test_the_rest_shared_out_again_says_whose_turns_end(store: Store) -> None:
    """Before it is published; with no turns, or after it, nothing is said of them."""
    rest = Scope(Sort.REST, date(2026, 11, 25))

    def why() -> tuple[str, ...]:
        number = propose_reshare(store, rest, Disruption(), EFFORT, AUTUMN)
        lines = see_share_out(store, number, AUTUMN).why
        publish_share_out(store, number, AUTUMN)
        return lines

    turns = propose_turns(store, "winter", TurnWishes(), EFFORT, AUTUMN)
    assert why() == (), "proposed turns are not in force"
    turns = propose_turns(store, "winter", TurnWishes(), EFFORT, AUTUMN)
    publish_share_out(store, turns, AUTUMN + timedelta(minutes=1))
    (line,) = why()
    assert line.startswith("The turns of U")
    assert line.endswith(
        "end when this is published; plan them again afterwards, under Fair turns."
    )


def test_what_cannot_take_turns_is_told(store: Store) -> None:
    """Unknown squads, nothing published and nothing to share each have their sentence."""
    with pytest.raises(MissingError, match="no squad"):
        propose_turns(store, "winter", TurnWishes(frozenset({"x"})), EFFORT, AUTUMN)
    with pytest.raises(RefusedError, match="no turns to take"):
        propose_turns(store, "winter", TurnWishes(same_start=True), EFFORT, AUTUMN)
    over = datetime(2027, 6, 1, tzinfo=UTC)
    with pytest.raises(RefusedError, match="is over"):
        propose_turns(store, "winter", TurnWishes(), EFFORT, over)
    pulled = Brake()
    pulled.pull()
    with pytest.raises(RefusedError, match="no turns to take"):
        propose_turns(store, "winter", TurnWishes(), EFFORT, AUTUMN, brake=pulled)


def test_places_are_named_by_letters() -> None:
    """After Z come AA and AB."""
    assert [letter_of(n) for n in (0, 25, 26, 27)] == ["A", "Z", "AA", "AB"]


def test_many_dates_go_into_bands_and_burdens_are_filled() -> None:
    """The picture stays as narrow as a phone; each date and place is in it."""
    dates = [date(2026, 10, 14) + timedelta(weeks=n) for n in range(20)]
    rows = [TurnRow("A <squad>", tuple("AB" * 10), (0, 20) * 10)]
    drawing = draw_turns(rows, dates, "Turns", "Words")
    assert drawing.startswith("<svg")
    assert "A &lt;squad&gt;" in drawing
    assert drawing.count("A &lt;squad&gt;") == -(-20 // BAND)
    assert drawing.count('fill="#ffd166"') == 10
    assert drawing.count('width="3"') == 19


class _Full(MemoryWatch):
    """A watch that finds no memory left, from the start or once it is told."""

    latest: ClassVar[list[_Full]] = []
    from_start: ClassVar[bool] = True

    def __enter__(self) -> Self:
        self.latest[:] = [self]
        if self.from_start:
            self.fill()
        return self

    def __exit__(self, *_unused: object) -> None: ...

    def fill(self) -> None:
        """Find it full now."""
        self.is_full = True
        self._brake.pull()


def test_turns_keep_their_memory(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without any turn yet it is told and nothing kept; else what is planned stays, and is told."""
    monkeypatch.setattr(in_turns, "MemoryWatch", _Full)
    with pytest.raises(ShareOutError, match="Allow more memory"):
        propose_turns(store, "Winter", TurnWishes(), EFFORT, AUTUMN)
    monkeypatch.setattr(_Full, "from_start", False)
    number = propose_turns(
        store, "Winter", TurnWishes(), EFFORT, AUTUMN, lambda _: _Full.latest[0].fill()
    )
    page = see_share_out(store, number, AUTUMN)
    assert "take turns" in page.sentence
    assert page.sentence.endswith("share out one venue at a time.")
    assert "come out differently" in page.effort_words
    with speaking("de"):
        assert see_share_out(store, number, AUTUMN).sentence.endswith(
            "eine Anlage nach der anderen."
        )
