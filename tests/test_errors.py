"""The tree of errors: every leaf has its status for pages and its exit code for commands."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner import errors
from clubplanner.commands.base.output import EXIT_CODES
from clubplanner.domain.rules.case import Hindrance
from clubplanner.errors import HinderedError, PlannerError
from clubplanner.webapp.base.faults import STATUSES

if TYPE_CHECKING:
    from collections.abc import Mapping


def kinds(root: type[PlannerError] = PlannerError) -> set[type[PlannerError]]:
    """Return every exception of the tree below a root that the package itself makes."""
    below = {kind for kind in root.__subclasses__() if kind.__module__ == "clubplanner.errors"}
    return below | {one for kind in below for one in kinds(kind)}


@pytest.mark.parametrize("table", [STATUSES, EXIT_CODES], ids=["status", "exit code"])
def test_every_error_is_in_the_table(table: Mapping[type[PlannerError], int]) -> None:
    """Whatever a service raises, page and command know what to answer; nothing else is listed."""
    assert set(table) == kinds()


def test_the_docstring_draws_the_tree() -> None:
    """Each error of the tree stands in the docstring of its module."""
    tree = errors.__doc__ or ""
    assert [kind.__name__ for kind in kinds() if f" {kind.__name__} " not in tree] == []


def test_hindrances_are_told_one_after_the_other() -> None:
    """The message is the words of every rule, then what to do."""
    rules = [Hindrance("light", "It is too dark."), Hindrance("break", "It is Christmas.")]
    assert str(HinderedError(rules)) == "It is too dark. It is Christmas."
    assert str(HinderedError(rules[:1], "Go elsewhere.")) == "It is too dark. Go elsewhere."
    assert HinderedError(rules).hindrances == tuple(rules)
