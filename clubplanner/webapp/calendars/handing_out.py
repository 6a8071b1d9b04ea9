"""All squads' addresses in one press: as a sheet to cut up, and as mails."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.errors import RefusedError
from clubplanner.language import _, ngettext
from clubplanner.outputs.drawings.qr import draw_qr
from clubplanner.services.addresses.address_sheet import code_words, print_addresses
from clubplanner.services.addresses.handed_table import handed_out_tables
from clubplanner.services.addresses.handing_out import (
    HandOutWish,
    Reader,
    Scope,
    list_squads_to_hand,
    make_sheet,
    strips_again,
)
from clubplanner.services.addresses.mailed_addresses import list_mailed_addresses, mail_addresses
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.webapp.base.choosing import only_looks
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.calendars.calendars import pages

if TYPE_CHECKING:
    from collections.abc import Sequence

    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.services.addresses.handing_out import SquadLine, Strip
    from clubplanner.services.addresses.mailed_addresses import NotMailed


@pages.get("/desk/addresses/all")
@for_squads
def hand_out() -> str | BaseResponse:
    """Show whose addresses there are, and the form that makes all others."""
    if wants_file():
        store = app_state().store
        squads, sent = list_squads_to_hand(store), list_mailed_addresses(store)
        return send_tables(*handed_out_tables(squads, sent))
    return _page(Form({}), 200)


@pages.post("/desk/addresses/all")
@for_squads
def make_all() -> str | BaseResponse:
    """Make addresses in one press: shown once as a sheet, or mailed."""
    state = app_state()
    form = Form(request.form)
    if only_looks():
        return _page(form, 200)
    wish = _read_wish(form)
    if wish is not None:
        try:
            if request.form.get("as") != "mails":
                return _sheet_page(make_sheet(state.store, wish, state.clock()))
            sends = state.config.mail_server is not None
            done = mail_addresses(state.store, wish, state.clock(), sends=sends)
        except RefusedError as fault:
            form.fault("scope", str(fault))
        else:
            if not done.without:
                flash(_mailed_words(done.people))
                return redirect(url_for("calendars.hand_out"))
            return _page(Form({}), 200, done.without, _mailed_words(done.people))
    return _page(form, 422)


@pages.post("/desk/addresses/all/sheet.pdf")
@for_squads
def address_sheet() -> BaseResponse:
    """Send the addresses that a page has just shown as a PDF; they are kept nowhere else."""
    state = app_state()
    strips = strips_again(state.store, request.form.get("shown", "").split())
    data = print_addresses(state.store, strips, state.config.public_address, state.clock())
    response = make_response(data)
    response.headers["Content-Type"] = "application/pdf"
    response.headers["Content-Disposition"] = 'attachment; filename="addresses.pdf"'
    return response


def _mailed_words(people: int) -> str:
    return ngettext(
        "%(num)s mail goes out within a minute.", "%(num)s mails go out within a minute.", people
    )


def _read_wish(form: Form) -> HandOutWish | None:
    readers = [reader for reader in Reader if reader.value in request.form.getlist("for")]
    if not readers:
        form.fault("for", _("Say for whom: parents and players, coaches, or both."))
    word = form.text("scope") or Scope.NONE_YET.value
    if word not in [scope.value for scope in Scope]:
        form.fault("scope", _("Choose whose addresses are made."))
    if form.problems:
        return None
    return HandOutWish(frozenset(readers), Scope(word), frozenset(request.form.getlist("squads")))


def _page(
    form: Form, status: int, without: Sequence[NotMailed] = (), mailed: str = ""
) -> BaseResponse:
    state = app_state()
    squads = list_squads_to_hand(state.store)
    html = render_template(
        "calendars/hand_out.html",
        squads=squads,
        choices=[Choice(one.key, one.name, _note_of(one)) for one in squads],
        none_yet=sum(not squad.in_use for squad in squads),
        sends=state.config.mail_server is not None,
        sent=list_mailed_addresses(state.store),
        without=without,
        mailed=mailed,
        readers=request.form.getlist("for") if form.values else [Reader.FAMILIES.value],
        ticked=request.form.getlist("squads") if form.values else [],
        values={"scope": Scope.NONE_YET.value, **form.values},
        problems=form.problems,
    )
    return make_response(html, status)


def _note_of(squad: SquadLine) -> str:
    """Say who coaches a squad, and how many addresses of it there are."""
    words = (
        ngettext("%(num)s address in use", "%(num)s addresses in use", squad.in_use)
        if squad.in_use
        else _("none yet")
    )
    return f"{squad.coaches}, {words}" if squad.coaches else words


def _sheet_page(strips: Sequence[Strip]) -> str:
    begins = app_state().config.public_address
    shown = [
        (strip, f"{begins}{strip.path}", draw_qr(f"{begins}{strip.path}", code_words(strip)))
        for strip in strips
    ]
    return render_template(
        "calendars/handed_out.html",
        shown=shown,
        carried=" ".join(strip.secret for strip in strips),
    )
