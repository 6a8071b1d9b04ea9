"""Pages of one day: the evening, moves, closures, matches, the board."""
