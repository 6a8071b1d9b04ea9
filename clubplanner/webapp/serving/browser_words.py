"""What kind of browser somebody uses, in words, from what it says about itself."""

from __future__ import annotations

from clubplanner.language import _, marked, term

_PROGRAMS = (
    ("Firefox", ("Firefox/", "FxiOS/")),
    ("Edge", ("Edg/", "EdgiOS/", "EdgA/")),
    ("Opera", ("OPR/",)),
    ("Samsung Internet", ("SamsungBrowser/",)),
    ("Chrome", ("Chrome/", "CriOS/")),
    ("Safari", ("Safari/",)),
)
"""In the order of asking: most call themselves by their neighbours' names as well."""
_MACHINES = (
    (marked("an iPhone"), ("iPhone",)),
    (marked("an iPad"), ("iPad",)),
    ("Android", ("Android",)),
    ("Windows", ("Windows",)),
    (marked("a Mac"), ("Macintosh",)),
    ("Linux", ("Linux", "X11")),
)


def browser_in_words(agent: str) -> str:
    """Return words like "Firefox on Android" for a User-Agent header; never the header itself."""
    program = _first(_PROGRAMS, agent) or _("A browser")
    machine = term(_first(_MACHINES, agent))
    return _("%(program)s on %(machine)s", program=program, machine=machine) if machine else program


def _first(table: tuple[tuple[str, tuple[str, ...]], ...], agent: str) -> str:
    return next((words for words, marks in table if any(mark in agent for mark in marks)), "")
