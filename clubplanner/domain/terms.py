"""Words that records hold in English; pages tell them in the reader's language, by `term`.

Listed here so that they reach the catalogues; none of them is looked up by this list.
"""

from __future__ import annotations

from clubplanner.language import marked

PURPOSES = (marked("training"), marked("match"), marked("hire"))
ROLES = (marked("secretary"), marked("groundskeeper"), marked("coach"))
CONDITIONS = (marked("closed"), marked("no studs"), marked("half load"), marked("other"))
SURFACES = (marked("grass"), marked("artificial"), marked("indoor"), marked("hybrid"))
GOALS = (
    marked("fixed goal"),
    marked("portable goal"),
    marked("small target goal"),
    marked("end zone"),
)
WAITING = (
    marked("waiting"),
    marked("granted"),
    marked("refused"),
    marked("taken back"),
    marked("offered"),
    marked("accepted"),
    marked("declined"),
)
DIFFERENCES = (marked("added"), marked("moved"), marked("withdrawn"))
PITCHES = (marked("new"), marked("changed"), marked("taken out"))
GRASS = (marked("over"), marked("near"), marked("within"))
