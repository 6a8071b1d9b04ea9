"""The share-out commands on files: what they print, and how they exit."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner, Result

from clubplanner.commands import main
from clubplanner.services.share_out.files import files as share_files
from clubplanner.sharing import Effort, Placement, Window
from clubplanner.sharing.example.example import example
from clubplanner.sharing.files.files import read_outcome, read_problem, schema, write_value
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.solving.kept import outcome_by_hand, outcome_of_plan
from clubplanner.sharing.solving.process import reshare_here
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.turns.telling import Planned, in_order, tell_turns
from clubplanner.sharing.turns.turn_groups import turn_groups
from clubplanner.sharing.turns.turns import plan_turns
from clubplanner.sharing.values.levels import PLACING
from clubplanner.sharing.values.outcome import CutShort, Reason
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.sharing.again.reshare import Reshared


def run(*arguments: object) -> Result:
    """Run a share-out command."""
    return CliRunner().invoke(main, ["share-out", *map(str, arguments)])


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Return the files of a problem with too little room and of its result."""
    folder = tmp_path_factory.mktemp("share-out")
    problem = example(12, 1, 2, 1.5)
    (folder / "problem.json").write_text(write_value(problem), encoding="utf-8")
    outcome = solve(problem, Effort(seconds=2))
    (folder / "result.json").write_text(write_value(outcome), encoding="utf-8")
    return folder / "problem.json", folder / "result.json"


def bend(file: Path, change: dict[str, Any]) -> Path:
    """Return a copy of a file with members changed."""
    body = json.loads(file.read_text(encoding="utf-8")) | change
    copy = file.with_name("bent.json")
    copy.write_text(json.dumps(body), encoding="utf-8")
    return copy


def test_schema_prints_the_schema() -> None:
    """What is printed is the schema, as JSON."""
    result = run("show-schema")
    assert result.exit_code == 0
    assert json.loads(result.stdout) == schema()


def test_example_prints_a_problem() -> None:
    """What is printed reads back as the invented problem."""
    result = run("draw-example", "--squads", 5, "--pitches", 2, "--seed", 9, "--pressure", 1.2)
    assert result.exit_code == 0
    assert read_problem(result.stdout.encode()) == (example(5, 2, 9, 1.2), ())


def test_example_refuses_more_squads_than_it_can_name() -> None:
    """Numbers out of range are a matter of usage."""
    assert run("draw-example", "--squads", 1001).exit_code == 2


def test_solve_gives_a_result_that_check_passes(tmp_path: Path) -> None:
    """What solve prints as JSON is true of its problem, and in words names every squad placed."""
    problem = tmp_path / "problem.json"
    problem.write_text(write_value(example(4, 2, 3, 0.4)), encoding="utf-8")
    solved = run("solve", problem, "--seconds", 3, "--seed", 4, "--json")
    assert solved.exit_code == 0
    outcome, faults = read_outcome(solved.stdout.encode())
    assert faults == ()
    assert outcome is not None
    assert outcome.placed == outcome.asked == 8
    result = tmp_path / "result.json"
    result.write_text(solved.stdout, encoding="utf-8")
    checked = run("check", problem, result)
    assert (checked.exit_code, checked.stdout.count("is sound")) == (0, 1)
    assert outcome.certificate is not None
    told = json.loads(run("check", problem, result, "--json").stdout)["certified"]
    assert told == {"most": outcome.certificate.most, "is_bound": True}
    assert f"no plan reaches more than {told['most']} points" in checked.stdout
    words = run("solve", problem, "--seconds", 3).stdout
    for ask in example(4, 2, 3, 0.4).asks:
        assert ask.squad_name in words


