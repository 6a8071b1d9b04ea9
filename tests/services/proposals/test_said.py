"""How proposals ended: kept as codes and values, told in the language of whoever reads the list."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.inputs.club_files.squads_file.squads import SQUAD_COLUMNS
from clubplanner.language import speaking
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.said import (
    Said,
    in_words,
    said_as_json,
    said_by_hand,
    said_insisted,
    said_of_outcome,
    said_of_reshare,
    sentence_kept,
)
from clubplanner.services.setup.squads.forms import save_squad, see_squad_form
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.by_hand.by_hand import other_places, put_by_hand
from clubplanner.services.share_out.by_hand.starting_from import Spot
from clubplanner.services.share_out.listed.share_out_list import list_share_outs
from clubplanner.sharing import Effort, Placement, Window
from clubplanner.sharing.again.alteration import Alteration, Closure
from clubplanner.sharing.again.reshare import reshare
from clubplanner.sharing.solving.solve import solve
from clubplanner.store.tables.booking_tables import ShareOutRow
from tests.services.share_out.again.test_in_turns import AUTUMN, EFFORT, PITCH, SQUADS
from tests.sharing.builders import make_ask, make_pitch, make_problem
from tests.small_club import SETTINGS, load_small_club

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.store.engine import Store
    from tests.stores import Filled

PLACE = Placement("a", 0, "top-whole-0", 0, 1080, 1140)
PROBLEM = make_problem(make_pitch(), make_ask("a", possible=(Window(0, 1080, 1140),)))
TURNS = {"count": 4, "groups": 1, "changes": 2, "worst": 1, "was": 40}


def _again() -> Said:
    before = solve(PROBLEM, Effort(seconds=2))
    closed = Alteration(closures=(Closure("top-whole-0", 0, (), 1080, 1140, "Mowing"),))
    return said_of_reshare(reshare(PROBLEM, before.placements, closed, Effort(seconds=2)))


SAID: dict[str, Callable[[], Said]] = {
    "ended": lambda: said_of_outcome(solve(PROBLEM, Effort(seconds=2))),
    "again": _again,
    "by hand": lambda: said_by_hand(PROBLEM, PLACE, 1),
    "insisted": lambda: said_insisted(PROBLEM, PLACE),
    "turns": lambda: Said("turns", TURNS),
}


@pytest.mark.parametrize("code", SAID)
def test_each_is_kept_without_words_and_told_in_each_language(code: str) -> None:
    """What comes back from the records is told as it was meant, and in German to a German."""
    said = SAID[code]()
    assert said.code == code
    kept = json.loads(json.dumps(said_as_json(said)))
    english = sentence_kept(kept, None)
    with speaking("de"):
        german = sentence_kept(kept, None)
    assert english == said.sentence
    assert english != german
    assert " place" not in json.dumps(kept).replace("placing", "")


def test_words_of_earlier_releases_and_of_later_ones_are_no_error() -> None:
    """The former are told as they are, the latter as what cannot be told."""
    assert sentence_kept(None, "Alle Einheiten haben Platz.") == "Alle Einheiten haben Platz."
    assert sentence_kept(said_as_json(in_words("As it was.")), "") == "As it was."
    assert "by this release" in Said("of another time", {}).sentence


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give a club of one pitch with a share-out of its winter, and one put by hand after it."""

    def fill(store: Store) -> None:
        load_small_club(store, AUTUMN, squads=SQUADS, settings=SETTINGS, pitches=(PITCH,))
        run_share_out(store, "winter", EFFORT, AUTUMN)
        spot = Spot(proposal=1, place=0)
        choice = other_places(store, spot, AUTUMN).options[0].choice
        put_by_hand(store, spot, choice, AUTUMN)

    return filled(fill)


def test_the_list_and_the_page_tell_it_in_the_language_of_the_reader(store: Store) -> None:
    """Nothing of the language of its making is left."""
    with speaking("de"):
        by_hand, made = list_share_outs(store)
        assert see_share_out(store, 2, AUTUMN).sentence == by_hand.sentence
        assert see_share_out(store, 1, AUTUMN).sentence == made.sentence
    assert by_hand.sentence.startswith("Von Hand: ")
    assert "Einheiten" in made.sentence
    assert list_share_outs(store, [1])[0].sentence.startswith("All ")


def test_a_squad_of_another_name_is_called_by_it_in_the_list(store: Store) -> None:
    """Its name is kept as a value, and follows."""
    name = list_share_outs(store, [2])[0].sentence.removeprefix("By hand: ").split(" on ")[0]
    with store.read() as session:
        rows = session.scalars(select(ShareOutRow).where(ShareOutRow.id == 2))
        assert "sentence" not in rows.one().outcome
    key = "-".join(name.lower().split())
    form = see_squad_form(store, key)
    about = {**dict.fromkeys(SQUAD_COLUMNS, ""), **form.squad, "squad": "U9 Sparrows"}
    save_squad(store, key, about, form.asks, form.seen, AUTUMN)
    assert list_share_outs(store, [2])[0].sentence.startswith("By hand: U9 Sparrows on ")
