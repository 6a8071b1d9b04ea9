"""Tariffs, reductions and terms: the list, the forms, and taking out."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Any, TypeVar

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.money.lines import MOST_FREE_MINUTES, Reduction
from clubplanner.domain.money.tariffs import InLight, Payer, Per, Spot, Tariff
from clubplanner.domain.money.terms import LONGEST_NOTE, MoneyTerms
from clubplanner.domain.times.times import MINUTES_A_DAY, clock_from_minute
from clubplanner.domain.times.windows import file_days, parse_days, told_days, write_days
from clubplanner.errors import FaultyInputError
from clubplanner.language import _, figure, term
from clubplanner.services.money.tariff_book import (
    load_tariff,
    save_reduction,
    save_tariff,
    see_tariffs,
    settle_terms,
    spot_value,
    take_reduction_out,
    take_tariff_out,
)
from clubplanner.services.money.tariff_words import LIGHTS, PAYERS, PERS
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.webapp.base.choosing import only_looks
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.money.money import pages

if TYPE_CHECKING:
    from collections.abc import Mapping

    from werkzeug.wrappers import Response as BaseResponse

_Word = TypeVar("_Word", bound=StrEnum)
LONGEST_NAME, LONGEST_HIRER = 60, 80
NEW = {"payer": Payer.CLUB.value, "per": Per.HOUR.value, "light": InLight.ANY.value}


@pages.get("/desk/money/tariffs")
@for_secretary
def tariffs() -> str:
    """Show all tariffs and reductions, and the forms for new ones."""
    return _book_page(Form({}))


@pages.post("/desk/money/tariffs")
@for_secretary
def new_tariff() -> str | BaseResponse:
    """Add a tariff."""
    form = Form(request.form)
    if only_looks():
        return _book_page(form)
    if _save(form, 0):
        flash(_("The tariff is added."))
        return redirect(url_for("money.tariffs"))
    return make_response(_book_page(form), 422)


@pages.get("/desk/money/tariffs/<int:number>")
@for_secretary
def tariff(number: int) -> str:
    """Show a tariff in its form."""
    found, amount = load_tariff(app_state().store, number)
    return _tariff_page(number, Form(_values(found, amount)))


@pages.post("/desk/money/tariffs/<int:number>")
@for_secretary
def change_tariff(number: int) -> str | BaseResponse:
    """Change a tariff, or take it out."""
    form = Form(request.form)
    if only_looks():
        return _tariff_page(number, form)
    if form.text("act") == "out":
        take_tariff_out(app_state().store, number)
        flash(_("The tariff is taken out; statements that were issued stay as they are."))
        return redirect(url_for("money.tariffs"))
    if _save(form, number):
        flash(_("The tariff is changed; statements that were issued stay as they are."))
        return redirect(url_for("money.tariffs"))
    return make_response(_tariff_page(number, form), 422)


@pages.post("/desk/money/reductions")
@for_secretary
def new_reduction() -> str | BaseResponse:
    """Add a reduction."""
    form = Form(request.form)
    if only_looks():
        return _book_page(form)
    reduction = _read_reduction(form)
    if reduction is not None:
        try:
            save_reduction(app_state().store, reduction)
            flash(_("The reduction is added."))
            return redirect(url_for("money.tariffs"))
        except FaultyInputError as fault:
            for problem in fault.problems:
                form.fault(_REDUCTION_FIELDS.get(problem.where, problem.where), problem.message)
    return make_response(_book_page(form, "reduction"), 422)


@pages.post("/desk/money/reductions/<int:number>/out")
@for_secretary
def take_out_reduction(number: int) -> BaseResponse:
    """Take a reduction out."""
    take_reduction_out(app_state().store, number)
    flash(_("The reduction is taken out; statements that were issued stay as they are."))
    return redirect(url_for("money.tariffs"))


@pages.post("/desk/money/terms")
@for_secretary
def change_terms() -> str | BaseResponse:
    """Settle currency, late withdrawals and the note on statements."""
    form = Form(request.form)
    hours = form.number("notice_hours", _("Enter hours as a whole number."))
    percent = form.number("late_percent", _("Enter 0 to 100 %."))
    note = form.text("note", LONGEST_NOTE)
    if not form.problems and hours is not None and percent is not None:
        terms = MoneyTerms(form.text("currency", 10), hours, percent, note)
        try:
            settle_terms(app_state().store, terms)
            flash(_("The terms are saved."))
            return redirect(url_for("money.tariffs"))
        except FaultyInputError as fault:
            form.problems.extend(fault.problems)
    return make_response(_book_page(form, "terms"), 422)


_REDUCTION_FIELDS = {
    "name": "for_name",
    "payer": "for_payer",
    "who": "for_squad",
    "venue": "for_venue",
    "free_minutes": "free_hours",
}
"""What fields of a reduction are called on the page, which has a tariff's, too."""


def _book_page(form: Form, sent: str = "tariff") -> str:
    """Show everything; `sent` says which of the forms was."""
    book = see_tariffs(app_state().store)
    terms = {
        "currency": book.terms.currency,
        "notice_hours": str(book.terms.notice_hours),
        "late_percent": str(book.terms.late_percent),
        "note": book.terms.note,
    }
    values: Mapping[str, str] = {"for_payer": Payer.SQUAD.value, **NEW, **terms, **form.values}
    return render_template(
        "money/tariffs.html",
        book=book,
        values=values,
        problems=form.problems,
        sent=sent if form.problems else "",
        **_choices(),
    )


