"""What coaches are called in a share-out."""

from __future__ import annotations

from clubplanner.services.problem.coach_names import name_coaches
from tests.builders import make_squad


def test_two_of_one_name_are_told_apart_by_their_squads() -> None:
    """One person with two squads is one, however the name was written."""
    squads = (
        make_squad("U9 Martins", coach="Kim Rowe", coach_number=4),
        make_squad("U8 Wrens", coach="Ann  Ode", coach_number=5),
        make_squad("U12 Kestrels", coach="kim rowe", coach_number=9),
        make_squad("U15 Stags", coach="Kim Rowe", coach_number=4),
        make_squad("Larks", coach="", coach_email=""),
    )
    names = name_coaches(squads)
    assert [names.get(squad.coach_key) for squad in squads] == [
        "Kim Rowe (U9 Martins)",
        "Ann Ode",
        "kim rowe (U12 Kestrels)",
        "Kim Rowe (U9 Martins)",
        None,
    ]
