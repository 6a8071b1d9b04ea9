"""What the aims of a share-out are called; all else about each stands in `model.aim_book`.

The words are an aim's code, too: results keep them, and pages tell them in the reader's language.
"""

from __future__ import annotations

from clubplanner.language import marked

PLACING = marked("placing sessions")
WORST_OFF = marked("serving the worst-off squad")
FAIRNESS = marked("being fair")
WISHES = marked("granting wishes")
APART = marked("keeping each squad's sessions apart")
EVEN = marked("filling evenings evenly")
FEW = marked("opening few evenings")
COST = marked("keeping cost low")
COMPACT = marked("keeping evenings compact")

WHOLE_WEEK = (APART, EVEN, FEW)
"""Aims about the week as a whole. They come after wishes, so that they cost nobody a session, a
fair share or a wish, and before cost, unless the club wants its evenings cheap. They are no small
weights within the wishes: many neighbouring days would then outweigh one wish."""
