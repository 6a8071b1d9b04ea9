"""All tables of a report, its main figures, and pictures of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from clubplanner.domain.money.amounts import digits_of
from clubplanner.domain.times.times import day_month_year
from clubplanner.language import _, figure
from clubplanner.outputs.charts.parts_chart import PartsBar, draw_parts
from clubplanner.services.reports.sums.report_values import part_of
from clubplanner.services.reports.tables.asked_tables import asked_tables
from clubplanner.services.reports.tables.lamp_tables import lamp_tables
from clubplanner.services.reports.tables.lost_tables import lost_tables
from clubplanner.services.reports.tables.report_sums import hours_of
from clubplanner.services.reports.tables.unused_tables import unused_tables
from clubplanner.services.reports.tables.use_tables import use_tables

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.services.reports.sums.report_values import Report
    from clubplanner.services.reports.tables.report_table import Line, ReportTable


@dataclass(frozen=True, slots=True)
class MainFigure:
    """One of the report's main figures.

    Attributes:
        words: What it is.
        value: How much; None where there is nothing to measure it by.
        unit: Of what: "h", "%" or a currency; may be blank.
        meaning: Its definition, a sentence.
        decimals: Digits after the point that are told.
    """

    words: str
    value: float | None
    unit: str
    meaning: str
    decimals: int = 1

    @property
    def told(self) -> str:
        """The figure in words."""
        if self.value is None:
            return "–"
        return f"{figure(self.value, f',.{self.decimals}f')} {self.unit}".strip()


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
    found: list[MainFigure] = []
    tellers = {
        "months": _of_use,
        "asked": _of_asked,
        "unused": _of_unused,
        "lost": _of_lost,
    }
    for table in tables:
        if table.key in tellers:
            found += tellers[table.key](table.total)
        if table.key == "lamps":
            found += _of_lamps(table.total, table.columns[-1].currency)
    return tuple(found)


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
    return draw_parts(
        bars,
        picture.looks,
        table.title,
        picture_in_words(table, lines),
        whole=picture.whole,
        frame_words=picture.frame_words,
    )


def picture_in_words(table: ReportTable[Any], lines: Sequence[Line[Any]]) -> str:
    """Say what the picture of a table's lines shows, for those who cannot see it."""
    picture = table.picture
    if picture is None:
        return ""
    return "; ".join(f"{line.names[0]}: {picture.told(line.sum)}" for line in lines)


def _hours(words: str, seconds: int, meaning: str) -> MainFigure:
    return MainFigure(words, hours_of(seconds), "h", meaning, decimals=2)


def _percent(words: str, some: int, of: int, meaning: str) -> MainFigure:
    part = part_of(some, of)
    return MainFigure(words, None if part is None else 100 * part, "%", meaning)


def _told(seconds: int) -> str:
    return f"{figure(hours_of(seconds), ',.2f')} h"


def _of_use(total: Any) -> Iterator[MainFigure]:
    yield _hours(
        _("Hours"),
        total.all.seconds,
        _("Of all sessions that are booked and not withdrawn: trainings, matches and hires."),
    )
    if total.to_come.seconds:
        yield _hours(
            _("Still to come"),
            total.to_come.seconds,
            _("The part of these hours that is still ahead."),
        )


def _of_asked(total: Any) -> Iterator[MainFigure]:
    yield _percent(
        _("Had of what was asked for"),
        total.had_seconds,
        total.asked_seconds,
        _(
            "Training of squads, %(had)s, of what they asked for, %(asked)s.",
            had=_told(total.had_seconds),
            asked=_told(total.asked_seconds),
        ),
    )


def _of_unused(total: Any) -> Iterator[MainFigure]:
    yield _hours(
        _("Unused hours"),
        total.empty_seconds,
        _(
            "Hours of pitches in which the venue was open, there was light enough, nothing was "
            "closed and nobody was there: of %(open)s for all pitches together.",
            open=_told(total.open_seconds),
        ),
    )
    yield _percent(
        _("Free ground"),
        total.free_ground,
        total.open_ground,
        _(
            "Ground with nobody on it while it is open and light, by its area: parts beside "
            "others, too."
        ),
    )


def _of_lamps(total: Any, currency: str) -> Iterator[MainFigure]:
    yield _hours(
        _("Floodlight hours"),
        total.seconds,
        _("How long lamps burn outdoors for somebody, each pitch by itself."),
    )
    if total.costs.units is not None:
        digits = digits_of(currency)
        yield MainFigure(
            _("Cost of floodlights"),
            total.costs.units / 10**digits,
            currency,
            _("These hours by the tariffs for floodlights; hours without one cost nothing here."),
            decimals=digits,
        )


def _of_lost(total: Any) -> Iterator[MainFigure]:
    yield _hours(
        _("Lost to the weather"),
        total.weather.seconds,
        _(
            "Sessions called off for the weather, with nothing instead that day: of %(all)s lost "
            "for all reasons.",
            all=_told(total.amount.seconds),
        ),
    )
