"""People at the desk: who coaches, who may sign in, as what, and who waits to be let in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.club.people import Role
from clubplanner.errors import FaultyInputError, OutdatedError, RefusedError
from clubplanner.language import _, ngettext
from clubplanner.services.addresses.links import draw_squad_code
from clubplanner.services.people.drafts import faults_of_draft
from clubplanner.services.people.letting_in import make_way_in
from clubplanner.services.people.people import (
    PersonDraft,
    add_person,
    change_person,
    club_choices,
    end_access,
    list_people,
    see_person,
    squad_choices,
)
from clubplanner.services.people.people_table import people_table
from clubplanner.services.people.ways_in.browsers import end_browser, end_browsers, list_browsers
from clubplanner.services.people.ways_in.sign_in_links import answer_request, list_requests
from clubplanner.services.people.ways_in.tokens import list_tokens
from clubplanner.services.rows.people.people_rows import listed_no_more
from clubplanner.webapp.base.choosing import looked_for, only_looks
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import browser_secret, for_squads
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

MOST_PEOPLE = 60
"""On one leaf."""

pages = Blueprint("people", __name__, url_prefix="/desk/people")


@pages.get("")
@for_squads
def listing() -> str | BaseResponse:
    """List who coaches, may sign in or waits, with the form that adds somebody."""
    if wants_file():
        state = app_state()
        return send_tables(people_table(list_people(state.store, state.clock())))
    return _list_page(Form({}), ())


@pages.post("")
@for_squads
def add() -> str | BaseResponse:
    """Add somebody."""
    state = app_state()
    form = Form(request.form)
    if only_looks():
        return _list_page(form, request.form.getlist("squads"))
    draft = _read_draft(form)
    if draft is not None:
        try:
            number = add_person(state.store, draft, state.clock())
        except FaultyInputError as fault:
            form.problems.extend(fault.problems)
        else:
            flash(_("%(draft)s is added; hand over an address to let them in.", draft=draft.name))
            return redirect(url_for("people.see", number=number))
    return make_response(_list_page(form, request.form.getlist("squads")), 422)


@pages.get("/<int:number>")
@for_squads
def see(number: int) -> str:
    """Show one person with the forms that change, hand over and end."""
    return _person_page(number, Form({}), None)


@pages.post("/<int:number>")
@for_squads
def change(number: int) -> str | BaseResponse:
    """Change a person."""
    form = Form(request.form)
    if only_looks():
        return _person_page(number, form, request.form.getlist("squads"))
    draft = _read_draft(form)
    version = form.number("version", _("Open the person again and repeat the change."))
    if draft is not None and version is not None:
        try:
            state = app_state()
            is_listed = change_person(state.store, number, version, draft, state.clock())
        except FaultyInputError as fault:
            form.problems.extend(fault.problems)
        except RefusedError as fault:
            form.fault("role", str(fault))
        except OutdatedError as fault:
            form.fault("name", str(fault))
        else:
            if not is_listed:
                flash(listed_no_more(draft.name))
                return redirect(url_for("people.listing"))
            flash(_("%(draft)s is changed.", draft=draft.name))
            return redirect(url_for("people.see", number=number))
    return make_response(_person_page(number, form, request.form.getlist("squads")), 422)


@pages.post("/<int:number>/link")
@for_squads
def hand_over(number: int) -> str | BaseResponse:
    """Make an address to hand over; it is shown once, for only its hash is kept."""
    state = app_state()
    form = Form({})
    try:
        way = make_way_in(state.store, number, state.clock())
    except FaultyInputError as fault:
        form.problems.extend(fault.problems)
        return make_response(_person_page(number, form, None), 422)
    return _link_page(way.name, way.path, "key" if way.sets_password else "handed")


@pages.post("/requests/<int:number>")
@for_squads
def answer(number: int) -> str:
    """Answer a request with an address that works in the browser that asked."""
    state = app_state()
    secret, name = answer_request(state.store, number, state.clock())
    return _link_page(name, f"/let-in/{secret}", "asked")


@pages.post("/<int:number>/browsers/<int:browser>/end")
@for_squads
def end_one(number: int, browser: int) -> BaseResponse:
    """Sign one of a person's browsers out."""
    end_browser(app_state().store, number, browser)
    flash(_("Signed out there."))
    return redirect(url_for("people.see", number=number))


@pages.post("/<int:number>/browsers/end")
@for_squads
def end_all(number: int) -> BaseResponse:
    """Sign every browser of a person out; on one's own page the present one stays."""
    count = end_browsers(app_state().store, number, browser_secret())
    flash(ngettext("%(num)s browser signed out.", "%(num)s browsers signed out.", count))
    return redirect(url_for("people.see", number=number))


@pages.post("/<int:number>/end")
@for_squads
def end(number: int) -> str | BaseResponse:
    """End a person's access."""
    state = app_state()
    form = Form(request.form)
    version = form.number("version", _("Open the person again and repeat the change."))
    if version is None:
        return make_response(_person_page(number, form, None), 422)
    name = end_access(state.store, number, version, state.clock())
    flash(_("%(name)s can no longer sign in.", name=name))
    return redirect(url_for("people.listing"))


def _read_draft(form: Form) -> PersonDraft | None:
    name, email = form.text("name"), form.text("email")
    phone = form.text("phone")
    word = form.text("role")
    if word not in [role.value for role in Role]:
        form.fault("role", _("Choose what the person does."))
        word = Role.COACH.value
    club = None
    if word == Role.CLUB_SECRETARY.value:
        club = form.number("club", _("Choose the club whose secretary they are."))
    squads = tuple(request.form.getlist("squads"))
    draft = PersonDraft(name, Role(word), email, squads, phone, club)
    form.problems += faults_of_draft(draft)
    return None if form.problems else draft


def _list_page(form: Form, ticked: list[str] | tuple[()]) -> str:
    state = app_state()
    return render_template(
        "people/list.html",
        leaf=leaf_through(list_people(state.store, state.clock()), MOST_PEOPLE),
        requests=list_requests(state.store, state.clock()),
        squads=squad_choices(state.store),
        clubs=club_choices(state.store),
        ticked=ticked,
        values={"role": Role.COACH.value, **form.values},
        problems=form.problems,
    )


def _person_page(number: int, form: Form, ticked: list[str] | None) -> str:
    state = app_state()
    page = see_person(state.store, number)
    values = {
        "name": page.person.name,
        "email": page.person.email,
        "phone": page.phone,
        "role": page.person.role.value,
        "club": "" if page.person.scope is None else str(page.person.scope.club),
        **form.values,
    }
    if not looked_for():
        values["version"] = str(page.version)
    return render_template(
        "people/see.html",
        page=page,
        browsers=list_browsers(state.store, number, state.clock(), browser_secret()),
        tokens=list_tokens(state.store, state.clock(), number),
        squads=squad_choices(state.store),
        clubs=club_choices(state.store),
        ticked=page.squad_keys if ticked is None else ticked,
        values=values,
        problems=form.problems,
    )


def _link_page(name: str, path: str, kind: str) -> str:
    address = app_state().config.public_address + path
    code = draw_squad_code(address, name)
    return render_template("people/link.html", name=name, address=address, code=code, kind=kind)
