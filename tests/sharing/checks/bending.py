"""Bends JSON at every place, knowing nothing of what it means.

Whatever a result gains is bent at once: each member and each entry of each list is removed, put in
the place of another of its kind, doubled, changed for its neighbour, and numbers go up and down by
one.
"""

from __future__ import annotations

import json
import re
from copy import copy, deepcopy
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

Path = tuple[str | int, ...]
MOST_OTHERS = 2
"""So many other values of a kind are put in the place of one."""


@dataclass(frozen=True)
class Bent:
    """A body that is bent in one place.

    Attributes:
        place: Where, as "$.levels[0].gap".
        how: What was done there.
        text: The body as JSON.
    """

    place: str
    how: str
    text: str

    @property
    def field(self) -> str:
        """Where, without the numbers of entries: "$.levels[].gap"."""
        return re.sub(r"\[\d+\]", "[]", self.place)


def written(path: Path) -> str:
    """Write a path: "$.levels[0].gap"."""
    return "$" + "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in path)


def values_of(bodies: Iterable[Any]) -> dict[str, list[Any]]:
    """List the values that stand at each field of some bodies, each once."""
    found: dict[str, dict[str, Any]] = {}
    for body in bodies:
        for path, value in _walk(body, ()):
            field = re.sub(r"\[\d+\]", "[]", written(path))
            found.setdefault(field, {}).setdefault(json.dumps(value, sort_keys=True), value)
    return {field: list(values.values()) for field, values in found.items()}


def bend(body: Any, others: Mapping[str, Sequence[Any]], most_entries: int) -> Iterator[Bent]:
    """Bend a body at each of its places, in each way that there is for what stands there.

    Args:
        body: As `json.loads` reads it; left as it is.
        others: Values that stand at each field of bodies of its kind.
        most_entries: So many entries of each list are gone into, evenly spread.

    Yields:
        Each body that differs, once.
    """
    seen = {_text(body)}
    for path, value in _walk(body, (), most_entries):
        for how, change in _ways(path, value, others):
            if not path:
                continue
            bent, parent = _copied(body, path[:-1])
            change(parent, path[-1])
            text = _text(bent)
            if text not in seen:
                seen.add(text)
                yield Bent(written(path), how, text)


def _text(body: Any) -> str:
    return json.dumps(body, ensure_ascii=False)


def _walk(value: Any, path: Path, most: int | None = None) -> Iterator[tuple[Path, Any]]:
    yield path, value
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _walk(item, (*path, key), most)
    elif isinstance(value, list):
        for n in _spread(len(value), most):
            yield from _walk(value[n], (*path, n), most)


def _spread(count: int, most: int | None) -> list[int]:
    if most is None or count <= most:
        return list(range(count))
    return sorted({n * (count - 1) // max(1, most - 1) for n in range(most)})


def _copied(body: Any, path: Path) -> tuple[Any, Any]:
    """Copy a body as far as what stands at a path, and return it with that; the rest is shared."""
    bent = here = copy(body)
    for part in path:
        here[part] = copy(here[part])
        here = here[part]
    return bent, here


Change = "Callable[[Any, Any], None]"


def _ways(
    path: Path, value: Any, others: Mapping[str, Sequence[Any]]
) -> Iterator[tuple[str, Callable[[Any, Any], None]]]:
    """List what can be done to the member or entry that a key or number names."""
    yield "removed", _remove
    if path and isinstance(path[-1], int):
        yield "doubled", _double
        yield "changed for the next", _swap
    if isinstance(value, list):
        yield "emptied", _put([])
        yield "turned round", _put(value[::-1])
    if isinstance(value, bool):
        yield "turned", _put(not value)
    elif isinstance(value, int | float):
        yield "one more", _put(value + 1)
        yield "one less", _put(value - 1)
    elif isinstance(value, str):
        yield "longer", _put(f"{value} x")
        yield "blank", _put("")
    if value is not None and path and isinstance(path[-1], str):
        yield "null", _put(None)
    field = re.sub(r"\[\d+\]", "[]", written(path))
    known = [other for other in others.get(field, ()) if other != value]
    for n in _spread(len(known), MOST_OTHERS):
        yield f"another ({n})", _put(known[n])


def _remove(parent: Any, key: Any) -> None:
    del parent[key]


def _double(parent: list[Any], number: int) -> None:
    parent.insert(number, deepcopy(parent[number]))


def _swap(parent: list[Any], number: int) -> None:
    other = (number + 1) % len(parent)
    parent[number], parent[other] = parent[other], parent[number]


def _put(value: Any) -> Callable[[Any, Any], None]:
    def put(parent: Any, key: Any) -> None:
        parent[key] = deepcopy(value)

    return put


def swap_members(body: Any, most_entries: int) -> Iterator[Bent]:
    """Give members of neighbouring entries of each list to each other, one at a time."""
    for path, value in _walk(body, (), most_entries):
        if not isinstance(value, list):
            continue
        for one, other in pairwise(_spread(len(value), most_entries)):
            if not isinstance(value[one], dict) or not isinstance(value[other], dict):
                continue
            for key in value[one].keys() & value[other].keys():
                if value[one][key] == value[other][key]:
                    continue
                bent, entries = _copied(body, path)
                for to, given in ((one, value[other][key]), (other, value[one][key])):
                    entries[to] = {**entries[to], key: given}
                place = written((*path, one, key))
                yield Bent(place, f"changed for that of [{other}]", _text(bent))
