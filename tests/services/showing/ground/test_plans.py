"""Plans of bookings: a holder looks the same on every page and day; painted lines in use."""

from __future__ import annotations

from datetime import timedelta

from clubplanner.domain.ground.orientation.facing import Edge, Facing, plans_facing
from clubplanner.outputs.drawings.plan_values import look_of
from clubplanner.services.showing.ground.neighbours import neighbours_of
from clubplanner.services.showing.ground.plans import plan_for_squad, plan_of_bookings, tint_of
from tests.builders import LONDON, make_booking, make_pitch, make_range

PITCH = make_pitch()
KESTRELS = make_booking(1, area=PITCH.area("third-1"), squad_number=3)
HARRIERS = make_booking(
    2, area=PITCH.area("third-2"), squad_key="u14-harriers", holder="U14 Harriers", squad_number=11
)
HIRER = make_booking(
    3, area=PITCH.area("third-3"), squad_key=None, holder="Walking club", squad_number=None
)


def test_a_squad_looks_the_same_wherever_it_is_drawn() -> None:
    """Order, page, ground and day change nothing about a squad's colour and hatch."""
    evening = plan_of_bookings(PITCH, [HIRER, KESTRELS, HARRIERS], LONDON)
    alone = plan_of_bookings(PITCH, [HARRIERS], LONDON)
    seen = plan_for_squad(
        PITCH, KESTRELS, neighbours_of(PITCH, KESTRELS, [HIRER, HARRIERS]), LONDON
    )
    looks = {
        look_of(area.tint)
        for plan in (evening, alone, seen)
        for area in plan.areas
        if area.heading == "U14 Harriers"
    }
    assert len(looks) == 1
    tints = {area.heading: area.tint for area in evening.areas}
    assert len({look_of(tint) for tint in tints.values()}) == 3


def test_a_hirer_looks_the_same_by_name() -> None:
    """A hirer has no number: the name decides, on any day."""
    later = make_booking(
        9,
        squad_key=None,
        holder="Walking club",
        during=make_range(make_range().starts_at.date() + timedelta(days=7)),
    )
    assert tint_of(later) == tint_of(HIRER)
    assert tint_of(HIRER) != tint_of(make_booking(9, squad_key=None, holder="Chess club"))


def test_no_hirer_looks_like_a_squad() -> None:
    """Whatever a hirer is called and however many squads there are, the two differ."""
    squads = {look_of(tint_of(make_booking(1, squad_number=number))) for number in range(1, 300)}
    names = [f"Hirer {number}" for number in range(300)]
    hirers = {look_of(tint_of(make_booking(1, squad_key=None, holder=name))) for name in names}
    assert len(hirers) == len(squads) == 64
    assert not hirers & squads


def test_plans_lie_as_was_chosen() -> None:
    """With the way in at the bottom, the plans of an evening and of a squad are both turned."""
    pitch = make_pitch(entrance=(100.0, 20.0))
    assert plan_of_bookings(pitch, [KESTRELS], LONDON).at_bottom is Edge.RIGHT
    with plans_facing(Facing.ENTRANCE):
        assert plan_of_bookings(pitch, [KESTRELS], LONDON).at_bottom is Edge.FAR
        assert plan_for_squad(pitch, KESTRELS, [], LONDON).at_bottom is Edge.FAR
