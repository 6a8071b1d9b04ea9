"""Grounds at the desk: the club, its venues and pitches, by form and as files."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.club.spread import Evenings
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.zones import LIKELY_ZONES, zone_groups
from clubplanner.errors import FaultyInputError, OutdatedError
from clubplanner.inputs.club_files.spoken_cells import file_cells, told_cells
from clubplanner.inputs.ground_files.pitch_sheet import (
    MOST_CORNERS,
    MOST_GOALS,
    MOST_OBSTACLES,
    MOST_PARTS,
)
from clubplanner.language import _, language_name, languages, sentence, term
from clubplanner.services.setup.club_forms import (
    SettingsForm,
    save_club,
    save_venue,
    see_club_form,
    see_venue_form,
)
from clubplanner.services.setup.grounds.forms import (
    NEW,
    PitchForm,
    list_ground,
    look_at_sheet,
    save_pitch,
    see_grounds,
    see_pitch_form,
    take_pitch_out,
)
from clubplanner.services.setup.grounds.kinds import kind_cells, kind_source, list_kinds
from clubplanner.services.setup.grounds.table import ground_table
from clubplanner.services.setup.grounds.typed_place import place_choices
from clubplanner.services.showing.choosing.choices import Choice, venues_with_pitches
from clubplanner.webapp.base.forms import is_count
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_ground, wants_file

if TYPE_CHECKING:
    from collections.abc import Sequence

    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("grounds", __name__, url_prefix="/desk")

MOST_LETTERS = 2_000
MOST_PITCHES = 20
"""On one leaf."""
ROWS = {
    "corner": (MOST_CORNERS, 2),
    "goal": (MOST_GOALS, 1),
    "part": (MOST_PARTS, 1),
    "obstacle": (MOST_OBSTACLES, 1),
}
"""Rows of each table of the pitch's form: how many at most, and how many blank ones are shown."""


@pages.get("/grounds")
@for_secretary
def listing() -> str | BaseResponse:
    """Show every venue with its pitches, drawn to scale."""
    if wants_file(has_ground=True):
        return send_ground(*ground_table(app_state().store))
    return grounds_page(())


def grounds_page(problems: Sequence[Problem]) -> str:
    """Show the grounds a leaf at a time, and what is wrong with a file."""
    store = app_state().store
    leaf = leaf_through(list_ground(store), MOST_PITCHES)
    return render_template(
        "setup/grounds/list.html",
        venues=see_grounds(store, set(leaf.items)),
        with_files=venues_with_pitches(store),
        leaf=leaf,
        problems=problems,
    )


@pages.get("/club")
@for_secretary
def club() -> str:
    """Show the form of the club's own choices."""
    return _settings_page("club", see_club_form(app_state().store))


@pages.post("/club")
@for_secretary
def change_club() -> str | BaseResponse:
    """Save the club's own choices."""
    state = app_state()
    cells = _cells()
    try:
        name = save_club(state.store, cells, request.form.get("seen", ""), state.clock())
    except (FaultyInputError, OutdatedError) as fault:
        page = _settings_page("club", see_club_form(state.store), _problems(fault), cells)
        return make_response(page, _status(fault))
    flash(_("%(name)s saved.", name=name))
    return redirect(url_for("grounds.listing"))


@pages.get("/new-venue")
@for_secretary
def new_venue() -> str:
    """Show the form of a new venue."""
    return _settings_page("venue", see_venue_form(app_state().store))


@pages.post("/new-venue")
@for_secretary
def add_venue() -> str | BaseResponse:
    """Add a venue."""
    return _save_venue(NEW)


@pages.get("/grounds/<venue>")
@for_secretary
def venue(venue: str) -> str:
    """Show a venue's form."""
    return _settings_page("venue", see_venue_form(app_state().store, venue), key=venue)


@pages.post("/grounds/<venue>")
@for_secretary
def change_venue(venue: str) -> str | BaseResponse:
    """Save a venue."""
    return _save_venue(venue)


