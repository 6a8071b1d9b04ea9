"""All tables of a report, its main figures, and pictures of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from clubplanner.domain.times.times import day_month_year
from clubplanner.language import _, figure
from clubplanner.outputs.charts.parts_chart import PartsBar, draw_parts
from clubplanner.services.reports.report_sums import hours_of
from clubplanner.services.reports.report_values import part_of
from clubplanner.services.reports.time_tables import (
    HUNDREDTHS,
    asked_tables,
    lamp_tables,
    lost_tables,
    unused_tables,
)
from clubplanner.services.reports.use_tables import use_tables

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.reports.report_table import Line, ReportTable
    from clubplanner.services.reports.report_values import Report


@dataclass(frozen=True, slots=True)
class MainFigure:
    """One of the report's main figures.

    Attributes:
        words: What it is.
        told: The figure in words.
        meaning: Its definition, a sentence.
    """

    words: str
    told: str
    meaning: str


def days_in_words(report: Report) -> str:
    """Write the days of a report: "1 Nov 2026 to 30 Nov 2026"."""
    if report.first == report.last:
        return day_month_year(report.first)
    return _(
        "%(first)s to %(last)s",
        first=day_month_year(report.first),
        last=day_month_year(report.last),
    )


def report_tables(report: Report) -> tuple[ReportTable[Any], ...]:
    """Return all tables that have something to tell, in the order in which they are read."""
    return (
        *use_tables(report),
        *asked_tables(report),
        *unused_tables(report),
        *lamp_tables(report),
        *lost_tables(report),
    )


def main_figures(tables: Sequence[ReportTable[Any]]) -> tuple[MainFigure, ...]:
    """Return the report's main figures, those of tables that are not there left out."""
    totals = {table.key: table.total for table in tables}
    return (
        *_of_use(totals["months"]),
        *(_of_asked(totals["asked"]) if "asked" in totals else ()),
        *(_of_unused(totals["unused"]) if "unused" in totals else ()),
        *(_of_lamps(totals["lamps"]) if "lamps" in totals else ()),
        *(_of_lost(totals["lost"]) if "lost" in totals else ()),
    )


def draw_table(table: ReportTable[Any], lines: Sequence[Line[Any]]) -> str:
    """Draw lines of a table as bars, SVG; blank where there is nothing to draw.

    Args:
        table: The table.
        lines: Those that are drawn.
    """
    picture = table.picture
    if picture is None or not lines:
        return ""
    bars = [
        PartsBar(
            name=line.names[0],
            told=picture.told(line.sum),
            parts=picture.parts(line.sum),
            frame=None if picture.frame is None else picture.frame(line.sum),
        )
        for line in lines
    ]
    summary = "; ".join(f"{bar.name}: {bar.told}" for bar in bars)
    return draw_parts(
        bars,
        picture.looks,
        table.title,
        summary,
        whole=picture.whole,
        frame_words=picture.frame_words,
    )


def _hours(seconds: int) -> str:
    return _("%(hours)s h", hours=figure(hours_of(seconds), ",.1f"))


def _percent(some: int, of: int) -> str:
    part = part_of(some, of)
    return "–" if part is None else f"{figure(100 * part, '.1f')} %"


def _of_use(total: Any) -> tuple[MainFigure, ...]:
    used = MainFigure(
        _("Hours"),
        _hours(total.all.seconds),
        _("Of all sessions that are booked and not withdrawn: trainings, matches and hires."),
    )
    if not total.to_come.seconds:
        return (used,)
    ahead = MainFigure(
        _("Still to come"),
        _hours(total.to_come.seconds),
        _("The part of these hours that is still ahead."),
    )
    return used, ahead


def _of_asked(total: Any) -> tuple[MainFigure, ...]:
    return (
        MainFigure(
            _("Had of what was asked for"),
            _percent(total.had_seconds, total.asked_seconds),
            _(
                "Training of squads, %(had)s, of what they asked for, %(asked)s.",
                had=_hours(total.had_seconds),
                asked=_hours(total.asked_seconds),
            ),
        ),
    )


def _of_unused(total: Any) -> tuple[MainFigure, ...]:
    return (
        MainFigure(
            _("Unused hours"),
            _hours(total.empty_seconds),
            _(
                "Hours of pitches in which the venue was open, there was light enough, nothing "
                "was closed and nobody was there: of %(open)s open hours of all pitches.",
                open=figure(hours_of(total.open_seconds), ",.1f"),
            ),
        ),
        MainFigure(
            _("Free ground"),
            _percent(total.free_ground, total.open_ground),
            _("Ground without anybody in open hours, by its area: parts beside others, too."),
        ),
    )


def _of_lamps(total: Any) -> tuple[MainFigure, ...]:
    costs = [
        f"{figure(hundredths / HUNDREDTHS, ',.2f')} {currency}".strip()
        for currency, hundredths in total.costs.hundredths
    ]
    return (
        MainFigure(
            _("Floodlight hours"),
            ", ".join([_hours(total.seconds), *costs]),
            _(
                "How long lamps burn outdoors for somebody, each pitch by itself, and what that "
                "costs."
            ),
        ),
    )


def _of_lost(total: Any) -> tuple[MainFigure, ...]:
    return (
        MainFigure(
            _("Lost to the weather"),
            _hours(total.weather.seconds),
            _(
                "Sessions called off for the weather, with nothing instead that day: of %(all)s "
                "lost for all reasons.",
                all=_hours(total.amount.seconds),
            ),
        ),
    )