def test_check_prints_the_sum_that_prices_prove(files: tuple[Path, Path]) -> None:
    """Its lines add up: what squads gain, and every price once, are what no plan passes."""
    problem, result = files
    value = json.loads(run("check", problem, result, "--show-sum", "--json").stdout)
    added = value["sum"]
    for gain in added["gains"]:
        left = sum(one["points"] - one["price"] for one in gain["taken"])
        assert gain["gained"] == gain["first"] + left
    assert added["total"] == added["prices"] + sum(gain["gained"] for gain in added["gains"])
    assert added["most"] == added["total"] // added["parts"] == value["certified"]["most"]
    assert all(what["fields"] and what["why"] for what in value["not_checked"])
    words = run("check", problem, result, "--show-sum").stdout
    assert f"no plan reaches more than {added['most']} points." in words
    assert json.loads(run("check", problem, result, "--json").stdout)["sum"] is None


@pytest.fixture
def turns(tmp_path: Path) -> tuple[Path, Path]:
    """Return the files of four squads that all want one hour, and of the turns they take."""
    late, early = (Window(0, 1080, 1200),), (Window(0, 1080, 1140),)
    asks = [make_ask(key, possible=late, preferred=early) for key in "abcd"]
    grounds = (*make_pitch("top"), *make_pitch("back"))
    problem = make_problem(grounds, *asks, days=make_days(1, 6))
    plan = in_order(problem, solve(problem, Effort(seconds=1)).placements)
    ((group, members),) = turn_groups(problem, plan)
    taken = tell_turns(problem, plan, [Planned(group, members, plan_turns(group, 6))])
    own = tmp_path / "turns.json", tmp_path / "turns-result.json"
    for path, value in zip(own, (problem, taken), strict=True):
        path.write_text(write_value(value), encoding="utf-8")
    return own


def test_check_reads_turns(turns: tuple[Path, Path]) -> None:
    """It says how even they are and what is believed; what is bent exits with 1, a fault with 2."""
    checked = run("check", *turns)
    assert checked.exit_code == 0
    assert "Everybody has a place on every date" in checked.stdout
    assert re.search(r"^Monday, (?=.*Squad a).*Squad d", checked.stdout, re.MULTILINE)
    assert "The fairest turns found have just that." in checked.stdout
    assert "Not checked: what squads carry" in checked.stdout
    value = json.loads(run("check", *turns, "--json").stdout)
    assert (value["is_true"], value["certified"], value["is_by_hand"]) == (True, None, False)
    (group,) = value["turns"]
    assert group["is_added_up"]
    assert group["least_worst"] == group["fairest_worst"]
    body = json.loads(turns[1].read_text(encoding="utf-8"))
    body["turns"][0]["fairest_worst"] += 1
    more = bend(turns[1], body)
    assert (
        f"have {group['fairest_worst'] + 1}; the search says" in run("check", turns[0], more).stdout
    )
    body["turns"][0]["counts"][0] = body["turns"][0]["counts"][0][::-1]
    bent = bend(turns[1], body)
    checked = run("check", turns[0], bent)
    assert checked.exit_code == 1
    assert "counts: " in checked.stdout
    value = json.loads(run("check", turns[0], bent, "--json").stdout)
    assert (value["is_true"], value["turns"]) == (False, None)
    del body["turns"][0]["counts"]
    result = run("check", turns[0], bend(turns[1], body))
    assert result.exit_code == 2
    assert "bent.json, $.turns[0].counts" in result.stderr


def test_other_commands_say_that_turns_are_for_check_alone(turns: tuple[Path, Path]) -> None:
    """Whoever explains or goes on from turns is told which command reads them."""
    for words in (("explain", *turns, "a"), ("solve", turns[0], "--from", turns[1])):
        result = run(*words)
        assert result.exit_code == 2
        assert "share-out check alone reads" in result.stderr


