"""What commands print, and how errors come out: plain words, or JSON where a program reads."""

from __future__ import annotations

import json
import sys
from dataclasses import fields, is_dataclass
from datetime import date
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

import click

from clubplanner.commands.base.usage import name_of, usage_in_words
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
    UnsureError,
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
    UnsureError: BAD_INPUT,
}
"""Every leaf of the tree in `clubplanner.errors` has its exit code here: 2 for what a person can
mend, 3 where a rule stands in the way that the secretary may overrule with `--because`."""

_Arguments = ParamSpec("_Arguments")
_Result = TypeVar("_Result")

json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON for a program.")
output_option = click.option(
    "--output",
    type=click.Path(path_type=Path),
    default="-",
    show_default=True,
    help="Where to; “-” is standard output.",
)
because_option = click.option(
    "--because", default="", help="Do it although a rule stands in the way, for this reason."
)


def say(words: str, value: Any, *, as_json: bool) -> None:
    """Print words for a person, or a value as JSON; see `json_text`."""
    click.echo(json_text(value) if as_json else words)


def json_text(value: Any) -> str:
    """Write a value as JSON: dataclasses as objects, days and instants as ISO 8601."""
    return json.dumps(value, ensure_ascii=False, indent=2, default=_plain)


def _plain(value: object) -> object:
    if is_dataclass(value):
        return {field.name: getattr(value, field.name) for field in fields(value)}
    if isinstance(value, date):  # instants are dates as well
        return value.isoformat()
    if isinstance(value, Path):
        return str(value)
    raise TypeError(f"{value!r} has no place in JSON")


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


def tell_usage(error: click.UsageError, *, as_json: bool) -> None:
    """Say what was mistyped on standard error, with how the command is typed."""
    words = usage_in_words(error)
    if as_json:
        problem = {"where": name_of(error), "code": "usage", "message": words}
        click.echo(json_text({"error": words, "problems": [problem]}), err=True)
        return
    if error.ctx is not None:
        click.echo(error.ctx.get_usage(), err=True)
        click.echo(f"“{error.ctx.command_path} --help” says more.\n", err=True)
    click.echo(words, err=True)


def _tell(error: PlannerError, *, as_json: bool) -> None:
    problems = error.problems if isinstance(error, FaultyInputError) else ()
    if isinstance(error, HinderedError):
        problems = tuple(Problem("", one.rule, one.words) for one in error.hindrances)
    if as_json:
        listed = [{"where": p.where, "code": p.code, "message": p.message} for p in problems]
        body = {"error": str(error), "problems": listed}
        click.echo(json_text(body), err=True)
        return
    if isinstance(error, FaultyInputError):
        for problem in problems:
            click.echo(str(problem), err=True)
    click.echo(str(error), err=True)
