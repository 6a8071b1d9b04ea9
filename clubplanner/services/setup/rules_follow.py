"""Wishes and limits name places by words; these follow when a place is renamed by form."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.club.sharing_rules import rules_as_json, rules_from_json
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import AskRow

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.sharing_rules import PitchLimit

Names = dict[tuple[object, ...], str]
"""What each place is called, by what it is."""


def place_names(session: Session) -> Names:
    """Return what venues, pitches and areas are called: areas alone, and with their pitch."""
    names: Names = {}
    for venue in session.scalars(select(VenueRow)):
        names["venue", venue.id] = venue.name
    for pitch in session.scalars(select(PitchRow)):
        names["pitch", pitch.id] = pitch.name
        names["venue of", pitch.id] = pitch.venue.name
    rows = select(AreaRow, PitchRow).join(PitchRow, AreaRow.pitch_id == PitchRow.id)
    for area, pitch in session.execute(rows):
        names["area", pitch.id, area.key] = area.name
        names["place", pitch.id, area.key] = f"{area.name}, {pitch.name}"
    return names


def follow_new_names(session: Session, before: Names) -> None:
    """Put new names where old ones stood that mean no place any more.

    A word that still names another place (two pitches of one name) is left alone.

    Args:
        session: The open write session.
        before: What `place_names` gave before the change.
    """
    session.flush()
    after = place_names(session)
    if after == before:
        return
    still = {plain_name(name) for name in after.values()}
    new = {
        plain_name(name): after[place]
        for place, name in before.items()
        if place in after and plain_name(name) not in still
    }
    for ask in session.scalars(select(AskRow)):
        wishes = [[*rest, new.get(plain_name(place), place)] for *rest, place in ask.wishes]
        if wishes != ask.wishes:
            ask.wishes = wishes
    _rename_in_rules(session, before, after)


def _rename_in_rules(
    session: Session, before: Names, after: Mapping[tuple[object, ...], str]
) -> None:
    club = session.get(ClubRow, 1)
    if club is None:
        return
    venues = {
        plain_name(name): after[place]
        for place, name in before.items()
        if place[0] == "venue" and place in after
    }
    pitches = {
        (plain_name(before["venue of", place[1]]), plain_name(name)): after[place]
        for place, name in before.items()
        if place[0] == "pitch" and place in after
    }

    def venue_of(rule: PitchLimit) -> str:
        return venues.get(plain_name(rule.venue), rule.venue)

    def pitch_of(rule: PitchLimit) -> str:
        return pitches.get((plain_name(rule.venue), plain_name(rule.pitch)), rule.pitch)

    rules = rules_from_json(club.rules)
    limits = (replace(it, venue=venue_of(it), pitch=pitch_of(it)) for it in rules.limits)
    club.rules = rules_as_json(replace(rules, limits=tuple(limits)))
