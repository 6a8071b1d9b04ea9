"""Coach: nobody is in two places at a time, be it a coach or a squad."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.candidates import is_near
from clubplanner.sharing.ground.cliques import moments
from clubplanner.sharing.rules.people.persons import days_of_persons, on_at, people_shared
from clubplanner.sharing.rules.people.travel import add_ways
from clubplanner.sharing.rules.rule import Rule

if TYPE_CHECKING:
    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Draft, Mask


def in_two_places(terrain: Terrain, rows: Candidates, others: Candidates) -> Mask:
    """Tell which rows need a person who is at which others at that time."""
    shared = people_shared(terrain)[rows.ask[:, None], others.ask[None, :]]
    return np.asarray(shared & is_near(rows, others, 0))


def add_rows(draft: Draft) -> None:
    """Keep what one person does in a day apart; the ways between venues are of `travel`."""
    for day in days_of_persons(draft):
        for moment in moments((start, end) for _venue, start, end in day):
            row = on_at(day, moment)
            if len(row) > 1:
                draft.model.add_at_most_one(row)
        add_ways(draft, day)


RULE = Rule(
    code="coach", binds_pins=True, is_of_people=True, clash=in_two_places, add_rows=add_rows
)
