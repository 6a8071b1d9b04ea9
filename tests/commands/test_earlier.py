"""Names that commands had earlier go on for a release, with a word on standard error."""

from __future__ import annotations

import click
import pytest
from click.testing import CliRunner

from clubplanner.commands import main
from clubplanner.commands.base.earlier import EARLIER, words_of_today
from tests.use.commands import leaf_commands

VERBS_ALONE = {"init", "serve", "worker", "demo", "running", "completion"}
"""What starts the program itself, or prints what goes round it."""


@pytest.mark.parametrize("typed", sorted(EARLIER))
def test_an_earlier_name_does_what_todays_does(typed: str) -> None:
    """Help of the earlier words is that of the words of today, and a word says so."""
    done = CliRunner().invoke(main, [*typed.split(), "--help"])
    assert done.exit_code == 0
    if typed in ("mails", "fairness"):  # they became nouns: their help is that of the group
        return
    words = [word for word in EARLIER[typed].split() if word not in ("--look", "squad")]
    asked = CliRunner().invoke(main, [*words, "--help"])
    assert done.stdout.splitlines()[2:] == asked.stdout.splitlines()[2:]
    assert f"“{typed}” is called “{EARLIER[typed]}” now" in done.stderr
    assert asked.stderr == ""


def test_words_that_became_nouns_still_do_what_they_did() -> None:
    """“mails” alone lists them, as it always did, and “mails list” is told nothing."""
    assert words_of_today(["mails", "--json"])[0] == ["mails", "list", "--json"]
    assert words_of_today(["mails", "list"]) == (["mails", "list"], "")
    assert words_of_today(["fairness"])[0] == ["fairness", "show"]
    assert words_of_today(["busy", "end", "2"])[0] == ["calendars", "withdraw", "2"]
    assert words_of_today(["busy", "list"])[0] == ["calendars", "list"]


def test_commands_are_a_noun_and_a_verb() -> None:
    """Each command is two words, and what shall not count any more is withdrawn."""
    names = leaf_commands()
    single = {name for name in names if " " not in name}
    assert single == VERBS_ALONE
    verbs = {name.split()[1] for name in names if " " in name}
    assert not verbs & {"end", "remove", "delete", "drop", "look"}
    assert isinstance(main, click.Group)
