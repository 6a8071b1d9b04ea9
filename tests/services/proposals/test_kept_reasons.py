"""Who goes without, kept as codes and values and told in the reader's language."""

from __future__ import annotations

import json
from dataclasses import replace

from clubplanner.language import speaking
from clubplanner.services.proposals.kept_reasons import (
    refusal_shown,
    refusals_as_json,
    refusals_shown,
    told_together,
)
from clubplanner.sharing import Placement, Window
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.reasons.reasons import explain
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

HOUR = (Window(0, 1080, 1140),)
TWO_DAYS = (*HOUR, Window(1, 1080, 1140))
HOLDER = make_ask("kites", sessions=2, possible=TWO_DAYS)
OWLS = make_ask("owls", possible=HOUR)
PLAN = tuple(Placement("kites", n, "top-whole-0", n, 1080, 1140) for n in range(2))
PROBLEM = make_problem(make_pitch(), HOLDER, OWLS, days=make_days(2))


def kept(*more: str) -> list[dict[str, object]]:
    """Return what is kept of a club in which squads go without, as it comes back from records."""
    problem = replace(PROBLEM, asks=(*PROBLEM.asks, *(replace(OWLS, key=key, squad=key,
        squad_name=f"Squad {key}") for key in more)))  # fmt: skip
    found = refusals_as_json(explain(survey(problem), PLAN, is_proved=True))
    again: list[dict[str, object]] = json.loads(json.dumps(found))
    return again


def test_nothing_is_kept_in_words() -> None:
    """Codes and values, and names of squads and ground, and no sentence of any language."""
    assert "text" not in json.dumps(kept())
    assert " would " not in json.dumps(kept())


def test_it_is_told_in_the_language_of_the_reader() -> None:
    """The same records, read by two persons."""
    one = refusal_shown(kept()[0])
    with speaking("de"):
        other = refusal_shown(kept()[0])
    assert one.answer.startswith("Monday 18:00–19:00, top whole 1, if Squad kites lose one of 2")
    assert other.answer.startswith("Montag 18:00–19:00, top whole 1, wenn Squad kites eine von 2")
    assert one.reasons[0] == one.answer
    assert one.exchange is not None
    (loss,) = one.exchange.losses
    assert (loss.squad_name, loss.has, loss.before, loss.after) == ("Squad kites", 2, 100, 50)


def test_proposals_of_earlier_releases_are_told_as_they_were_kept() -> None:
    """They hold words in the language in which they were said."""
    old = {
        "ask": "7",
        "squad_name": "U12 Owls",
        "missing": 1,
        "reasons": [{"code": "held", "text": "Von anderen belegt."}],
        "changes": [{"code": "shorter", "text": "Kürzer ist Platz."}],
    }
    found = refusal_shown(old)
    assert (found.answer, found.reasons) == ("Von anderen belegt.", ("Von anderen belegt.",))
    assert found.changes == ("Kürzer ist Platz.",)


def test_twins_are_told_once_and_by_name() -> None:
    """Three squads that want the same hour are one paragraph, of all three."""
    shown = refusals_shown(kept("larks", "wrens"))
    assert [one.twins for one in shown] == [
        ("Squad larks", "Squad wrens"),
        ("Squad owls", "Squad wrens"),
        ("Squad owls", "Squad larks"),
    ]
    (group,) = told_together(shown)
    assert group.names == "Squad owls, Squad larks and Squad wrens"
    assert group.missing == 3
    assert len(group.answers) == 1


def test_squads_of_which_something_else_is_told_are_apart() -> None:
    """Another hour, other holders."""
    other = make_ask("swifts", possible=(Window(1, 1080, 1140),))
    problem = replace(PROBLEM, asks=(*PROBLEM.asks, other))
    found = refusals_shown(refusals_as_json(explain(survey(problem), PLAN, is_proved=True)))
    assert [one.twins for one in found] == [(), ()]
    assert len(told_together(found)) == 2


def test_a_place_left_free_is_kept_as_values_and_told_in_each_language() -> None:
    """The page knows that nothing has to change."""
    found = refusals_as_json(explain(survey(PROBLEM), (), is_proved=False))
    owls = json.loads(json.dumps(found))[1]
    one = refusal_shown(owls)
    with speaking("de"):
        other = refusal_shown(owls)
    assert one.has_free_place
    assert one.answer.startswith("Monday 18:00–19:00, top whole 1 is free for this ask")
    assert other.answer.startswith("Montag 18:00–19:00, top whole 1 ist ")
    assert not refusal_shown(kept()[0]).has_free_place
