"""What was mistyped, in plain words: click speaks of formats and valid values."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from clubplanner.commands.base.ranges import LARGEST

if TYPE_CHECKING:
    from collections.abc import Sequence

NO_SUCH_COMMAND: Any = getattr(click.exceptions, "NoSuchCommand", ())
"""None of this kind in older versions, whose own words then stand."""
LIKE = {"%Y": "2026", "%m": "11", "%d": "24", "%H": "18", "%M": "00"}
"""How the parts of a format look, for an example."""


def usage_in_words(error: click.UsageError) -> str:
    """Say what was mistyped and what to write instead."""
    if isinstance(error, click.MissingParameter):
        kind = _what_it_takes(error.param)
        return f"Write {name_of(error)} as well{',' if kind else ''}{kind}."
    if isinstance(error, click.BadParameter):
        return _bad_value(error)
    if isinstance(error, click.NoSuchOption):
        return f"There is no option {error.option_name} here.{_perhaps(error.possibilities)}"
    if isinstance(error, NO_SUCH_COMMAND):
        known = _perhaps(error.possibilities)
        return f"There is no command “{error.command_name}” here.{known}"
    if isinstance(error, click.BadOptionUsage) and "requires" in error.message:
        return f"Write a value after {error.option_name}."
    if "unexpected extra argument" in error.message:
        extra = error.message.partition("(")[2].rstrip(").")
        return f"“{extra}” is too much here; put quotation marks round a name of several words."
    return error.message


def name_of(error: click.UsageError) -> str:
    """Return the option or the argument that a fault is about; blank for none."""
    if isinstance(error, click.BadParameter) and error.param is not None:
        if isinstance(error.param, click.Argument):
            return error.param.human_readable_name
        return max(error.param.opts, key=len)
    return ""


def _bad_value(error: click.BadParameter) -> str:
    kind = None if error.param is None else error.param.type
    advice = _what_it_takes(error.param)
    is_of_click = kind is not None and type(kind).__module__.startswith("click.")
    if is_of_click and advice:
        return f"Write {name_of(error)}{advice}."
    name = name_of(error)
    return f"{name}: {error.message}" if name else error.message


def _what_it_takes(param: click.Parameter | None) -> str:
    """Say which values an option takes; blank where that is any text."""
    kind = None if param is None else param.type
    if isinstance(kind, click.Choice):
        return f" as one of {', '.join(map(str, kind.choices))}"
    if isinstance(kind, (click.IntRange, click.FloatRange)):
        whole = "whole number" if isinstance(kind, click.IntRange) else "number"
        return f" as a {whole}{_range_in_words(kind.min, kind.max)}"
    if isinstance(kind, click.DateTime):
        return f" like {' or '.join(map(_example, kind.formats))}"
    if kind is click.INT:
        return " as a whole number"
    return " as a number" if kind is click.FLOAT else ""


def _range_in_words(least: float | None, most: float | None) -> str:
    if least is not None and most is not None and most < LARGEST:
        return f" from {least:g} to {most:g}"
    return "" if least is None else f" of {least:g} or more"


def _example(form: str) -> str:
    for sign, example in LIKE.items():
        form = form.replace(sign, example)
    return form


def _perhaps(known: Sequence[str] | None) -> str:
    return f" Perhaps {' or '.join(known)}?" if known else ""
