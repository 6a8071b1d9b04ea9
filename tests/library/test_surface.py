"""The surface of the library changes only on purpose, and costs nothing before it is used."""

from __future__ import annotations

import inspect
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import clubplanner

if TYPE_CHECKING:
    from collections.abc import Iterator

KEPT = Path(__file__).with_name("surface.txt")
OWN = "clubplanner.library"
"""Of classes from other packages only the name is promised here."""


def surface() -> Iterator[str]:
    """Write each name with its parameters and, for a class of ours, its members."""
    for name in clubplanner.__all__:
        value = getattr(clubplanner, name)
        if not inspect.isclass(value):
            yield f"{name}{inspect.signature(value)}"
            continue
        yield f"class {name}"
        if not value.__module__.startswith(OWN):
            continue
        fields = getattr(value, "__dataclass_fields__", {})
        yield from (f"    {field.name}: {field.type}" for field in fields.values())
        for member, what in sorted(vars(value).items()):
            if isinstance(what, property) and what.fget is not None:
                yield f"    {member}: {inspect.signature(what.fget).return_annotation}"
            elif inspect.isfunction(what) and not member.startswith("_"):
                yield f"    {member}{inspect.signature(what)}"


def test_the_surface_is_as_it_was_said() -> None:
    """Who changes it on purpose writes the new one down, and raises the version as is said there.

    The rule stands in `clubplanner/library/__init__.py`.
    """
    version = f"version {clubplanner.__version__}"
    said = "\n".join([version.rpartition(".")[0], *surface(), ""])
    assert said == KEPT.read_text(encoding="utf-8")


def test_every_name_of_the_surface_is_explained() -> None:
    """Each function says what it takes, gives and raises; each class what it holds."""
    for name in clubplanner.__all__:
        value = getattr(clubplanner, name)
        words = inspect.getdoc(value) or ""
        assert words, name
        if inspect.isfunction(value):
            assert "Args:" in words, name
            assert "Raises:" in words or name == "draw", name


def test_nothing_is_loaded_before_it_is_used() -> None:
    """Commands import the package first; shapes, optimiser and records come when asked for."""
    heavy = ("shapely", "sqlalchemy", "ortools", "flask", "pandas", "numpy")
    code = f"import clubplanner, sys; print([name for name in {heavy!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_name_that_is_not_there_is_told_as_python_does() -> None:
    """So that programs can ask whether there is one."""
    assert not hasattr(clubplanner, "no_such_thing")
    assert "solve" in dir(clubplanner)
    with pytest.raises(AttributeError, match="no attribute 'no_such_thing'"):
        _ = clubplanner.no_such_thing  # type: ignore[attr-defined]
