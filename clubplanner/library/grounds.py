"""Grounds: from a file or from two lengths, cut into parts, drawn."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import shapely

from clubplanner.domain.ground.orientation.facing import edge_at_bottom
from clubplanner.domain.ground.orientation.measures import size_in_words
from clubplanner.domain.ground.pitch_from_plan import build_pitch
from clubplanner.domain.ground.plans import CUTS, PitchPlan, PlanError
from clubplanner.errors import FaultyInputError, MissingError, RefusedError
from clubplanner.inputs.ground_files.grounds import read_grounds as read_grounds_text
from clubplanner.inputs.reading.faults import decode_text
from clubplanner.library.pictures import Picture
from clubplanner.outputs.drawings.plan_values import AreaRole, GroundPlan, PlanArea
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.services.coach.any_ground.fit_inputs import size_from_words
from clubplanner.services.setup.grounds.forms import draw_pitch
from clubplanner.services.showing.ground.plans import painted_lines

if TYPE_CHECKING:
    import os
    from collections.abc import Iterable, Sequence

    from clubplanner.domain.ground.grounds import Area, Pitch


_PARTS = {2: "halves", 3: "thirds", 4: "quarters"}


def read_grounds(path: str | os.PathLike[str]) -> dict[str, Pitch]:
    """Read the pitches of a grounds file (GeoJSON, RFC 7946).

    Args:
        path: The file, as the program's page “Grounds” reads and writes it.

    Returns:
        The pitches by name, in the order of the file.

    Raises:
        FaultyInputError: With every fault of the file.
        MissingError: If it cannot be read.
    """
    file = Path(path)
    read = read_grounds_text(decode_text(read_bytes(file)), file.name)
    if read.problems:
        raise FaultyInputError(read.problems)
    return {pitch.name: pitch for pitch in read.pitches}


def read_bytes(path: Path) -> bytes:
    """Read a file.

    Raises:
        MissingError: If it cannot be read.
    """
    try:
        return path.read_bytes()
    except OSError as fault:
        raise MissingError(f"{path} cannot be read: {fault.strerror}.") from fault


def make_pitch(
    size: str | shapely.Polygon,
    name: str = "Pitch",
    *,
    cuts: Iterable[str] = (),
    surface: str = "grass",
    is_lit: bool = False,
    is_indoor: bool = False,
    portable_goals: int = 0,
) -> Pitch:
    """Make a pitch of which only its size or outline is known.

    Args:
        size: "100x64", or a polygon; metres, length along x.
        name: What it is called.
        cuts: Equal cuts to share out: "halves", "thirds", "quarters", "grid".
        surface: Such as "grass", "artificial" or "indoor".
        is_lit: Whether it has floodlights.
        is_indoor: Whether it lies under a roof.
        portable_goals: Goals that can be brought on.

    Raises:
        FaultyInputError: If the size is none.
        RefusedError: If the outline cannot be cut so.
    """
    outline = shapely.box(0, 0, *size_from_words(size, "size")) if isinstance(size, str) else size
    if outline.is_empty or not outline.is_valid:
        why = shapely.is_valid_reason(outline)
        raise RefusedError(f"The outline cannot be used ({why}); give its corners in order.")
    asked = tuple(cuts)
    unknown = sorted(set(asked) - set(CUTS))
    if unknown:
        raise RefusedError(f"There is no cut {', '.join(unknown)}; cuts are {', '.join(CUTS)}.")
    plan = PitchPlan(
        name=name,
        venue_key="",
        surface=surface,
        is_lit=is_lit,
        is_indoor=is_indoor,
        polygon=outline,
        frame=None,
        cuts=asked,
        portable_goals=portable_goals,
    )
    return _built(plan)


def cut(pitch: Pitch, parts: int) -> tuple[Area, ...]:
    """Cut a pitch across its length into parts of equal length.

    Args:
        pitch: Any pitch.
        parts: 2, 3 or 4.

    Returns:
        The parts from the pitch's start: its own, with their keys and names, where it is shared
        out so; else as they would be.

    Raises:
        RefusedError: If it cannot be cut so.
    """
    if parts not in _PARTS:
        raise RefusedError(f"Pitches are cut into 2, 3 or 4 parts here, not {parts}.")
    own = _areas_of(pitch, _PARTS[parts])
    if own:
        return own
    edges = pitch.edges
    plan = PitchPlan(
        name=pitch.name,
        venue_key=pitch.venue_key,
        surface=pitch.surface,
        is_lit=pitch.is_lit,
        is_indoor=pitch.is_indoor,
        polygon=pitch.polygon,
        frame=pitch.frame,
        edge_names={
            "start": edges.start,
            "far": edges.far,
            "left": edges.left,
            "right": edges.right,
        },
        cuts=(_PARTS[parts],),
    )
    return _areas_of(_built(plan), _PARTS[parts])


def draw(pitch: Pitch, *parts: Area) -> Picture:
    """Draw a pitch, or parts of it on the pitch.

    Args:
        pitch: The pitch, with its lines, goals and obstacles.
        parts: What to show in colour, one alone with its size; none for the pitch with all its
            parts.
    """
    if not parts:
        return Picture(draw_pitch(pitch))
    sizes = [size_in_words(part.length_m, part.width_m) for part in parts]
    told = "; ".join(f"{part.name}, {size}" for part, size in zip(parts, sizes, strict=True))
    plan = GroundPlan(
        pitch=pitch,
        title=pitch.name,
        summary=f"{pitch.name}: {told}.",
        areas=_shown(parts, sizes),
        markings=painted_lines(pitch),
        at_bottom=edge_at_bottom(pitch),
    )
    return Picture(draw_ground_plan(plan))


def _shown(parts: Sequence[Area], sizes: Sequence[str]) -> tuple[PlanArea, ...]:
    """A part alone is drawn as one's own, with its size; several as neighbours that differ."""
    if len(parts) == 1:
        return (PlanArea(parts[0].polygon, parts[0].name, (sizes[0],), AreaRole.OWN),)
    return tuple(
        PlanArea(part.polygon, part.name, (), AreaRole.OTHER, tint)
        for tint, part in enumerate(parts)
    )


def _areas_of(pitch: Pitch, name: str) -> tuple[Area, ...]:
    return tuple(area for area in pitch.areas if area.cut == name)


def _built(plan: PitchPlan) -> Pitch:
    try:
        return build_pitch(plan)
    except PlanError as fault:
        raise RefusedError(f"{fault}.") from fault