@pages.get("/grounds/<venue>/new-pitch")
@for_secretary
def new_pitch(venue: str) -> str:
    """Show the form of a new pitch."""
    return pitch_page(venue, NEW)


@pages.post("/grounds/<venue>/new-pitch")
@for_secretary
def add_pitch(venue: str) -> str | BaseResponse:
    """Draw a new pitch as it was typed, or add it."""
    return _save_pitch(venue, NEW)


@pages.get("/grounds/<venue>/<pitch>")
@for_secretary
def pitch(venue: str, pitch: str) -> str:
    """Show a pitch's form with its drawing."""
    return pitch_page(venue, pitch)


@pages.post("/grounds/<venue>/<pitch>")
@for_secretary
def change_pitch(venue: str, pitch: str) -> str | BaseResponse:
    """Draw a pitch as it was typed, or save it."""
    return _save_pitch(venue, pitch)


@pages.post("/grounds/<venue>/<pitch>/out")
@for_secretary
def take_out(venue: str, pitch: str) -> BaseResponse:
    """Take a pitch out that nothing speaks of."""
    name = take_pitch_out(app_state().store, venue, pitch, request.form.get("seen", ""))
    flash(_("%(name)s was taken out.", name=name))
    return redirect(url_for("grounds.listing"))


def _save_venue(key: str) -> str | BaseResponse:
    state = app_state()
    cells = _cells()
    try:
        new_key = save_venue(state.store, key, cells, request.form.get("seen", ""), state.clock())
    except (FaultyInputError, OutdatedError) as fault:
        form = see_venue_form(state.store, key)
        page = _settings_page("venue", form, _problems(fault), cells, key=key)
        return make_response(page, _status(fault))
    flash(_("%(name)s saved.", name=cells["name"]))
    if key == NEW:
        return redirect(url_for("grounds.by_kind", venue=new_key))
    return redirect(url_for("grounds.listing"))


def _save_pitch(venue: str, key: str) -> str | BaseResponse:
    state = app_state()
    cells = _cells()
    seen = request.form.get("seen", "")
    try:
        if request.form.get("act") == "kind":
            return _filled_in(venue, key, cells, seen)
        if request.form.get("act") == "look":
            drawing, areas = look_at_sheet(state.store, venue, cells)
            return pitch_page(venue, key, (), cells, seen, (drawing, areas))
        new_key = save_pitch(state.store, venue, key, cells, seen, state.clock())
    except OutdatedError as fault:
        return make_response(pitch_page(venue, key, _problems(fault), cells), 409)
    except FaultyInputError as fault:
        return make_response(pitch_page(venue, key, _problems(fault), cells, seen), 422)
    flash(_("%(name)s saved.", name=cells["name"]))
    return redirect(url_for("grounds.pitch", venue=venue, pitch=new_key))


def _filled_in(venue: str, key: str, cells: dict[str, str], seen: str) -> str:
    """Show the form with what a kind of ground fills in; what it leaves open stays as typed."""
    kind = cells.get("kind", "")
    stems = ("goal_", "cut_", "corner_")
    kept = {name: value for name, value in cells.items() if not name.startswith(stems)}
    filled = {**kept, **kind_cells(kind)} if kind_cells(kind) else cells
    try:
        drawn = look_at_sheet(app_state().store, venue, {"name": _("New pitch"), **_typed(filled)})
    except FaultyInputError:
        drawn = None
    return pitch_page(venue, key, (), filled, seen, drawn)


def _typed(cells: dict[str, str]) -> dict[str, str]:
    return {name: value for name, value in cells.items() if value.strip()}


