"""Answers for the likely evening, kept by a browser for when there is no signal.

What fits is a pure function of the ground, who is beside it and the numbers. A digest of all that
goes in tells whether an answer that was kept is still true, so that it is fetched again only when
something changed, and never shown for another evening.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from importlib import metadata
from typing import TYPE_CHECKING

from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _
from clubplanner.resources import published_table
from clubplanner.services.coach.fits.remembered import digest_of, question
from clubplanner.services.coach.fits.session_sizes import FitShown, see_what_fits
from clubplanner.services.coach.squad_evening import (
    FitForm,
    load_evening,
    place_of,
    wish_from_form,
)

if TYPE_CHECKING:
    from datetime import date, datetime

    from clubplanner.domain.club.squads import Squad
    from clubplanner.services.addresses.links import OwnSquad
    from clubplanner.services.coach.fits.fit_places import FitPlace, FitWish
    from clubplanner.store.engine import Store

FEWEST_KEPT, MOST_KEPT = 4, 24
"""Numbers of players whose answers are kept (common practice, no source)."""
MOST_KEEPERS = 3
SHOWN_KEPT = 2
"""Ways of each answer that is kept: fewer than with signal, so that a phone holds them all."""


@dataclass(frozen=True, slots=True)
class KeptFit:
    """An answer to keep: what fits for so many, with so many goalkeepers among them."""

    players: int
    goalkeepers: int
    fit: FitShown


@dataclass(frozen=True, slots=True)
class FitsToKeep:
    """Answers for a browser to keep.

    Attributes:
        squad: Whose they are.
        number: Of the booking.
        digest: Of all that they hang on.
        fits: One for each number of goalkeepers.
    """

    squad: Squad
    number: int
    digest: str
    fits: tuple[KeptFit, ...]


def see_fits_to_keep(
    store: Store,
    secret: str | OwnSquad,
    day: date | None,
    number: int | None,
    players: int,
    now: datetime,
) -> FitsToKeep:
    """Work out what fits at a squad's session, for a browser to keep.

    Args:
        store: The database.
        secret: The secret part of the squad's address, or a squad of one's own.
        day: The local date; None for that of the next session.
        number: The booking; None, or one that the squad has not on that date, for its first.
        players: How many may come; `FEWEST_KEPT` to `MOST_KEPT`.
        now: The present instant.

    Raises:
        MissingError: If the address is not in use, or the squad has no session then.
        RefusedError: If no answers are kept for so many players.
    """
    if not FEWEST_KEPT <= players <= MOST_KEPT:
        raise RefusedError(
            _(
                "Answers are kept for %(fewest)s to %(most)s players.",
                fewest=FEWEST_KEPT,
                most=MOST_KEPT,
            )
        )
    evening = load_evening(store, secret, day, now)
    own = evening.session(number)
    if own is None:
        raise MissingError(_("This squad has no session on that date."))
    place = place_of(own, evening)
    wish = wish_from_form(FitForm(), evening.squad)
    digest = fits_digest(place, wish)
    fits = _kept_fits(place, wish, players)
    return FitsToKeep(evening.squad, own.number, digest, fits)


def _kept_fits(place: FitPlace, wish: FitWish, players: int) -> tuple[KeptFit, ...]:
    """Work out what fits for a number of players, with 0 to `MOST_KEEPERS` goalkeepers."""
    return tuple(
        KeptFit(
            players,
            keepers,
            see_what_fits(
                place,
                replace(wish, players=players, goalkeepers=keepers),
                most=SHOWN_KEPT,
                is_brief=True,
            ),
        )
        for keepers in range(min(MOST_KEEPERS, players) + 1)
    )


def fits_digest(place: FitPlace, wish: FitWish) -> str:
    """Return a digest of everything that answers hang on, but how many come.

    Args:
        place: The ground.
        wish: What is asked; players and goalkeepers are left out.
    """
    whoever_comes = replace(wish, players=0, goalkeepers=0)
    asked = question(replace(place, halls=()), whoever_comes)  # no kept answer tells of halls
    return digest_of(_release(), asked)[:16]


@cache
def _release() -> str:
    """Return a digest of what a release brings along: how it answers, and the published tables."""
    tables = [f"{name}.csv" for name in ("formats", "practice_areas", "markings")]
    return digest_of(metadata.version("clubplanner"), *map(published_table, tables))
