"""What fits on a ground, by the API."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from tests.small_club import TOP
from tests.webapp.api.programs import is_problem

if TYPE_CHECKING:
    from tests.webapp.api.programs import Program

THIRD = {"place": {"pitch": TOP, "area": "third-1"}}


def test_pieces_are_counted_and_laid(coach: Program) -> None:
    """Six of 20 × 20 on 60 × 40, proved; a question needs no key and books nothing."""
    body = {"ground": rectangle(60, 40), "piece": {"length_m": 20.0, "width_m": 20.0}}
    found = coach.ask("POST", "/fits/pieces", body).json
    assert (found["count"], found["bound"], found["is_proved"]) == (6, 6, True)
    assert len(found["pieces"]) == 6


def test_ways_to_play_are_listed_for_ground_of_the_club(coach: Program) -> None:
    """By the same rules as on the page: nobody stands about first, with what to set out."""
    body = {"ground": THIRD, "players": 12, "goalkeepers": 0, "age": 12, "goals": 2}
    found = coach.ask("POST", "/fits/sessions", body).json
    assert found["ways"]
    best = found["ways"][0]
    assert best["waiting"] == 0
    assert sum(sum(game["players"]) + game["goalkeepers"] for game in best["games"]) == 12
    assert best["set_out"]
    assert found["no_way"] == ""


def test_where_nothing_fits_it_says_why(coach: Program) -> None:
    """A strip is too small for any game."""
    body = {"ground": rectangle(3, 2), "players": 20}
    found = coach.ask("POST", "/fits/sessions", body).json
    assert found["ways"] == []
    assert found["no_way"]


@pytest.mark.parametrize(
    ("body", "at"),
    [
        ({"ground": {}, "players": 12}, "/ground"),
        ({"ground": {"place": {"pitch": "moon"}}, "players": 12}, "/ground/place"),
        ({"ground": THIRD, "players": 0}, "/players"),
        ({"ground": {"rectangle": {"length_m": 0.5, "width_m": 4.0}}, "players": 2}, None),
    ],
)
def test_faults_are_told_at_their_members(
    coach: Program, body: dict[str, Any], at: str | None
) -> None:
    """By JSON pointers."""
    answer = coach.ask("POST", "/fits/sessions", body)
    assert is_problem(answer, 422, "faulty")
    assert at in {one["at"] for one in answer.json["errors"]} | {None}


def rectangle(length_m: float, width_m: float) -> dict[str, Any]:
    """Return ground by its sides."""
    return {"rectangle": {"length_m": float(length_m), "width_m": float(width_m)}}