def _settings_page(
    what: str,
    form: SettingsForm,
    problems: Sequence[Problem] = (),
    cells: dict[str, str] | None = None,
    key: str = NEW,
) -> str:
    return render_template(
        f"setup/grounds/{what}.html",
        form=form,
        key=key,
        values=told_cells(form.cells if cells is None else cells),
        problems=problems,
        choices=_place_choices(cells, problems),
        languages=[Choice(code, language_name(code)) for code in languages()],
        zones=_zones(),
        evenings=_ways_to_fill_evenings(),
    )


def _ways_to_fill_evenings() -> list[Choice]:
    words = {
        Evenings.EVEN: _("about as full as each other"),
        Evenings.CHEAP: _("as cheap as can be, then about as full as each other"),
        Evenings.FEW: _("as few at each venue as can be"),
    }
    return [Choice(way.value, words[way]) for way in Evenings]


def _zones() -> list[tuple[str, tuple[Choice, ...]]]:
    """Return all time zones for a selection: the likely ones first, then by part of the world."""
    groups: list[tuple[str, tuple[str, ...]]] = [(_("Often chosen"), LIKELY_ZONES)]
    groups += [
        (term(place) if place else _("Other names"), names)
        for place, names in zone_groups().items()
    ]
    return [(words, tuple(Choice(name, name) for name in names)) for words, names in groups]


def pitch_page(
    venue: str,
    key: str = NEW,
    problems: Sequence[Problem] = (),
    cells: dict[str, str] | None = None,
    seen: str | None = None,
    drawn: tuple[str, tuple[str, ...]] | None = None,
) -> str:
    """Show a pitch's form: as it stands, or with what was typed and how that is drawn."""
    form = see_pitch_form(app_state().store, venue, key)
    values = form.cells if cells is None else cells
    drawing, areas = (form.drawing, form.areas) if drawn is None else drawn
    return render_template(
        "setup/grounds/pitch.html",
        form=form,
        kinds=list_kinds(),
        kind_source=kind_source(values.get("kind", "")),
        venue=venue,
        key=key,
        values=told_cells(values),
        rows={stem: _rows(values, stem) for stem in ROWS},
        drawing=drawing,
        areas=areas,
        is_drawn_anew=drawn is not None,
        surfaces=_surfaces(form, values),
        choices=_place_choices(cells, problems),
        seen=form.seen if seen is None else seen,
        problems=problems,
    )


def _surfaces(form: PitchForm, values: dict[str, str]) -> list[Choice]:
    """Return the surfaces to choose from; one that was typed is among them."""
    known = dict.fromkeys((*form.surfaces, values.get("surface", "")))
    return [Choice(term(word), sentence(term(word))) for word in known if word]


def _place_choices(cells: dict[str, str] | None, problems: Sequence[Problem]) -> tuple[Choice, ...]:
    """Return what a pasted place can mean, once somebody has to choose or has chosen."""
    if cells is None:
        return ()
    is_open = any(problem.where == "place_choice" for problem in problems)
    return place_choices(cells.get("place", "")) if is_open or cells.get("place_choice") else ()


def _rows(values: dict[str, str], stem: str) -> range:
    """Return the numbers of the rows to show: those with something in them, and blank ones."""
    most, blank = ROWS[stem]
    used = [
        int(name.split("_")[1])
        for name, value in values.items()
        if value
        and name.startswith(f"{stem}_")
        and is_count(name.split("_")[1])
        and not name.endswith("_kind")  # a selection is never blank
    ]
    return range(1, min(most, max(used, default=0) + blank) + 1)


def _cells() -> dict[str, str]:
    cells = file_cells({name: value[:MOST_LETTERS] for name, value in request.form.items()})
    other = cells.get("other_surface", "").strip()
    return {**cells, "surface": other} if other else cells


def _problems(fault: FaultyInputError | OutdatedError) -> Sequence[Problem]:
    if isinstance(fault, FaultyInputError):
        return fault.problems
    return (Problem("name", "outdated", str(fault)),)


def _status(fault: FaultyInputError | OutdatedError) -> int:
    return 422 if isinstance(fault, FaultyInputError) else 409
