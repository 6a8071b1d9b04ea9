"""The points of a share-out: how well a place serves an ask, and what placing sessions counts.

A session is worth at most 100 points: 50 for having a place at all, 40 for its time and 10 for
ground that is not much larger than asked for; up to 40 are taken off for dates that are lost.
An ask with graded wishes can have up to 30 more, split among them by grade, so that naming many
gains nothing over naming one. The weights are the project's own choice.
"""

PLACED_POINTS = 50
TIME_POINTS = 40
"""For lying wholly in a preferred window, or when none is named."""
DAY_POINTS = 20
"""For a day with a preferred window, at another time."""
CLOSE_POINTS = 10
"""For ground no larger than asked for; twice as large gets half, and so on."""
LOST_POINTS = 40
"""Taken off when every date is lost; in proportion for some, rounded against the place."""

WISH_POINTS = 30
"""For keeping all graded wishes of the ask; each one's part is by its grade, rounded down."""
PAIR_POINTS = {1: 5, 2: 10, 3: 20}
"""For each session that keeps a wish about two squads, by its grade; taken off where it breaks a
wish to keep apart."""

SESSION_POINTS = 5
"""For each session placed, times the ask's priority."""
FIRST_POINTS = 2
"""More for a squad's first: one first counts more than one further session and less than two."""
THRESHOLDS = ((60, 2), (80, 1))
"""Percent of satisfaction below which each percent point counts, and how much."""
