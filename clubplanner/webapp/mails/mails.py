"""Mails about changes: the secretary's list, and turning them off by the address in a mail."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, render_template, request, url_for

from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.mails.mail_tables import mail_tables
from clubplanner.services.mails.mails_page import see_mail, see_mails
from clubplanner.services.mails.making.gathering import want_mail
from clubplanner.services.mails.sending.pauses import try_server_again
from clubplanner.services.mails.sending.turning_off import see_mail_choice, turn_mails
from clubplanner.services.mails.untold import send_again
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.base.once import FIELD as ONCE
from clubplanner.webapp.base.security import by_address, for_secretary, for_squads
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.season.season import pages as season_pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("mails", __name__, url_prefix="/mails")


@season_pages.get("/mails")
@for_squads
def mails() -> str | BaseResponse:
    """List the mails, and what no mail has told yet."""
    state = app_state()
    page = see_mails(state.store, state.config, state.clock())
    if wants_file():
        return send_tables(*mail_tables(page, club_zone(state.store)))
    return render_template("mails/list.html", page=page)


@season_pages.get("/mails/<int:number>")
@for_squads
def mail(number: int) -> str | BaseResponse:
    """Show one mail as it went out or would have."""
    state = app_state()
    return render_template("mails/mail.html", shown=see_mail(state.store, state.config, number))


@season_pages.post("/mails/tell")
@for_squads
def tell() -> str | BaseResponse:
    """Tell a squad's changes by mail too."""
    state = app_state()
    count = want_mail(state.store, request.form.get("squad", ""), state.clock())
    flash(
        _("Nothing of this squad is left to tell by mail.")
        if not count
        else _("A mail is made as soon as nothing has been changed for two minutes.")
    )
    return redirect(url_for("season.mails"))


@season_pages.post("/mails/again")
@for_squads
def send_mails_again() -> str | BaseResponse:
    """Send one mail that nobody got once more, or all of them."""
    state = app_state()
    text = request.form.get("number", "")
    if text and not (text.isdecimal() and len(text) < 10):
        raise MissingError(_("There is no mail of this number; look at the list of mails."))
    flash(send_again(state.store, int(text) if text else None, state.clock()))
    is_from_evening = request.form.get("back") == "evening"
    return redirect(url_for("desk.evening" if is_from_evening else "season.mails"))


@season_pages.post("/mails/try")
@for_secretary
def try_mails() -> str | BaseResponse:
    """Let a mail server that refused us be tried again at once."""
    state = app_state()
    flash(
        _("The mail server is tried again within a minute.")
        if try_server_again(state.store, state.clock())
        else _("The mail server takes mails again.")
    )
    return redirect(url_for("season.mails"))


@pages.get("/<secret>")
@by_address
def choose(secret: str) -> str | BaseResponse:
    """Show whether mails go to the person written to; looking changes nothing."""
    choice = see_mail_choice(app_state().store, secret)
    return render_template("mails/choose.html", choice=choice, secret=secret)


@pages.post("/<secret>")
@by_address
def turn_off(secret: str) -> str | BaseResponse:
    """Turn mails off: by the page's button, or by a mail program in one go (RFC 8058).

    A mail program has no cookie and no form token; the secret in the address is what lets it do
    this, and this alone. It must not be redirected (RFC 8058, section 3.1): the answer itself says
    what was done.
    """
    state = app_state()
    choice = turn_mails(state.store, secret, off=True, now=state.clock())
    if ONCE in request.form:  # pressed on our page, perhaps twice
        return redirect(url_for("mails.choose", secret=secret))
    return render_template("mails/choose.html", choice=choice, secret=secret)


@pages.post("/<secret>/on")
@by_address
def turn_on(secret: str) -> str | BaseResponse:
    """Turn mails on again."""
    state = app_state()
    turn_mails(state.store, secret, off=False, now=state.clock())
    return redirect(url_for("mails.choose", secret=secret))
