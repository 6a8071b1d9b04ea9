"""What floodlights burnt and cost: by pitch, venue and month."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from clubplanner.domain.money.amounts import digits_of
from clubplanner.language import _, figure
from clubplanner.outputs.charts.parts_chart import Look, PartLook
from clubplanner.outputs.tables.table import Kind
from clubplanner.services.reports.tables.report_sums import LampSum, hours_of
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


def lamp_tables(report: Report) -> list[ReportTable[LampSum]]:
    """Return what floodlights burnt and cost: by pitch, venue and month; none where none burnt."""
    if not report.lamps:
        return []
    places = sums_by(report.lamps, lambda one: one.place, LampSum.of)
    venues = sums_by(report.lamps, lambda one: (one.place.venue_key, one.place.venue), LampSum.of)
    months = sums_by(report.lamps, lambda one: one.month, LampSum.of)
    currency = report.lamps[0].currency
    return [
        _lamp_table("lamps", _("by pitch"), pitch_columns(), pitch_lines(places), currency),
        _lamp_table(
            "lamps-venues",
            _("by venue"),
            (text_column("venue", _("Venue")),),
            [Line((name,), value) for (_key, name), value in venues.items()],
            currency,
        ),
        _lamp_table(
            "lamps-months",
            _("by month"),
            (text_column("month", _("Month")),),
            [Line((month_name(m),), months.get(m, LampSum())) for m in report.months],
            currency,
        ),
    ]


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
