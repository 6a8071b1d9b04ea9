"""Lengths in words, in the measure that whoever is looking has chosen."""

from __future__ import annotations

from contextlib import contextmanager
from contextvars import ContextVar
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import yards_from_metres
from clubplanner.language import _, figure

if TYPE_CHECKING:
    from collections.abc import Iterator

USUAL_PACE_M = 0.9
"""A long walking stride; a coach should measure their own (common practice, no source)."""


class Measure(StrEnum):
    """What lengths are told in."""

    BOTH = "both"
    METRES = "metres"
    YARDS = "yards"
    PACES = "paces"


_chosen: ContextVar[Measure] = ContextVar("measure", default=Measure.BOTH)


@contextmanager
def measuring(measure: Measure) -> Iterator[None]:
    """Tell lengths in a measure within the block."""
    token = _chosen.set(measure)
    try:
        yield
    finally:
        _chosen.reset(token)


def chosen_measure() -> Measure:
    """Return what lengths are told in now: metres with yards unless somebody chose."""
    return _chosen.get()


def size_in_words(length_m: float, width_m: float) -> str:
    """Write a size: "33.3 × 64 m (36 × 70 yd)", or in the chosen measure alone."""
    metres = _("%(length)s × %(width)s m", length=tenth(length_m), width=tenth(width_m))
    yards = _(
        "%(length)s × %(width)s yd",
        length=figure(yards_from_metres(length_m), ".0f"),
        width=figure(yards_from_metres(width_m), ".0f"),
    )
    paces = _(
        "%(length)s × %(width)s paces",
        length=round(length_m / USUAL_PACE_M),
        width=round(width_m / USUAL_PACE_M),
    )
    both = f"{metres} ({yards})"
    return {Measure.METRES: metres, Measure.YARDS: yards, Measure.PACES: paces}.get(
        chosen_measure(), both
    )


def size_in_short(length_m: float, width_m: float) -> str:
    """Write a size where there is little room: metres unless somebody chose another measure."""
    if chosen_measure() is Measure.BOTH:
        with measuring(Measure.METRES):
            return size_in_words(length_m, width_m)
    return size_in_words(length_m, width_m)


def length_in_short(metres: float) -> str:
    """Write a length on a drawing: "33.3 m · 36 yd", or in the chosen measure alone."""
    yards = _("%(length)s yd", length=figure(yards_from_metres(metres), ".0f"))
    plain = _("%(length)s m", length=tenth(metres))
    paces = _("%(length)s paces", length=round(metres / USUAL_PACE_M))
    return {Measure.METRES: plain, Measure.YARDS: yards, Measure.PACES: paces}.get(
        chosen_measure(), f"{plain} · {yards}"
    )


def distance_in_words(metres: float) -> str:
    """Write how far somebody walks, whole: "67 m (73 yd)", or in the chosen measure alone."""
    plain = _("%(length)s m", length=figure(metres, ".0f"))
    yards = _("%(length)s yd", length=figure(yards_from_metres(metres), ".0f"))
    paces = _("%(length)s paces", length=round(metres / USUAL_PACE_M))
    return {Measure.METRES: plain, Measure.YARDS: yards, Measure.PACES: paces}.get(
        chosen_measure(), f"{plain} ({yards})"
    )


def edge_in_short(metres: float) -> str:
    """Write the length of an edge in one measure: metres unless somebody chose another."""
    if chosen_measure() is Measure.BOTH:
        with measuring(Measure.METRES):
            return length_in_short(metres)
    return length_in_short(metres)


def distance_in_short(metres: float) -> str:
    """Write how far something is, to the whole metre, yard or pace: metres unless one chose."""
    if chosen_measure() is Measure.YARDS:
        return _("%(length)s yd", length=figure(yards_from_metres(metres), ".0f"))
    if chosen_measure() is Measure.PACES:
        return _("%(length)s paces", length=round(metres / USUAL_PACE_M))
    return _("%(length)s m", length=figure(metres, ".0f"))


def tenth(metres: float) -> str:
    """Write metres to a tenth, without a needless ".0"."""
    return figure(metres, ".0f" if f"{metres:.1f}".endswith(".0") else ".1f")
