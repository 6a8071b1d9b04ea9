"""Which games a number of players can have: splits, sizes, matches, rotation, words.

Formats are the club's first. A club's own table of sizes (`services/rows/ground/own_sizes.py`)
stands in front of the published one; a code in both means the club's. A code that a squad asks for
cannot be dropped. The table also tells which sports the club plays.

Published formats hold for seasons: rows carry dates, and whoever asks by age gives the day. A code
has one size in all seasons. A match of the age group bounds what its training gets
(`sizes.py`): no more ground for each, no larger sides. The order of ways is written down once, in
`sessions.py`.
"""