def test_check_says_that_a_plan_was_made_by_hand(files: tuple[Path, Path]) -> None:
    """It passes, and is told to prove nothing; a search is not told so."""
    problem, result = files
    assert not json.loads(run("check", problem, result, "--json").stdout)["is_by_hand"]
    known, _faults = read_problem(problem.read_bytes())
    outcome, _more = read_outcome(result.read_bytes())
    assert known is not None
    assert outcome is not None
    pin = outcome.placements[0]
    asks = (replace(ask, pinned=(pin,)) if ask.key == pin.ask else ask for ask in known.asks)
    known = replace(known, asks=tuple(asks))
    made = outcome_by_hand(known, outcome.placements)
    own = problem.with_name("by-hand.json"), result.with_name("by-hand-result.json")
    for path, value in zip(own, (known, made), strict=True):
        path.write_text(write_value(value), encoding="utf-8")
    checked = run("check", *own)
    assert checked.exit_code == 0
    assert "It was made by hand; nothing is proved about it." in checked.stdout
    told = json.loads(run("check", *own, "--json").stdout)
    assert (told["is_by_hand"], told["certified"]) == (True, None)
    bent = bend(own[1], {"kind": "out of time"})
    assert run("check", own[0], bent).exit_code == 1


def test_check_lists_what_an_earlier_release_did_not_name(tmp_path: Path) -> None:
    """A place left free without a name is told as not checked of a file that says no shape."""
    problem = make_problem(make_pitch(), make_ask("a"), make_ask("b"))
    plan = [Placement("a", 0, "top-whole-0", 0, 1080, 1140)]
    outcome = outcome_of_plan(problem, Effort(seconds=5), plan, CutShort.MEMORY)
    (refusal,) = outcome.refusals
    reasons = (*refusal.reasons[1:], Reason("open"))
    outcome = replace(outcome, refusals=(replace(refusal, reasons=reasons),))
    files = tmp_path / "problem.json", tmp_path / "result.json"
    for path, value in zip(files, (problem, outcome), strict=True):
        path.write_text(write_value(value), encoding="utf-8")
    assert run("check", *files).exit_code == 1
    body = json.loads(files[1].read_text(encoding="utf-8"))
    del body["shape"]
    files[1].write_text(json.dumps(body), encoding="utf-8")
    checked = run("check", *files)
    assert checked.exit_code == 0
    assert "did not name such places" in checked.stdout


def test_check_exits_with_1_for_an_untrue_result(files: tuple[Path, Path]) -> None:
    """A plan with a session less than it claims is not true."""
    problem, result = files
    body = json.loads(result.read_text(encoding="utf-8"))
    bent = bend(result, {"placements": body["placements"][1:]})
    checked = run("check", problem, bent, "--json")
    assert checked.exit_code == 1
    value = json.loads(checked.stdout)
    assert (value["is_true"], value["certified"]) == (False, None)
    assert any("refusal" in fault for fault in value["faults"])
    assert run("check", problem, result).exit_code == 0


@pytest.mark.parametrize("command", ["solve", "check", "explain"])
def test_faulty_files_exit_with_2_and_every_fault(files: tuple[Path, Path], command: str) -> None:
    """Each fault comes with file, place and remedy; nothing is solved."""
    bent = bend(files[0], {"colour": 1, "step_minutes": "ten"})
    more = {"solve": (), "check": (files[1],), "explain": (files[1], "ask-1")}[command]
    result = run(command, bent, *more)
    assert result.exit_code == 2
    assert "bent.json, $.colour: Unknown" in result.stderr
    assert 'bent.json, $.step_minutes: "ten" is not a whole number' in result.stderr
    as_json = run(command, bent, *more, "--json")
    assert as_json.exit_code == 2
    assert len(json.loads(as_json.stderr)["problems"]) == 2


def test_both_files_are_read_before_any_fault_is_told(files: tuple[Path, Path]) -> None:
    """Faults of the problem and of the result come together."""
    bent = bend(files[1], {"kind": "splendid"})
    broken = bent.with_name("broken.json")
    broken.write_bytes(b"{")
    result = run("check", broken, bent)
    assert result.exit_code == 2
    assert "broken.json, $: Not JSON at line 1, column 2" in result.stderr
    assert 'bent.json, $.kind: "splendid" is none of the choices' in result.stderr


def test_a_file_that_is_not_there_exits_with_2(tmp_path: Path) -> None:
    """The message names the file."""
    result = run("solve", tmp_path / "none.json")
    assert result.exit_code == 2
    assert "none.json cannot be read" in result.stderr


