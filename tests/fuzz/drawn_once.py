"""What a long run would do over and over, and learn nothing from: done once, or cheaply.

The same drawing is rendered to the same picture, and a password is hashed for as long as guessing
shall take. Everything before and after it is asked each time.
"""

from __future__ import annotations

from contextlib import contextmanager
from functools import lru_cache
from typing import TYPE_CHECKING, Any
from unittest.mock import patch

import resvg_py
from argon2 import PasswordHasher

from clubplanner.services.people.ways_in import passwords

if TYPE_CHECKING:
    from collections.abc import Iterator

MOST_PICTURES = 500


@contextmanager
def drawn_once() -> Iterator[None]:
    """Keep pictures by their drawings, and hash passwords at once, while this is open."""
    render = resvg_py.svg_to_bytes

    @lru_cache(MOST_PICTURES)
    def rendered(svg: str, width: int, fonts: tuple[str, ...], rest: tuple[Any, ...]) -> bytes:
        more = dict(rest)
        return bytes(render(svg_string=svg, width=width, font_files=list(fonts), **more))

    def svg_to_bytes(*, svg_string: str, width: int, font_files: list[str], **rest: Any) -> bytes:
        return rendered(svg_string, width, tuple(font_files), tuple(rest.items()))

    quick = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    with (
        patch.object(resvg_py, "svg_to_bytes", svg_to_bytes),
        patch.object(passwords, "_HASHER", quick),
    ):
        yield
