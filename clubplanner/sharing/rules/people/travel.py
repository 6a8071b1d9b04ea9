"""Travel: a person's sessions at two venues have the time for the way between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.candidates import is_near
from clubplanner.sharing.ground.cliques import moments
from clubplanner.sharing.rules.people.persons import on_at, people_shared
from clubplanner.sharing.rules.rule import Rule

if TYPE_CHECKING:
    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.people.persons import PersonsDay
    from clubplanner.sharing.rules.rule import Draft, Mask


def on_the_way(terrain: Terrain, rows: Candidates, others: Candidates) -> Mask:
    """Tell which rows need a person who is on the way from or to which others."""
    shared = people_shared(terrain)[rows.ask[:, None], others.ask[None, :]]
    away = terrain.venue[rows.ground][:, None] != terrain.venue[others.ground][None, :]
    return np.asarray(shared & away & is_near(rows, others, terrain.problem.travel_minutes))


def add_ways(draft: Draft, day: PersonsDay) -> None:
    """Keep the ways between venues free on one person's day."""
    travel = draft.terrain.problem.travel_minutes
    if travel == 0:
        return
    for (venue, start, end), own in day.items():
        for other in sorted({key[0] for key in day} - {venue}):
            near = {
                key: row
                for key, row in day.items()
                if key[0] == other and key[1] < end + travel and start < key[2] + travel
            }
            for moment in moments((key[1], key[2]) for key in near):
                row = [*own, *on_at(near, moment)]
                if len(row) > 1:
                    draft.model.add_at_most_one(row)


RULE = Rule(code="travel", binds_pins=True, is_of_people=True, clash=on_the_way)
