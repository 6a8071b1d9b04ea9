"""Who had which ground for how long: by user, by place, by month. Each adds up to the same."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.squads import age_from_group
from clubplanner.language import _, figure, marked, term
from clubplanner.outputs.charts.parts_chart import Look, PartLook
from clubplanner.outputs.tables.table import Kind
from clubplanner.services.reports.sums.report_values import Amount, Who, part_of
from clubplanner.services.reports.tables.report_sums import UseSum, hours_of
from clubplanner.services.reports.tables.report_table import Column, Line, Picture, ReportTable
from clubplanner.services.reports.tables.table_parts import (
    month_name,
    pitch_columns,
    text_column,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable, Mapping

    from clubplanner.services.reports.sums.report_values import GroundUse, Report, Use, User
    from clubplanner.services.reports.tables.report_table import Cell

    _Use = TypeVar("_Use", Use, GroundUse)

Sums = dict[Any, UseSum]
PLACES = {Purpose.TRAINING: 0, Purpose.MATCH: 3, Purpose.HIRE: 6}
"""Where the three numbers of an amount stand in a row of sums; then follows what is to come."""
TO_COME = 9


def use_tables(report: Report) -> list[ReportTable[UseSum]]:
    """Return the tables of use, those with nothing to tell apart left out."""
    ranked = sorted(report.uses, key=lambda use: (use.user.name, use.user.key))
    tables = [
        _by_month(report),
        _by_squad(ranked),
        _by_hirer(ranked),
        _by_age_group(ranked),
    ]
    if report.clubs:
        tables.append(_by_club(ranked, report.clubs))
    tables += [_by_venue(report.on_ground), _by_pitch(report.on_ground), _by_purpose(report.uses)]
    return tables


def _by_month(report: Report) -> ReportTable[UseSum]:
    found = {month: UseSum() for month in report.months}
    found |= _sums(report.uses, lambda use: use.month)
    lines = [Line((month_name(month),), found[month]) for month in report.months]
    return _table("months", _("by month"), (text_column("month", _("Month")),), lines)


def _by_squad(uses: Iterable[Use]) -> ReportTable[UseSum]:
    def names(user: User) -> tuple[str, ...]:
        return (user.name, user.age_group)

    columns = text_column("squad", _("Squad")), text_column("age_group", _("Age group"))
    return _by_user("squads", _("by squad"), columns, uses, Who.SQUAD, names)


def _by_hirer(uses: Iterable[Use]) -> ReportTable[UseSum]:
    def names(user: User) -> tuple[str, ...]:
        return (user.name,)

    note = _("Hirers of the same name count as one.")
    columns = (text_column("hirer", _("Hirer")),)
    return _by_user("hirers", _("by hirer"), columns, uses, Who.HIRER, names, note)


def _by_age_group(uses: Iterable[Use]) -> ReportTable[UseSum]:
    own, rest = _of_kind(uses, Who.SQUAD)
    found = _sums(own, lambda use: use.user.age_group)
    groups = sorted(found, key=lambda g: (age_from_group(g) is None, age_from_group(g) or 0, g))
    lines = [Line((group or _("Without an age group"),), found[group]) for group in groups]
    columns = (text_column("age_group", _("Age group")),)
    return _table("ages", _("by age group"), columns, [*lines, *_rest(rest)])


def _by_club(uses: Iterable[Use], clubs: Iterable[str]) -> ReportTable[UseSum]:
    own, rest = _of_kind(uses, Who.SQUAD)
    found = _sums(own, lambda use: use.user.club)
    named = [(club, club) for club in clubs] + [("", _("Squads of no club"))]
    lines = [Line((words,), found[club]) for club, words in named if club in found]
    columns = (text_column("club", _("Club")),)
    return _table("clubs", _("by club"), columns, [*lines, *_rest(rest)])


def _by_venue(uses: Iterable[GroundUse]) -> ReportTable[UseSum]:
    found = _sums(uses, lambda use: (use.place.venue_key, use.place.venue))
    lines = [Line((name,), value) for (_key, name), value in _ranked(found)]
    return _table("venues", _("by venue"), (text_column("venue", _("Venue")),), lines)


def _by_pitch(uses: Iterable[GroundUse]) -> ReportTable[UseSum]:
    found = _sums(uses, lambda use: use.place)
    lines = [Line((place.pitch, place.venue), value) for place, value in _ranked(found)]
    columns = pitch_columns()
    return _table("pitches", _("by pitch"), columns, lines)


def _by_purpose(uses: Iterable[Use]) -> ReportTable[UseSum]:
    words = {
        Purpose.TRAINING: marked("Training"),
        Purpose.MATCH: marked("Matches"),
        Purpose.HIRE: marked("Hires"),
    }
    found = _sums(uses, lambda use: use.purpose)
    lines = [Line((term(words[one]),), found[one]) for one in words if one in found]
    columns = (text_column("purpose", _("What for")),)
    return _table("purposes", _("by purpose"), columns, lines)


def _by_user(
    key: str,
    by: str,
    columns: tuple[Column, ...],
    uses: Iterable[Use],
    kind: Who,
    names: Callable[[User], tuple[str, ...]],
    note: str = "",
) -> ReportTable[UseSum]:
    own, rest = _of_kind(uses, kind)
    found = _sums(own, lambda use: use.user)
    lines = [Line(names(user), value) for user, value in _ranked(found)]
    return _table(key, by, columns, [*lines, *_rest(rest, len(columns))], note)


def _of_kind(uses: Iterable[Use], kind: Who) -> tuple[list[Use], list[Use]]:
    listed = list(uses)
    own = [use for use in listed if use.user.kind is kind]
    return own, [use for use in listed if use.user.kind is not kind]


def _rest(uses: Iterable[Use], texts: int = 1) -> list[Line[UseSum]]:
    """Return a line for each other kind of user, so that every table adds up to the same."""
    words = {
        Who.SQUAD: marked("Squads of ours"),
        Who.HIRER: marked("All hirers"),
        Who.OTHER: marked("Without a squad"),
    }
    found = _sums(uses, lambda use: use.user.kind)
    return [
        Line((term(words[kind]), *("",) * (texts - 1)), found[kind], is_rest=True)
        for kind in words
        if kind in found
    ]


def _sums(uses: Iterable[_Use], key: Callable[[_Use], Hashable]) -> Sums:
    """Add uses up by something of theirs, as plain numbers: there may be thousands of them."""
    found: dict[Any, list[int]] = {}
    for use in uses:
        row = found.setdefault(key(use), [0] * 12)
        amount = use.amount
        for at in (PLACES[use.purpose],) if use.is_past else (PLACES[use.purpose], TO_COME):
            row[at] += amount.seconds
            row[at + 1] += amount.ground
            row[at + 2] += amount.sessions
    return {
        one: UseSum(*(Amount(*row[at : at + 3]) for at in range(0, 12, 3)))
        for one, row in found.items()
    }


def _ranked(found: Mapping[Any, UseSum]) -> list[tuple[Any, UseSum]]:
    """Return most hours first; of as many, in the order in which they came."""
    return sorted(found.items(), key=lambda item: -item[1].all.seconds)


def _table(
    key: str,
    by: str,
    names: tuple[Column, ...],
    lines: Iterable[Line[UseSum]],
    note: str = "",
) -> ReportTable[UseSum]:
    return ReportTable(
        key=key,
        group=_("Hours"),
        by=by,
        columns=(*names, *_figure_columns()),
        lines=tuple(lines),
        nothing=UseSum(),
        figures=_figures,
        weight=lambda value: value.all.seconds,
        picture=Picture(
            looks=(
                PartLook(_("Training"), Look.FILLED),
                PartLook(_("Matches"), Look.HATCHED),
                PartLook(_("Hires"), Look.PALE),
            ),
            parts=lambda v: (v.training.hours, v.match.hours, v.hire.hours),
            told=lambda v: f"{figure(v.all.hours, ',.2f')} h",
        ),
        note=note,
    )


def _figure_columns() -> tuple[Column, ...]:
    hours = _(
        "As long as sessions last that are booked and not withdrawn; two at once count twice. "
        "What reaches out of these days, or into another month, is cut at midnight."
    )
    return (
        Column(
            "sessions",
            _("Sessions"),
            Kind.NUMBER,
            _("How many begin in these days, or in the month."),
        ),
        Column("training_hours", _("Training"), Kind.HOURS, _("Hours of training.")),
        Column("match_hours", _("Matches"), Kind.HOURS, _("Hours of matches.")),
        Column("hire_hours", _("Hires"), Kind.HOURS, _("Hours that are hired out.")),
        Column("hours", _("Hours"), Kind.HOURS, hours),
        Column("hours_share", _("Part of hours"), Kind.SHARE, _("Of all hours in this report.")),
        Column(
            "ground_share",
            _("Part of ground"),
            Kind.SHARE,
            _(
                "Hours times square metres, of all hours times square metres: a whole pitch for "
                "one hour is as much as a third of it for three."
            ),
        ),
    )


def _figures(value: UseSum, total: UseSum) -> tuple[Cell, ...]:
    every, of = value.all, total.all
    return (
        every.sessions,
        hours_of(value.training.seconds),
        hours_of(value.match.seconds),
        hours_of(value.hire.seconds),
        hours_of(every.seconds),
        part_of(every.seconds, of.seconds),
        part_of(every.ground, of.ground),
    )
