"""How one finds one's way on a pitch: edges, sides, lines, measures, the way in."""
