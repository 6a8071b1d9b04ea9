"""What squads asked for against what they had: by squad, age group and club."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.squads import age_from_group
from clubplanner.language import _, figure
from clubplanner.outputs.charts.parts_chart import Look, PartLook
from clubplanner.outputs.tables.table import Kind
from clubplanner.services.reports.sums.report_values import part_of
from clubplanner.services.reports.tables.report_sums import AskedSum, hours_of
from clubplanner.services.reports.tables.report_table import Column, Line, Picture, ReportTable
from clubplanner.services.reports.tables.table_parts import sums_by, text_column

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.reports.sums.report_values import Report
    from clubplanner.services.reports.tables.report_table import Cell


def asked_tables(report: Report) -> list[ReportTable[AskedSum]]:
    """Return what squads asked for against what they had: by squad, age group and club."""
    by_squad = [Line((one.user.name, one.user.age_group), AskedSum.of(one)) for one in report.asked]
    ages = sums_by(report.asked, lambda one: one.user.age_group, AskedSum.of)
    groups = sorted(ages, key=lambda g: (age_from_group(g) is None, age_from_group(g) or 0, g))
    tables = [
        _asked_table(
            "asked",
            _("by squad"),
            (text_column("squad", _("Squad")), text_column("age_group", _("Age group"))),
            by_squad,
        ),
        _asked_table(
            "asked-ages",
            _("by age group"),
            (text_column("age_group", _("Age group")),),
            [Line((group or _("Without an age group"),), ages[group]) for group in groups],
        ),
    ]
    if report.clubs:
        found = sums_by(report.asked, lambda one: one.user.club, AskedSum.of)
        named = [(club, club) for club in report.clubs] + [("", _("Squads of no club"))]
        lines = [Line((words,), found[club]) for club, words in named if club in found]
        tables.append(
            _asked_table(
                "asked-clubs",
                _("by club"),
                (text_column("club", _("Club")),),
                lines,
            )
        )
    return tables


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
