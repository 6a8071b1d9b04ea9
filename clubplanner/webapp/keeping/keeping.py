"""What is kept of people: told to everybody, shown to each, and erased by the secretary."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.club.persons.traces import Traces
from clubplanner.errors import FaultyInputError, OutdatedError, RefusedError
from clubplanner.language import _, ngettext, term
from clubplanner.services.keeping.erasing import erase, look_at
from clubplanner.services.keeping.kept import kept_tables, see_kept
from clubplanner.services.keeping.kept_files import kept_file
from clubplanner.services.keeping.part_words import WORDS
from clubplanner.services.keeping.privacy import save_keeping_form, see_keeping_form, see_privacy
from clubplanner.services.keeping.subjects import Subject
from clubplanner.store.personal_kinds import Part
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import (
    for_anybody,
    for_secretary,
    for_signed_in,
    signed_in_person,
)
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_in_parts, send_tables, wants_file

if TYPE_CHECKING:
    from collections.abc import Mapping

    from werkzeug.wrappers import Response as BaseResponse


pages = Blueprint("keeping", __name__)

LONGEST_TYPED = 254
JSON = "application/json"
TYPED = ("who", "address", "phone")
"""What is typed of somebody without a number; never in an address, which servers write down."""


@pages.get("/privacy")
@for_anybody
def privacy() -> str:
    """Tell what is kept of people, why, for how long, who sees it and whom to ask."""
    return render_template("keeping/privacy.html", page=see_privacy(app_state().store))


@pages.get("/me/kept")
@for_signed_in
def own() -> str | BaseResponse:
    """Show whoever is signed in what is kept of them."""
    if wants_file():
        return _tables(_own())
    page = see_kept(app_state().store, _own())
    return render_template("keeping/own.html", page=page)


@pages.get("/me/kept.json")
@for_signed_in
def own_file() -> BaseResponse:
    """Send whoever is signed in what is kept of them as a file."""
    return _file(_own())


@pages.get("/desk/people/<int:number>/kept")
@for_secretary
def person(number: int) -> str | BaseResponse:
    """Show what is kept of a person, and what erasing them would do."""
    if wants_file():
        return _tables(Subject(person=number))
    return _kept_page(Subject(person=number), url_for("keeping.erase_person", number=number))


@pages.get("/desk/people/<int:number>/kept.json")
@for_secretary
def person_file(number: int) -> BaseResponse:
    """Send what is kept of a person as a file."""
    return _file(Subject(person=number))


@pages.post("/desk/people/<int:number>/erase")
@for_secretary
def erase_person(number: int) -> str | BaseResponse:
    """Erase a person for good."""
    here = url_for("keeping.erase_person", number=number)
    return _erase(Subject(person=number), here, url_for("people.listing"))


@pages.get("/desk/season/hires/<int:number>/kept")
@for_secretary
def hirer(number: int) -> str | BaseResponse:
    """Show what is kept of a hirer, and what erasing them would do."""
    if wants_file():
        return _tables(Subject(hire=number))
    return _kept_page(Subject(hire=number), url_for("keeping.erase_hirer", number=number))


@pages.get("/desk/season/hires/<int:number>/kept.json")
@for_secretary
def hirer_file(number: int) -> BaseResponse:
    """Send what is kept of a hirer as a file."""
    return _file(Subject(hire=number))


@pages.post("/desk/season/hires/<int:number>/erase")
@for_secretary
def erase_hirer(number: int) -> str | BaseResponse:
    """Erase a hirer for good."""
    here = url_for("keeping.erase_hirer", number=number)
    return _erase(Subject(hire=number), here, url_for("season.hires"))


@pages.get("/desk/kept")
@for_secretary
def desk() -> str:
    """Show for how long things are kept, and the form that looks for anybody."""
    return _desk_page(Form({}))


@pages.post("/desk/kept")
@for_secretary
def change() -> str | BaseResponse:
    """Save whom to ask and for how long things are kept."""
    form = Form(request.form)
    try:
        save_keeping_form(app_state().store, form.values, form.text("seen"))
    except FaultyInputError as fault:
        form.problems.extend(fault.problems)
        return make_response(_desk_page(form), 422)
    except OutdatedError as fault:
        form.fault("ask", str(fault))
        return make_response(_desk_page(form), 409)
    flash(_("The periods are saved."))
    return redirect(url_for("keeping.desk"))


@pages.post("/desk/kept/look")
@for_secretary
def look() -> str | BaseResponse:
    """Show what is kept of whoever a name, an address or a number is typed of, or send it."""
    form = Form(request.form)
    subject = _typed(form)
    if form.problems:
        return make_response(_desk_page(form), 422)
    if form.text("act") == "file":
        return _file(subject)
    return _kept_page(subject, url_for("keeping.erase_typed"), form)


@pages.post("/desk/kept/erase")
@for_secretary
def erase_typed() -> str | BaseResponse:
    """Erase whoever a name, an address or a number was typed of, for good."""
    form = Form(request.form)
    subject = _typed(form)
    if form.problems:
        return make_response(_desk_page(form), 422)
    return _erase(subject, url_for("keeping.erase_typed"), url_for("keeping.desk"), form)


def _own() -> Subject:
    return Subject(person=signed_in_person().number)


def _typed(form: Form) -> Subject:
    texts = {name: form.text(name, LONGEST_TYPED) for name in TYPED}
    if not any(any(letter.isalnum() for letter in text) for text in texts.values()):
        form.fault("who", _("Enter a name, a mail address or a telephone number."))
    if texts["phone"] and not any(letter.isdigit() for letter in texts["phone"]):
        form.fault("phone", _("Enter the digits of the telephone number, or leave it blank."))
    found = {name: (text,) if text else () for name, text in texts.items()}
    return Subject(typed=Traces(found["who"], found["address"], found["phone"]))


def _kept_page(subject: Subject, erase_at: str, form: Form | None = None) -> str:
    state = app_state()
    form = form or Form({})
    page, foreseen = look_at(state.store, subject, state.clock(), signed_in_person().number)
    return render_template(
        "keeping/kept.html",
        page=page,
        foreseen=foreseen,
        goes=_counted(foreseen.goes),
        stays=_counted(foreseen.stays),
        erase_at=erase_at,
        subject=subject,
        typed={name: form.values.get(name, "") for name in TYPED},
        problems=form.problems,
    )


def _counted(counts: Mapping[Part, int]) -> list[tuple[str, int]]:
    return [(term(WORDS[part].heading), counts[part]) for part in Part if part in counts]


def _erase(subject: Subject, here: str, then: str, form: Form | None = None) -> str | BaseResponse:
    state = app_state()
    form = form or Form(request.form)
    asker, mark = signed_in_person().number, request.form.get("mark", "")
    try:
        done = erase(state.store, subject, state.clock(), asker, mark)
    except (OutdatedError, RefusedError) as fault:
        form.fault("erase", str(fault))
        status = 409 if isinstance(fault, OutdatedError) else 422
        return make_response(_kept_page(subject, here, form), status)
    flash(
        ngettext(
            "Erased in %(num)s entry. That cannot be taken back.",
            "Erased in %(num)s entries. That cannot be taken back.",
            done.rows,
        )
    )
    if not done.is_wiped:
        flash(
            _(
                "Somebody was reading the records at that moment, so their file may hold traces "
                "until it is next tidied, which happens by itself."
            )
        )
    return redirect(then)


def _desk_page(form: Form) -> str:
    shown = see_keeping_form(app_state().store)
    return render_template(
        "keeping/desk.html",
        form=shown,
        values={**shown.values, **form.values},
        problems=form.problems,
    )


def _tables(subject: Subject) -> BaseResponse:
    return send_tables(*kept_tables(app_state().store, subject))


def _file(subject: Subject) -> BaseResponse:
    state = app_state()
    return send_in_parts(kept_file(state.store, subject, state.clock()), "kept.json", JSON)
