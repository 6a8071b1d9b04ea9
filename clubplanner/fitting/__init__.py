"""What fits in an area: practice rectangles, game formats, and ways to split a squad into games.

Pure: shapes and numbers in, shapes and numbers out. No clock, no file, no network, no database.
Lengths are metres in the pitch's own frame: x along the length, y along the width.
"""

from clubplanner.fitting.cautions import adults_needed, cautions
from clubplanner.fitting.formats import (
    GameFormat,
    PracticeBand,
    find_format,
    fits_format,
    parse_formats,
    parse_practice_bands,
)
from clubplanner.fitting.largest import fit_largest
from clubplanner.fitting.pieces import Piece, PieceFit, fit_pieces
from clubplanner.fitting.rotation import Rotation, plan_rotation
from clubplanner.fitting.sessions import list_ways
from clubplanner.fitting.ways import (
    End,
    EndKind,
    Game,
    GoalSpot,
    SessionNeed,
    Way,
)

__all__ = [
    "End",
    "EndKind",
    "Game",
    "GameFormat",
    "GoalSpot",
    "Piece",
    "PieceFit",
    "PracticeBand",
    "Rotation",
    "SessionNeed",
    "Way",
    "adults_needed",
    "cautions",
    "find_format",
    "fit_largest",
    "fit_pieces",
    "fits_format",
    "list_ways",
    "parse_formats",
    "parse_practice_bands",
    "plan_rotation",
]
