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
CONSTRUCTIONS = (
    marked("undrained"),
    marked("pipe-drained"),
    marked("pipe-drained with sand grooves"),
    marked("suspended water table"),
)
QUALITIES = (marked("good"), marked("standard"), marked("poor"))
"""As the published guidance calls pitches."""
GRASS = (marked("over"), marked("near"), marked("within"))
FIELDS = (
    marked("name"),
    marked("zone"),
    marked("language"),
    marked("step minutes"),
    marked("changeover minutes"),
    marked("travel minutes"),
    marked("rules"),
    marked("address"),
    marked("opening"),
    marked("lights off"),
    marked("dusk margin minutes"),
    marked("surface"),
    marked("edges"),
    marked("cuts"),
    marked("portable goals"),
    marked("entrance"),
    marked("country"),
    marked("region"),
    marked("players"),
    marked("goalkeepers"),
    marked("age group"),
    marked("coach"),
    marked("priority"),
    marked("minutes"),
    marked("sessions"),
    marked("hours"),
    marked("matches"),
    marked("source"),
    marked("per hour"),
    marked("currency"),
    marked("condition"),
    marked("reason"),
    marked("words"),
    marked("opponent"),
    marked("kick off from"),
    marked("kick off to"),
    marked("warm up minutes"),
    marked("after minutes"),
    marked("officials"),
    marked("opponents"),
    marked("format code"),
    marked("note"),
    marked("state"),
    marked("answer"),
    marked("role"),
    marked("starts on"),
    marked("ends on"),
    marked("title"),
    marked("lon"),
    marked("lat"),
    marked("bearing deg"),
)
"""Columns of records, as the list of changes names them."""
CUTS = (marked("whole"), marked("halves"), marked("thirds"), marked("quarters"), marked("grid"))
