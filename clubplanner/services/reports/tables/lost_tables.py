"""What was called off: by reason, venue and month."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.booked.session_state import Cause
from clubplanner.language import _, figure, marked, sentence, term
from clubplanner.outputs.charts.parts_chart import Look, PartLook
from clubplanner.outputs.tables.table import Kind
from clubplanner.services.reports.tables.report_sums import LostSum, hours_of
from clubplanner.services.reports.tables.report_table import Column, Line, Picture, ReportTable
from clubplanner.services.reports.tables.table_parts import month_name, sums_by, text_column

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.reports.sums.report_values import Lost, Report
    from clubplanner.services.reports.tables.report_table import Cell


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


def lost_tables(report: Report) -> list[ReportTable[LostSum]]:
    """Return what was called off: by reason, venue and month; none where nothing was."""
    if not report.lost:
        return []
    reasons = sums_by(report.lost, reason_of, LostSum.of)
    ranked = sorted(reasons.items(), key=lambda item: (-item[1].amount.seconds, item[0]))
    venues = sums_by(report.lost, lambda one: (one.place.venue_key, one.place.venue), LostSum.of)
    months = sums_by(report.lost, lambda one: one.month, LostSum.of)
    return [
        _lost_table(
            "lost",
            _("by reason"),
            (text_column("reason", _("Reason")),),
            [Line((reason,), value) for reason, value in ranked],
        ),
        _lost_table(
            "lost-venues",
            _("by venue"),
            (text_column("venue", _("Venue")),),
            [Line((name,), value) for (_key, name), value in venues.items()],
        ),
        _lost_table(
            "lost-months",
            _("by month"),
            (text_column("month", _("Month")),),
            [Line((month_name(m),), months.get(m, LostSum())) for m in report.months],
        ),
    ]


def reason_of(lost: Lost) -> str:
    """Say why something was lost, as a heading: what was said, else what kind of thing it was."""
    return sentence(term(lost.words.strip()) if lost.words.strip() else term(CAUSES[lost.cause]))


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
