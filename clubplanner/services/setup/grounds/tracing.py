"""A new pitch by an outline that was traced on a picture; the picture itself never comes here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.errors import FaultyInputError
from clubplanner.inputs.ground_files.traced_sheet import read_tracing, sheet_of_outline
from clubplanner.language import _, figure
from clubplanner.services.setup.grounds.forms import look_at_sheet

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.geometry.tracing import Measured
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class MeasuredWords:
    """What an outline measures as it was traced, in figures: m², m and degrees."""

    area: str
    sides: str
    angles: str


@dataclass(frozen=True, slots=True)
class Traced:
    """A traced outline, ready for the pitch's form.

    Attributes:
        cells: Length and width, or corners, as cells of the form.
        drawing: The outline, SVG.
        measured: What it measures as it was traced.
        bearing_words: Which way its length runs where up in the picture is north.
    """

    cells: dict[str, str]
    drawing: str
    measured: MeasuredWords
    bearing_words: str


def look_at_tracing(store: Store, venue_key: str, cells: Mapping[str, str]) -> Traced:
    """Turn a traced outline into cells of the pitch's form; nothing is saved.

    Raises:
        FaultyInputError: With every fault; `where` is the cell.
        MissingError: If there is no such venue.
    """
    read = read_tracing(cells)
    if read.outline is None or read.measured is None:
        raise FaultyInputError(read.problems)
    sheet = sheet_of_outline(read.outline)
    named = {"name": _("New pitch"), "surface": "grass", **sheet}
    drawing, _areas = look_at_sheet(store, venue_key, named)
    words = _(
        "Traced, to be corrected. If up in the picture is north, its bearing is %(bearing)s°.",
        bearing=figure(round(read.outline.bearing_deg) % 180),
    )
    return Traced(sheet, drawing, _measured(read.measured), words)


def _measured(measured: Measured) -> MeasuredWords:
    return MeasuredWords(
        figure(measured.area_m2, ",.0f"),
        " – ".join(figure(side, ".1f") for side in measured.sides_m),
        " – ".join(f"{figure(angle, '.0f')}°" for angle in measured.angles_deg),
    )
