"""Equal boxes in a box: layouts, bounds and proofs.

What fits is searched, not guessed. Equal rectangles on a rectangle: simple layouts, recursive
five-block, then a skyline search cut down by tables of where ground may stay empty
(`fitting/packing/residues.py`, after Barnes 1979) and by restating the question in small units
(`fitting/packing/scales.py`); where that proves nothing, all straight cuts (`straight_cuts.py`).
L-shapes, holes and pillars get the same search (`square_ground.py`). Work is counted in steps,
never in seconds, so that answers repeat. Proved is said only where the count meets a bound or the
search was exhausted; on square-cornered ground that is of pieces along the edges
(`PieceFit.holds_turned` tells), since turned layouts are not tried. On slanted and round ground,
and where very many pieces are nearly square, counts are good and bounds loose: (87, 47, 7, 6) has
94 laid and a bound of 97. A rectangle's ways are asked of it as it lies along x
(`straightening.py`), so they do not hang on how it is turned. Less ground a player than any
published practice area has is no game. The first rules by which ways are ranked are settled by the
split of players alone: splits that cannot be among the ways wanted are never laid.
"""
