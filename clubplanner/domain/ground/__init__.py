"""Venues, pitches and areas: their shapes, sizes, forms of the game, and how much grass bears.

Traced rectangles are squared up. A four-cornered outline whose corners lie within 0.6 m of a
rectangle becomes that rectangle: pitches are laid out square, aerial pictures are not that exact.
Other outlines stay as traced.

Edges are named by compass. `names` maps a compass point to a name; each goes to the edge that faces
that way, so nobody has to know which corner was traced first. Goals on an area are computed from
where they stand, never typed in.

Grass counts in adult hours of the whole pitch. Part of the pitch × length × two thirds for players
of 15 and under (Sport England 2011 allows them half as much again); a match counts one match
equivalent, of the young as much less as the table of the pitch's quality lets them play more; a
training its adult hours / 1.5 (common practice, no source). Closed days and “half load” lessen the
week's limit. The share-out of a stretch gets the limits (`services/problem/season_terms.py`), and
so does a re-share of a week or the rest, raised to what stands
(`sharing/places/standing_loads.py`): nobody is moved for the sake of the grass, nobody sent to
grass that has enough. A re-share of one evening does without: at 17:40 nobody is refused.
"""