def _tariff_page(number: int, form: Form) -> str:
    book = see_tariffs(app_state().store)
    return render_template(
        "money/tariff.html",
        number=number,
        book=book,
        values=form.values,
        problems=form.problems,
        **_choices(),
    )


def _choices() -> dict[str, Any]:
    return {
        "example_days": told_days("Mon-Fri"),
        "payers": [Choice(word.value, term(PAYERS[word])) for word in Payer],
        "pers": [Choice(word.value, term(PERS[word])) for word in Per],
        "lights": [Choice(word.value, term(LIGHTS[word])) for word in InLight],
    }


def _save(form: Form, number: int) -> bool:
    tariff = _read_tariff(form, number)
    if tariff is None:
        return False
    try:
        save_tariff(app_state().store, tariff, form.text("amount", 16))
    except FaultyInputError as fault:
        form.problems.extend(fault.problems)
        return False
    return True


def _read_tariff(form: Form, number: int) -> Tariff | None:
    days: tuple[int, ...] = ()
    try:
        typed = form.text("weekdays", 60)
        days = parse_days(file_days(typed)) if typed else ()
    except ValueError as fault:
        form.fault("weekdays", str(fault))
    hours = [
        usual if not form.text(name) else form.minute(name)
        for name, usual in (("from_min", 0), ("to_min", MINUTES_A_DAY))
    ]
    dates = [form.day(name) if form.text(name) else None for name in ("starts_on", "ends_on")]
    venue, _slash, rest = form.text("spot", 300).partition("/")
    pitch, _slash, area = rest.partition("/")
    name = form.text("name", LONGEST_NAME)
    seasons = [form.text(one, 5) for one in ("season_from", "season_to")]
    payer = _word(form, "payer", Payer)
    per, light = _word(form, "per", Per), _word(form, "light", InLight)
    if form.problems or payer is None or per is None or light is None:
        return None
    return Tariff(
        number=number,
        payer=payer,
        spot=Spot(venue, pitch, area),
        amount=0,
        per=per,
        name=name,
        adds="adds" in form.values,
        light=light,
        weekdays=frozenset(days),
        from_min=hours[0] or 0,
        to_min=MINUTES_A_DAY if hours[1] is None else hours[1],
        season_from=seasons[0],
        season_to=seasons[1],
        starts_on=dates[0],
        ends_on=dates[1],
    )


def _values(tariff: Tariff, amount: str) -> dict[str, str]:
    """Return what a tariff's form stands at."""
    is_all_day = (tariff.from_min, tariff.to_min) == (0, MINUTES_A_DAY)
    return {
        "payer": tariff.payer.value,
        "spot": spot_value(tariff.spot),
        "amount": amount,
        "per": tariff.per.value,
        "name": tariff.name,
        **({"adds": "1"} if tariff.adds else {}),
        "light": tariff.light.value,
        "weekdays": told_days(write_days(sorted(tariff.weekdays))),
        "from_min": "" if is_all_day else clock_from_minute(tariff.from_min),
        "to_min": "" if is_all_day else clock_from_minute(tariff.to_min),
        "season_from": tariff.season_from,
        "season_to": tariff.season_to,
        "starts_on": tariff.starts_on.isoformat() if tariff.starts_on else "",
        "ends_on": tariff.ends_on.isoformat() if tariff.ends_on else "",
    }


def _read_reduction(form: Form) -> Reduction | None:
    payer = _word(form, "for_payer", Payer)
    squad, hirer = form.text("for_squad", 80), form.text("for_hirer", LONGEST_HIRER)
    free = _read_hours(form)
    age = percent = 0
    if form.text("up_to_age"):
        age = form.number("up_to_age", _("Enter an age in years, or leave it blank.")) or 0
    if form.text("percent"):
        percent = form.number("percent", _("Enter 0 to 100 %.")) or 0
    name, venue = form.text("for_name", LONGEST_NAME), form.text("for_venue", 80)
    if payer is not None and squad and payer is not Payer.SQUAD:
        form.fault("for_squad", _("Only what squads pay is reduced for a squad."))
    if payer is not None and hirer and payer is not Payer.HIRER:
        form.fault("for_hirer", _("Only what hirers pay is reduced for a hirer."))
    if form.problems or payer is None:
        return None
    return Reduction(0, payer, squad or hirer, age or None, venue, percent, free, name)


def _read_hours(form: Form) -> int:
    text = form.text("free_hours", 8).replace(",", ".")
    if not text:
        return 0
    try:
        minutes = float(text) * 60
    except ValueError:
        minutes = -1.0
    if not 0 <= minutes <= MOST_FREE_MINUTES or minutes != int(minutes):
        words = _("Enter hours like %(example)s, in whole minutes.", example=figure(1.5, ".1f"))
        form.fault("free_hours", words)
        return 0
    return int(minutes)


def _word(form: Form, name: str, words: type[_Word]) -> _Word | None:
    found = next((word for word in words if word.value == form.text(name)), None)
    if found is None:
        form.fault(name, _("Choose one of these."))
    return found
