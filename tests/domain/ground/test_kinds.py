"""Kinds of ground: sizes come from the published formats, never from nowhere."""

from __future__ import annotations

import pytest

from clubplanner.domain.ground.kinds import parse_kinds
from clubplanner.domain.terms import GROUND_KINDS, GROUND_NOTES, SURFACES
from clubplanner.fitting.setting_out.formats import parse_formats
from clubplanner.inputs.ground_files.pitch_sheet import read_sheet, sheet_of_kind
from clubplanner.resources import published_table

FORMATS = parse_formats(published_table("formats.csv"))
KINDS = parse_kinds(published_table("kinds_of_ground.csv"), FORMATS)
HEAD = "name,surface,indoor,format,length_m,width_m,goals,cuts,standing,source,note\n"


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.key)
def test_every_kind_gives_a_pitch(kind: object) -> None:
    """With a name alone it is a pitch of the size of the table, cut and with goals as it says."""
    assert kind in KINDS
    known = next(one for one in KINDS if one == kind)
    read = read_sheet({"name": "Here", **sheet_of_kind(known)}, "Weir Park")
    assert read.problems == ()
    assert read.pitch is not None
    whole = read.pitch.areas[0]
    assert whole.length_m == pytest.approx(known.length_m, abs=0.006)
    assert whole.width_m == pytest.approx(known.width_m, abs=0.006)
    assert {area.cut for area in read.pitch.areas} == {"whole", *known.cuts}
    assert len(read.pitch.goals) == (0 if known.goal_m is None else 2)
    assert read.pitch.are_goals_known == (known.goal_m is not None)


def test_every_name_and_surface_is_told_in_every_language() -> None:
    """Names and notes of the table are words of the catalogues."""
    assert tuple(kind.name for kind in KINDS) == GROUND_KINDS
    assert {kind.note for kind in KINDS} <= {"", *GROUND_NOTES}
    assert {kind.surface for kind in KINDS} <= set(SURFACES)


@pytest.mark.parametrize(
    "row",
    [
        "moor,grass,no,,60,40,,,,,",
        "moor,grass,no,,60,40,,,guessed,Somebody,",
        "moor,grass,no,,60,40,,fifths,from memory,Somebody,",
        "moor,grass,no,,60,40,both ends,,from memory,Somebody,",
        "moor,grass,no,unheard-of,,,,,,,",
    ],
)
def test_a_row_without_source_or_size_is_refused(row: str) -> None:
    """No size without a source, no cut that is not known, no goals of no size."""
    with pytest.raises(ValueError, match=r"."):
        parse_kinds(HEAD + row + "\n", FORMATS)
