"""What fits in an area: practice rectangles, game formats, and ways to split a squad into games.

Pure: shapes and numbers in, shapes and numbers out. No clock, no file, no network, no database.
Lengths are metres in the pitch's own frame: x along the length, y along the width.
"""

from clubplanner.domain.ground.formats import GameFormat
from clubplanner.fitting.games.adjusting import Adjustment, adjust
from clubplanner.fitting.games.cautions import adults_needed, cautions
from clubplanner.fitting.games.changes import Change, compare_nights, see_changes
from clubplanner.fitting.games.sessions import list_ways
from clubplanner.fitting.outlines.largest import fit_largest
from clubplanner.fitting.outlines.pieces import Piece, PieceFit, fit_pieces
from clubplanner.fitting.setting_out.formats import (
    PracticeBand,
    find_format,
    fits_format,
    match_of_age,
    parse_formats,
    parse_practice_bands,
)
from clubplanner.fitting.setting_out.ground_lines import Landmark, find_landmarks
from clubplanner.fitting.setting_out.pacing import measure
from clubplanner.fitting.setting_out.places_in_words import Anchors
from clubplanner.fitting.setting_out.rotation import Rotation, plan_rotation
from clubplanner.fitting.setting_out.set_out import SetOut, list_corners, list_set_out
from clubplanner.fitting.setting_out.spare import spare_ground
from clubplanner.fitting.setting_out.ways import (
    End,
    EndKind,
    Game,
    GoalSpot,
    SessionNeed,
    Way,
)

__all__ = [
    "Adjustment",
    "Anchors",
    "Change",
    "End",
    "EndKind",
    "Game",
    "GameFormat",
    "GoalSpot",
    "Landmark",
    "Piece",
    "PieceFit",
    "PracticeBand",
    "Rotation",
    "SessionNeed",
    "SetOut",
    "Way",
    "adjust",
    "adults_needed",
    "cautions",
    "compare_nights",
    "find_format",
    "find_landmarks",
    "fit_largest",
    "fit_pieces",
    "fits_format",
    "list_corners",
    "list_set_out",
    "list_ways",
    "match_of_age",
    "measure",
    "parse_formats",
    "parse_practice_bands",
    "plan_rotation",
    "see_changes",
    "spare_ground",
]
