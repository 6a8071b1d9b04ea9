"""What commands print, and how errors come out: plain words, or JSON where a program reads."""

from __future__ import annotations

import json
import sys
from functools import wraps
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

import click

from clubplanner.domain.problems import Problem
from clubplanner.errors import (
    AwayError,
    BusyError,
    ClashError,
    FaultyInputError,
    HinderedError,
    MarkGoneError,
    MissingError,
    NoClubError,
    NoRoomError,
    OutdatedError,
    PlannerError,
    RefusedError,
    ShareOutError,
    StoreError,
    TooManyError,
)

if TYPE_CHECKING:
    from collections.abc import Callable

BAD_INPUT = 2
HINDERED = 3

EXIT_CODES: dict[type[PlannerError], int] = {
    FaultyInputError: BAD_INPUT,
    MissingError: BAD_INPUT,
    NoClubError: BAD_INPUT,
    MarkGoneError: BAD_INPUT,
    ClashError: BAD_INPUT,
    HinderedError: HINDERED,
    OutdatedError: BAD_INPUT,
    RefusedError: BAD_INPUT,
    TooManyError: BAD_INPUT,
    ShareOutError: BAD_INPUT,
    StoreError: BAD_INPUT,
    AwayError: BAD_INPUT,
    BusyError: BAD_INPUT,
    NoRoomError: BAD_INPUT,
}
"""Every leaf of the tree in `clubplanner.errors` has its exit code here: 2 for what a person can
mend, 3 where a rule stands in the way that the secretary may overrule with `--because`."""

_Arguments = ParamSpec("_Arguments")
_Result = TypeVar("_Result")

json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON for a program.")
because_option = click.option(
    "--because", default="", help="Do it although a rule stands in the way, for this reason."
)


def say(words: str, value: Any, *, as_json: bool) -> None:
    """Print words for a person, or a value as JSON."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=2) if as_json else words)


def tells_faults(command: Callable[_Arguments, _Result]) -> Callable[_Arguments, _Result]:
    """Turn what a person can mend into a message and its exit code, never a traceback."""

    @wraps(command)
    def wrapped(*args: _Arguments.args, **kwargs: _Arguments.kwargs) -> _Result:
        try:
            return command(*args, **kwargs)
        except PlannerError as error:
            _tell(error, as_json=bool(kwargs.get("as_json")))
            sys.exit(EXIT_CODES.get(type(error), BAD_INPUT))

    return wrapped


def _tell(error: PlannerError, *, as_json: bool) -> None:
    problems = error.problems if isinstance(error, FaultyInputError) else ()
    if isinstance(error, HinderedError):
        problems = tuple(Problem("", one.rule, one.words) for one in error.hindrances)
    if as_json:
        listed = [{"where": p.where, "code": p.code, "message": p.message} for p in problems]
        body = {"error": str(error), "problems": listed}
        click.echo(json.dumps(body, ensure_ascii=False, indent=2), err=True)
        return
    if isinstance(error, FaultyInputError):
        for problem in problems:
            click.echo(str(problem), err=True)
    click.echo(str(error), err=True)
