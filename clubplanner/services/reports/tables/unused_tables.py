"""Ground that was open and unused: by pitch, venue and month."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _, figure
from clubplanner.outputs.charts.parts_chart import Look, PartLook
from clubplanner.outputs.tables.table import Kind
from clubplanner.services.reports.sums.report_values import part_of
from clubplanner.services.reports.tables.report_sums import TimeSum, hours_of
from clubplanner.services.reports.tables.report_table import Column, Line, Picture, ReportTable
from clubplanner.services.reports.tables.table_parts import (
    month_name,
    pitch_columns,
    pitch_lines,
    sums_by,
    text_column,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.reports.sums.report_values import Report
    from clubplanner.services.reports.tables.report_table import Cell


def unused_tables(report: Report) -> list[ReportTable[TimeSum]]:
    """Return what was open and unused: by pitch, venue and month; none without pitches."""
    if not report.times:
        return []
    places = sums_by(report.times, lambda time: time.place, TimeSum.of)
    venues = sums_by(
        report.times, lambda time: (time.place.venue_key, time.place.venue), TimeSum.of
    )
    months = sums_by(report.times, lambda time: time.month, TimeSum.of)
    return [
        _unused_table("unused", _("by pitch"), pitch_columns(), pitch_lines(places)),
        _unused_table(
            "unused-venues",
            _("by venue"),
            (text_column("venue", _("Venue")),),
            [Line((name,), value) for (_key, name), value in venues.items()],
        ),
        _unused_table(
            "unused-months",
            _("by month"),
            (text_column("month", _("Month")),),
            [Line((month_name(month),), months[month]) for month in report.months],
        ),
    ]


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
