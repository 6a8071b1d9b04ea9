"""One field to find anything by: what it found, each with where it leads."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request, url_for

from clubplanner.domain.searching import is_found_by, search_words
from clubplanner.services.finding.finding import Found, Kind, find_anything
from clubplanner.webapp.base.navigation import pages_of
from clubplanner.webapp.base.security import for_signed_in, may_open, signed_in_person
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.guide.guide import find_in_guide

if TYPE_CHECKING:
    from clubplanner.domain.club.people import Person

pages = Blueprint("finding", __name__)


@pages.get("/find")
@for_signed_in
def find() -> str:
    """Show what goes by the words asked for."""
    state = app_state()
    person = signed_in_person()
    asked = request.args.get("q", "").strip()
    found = find_anything(state.store, asked, person, state.clock()) if asked else ()
    kinds = [
        (of_kind.kind, [(thing, _address(thing, person)) for thing in of_kind.things], of_kind.more)
        for of_kind in found
    ]
    words = search_words(asked)
    named = [link for link in pages_of(person) if is_found_by(words, link.words)]
    return render_template(
        "finding/find.html",
        searched_for=asked,
        kinds=kinds,
        named=named,
        guided=find_in_guide(asked),
    )


def _address(found: Found, person: Person) -> str:
    """Return where a thing leads whoever is looking."""
    if found.kind is Kind.PERSON:
        return url_for("people.see", number=found.number)
    if found.kind is Kind.SQUAD:
        if found.day is None and may_open(person, "squads.edit_squad"):
            return url_for("squads.edit_squad", key=found.squad_key)
        return url_for("coach.squad", key=found.squad_key, date=found.day)
    if found.kind is Kind.SESSION and may_open(person, "desk.booking"):
        return url_for("desk.booking", number=found.number)
    if found.kind is Kind.SESSION and person.looks_after(found.squad_key or None):
        return url_for("coach.squad", key=found.squad_key, date=found.day)
    if found.kind is Kind.GROUND and found.day is None and may_open(person, "grounds.pitch"):
        if found.pitch_key:
            return url_for("grounds.pitch", venue=found.venue_key, pitch=found.pitch_key)
        return url_for("grounds.venue", venue=found.venue_key)
    return url_for("desk.evening", date=found.day, venue=found.venue_key or None)
