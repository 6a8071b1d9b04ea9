"""A share-out that is too large for one model, in parts.

What each ask could have is looked at one ask after the other, so that nobody ever holds all places
at once (`looking.py`). Squads and pitches that cannot meet fall apart by themselves (`pieces.py`):
then bounds of the pieces hold for the whole together (`bounds.py`). A piece that is still too large
is split by venue, each squad given to one part by what is still free there (`allotting.py`); such
parts prove nothing. Then some pitches at a time are looked at again (`near.py`). Each part is a
problem by itself in which whatever else concerns its squads is pinned (`cutting.py`), so that rules
and wishes need not know of parts. Pure: the processes are begun by `sharing.solving`.

A whole council has a hundred million places, and whatever lists them all has no room for a plan. In
a part that proves nothing a first-order relaxation is rounded and then tells which places are too
dear to search with: of a thousand squads it placed 1,918 sessions where one after the other placed
1,817. That plan is bettered by taking sessions out and putting others in: 1,987 in five seconds of
the processor more. Small neighbourhoods (12,000 places) gained twice as much a second as large
ones.
"""
