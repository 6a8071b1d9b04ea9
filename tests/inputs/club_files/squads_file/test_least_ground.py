"""The least ground that a squad asks for, as its cell has it."""

from __future__ import annotations

import pytest

from clubplanner.domain.club.squads import LeastGround
from clubplanner.language import speaking
from tests.inputs.squads_file import read, write_row


@pytest.mark.parametrize(
    ("text", "least"),
    [
        ("", LeastGround()),
        ("whole", LeastGround(share=1.0)),
        ("Half", LeastGround(share=0.5)),
        ("1/6", LeastGround(share=1 / 6)),
        ("1500 m2", LeastGround(area_m2=1500)),
        ("1500.5m²", LeastGround(area_m2=1500.5)),
        ("300 sqm, quarter, 7v7", LeastGround(300, 0.25, "7v7")),
    ],
)
def test_least_ground_is_read_in_every_form(text: str, least: LeastGround) -> None:
    """Square metres, a share of a pitch and a game format, alone or together."""
    result = read(write_row(least_ground=text))
    assert not result.problems
    assert result.asks[0].ask.least_ground == least


def test_a_share_is_read_in_the_language_in_which_the_fault_names_it() -> None:
    """Who reads German may write the words of the message; what was typed is repeated as typed."""
    with speaking("de"):
        assert read(write_row(least_ground="hälfte")).asks[0].ask.least_ground.share == 0.5
        (problem,) = read(write_row(least_ground="Halbes Feld")).problems
    assert "„Halbes Feld“ ist keine Größe" in problem.message
    assert "(ganz, Hälfte, Drittel oder Viertel)" in problem.message
    assert read(write_row(least_ground="Hälfte")).problems
