"""Shares a sports club's pitches out among its squads, and shows every coach their ground.

Ten lines from a club's files to a plan, in a notebook or a program of one's own:

    import clubplanner

    club = clubplanner.read_club("club.toml", "osier-lane.geojson", "squads.csv")
    top = club.pitch("Top pitch")
    clubplanner.draw(top)
    third = clubplanner.cut(top, 3)[0]
    clubplanner.fit_sessions(top, third, players=14, goalkeepers=1, age=12)
    plan = clubplanner.solve(club.problem("Autumn"), seconds=10)
    plan.faults()
    plan.explain("U12 Herons")
    plan.rows()

Nothing is loaded before it is used. Everything that is wrong with what was given is a
`PlannerError`, whose message says what to do.
"""

from __future__ import annotations

from importlib import import_module, metadata
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from clubplanner.domain.ground.grounds import Area, Pitch, Venue
    from clubplanner.errors import FaultyInputError, MissingError, PlannerError, RefusedError
    from clubplanner.library.clubs import Club, open_club, read_club
    from clubplanner.library.fits import Fits, fit_largest, fit_pieces, fit_sessions
    from clubplanner.library.grounds import cut, draw, make_pitch, read_grounds
    from clubplanner.library.pictures import Picture
    from clubplanner.library.share_outs import Plan, read_plan, read_problem, solve
    from clubplanner.sharing.values.outcome import Outcome
    from clubplanner.sharing.values.problem import Problem

    __version__: str

__all__ = [
    "Area",
    "Club",
    "FaultyInputError",
    "Fits",
    "MissingError",
    "Outcome",
    "Picture",
    "Pitch",
    "Plan",
    "PlannerError",
    "Problem",
    "RefusedError",
    "Venue",
    "cut",
    "draw",
    "fit_largest",
    "fit_pieces",
    "fit_sessions",
    "make_pitch",
    "open_club",
    "read_club",
    "read_grounds",
    "read_plan",
    "read_problem",
    "solve",
]

_HOMES = {
    "clubplanner.domain.ground.grounds": ("Area", "Pitch", "Venue"),
    "clubplanner.errors": ("FaultyInputError", "MissingError", "PlannerError", "RefusedError"),
    "clubplanner.library.clubs": ("Club", "open_club", "read_club"),
    "clubplanner.library.fits": ("Fits", "fit_largest", "fit_pieces", "fit_sessions"),
    "clubplanner.library.grounds": ("cut", "draw", "make_pitch", "read_grounds"),
    "clubplanner.library.pictures": ("Picture",),
    "clubplanner.library.share_outs": ("Plan", "read_plan", "read_problem", "solve"),
    "clubplanner.sharing.values.outcome": ("Outcome",),
    "clubplanner.sharing.values.problem": ("Problem",),
}
"""Where each name of the surface lives; commands and pages that need none of them load none."""


if not TYPE_CHECKING:  # a type checker holds everybody to the names above

    def __getattr__(name: str) -> object:
        if name == "__version__":
            return metadata.version("clubplanner")
        for home, names in _HOMES.items():
            if name in names:
                value = globals()[name] = getattr(import_module(home), name)
                return value
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
