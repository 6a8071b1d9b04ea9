"""Shapes of JSON values made of others: null or a value, lists, sets, and objects as records."""

from __future__ import annotations

from collections import Counter
from dataclasses import MISSING, dataclass, field, fields
from typing import TYPE_CHECKING, Any

from clubplanner.sharing.files.json_shapes import Whole, member, shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.sharing.files.json_shapes import Faults, Shape


class Members(dict[str, object]):
    """The members of a JSON object as read, with those names that stood in it twice."""

    def __init__(self, pairs: list[tuple[str, object]]) -> None:
        super().__init__(pairs)
        names = [name for name, _ in pairs]
        self.repeated = [] if len(self) == len(names) else _repeated(names)


def _repeated(names: list[str]) -> list[str]:
    return [name for name, count in Counter(names).items() if count > 1]


@dataclass(frozen=True, slots=True)
class Maybe:
    """A value or null."""

    shape: Shape

    def read(self, value: object, path: str, faults: Faults) -> Any:
        """Read null as None."""
        return None if value is None else self.shape.read(value, path, faults)

    def write(self, value: Any) -> object:
        """Write None as null."""
        return None if value is None else self.shape.write(value)

    def describe(self, parts: dict[str, Any]) -> dict[str, Any]:
        """Describe both."""
        return {"anyOf": [self.shape.describe(parts), {"type": "null"}]}

    def stand_in(self) -> None:
        """Return none."""
        return


@dataclass(frozen=True, slots=True)
class ListOf:
    """A list of equal shapes, read as a tuple.

    Attributes:
        shape: That of the items.
        most: How many items at most; none of a longer list is read.
        least: How many at least.
    """

    shape: Shape
    most: int
    least: int = 0

    def read(self, value: object, path: str, faults: Faults) -> tuple[Any, ...]:
        """Read every item, faulty ones as stand-ins so that the others keep their numbers."""
        items = self.items(value, path, faults)
        return tuple(self.shape.read(item, f"{path}[{n}]", faults) for n, item in enumerate(items))

    def items(self, value: object, path: str, faults: Faults) -> list[object]:
        """Return the raw items of a list of allowed length, else none."""
        if not isinstance(value, list):
            faults.add(path, "type", f"{shown(value)} is not a list; write it in [ and ].")
            return []
        if not self.least <= len(value) <= self.most:
            message = f"{len(value)} entries; write {self.least} to {self.most} of them."
            faults.add(path, "length", message)
            return []
        return value

    def write(self, value: tuple[Any, ...]) -> list[object]:
        """Write the items in order."""
        return [self.shape.write(item) for item in value]

    def describe(self, parts: dict[str, Any]) -> dict[str, Any]:
        """Describe items and length."""
        rule = {"type": "array", "items": self.shape.describe(parts), "maxItems": self.most}
        return rule | ({"minItems": self.least} if self.least else {})

    def stand_in(self) -> tuple[Any, ...]:
        """Return an empty one."""
        return ()


@dataclass(frozen=True, slots=True)
class SetOf:
    """A list in which nothing stands twice, read as a set and written in order."""

    shape: Shape
    most: int

    def read(self, value: object, path: str, faults: Faults) -> frozenset[Any]:
        """Read the items; one that stands twice is a fault."""
        items = ListOf(self.shape, self.most).read(value, path, faults)
        seen: set[Any] = set()
        for n, item in enumerate(items):
            if item in seen and not faults.has_under(f"{path}[{n}]"):
                faults.add(f"{path}[{n}]", "twice", f"{shown(item)} stands twice; once will do.")
            seen.add(item)
        return frozenset(seen)

    def write(self, value: frozenset[Any]) -> list[object]:
        """Write the items in order."""
        return [self.shape.write(item) for item in sorted(value)]

    def describe(self, parts: dict[str, Any]) -> dict[str, Any]:
        """Describe items and length."""
        rule = ListOf(self.shape, self.most).describe(parts)
        return rule | {"uniqueItems": True}

    def stand_in(self) -> frozenset[Any]:
        """Return an empty one."""
        return frozenset()


