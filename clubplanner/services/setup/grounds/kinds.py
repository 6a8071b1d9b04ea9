"""Pitches by kind: what a kind of ground usually is fills them in, and several come in one go."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING

from clubplanner.domain.ground.formats import sure_in_words
from clubplanner.domain.ground.kinds import GroundKind, parse_kinds
from clubplanner.domain.ground.orientation.measures import size_in_words
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, MissingError
from clubplanner.inputs.ground_files.pitch_sheet import read_sheet, sheet_of_kind
from clubplanner.language import _, sentence, speaking, term
from clubplanner.resources import published_table
from clubplanner.services.rows.ground.known_sizes import published_formats
from clubplanner.services.rows.snapshot import load_club, load_venues
from clubplanner.services.setup.club_rows import ClubWriter
from clubplanner.services.setup.grounds.forms import refuse_taken_name
from clubplanner.store.journal.journal import describe_change

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class KindShown:
    """A kind of ground to choose.

    Attributes:
        value: Its key.
        words: Its name and size.
        source: Where the size is from, and how sure it is.
    """

    value: str
    words: str
    source: str


@dataclass(frozen=True, slots=True)
class PitchWish:
    """A pitch that is to be added by its kind.

    Attributes:
        row: Number of the row of the form in which it was typed.
        kind: Key of its kind; blank in a row in which nothing was chosen.
        name: As people say it; blank to call it by its kind.
        is_lit: Whether it has floodlights.
    """

    row: int
    kind: str
    name: str
    is_lit: bool


@cache
def ground_kinds() -> tuple[GroundKind, ...]:
    """Return the kinds of ground of the table that ships with the program."""
    return parse_kinds(published_table("kinds_of_ground.csv"), published_formats())


def list_kinds() -> tuple[KindShown, ...]:
    """Return the kinds of ground to choose from, in words."""
    return tuple(
        KindShown(
            kind.key,
            f"{sentence(term(kind.name))}, {size_in_words(kind.length_m, kind.width_m)}",
            _source_in_words(kind),
        )
        for kind in ground_kinds()
    )


def kind_cells(key: str) -> dict[str, str]:
    """Return the cells that a kind of ground fills in; none for a kind that is not known."""
    kind = _kind(key)
    return {} if kind is None else sheet_of_kind(kind)


def kind_source(key: str) -> str:
    """Say where the sizes of a kind are from; blank for a kind that is not known."""
    kind = _kind(key)
    return "" if kind is None else _source_in_words(kind)


def venue_name(store: Store, venue_key: str) -> str:
    """Return what a venue is called.

    Raises:
        MissingError: If there is no such venue.
    """
    with store.read() as session:
        return _venue(load_venues(session), venue_key).name


def add_by_kind(
    store: Store, venue_key: str, wishes: Sequence[PitchWish], now: datetime
) -> tuple[str, ...]:
    """Add pitches by their kinds, all of them or none.

    Args:
        store: The database.
        venue_key: Where they lie.
        wishes: One a row; rows in which nothing was chosen or typed are left out.
        now: The present instant.

    Returns:
        Their names.

    Raises:
        FaultyInputError: With every fault; `where` is "kind_N" or "name_N" of the row.
        MissingError: If there is no such venue.
    """
    chosen = [wish for wish in wishes if wish.kind or wish.name]
    problems = [
        Problem(f"kind_{wish.row}", "missing", _("Choose what kind of ground it is."))
        for wish in chosen
        if _kind(wish.kind) is None
    ]
    if not chosen:
        problems.append(Problem("kind_1", "missing", _("Choose what kind of ground it is.")))
    if problems:
        raise FaultyInputError(problems)
    with store.write() as session:
        venue = _venue(load_venues(session), venue_key)
        names = _names(chosen, venue, load_club(session).language)
        added, pitches = _("added"), ", ".join(names)
        describe_change(session, f"{added} {pitches}, {venue.name}")
        writer = _Writer(session, venue, ClubWriter(session, now))
        for wish, name in zip(chosen, names, strict=True):
            writer.add(wish, name)
        if writer.problems:
            raise FaultyInputError(writer.problems)
        return tuple(names)


@dataclass(slots=True)
class _Writer:
    """Writes pitches one by one, each fault at the row in which it was typed."""

    session: Session
    venue: Venue
    rows: ClubWriter
    problems: list[Problem] = field(default_factory=list)

    def add(self, wish: PitchWish, name: str) -> None:
        language = load_club(self.session).language
        cells = {**kind_cells(wish.kind), "name": name}
        if wish.is_lit:
            cells["floodlights"] = "yes"
        read = read_sheet(cells, self.venue.name, language)
        found = list(read.problems)
        if read.pitch is not None:
            try:
                refuse_taken_name(self.session, read.pitch)
                self.rows.pitches.write_pitch(self.venue.key, read.pitch)
            except FaultyInputError as fault:
                found += fault.problems
        self.problems += [Problem(f"name_{wish.row}", one.code, one.message) for one in found]


def _names(wishes: Sequence[PitchWish], venue: Venue, language: str) -> list[str]:
    """Return a name for each: as typed, else that of its kind, numbered where it is taken."""
    taken = {key_from_name(pitch.name) for pitch in venue.pitches}
    taken |= {key_from_name(wish.name) for wish in wishes if wish.name}
    names = []
    for wish in wishes:
        kind = _kind(wish.kind)
        name = wish.name
        if not name and kind is not None:
            with speaking(language):
                stem = sentence(term(kind.name))
            name, number = stem, 2
            while key_from_name(name) in taken:
                name, number = f"{stem} {number}", number + 1
            taken.add(key_from_name(name))
        names.append(name)
    return names


def _source_in_words(kind: GroundKind) -> str:
    sure = sure_in_words(kind.standing)
    return "; ".join(part for part in (kind.source, sure, term(kind.note)) if part)


def _kind(key: str) -> GroundKind | None:
    return next((kind for kind in ground_kinds() if kind.key == key), None)


def _venue(venues: Iterable[Venue], key: str) -> Venue:
    found = next((venue for venue in venues if venue.key == key), None)
    if found is None:
        raise MissingError(_("There is no such venue (any more); look at the grounds."))
    return found
