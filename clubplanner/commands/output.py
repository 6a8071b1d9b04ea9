"""What commands print, and how errors come out: plain words, or JSON where a program reads."""

from __future__ import annotations

import json
import sys
from functools import wraps
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

import click

from clubplanner.errors import FaultyInputError, PlannerError

if TYPE_CHECKING:
    from collections.abc import Callable

BAD_INPUT = 2

_Arguments = ParamSpec("_Arguments")
_Result = TypeVar("_Result")

json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON for a program.")


def say(words: str, value: Any, *, as_json: bool) -> None:
    """Print words for a person, or a value as JSON."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=2) if as_json else words)


def tells_faults(command: Callable[_Arguments, _Result]) -> Callable[_Arguments, _Result]:
    """Turn what a person can mend into a message and exit code 2, never a traceback."""

    @wraps(command)
    def wrapped(*args: _Arguments.args, **kwargs: _Arguments.kwargs) -> _Result:
        try:
            return command(*args, **kwargs)
        except PlannerError as error:
            _tell(error, as_json=bool(kwargs.get("as_json")))
            sys.exit(BAD_INPUT)

    return wrapped


def _tell(error: PlannerError, *, as_json: bool) -> None:
    problems = error.problems if isinstance(error, FaultyInputError) else ()
    if as_json:
        listed = [{"where": p.where, "code": p.code, "message": p.message} for p in problems]
        body = {"error": str(error), "problems": listed}
        click.echo(json.dumps(body, ensure_ascii=False, indent=2))
        return
    for problem in problems:
        click.echo(str(problem), err=True)
    click.echo(str(error), err=True)
