"""Words that records hold in English; pages tell them in the reader's language, by `term`.

Listed here so that they reach the catalogues; none of them is looked up by this list.
"""

from __future__ import annotations

from clubplanner.language import marked

PURPOSES = (marked("training"), marked("match"), marked("hire"))
ROLES = (
    marked("secretary"),
    marked("club's secretary"),
    marked("groundskeeper"),
    marked("coach"),
)
CONDITIONS = (marked("closed"), marked("no studs"), marked("half load"), marked("other"))
SURFACES = (marked("grass"), marked("artificial"), marked("indoor"))
GROUND_KINDS = (
    marked("full-size artificial pitch"),
    marked("full-size grass pitch"),
    marked("youth grass pitch (U15, U16)"),
    marked("nine-a-side pitch"),
    marked("seven-a-side pitch"),
    marked("five-a-side pitch"),
    marked("nine-a-side pitch (DFB)"),
    marked("seven-a-side pitch (DFB)"),
    marked("small pitch in a cage"),
    marked("four-court hall"),
    marked("hall for futsal or handball"),
    marked("hockey pitch"),
    marked("rugby union pitch"),
)
"""Names of the table of kinds of ground."""
GROUND_NOTES = (
    marked("cuts and fixed goals: common practice, no source"),
    marked("cuts: common practice, no source"),
)
"""Its notes."""
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
SPORTS = (
    marked("football"),
    marked("futsal"),
    marked("hockey"),
    marked("rugby union"),
    marked("rugby league"),
    marked("handball"),
    marked("basketball"),
    marked("touch"),
    marked("gaelic football"),
    marked("lacrosse"),
    marked("netball"),
    marked("korfball"),
    marked("floorball"),
    marked("volleyball"),
)
"""Those of the published tables; a club's own table may name others, which are told as written."""
QUALITIES = (marked("good"), marked("standard"), marked("poor"))
"""As the published guidance calls pitches."""
GRASS = (marked("over"), marked("near"), marked("within"))
FIELDS = (
    marked("by"),
    marked("code"),
    marked("figures"),
    marked("frame"),
    marked("from"),
    marked("offered at"),
    marked("pitch name"),
    marked("quality"),
    marked("wants more"),
    marked("name"),
    marked("zone"),
    marked("language"),
    marked("step minutes"),
    marked("changeover minutes"),
    marked("travel minutes"),
    marked("rules"),
    marked("address"),
    marked("opening"),
    marked("dusk margin minutes"),
    marked("surface"),
    marked("edges"),
    marked("portable goals"),
    marked("entrance"),
    marked("country"),
    marked("region"),
    marked("players"),
    marked("goalkeepers"),
    marked("age group"),
    marked("coach"),
    marked("minutes"),
    marked("hours"),
    marked("matches"),
    marked("source"),
    marked("per hour"),
    marked("currency"),
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
    marked("notice hours"),
    marked("late percent"),
    marked("payer"),
    marked("amount"),
    marked("per"),
    marked("adds"),
    marked("light"),
    marked("weekdays"),
    marked("season from"),
    marked("season to"),
    marked("hirer"),
    marked("up to age"),
    marked("percent"),
    marked("free minutes"),
    marked("number"),
    marked("month"),
    marked("total"),
    marked("to"),
    marked("lon"),
    marked("lat"),
)
"""Columns of records, as the list of changes names them."""
CUTS = (marked("whole"), marked("halves"), marked("thirds"), marked("quarters"), marked("grid"))