def test_explain_gives_reasons_by_key_or_name(files: tuple[Path, Path]) -> None:
    """Reasons and what would help are told for an ask that goes without."""
    outcome, _ = read_outcome(files[1].read_bytes())
    assert outcome is not None
    refusal = outcome.refusals[0]
    by_key = run("explain", *files, refusal.ask)
    assert by_key.exit_code == 0
    assert tell_reason(refusal.reasons[0]) in by_key.stdout
    assert run("explain", *files, refusal.squad_name.upper()).stdout == by_key.stdout
    told = json.loads(run("explain", *files, refusal.ask, "--json").stdout)
    assert told["refusal"]["missing"] == refusal.missing


def test_explain_of_a_served_ask_says_so(files: tuple[Path, Path]) -> None:
    """An ask with all its sessions needs no reasons."""
    outcome, _ = read_outcome(files[1].read_bytes())
    assert outcome is not None
    refused = {refusal.ask for refusal in outcome.refusals}
    served = next(p.ask for p in outcome.placements if p.ask not in refused)
    assert "has every session" in run("explain", *files, served).stdout


def test_explain_refuses_what_it_cannot_tell(files: tuple[Path, Path]) -> None:
    """An unknown ask, and a result that is not true, exit with 2."""
    assert "There is no ask “U3 Wombats”" in run("explain", *files, "U3 Wombats").stderr
    bent = bend(files[1], {"asked": 1})
    result = run("explain", files[0], bent, "ask-1")
    assert result.exit_code == 2
    assert "is not true of" in result.stderr


def test_reshare_moves_little_and_writes_the_new_files(
    files: tuple[Path, Path], tmp_path: Path
) -> None:
    """A closed evening gives moves in words and JSON, and files that check passes."""
    change = tmp_path / "change.json"
    change.write_text('{"closures": [{"ground": "pitch-1/whole", "day": 2}]}', encoding="utf-8")
    paths = tmp_path / "new-problem.json", tmp_path / "new-result.json"
    result = run("reshare", *files, change, "--seconds", 3,
                 "--new-problem", paths[0], "--new-result", paths[1], "--json")  # fmt: skip
    assert result.exit_code == 0
    value = json.loads(result.stdout)
    assert value["hit"]
    assert all(move["new"] is None or move["new"]["day"] != 2 for move in value["moves"])
    assert run("check", *paths).exit_code == 0
    words = run("reshare", *files, change, "--seconds", 3)
    assert words.exit_code == 0
    assert "placing sessions" in words.stdout
    assert " → " in words.stdout


def test_reshare_begins_with_what_the_result_proves(
    files: tuple[Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What no plan could place before, the search need not look for again."""
    told: list[object] = []

    def spied(*args: object) -> Reshared:
        told.append(args[-1])
        return reshare_here(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(share_files, "reshare_here", spied)
    change = tmp_path / "change.json"
    change.write_text("{}", encoding="utf-8")
    assert run("reshare", *files, change, "--seconds", 1).exit_code == 0
    first = json.loads(files[1].read_text(encoding="utf-8"))["levels"][0]
    assert first["name"] == PLACING
    assert told == [first["bound"]]


def test_reshare_tells_the_faults_of_all_files(files: tuple[Path, Path], tmp_path: Path) -> None:
    """A change to what is not there exits with 2 and the place."""
    change = tmp_path / "change.json"
    change.write_text('{"squads_dropped": ["squad-99"], "closed": 1}', encoding="utf-8")
    result = run("reshare", *files, change)
    assert result.exit_code == 2
    assert "change.json, $.closed: Unknown" in result.stderr
    assert 'change.json, $.squads_dropped: No ask is of squad "squad-99"' in result.stderr


def test_reshare_that_cannot_write_exits_with_2(files: tuple[Path, Path], tmp_path: Path) -> None:
    """A folder that is not there is told by name."""
    change = tmp_path / "change.json"
    change.write_text("{}", encoding="utf-8")
    result = run("reshare", *files, change, "--seconds", 1, "--new-result", tmp_path / "a" / "b")
    assert result.exit_code == 2
    assert "cannot be written" in result.stderr
