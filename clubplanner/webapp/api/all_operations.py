"""Every operation of the API, made by importing the modules of its subjects."""

from __future__ import annotations

from clubplanner.webapp.api.following import changes, following, reports, webhooks
from clubplanner.webapp.api.frame import described
from clubplanner.webapp.api.frame.operations import pages
from clubplanner.webapp.api.ground import fits, grounds
from clubplanner.webapp.api.hiring import hire_dates, hires, statements, tariffs
from clubplanner.webapp.api.sessions import asks, bookings, closures, matches, swaps
from clubplanner.webapp.api.squads import persons, seasons, share_outs, squad_begins, squads

__all__ = ["SUBJECTS", "pages"]

SUBJECTS = (
    described,
    changes,
    following,
    reports,
    webhooks,
    fits,
    grounds,
    hire_dates,
    hires,
    statements,
    tariffs,
    asks,
    bookings,
    closures,
    matches,
    swaps,
    persons,
    seasons,
    share_outs,
    squad_begins,
    squads,
)
"""The modules whose views are its operations."""
