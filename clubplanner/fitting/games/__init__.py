"""Which games a number of players can have: splits, sizes, matches, rotation, words."""
