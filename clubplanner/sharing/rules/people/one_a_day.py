"""One a day: the sessions of an ask are each on another day.

Its rows are part of the frame of the model, which counts the sessions of an ask: `ShareModel`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.rules.rule import Rule

if TYPE_CHECKING:
    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Mask


def same_day(_terrain: Terrain, rows: Candidates, others: Candidates) -> Mask:
    """Tell which rows are of one ask on one day with which others."""
    same_ask = rows.ask[:, None] == others.ask[None, :]
    return np.asarray(same_ask & (rows.day[:, None] == others.day[None, :]))


RULE = Rule(code="one a day", binds_pins=True, is_of_people=True, clash=same_day)
