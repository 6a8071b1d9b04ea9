"""Which games a number of players can have: splits, sizes, matches, rotation, words.

Formats are the club's first. A club's own table of sizes (`services/rows/own_sizes.py`) stands in
front of the published one; a code in both means the club's. A code that a squad asks for cannot be
dropped. The table also tells which sports the club plays.
"""
