"""The ground's own time: unused, lit, lost; and what was asked against what was had."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import TYPE_CHECKING, Any, TypeVar

from clubplanner.domain.booked.session_state import Cause
from clubplanner.domain.club.fair import part_served
from clubplanner.domain.club.squads import age_from_group
from clubplanner.domain.money.amounts import digits_of
from clubplanner.language import _, figure, marked, sentence, term
from clubplanner.outputs.charts.parts_chart import Look, PartLook
from clubplanner.outputs.tables.table import Kind
from clubplanner.services.reports.sums.report_values import Place, part_of
from clubplanner.services.reports.tables.report_sums import (
    AskedSum,
    LampSum,
    LostSum,
    Sum,
    TimeSum,
    hours_of,
)
from clubplanner.services.reports.tables.report_table import Column, Line, Picture, ReportTable
from clubplanner.services.reports.tables.use_tables import month_name

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable, Sequence

    from clubplanner.services.reports.sums.report_values import Asked, Lost, Report
    from clubplanner.services.reports.tables.report_table import Cell

_Part = TypeVar("_Part")
_Sum = TypeVar("_Sum", bound=Sum)

CAUSES = {
    Cause.UNSAID: marked("no reason said"),
    Cause.SAID: marked("no reason said"),
    Cause.PLAN: marked("a later plan"),
    Cause.CLOSED: marked("closed ground"),
    Cause.MATCH: marked("a match needed the ground"),
    Cause.COACH: marked("handed back by the coach"),
    Cause.SECRETARY: marked("withdrawn by the secretary"),
    Cause.SWAP: marked("places changed"),
    Cause.BREAK: marked("a break"),
}


def asked_tables(report: Report) -> list[ReportTable[AskedSum]]:
    """Return what squads asked for against what they had: by squad, age group and club."""
    by_squad = [Line((one.user.name, one.user.age_group), AskedSum.of(one)) for one in report.asked]
    ages = _sums(report.asked, lambda one: one.user.age_group, AskedSum.of)
    groups = sorted(ages, key=lambda g: (age_from_group(g) is None, age_from_group(g) or 0, g))
    tables = [
        _asked_table(
            "asked",
            _("by squad"),
            (_text("squad", _("Squad")), _text("age_group", _("Age group"))),
            by_squad,
        ),
        _asked_table(
            "asked-ages",
            _("by age group"),
            (_text("age_group", _("Age group")),),
            [Line((group or _("Without an age group"),), ages[group]) for group in groups],
        ),
    ]
    if report.clubs:
        found = _sums(report.asked, lambda one: one.user.club, AskedSum.of)
        named = [(club, club) for club in report.clubs] + [("", _("Squads of no club"))]
        lines = [Line((words,), found[club]) for club, words in named if club in found]
        tables.append(
            _asked_table(
                "asked-clubs",
                _("by club"),
                (_text("club", _("Club")),),
                lines,
            )
        )
    return tables


def unused_tables(report: Report) -> list[ReportTable[TimeSum]]:
    """Return what was open and unused: by pitch, venue and month; none without pitches."""
    if not report.times:
        return []
    places = _sums(report.times, lambda time: time.place, TimeSum.of)
    venues = _sums(report.times, lambda time: (time.place.venue_key, time.place.venue), TimeSum.of)
    months = _sums(report.times, lambda time: time.month, TimeSum.of)
    return [
        _unused_table("unused", _("by pitch"), _pitch_columns(), _pitch_lines(places)),
        _unused_table(
            "unused-venues",
            _("by venue"),
            (_text("venue", _("Venue")),),
            [Line((name,), value) for (_key, name), value in venues.items()],
        ),
        _unused_table(
            "unused-months",
            _("by month"),
            (_text("month", _("Month")),),
            [Line((month_name(month),), months[month]) for month in report.months],
        ),
    ]


def lamp_tables(report: Report) -> list[ReportTable[LampSum]]:
    """Return what floodlights burnt and cost: by pitch, venue and month; none where none burnt."""
    if not report.lamps:
        return []
    places = _sums(report.lamps, lambda one: one.place, LampSum.of)
    venues = _sums(report.lamps, lambda one: (one.place.venue_key, one.place.venue), LampSum.of)
    months = _sums(report.lamps, lambda one: one.month, LampSum.of)
    currency = report.lamps[0].currency
    return [
        _lamp_table("lamps", _("by pitch"), _pitch_columns(), _pitch_lines(places), currency),
        _lamp_table(
            "lamps-venues",
            _("by venue"),
            (_text("venue", _("Venue")),),
            [Line((name,), value) for (_key, name), value in venues.items()],
            currency,
        ),
        _lamp_table(
            "lamps-months",
            _("by month"),
            (_text("month", _("Month")),),
            [Line((month_name(m),), months.get(m, LampSum())) for m in report.months],
            currency,
        ),
    ]


def lost_tables(report: Report) -> list[ReportTable[LostSum]]:
    """Return what was called off: by reason, venue and month; none where nothing was."""
    if not report.lost:
        return []
    reasons = _sums(report.lost, reason_of, LostSum.of)
    ranked = sorted(reasons.items(), key=lambda item: (-item[1].amount.seconds, item[0]))
    venues = _sums(report.lost, lambda one: (one.place.venue_key, one.place.venue), LostSum.of)
    months = _sums(report.lost, lambda one: one.month, LostSum.of)
    return [
        _lost_table(
            "lost",
            _("by reason"),
            (_text("reason", _("Reason")),),
            [Line((reason,), value) for reason, value in ranked],
        ),
        _lost_table(
            "lost-venues",
            _("by venue"),
            (_text("venue", _("Venue")),),
            [Line((name,), value) for (_key, name), value in venues.items()],
        ),
        _lost_table(
            "lost-months",
            _("by month"),
            (_text("month", _("Month")),),
            [Line((month_name(m),), months.get(m, LostSum())) for m in report.months],
        ),
    ]


def reason_of(lost: Lost) -> str:
    """Say why something was lost, as a heading: what was said, else what kind of thing it was."""
    return sentence(term(lost.words.strip()) if lost.words.strip() else term(CAUSES[lost.cause]))


def _served(asked: Asked) -> float:
    """Return had over asked, to rank squads by; who asked for nothing comes last."""
    part = part_served(asked.had_seconds, asked.asked_seconds)
    return math.inf if part is None else part


def _sums(
    parts: Iterable[_Part], key: Callable[[_Part], Hashable], value: Callable[[_Part], _Sum]
) -> dict[Any, _Sum]:
    found: dict[Any, _Sum] = {}
    for part in parts:
        one = key(part)
        known = found.get(one)
        found[one] = value(part) if known is None else known + value(part)
    return found


def _text(key: str, words: str) -> Column:
    return Column(key, words, Kind.TEXT)


def _pitch_columns() -> tuple[Column, ...]:
    return _text("pitch", _("Pitch")), _text("venue", _("Venue"))


def _pitch_lines(places: dict[Any, _Sum]) -> list[Line[_Sum]]:
    found: dict[Place, _Sum] = places
    return [Line((place.pitch, place.venue), value) for place, value in found.items()]


def _asked_table(
    key: str, by: str, names: tuple[Column, ...], lines: Sequence[Line[AskedSum]]
) -> ReportTable[AskedSum]:
    asked = _(
        "What a squad asks for a week, as it stands today: a seventh of it for each date of "
        "training in the club's stretches; none in breaks, or outside the squad's own season."
    )

    def figures(value: AskedSum, _total: AskedSum) -> tuple[Cell, ...]:
        return (
            hours_of(value.asked_seconds),
            hours_of(value.had_seconds),
            part_of(value.had_seconds, value.asked_seconds),
        )

    def told(value: AskedSum) -> str:
        return _(
            "%(had)s of %(asked)s h",
            had=figure(hours_of(value.had_seconds), ",.2f"),
            asked=figure(hours_of(value.asked_seconds), ",.2f"),
        )

    return ReportTable(
        key=key,
        group=_("Asked for and had"),
        by=by,
        columns=(
            *names,
            Column("asked_hours", _("Asked for"), Kind.HOURS, asked),
            Column(
                "had_hours", _("Had"), Kind.HOURS, _("Hours of training that the squad had or has.")
            ),
            Column("had_share", _("Had of it"), Kind.SHARE, _("Hours had, of hours asked for.")),
        ),
        lines=tuple(lines),
        nothing=AskedSum(),
        figures=figures,
        weight=lambda value: value.asked_seconds,
        picture=Picture(
            looks=(PartLook(_("Had"), Look.FILLED),),
            parts=lambda value: (hours_of(value.had_seconds),),
            told=told,
            frame=lambda value: hours_of(value.asked_seconds),
            frame_words=_("Asked for"),
        ),
    )


def _unused_table(
    key: str, by: str, names: tuple[Column, ...], lines: Sequence[Line[TimeSum]]
) -> ReportTable[TimeSum]:
    def figures(value: TimeSum, _total: TimeSum) -> tuple[Cell, ...]:
        return (
            hours_of(value.open_seconds),
            hours_of(value.empty_seconds),
            *shares(value),
        )

    def shares(value: TimeSum) -> tuple[float | None, ...]:
        grounds = value.held_ground, value.closed_ground, value.free_ground
        return tuple(part_of(ground, value.open_ground) for ground in grounds)

    return ReportTable(
        key=key,
        group=_("Unused"),
        by=by,
        columns=(*names, *_unused_columns()),
        lines=tuple(lines),
        nothing=TimeSum(),
        figures=figures,
        weight=lambda value: value.open_ground,
        picture=Picture(
            looks=(
                PartLook(_("Used"), Look.FILLED),
                PartLook(_("Closed"), Look.HATCHED),
                PartLook(_("Free"), Look.PALE),
            ),
            parts=lambda value: tuple(share or 0.0 for share in shares(value)),
            told=lambda v: _("%(hours)s h empty", hours=figure(hours_of(v.empty_seconds), ",.2f")),
            whole=1.0,
        ),
        note=_("Use outside of these hours counts among the hours of this report, but not here."),
    )


def _unused_columns() -> tuple[Column, ...]:
    return (
        Column(
            "open_hours",
            _("Open"),
            Kind.HOURS,
            _(
                "The venue's opening hours as long as there is light on the pitch: to sunset and "
                "the venue's margin without floodlights, until they go out with them. Each pitch "
                "by itself; breaks and holidays, too, as others could come."
            ),
        ),
        Column(
            "empty_hours",
            _("Nobody there"),
            Kind.HOURS,
            _("Open hours in which nobody has any part of the pitch and none of it is closed."),
        ),
        Column(
            "used_share",
            _("Used"),
            Kind.SHARE,
            _("Ground that somebody has in open hours, of all ground in open hours, by its area."),
        ),
        Column(
            "closed_share",
            _("Closed"),
            Kind.SHARE,
            _("Ground that is closed in open hours, likewise."),
        ),
        Column(
            "free_share",
            _("Free"),
            Kind.SHARE,
            _(
                "The rest: where there would have been room, on empty pitches and on parts beside "
                "others."
            ),
        ),
    )


def _lamp_table(
    key: str,
    by: str,
    names: tuple[Column, ...],
    lines: Sequence[Line[LampSum]],
    currency: str,
) -> ReportTable[LampSum]:
    def figures(value: LampSum, _total: LampSum) -> tuple[Cell, ...]:
        cost = _money(value.costs.units, currency)
        return (hours_of(value.seconds), *((cost,) if is_priced else ()))

    is_priced = any(line.sum.costs.units is not None for line in lines)
    is_unpriced = any(line.sum.unpriced_seconds for line in lines)
    return ReportTable(
        key=key,
        group=_("Floodlights"),
        by=by,
        columns=(
            *names,
            Column(
                "lamp_hours",
                _("Hours lit"),
                Kind.HOURS,
                _(
                    "While it is dark and somebody is on a lit pitch outdoors, until the lights "
                    "go out; for several at once on one pitch once."
                ),
            ),
            *((_cost_column(currency),) if is_priced else ()),
        ),
        lines=tuple(lines),
        nothing=LampSum(),
        figures=figures,
        weight=lambda value: value.seconds,
        picture=Picture(
            looks=(PartLook(_("Hours lit"), Look.FILLED),),
            parts=lambda value: (hours_of(value.seconds),),
            told=lambda value: f"{figure(hours_of(value.seconds), ',.2f')} h",
        ),
        note=_("For some hours no tariff says what floodlights cost; put one in under Light.")
        if is_unpriced
        else "",
    )


def _cost_column(currency: str) -> Column:
    return Column(
        "cost",
        _("Cost"),
        Kind.MONEY,
        _(
            "These hours by the tariffs for the floodlights of one pitch; rounded once for each "
            "pitch and month, and only there."
        ),
        currency,
    )


def _money(units: int | None, currency: str) -> Decimal | None:
    return None if units is None else Decimal(units).scaleb(-digits_of(currency))


def _lost_table(
    key: str, by: str, names: tuple[Column, ...], lines: Sequence[Line[LostSum]]
) -> ReportTable[LostSum]:
    def figures(value: LostSum, _total: LostSum) -> tuple[Cell, ...]:
        return (
            value.amount.sessions,
            hours_of(value.amount.seconds),
            hours_of(value.weather.seconds),
        )

    return ReportTable(
        key=key,
        group=_("Lost"),
        by=by,
        columns=(
            *names,
            Column(
                "sessions",
                _("Sessions"),
                Kind.NUMBER,
                _("Sessions that were called off, without another one instead on the same day."),
            ),
            Column("hours", _("Hours"), Kind.HOURS, _("How long they would have lasted.")),
            Column(
                "weather_hours",
                _("To the weather"),
                Kind.HOURS,
                _(
                    "Those for a reason that speaks of the weather, like “waterlogged”, “frozen” "
                    "or “thunderstorm”."
                ),
            ),
        ),
        lines=tuple(lines),
        nothing=LostSum(),
        figures=figures,
        weight=lambda value: value.amount.seconds,
        picture=Picture(
            looks=(
                PartLook(_("To the weather"), Look.FILLED),
                PartLook(_("For other reasons"), Look.HATCHED),
            ),
            parts=lambda v: (v.weather.hours, v.amount.hours - v.weather.hours),
            told=lambda v: f"{figure(v.amount.hours, ',.2f')} h",
        ),
    )