@dataclass(frozen=True, slots=True)
class CellSet:
    """Numbers of cells, read as a bit mask: no number beyond what every reader keeps exactly."""

    most: int

    def read(self, value: object, path: str, faults: Faults) -> int:
        """Read the numbers."""
        before = len(faults.found)
        cells = SetOf(Whole(0, self.most - 1), self.most).read(value, path, faults)
        if not cells and len(faults.found) == before:
            faults.add(path, "empty", "No cells; write the number of at least one.")
        return sum(1 << cell for cell in cells) or self.stand_in()

    def write(self, value: int) -> list[int]:
        """Write the numbers in order."""
        return [n for n in range(value.bit_length()) if value >> n & 1]

    def describe(self, parts: dict[str, Any]) -> dict[str, Any]:
        """Describe the list."""
        rule = SetOf(Whole(0, self.most - 1), self.most).describe(parts)
        return rule | {"minItems": 1}

    def stand_in(self) -> int:
        """Return the first cell."""
        return 1


@dataclass(frozen=True, slots=True)
class Record:
    """An object with fixed members, read as a frozen dataclass.

    Attributes:
        kind: The dataclass.
        members: The shape of each of its fields, in order.
        words: What the fields mean, for the schema.
        needed: Fields without a default.
        usual: What the others have where nothing is said.
        is_sparse: Whether what is as usual is not written.
    """

    kind: type[Any]
    members: dict[str, Shape]
    words: dict[str, str]
    needed: tuple[str, ...]
    usual: Mapping[str, Any] = field(default_factory=dict)
    is_sparse: bool = False

    def read(self, value: object, path: str, faults: Faults) -> Any:
        """Read every member; unknown ones and missing ones without a default are faults."""
        if not isinstance(value, dict):
            faults.add(path, "type", f"{shown(value)} is not an object; write it in {{ and }}.")
            return self.stand_in()
        if isinstance(value, Members):
            for key in value.repeated:
                faults.add(member(path, key), "twice", "Stands twice in its object; keep one.")
        for key in value:
            if key not in self.members:
                known = ", ".join(self.members)
                faults.add(member(path, key), "unknown", f"Unknown; known here are {known}.")
        read: dict[str, Any] = {}
        for name, shape in self.members.items():
            if name in value:
                read[name] = shape.read(value[name], member(path, name), faults)
            elif name in self.needed:
                faults.add(member(path, name), "missing", f"Missing; add “{name}”.")
                read[name] = shape.stand_in()
        return self.kind(**read)

    def write(self, value: Any) -> dict[str, object]:
        """Write every member, of a sparse record those that are not as usual."""
        return {
            name: shape.write(getattr(value, name))
            for name, shape in self.members.items()
            if not (self.is_sparse and name in self.usual)
            or getattr(value, name) != self.usual[name]
        }

    def describe(self, parts: dict[str, Any]) -> dict[str, Any]:
        """Describe the members once and refer to that."""
        name = self.kind.__name__
        if name not in parts:
            parts[name] = {}
            properties = {}
            for key, shape in self.members.items():
                rule = shape.describe(parts)
                if key in self.words:
                    rule = {"description": self.words[key], **rule}
                properties[key] = rule
            parts[name] = {
                "type": "object",
                "description": (self.kind.__doc__ or "").split("\n", 1)[0],
                "properties": properties,
                "required": list(self.needed),
                "additionalProperties": False,
            }
        return {"$ref": f"#/$defs/{name}"}

    def stand_in(self) -> Any:
        """Return a record of stand-ins."""
        return self.kind(**{name: self.members[name].stand_in() for name in self.needed})


def needed_fields(kind: type[Any]) -> tuple[str, ...]:
    """Name the fields of a dataclass that have no default."""
    return tuple(
        item.name
        for item in fields(kind)
        if item.default is MISSING and item.default_factory is MISSING
    )


def usual_values(kind: type[Any]) -> dict[str, Any]:
    """Return the defaults of a dataclass by the names of their fields."""
    return {item.name: item.default for item in fields(kind) if item.default is not MISSING}
