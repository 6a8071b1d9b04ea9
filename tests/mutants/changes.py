"""Making mutants: every small fault that one change of a module's syntax tree gives.

Most changes are those of mutmut (numbers, strings, operators, arguments, assignments). Its own runs
change function bodies only; limits, tables, decorated methods and SQL matter as much here, so its
changes are put to the whole module, with some of our own beside them: a condition turned round
or dropped, a statement left out, a piece left out of an f-string, a fault in SQL.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import dataclass, replace
from difflib import unified_diff
from typing import TYPE_CHECKING, Any

import libcst as cst
from mutmut.mutation.mutators import mutation_operators

from tests.mutants.sql import is_sql, sql_changes

if TYPE_CHECKING:
    from collections.abc import Iterator

MESSAGE_CALLS = {"_", "ngettext"}
"""Words people read are held by `tests/languages`."""
UNCHANGED_ARGUMENTS = {"frozen", "slots", "kw_only", "strict"}
"""They turn a programmer's mistake into an error and change no result."""


@dataclass(frozen=True, slots=True)
class Mutant:
    """A module with one fault.

    Attributes:
        number: Six hexadecimal digits that stay the same until the place itself is changed.
        where: Function or class the fault is in, such as "Feed.__post_init__"; blank at the top.
        line: First changed line, from 1.
        was: Changed lines before, each blank run as one space.
        becomes: The same lines after.
        diff: The changed lines as people read them.
        source: The whole module with the fault.
    """

    number: str
    where: str
    line: int
    was: str
    becomes: str
    diff: str
    source: str


def mutants_of(module: str, source: str) -> tuple[Mutant, ...]:
    """Make every mutant of a module, in the order of its text; none twice.

    Args:
        module: Its name, for the numbers.
        source: Its text.
    """
    tree: Any = cst.parse_module(source)
    seen = {source}
    mutants: list[Mutant] = []
    for where, node, replacement in _walk(tree, tree, ""):
        changed: str = tree.deep_replace(node, replacement).code
        if changed not in seen and _compiles(changed):
            seen.add(changed)
            mutants.append(_mutant(where, source, changed))
    # Equal changes of equal lines in one function are told apart by their order.
    counted: Counter[tuple[str, str, str]] = Counter()
    for place, one in enumerate(mutants):
        change = (one.where, one.was, one.becomes)
        told = "|".join((module, *change, str(counted[change])))
        mutants[place] = replace(one, number=hashlib.sha256(told.encode()).hexdigest()[:6])
        counted[change] += 1
    return tuple(sorted(mutants, key=lambda mutant: mutant.line))


def _mutant(where: str, source: str, changed: str) -> Mutant:
    lines = unified_diff(source.splitlines(), changed.splitlines(), lineterm="", n=0)
    told = list(lines)[2:]
    line = int(told[0].split()[1].strip("-").split(",")[0])
    told = [one for one in told if not one.startswith("@@")]
    was, becomes = (
        " ".join(" ".join(one[1:] for one in told if one[0] == sign).split()) for sign in "-+"
    )
    diff = "\n".join(f"    {one[0]} {one[1:]}" for one in told)
    return Mutant("", where, line, was, becomes, diff, changed)


def _compiles(source: str) -> bool:
    try:
        compile(source, "mutant", "exec")
    except (SyntaxError, ValueError):
        return False
    return True


def _walk(tree: Any, node: Any, where: str) -> Iterator[tuple[str, Any, Any]]:
    """Yield (where, node, what stands in its place) for a node and all below it."""
    if _is_left_alone(tree, node):
        return
    if isinstance(node, cst.FunctionDef | cst.ClassDef):
        where = f"{where}.{node.name.value}".lstrip(".")
    for replacement in _changes(tree, node):
        yield where, node, replacement
    if isinstance(node, cst.Raise):  # what an error says is held by other tests
        return
    is_message = isinstance(node, cst.Call) and _name(node.func) in MESSAGE_CALLS
    for child in node.children:
        is_words = is_message and isinstance(child, cst.Arg) and child.keyword is None
        if not is_words and not _is_sql_string(tree, node):
            yield from _walk(tree, child, where)


def _is_left_alone(tree: Any, node: Any) -> bool:
    """Tell what is no behaviour: types, imports, docstrings, messages of errors."""
    if isinstance(node, cst.Annotation | cst.Import | cst.ImportFrom):
        return True
    if isinstance(node, cst.If) and _name(node.test) == "TYPE_CHECKING":
        return True
    if isinstance(node, cst.Expr):
        return isinstance(node.value, cst.SimpleString | cst.ConcatenatedString)
    if isinstance(node, cst.Arg) and node.keyword is not None:
        return node.keyword.value in UNCHANGED_ARGUMENTS
    return False


def _changes(tree: Any, node: Any) -> Iterator[Any]:
    if _is_sql_string(tree, node):
        for statement in sql_changes(tree.code_for_node(node)):
            is_parted = isinstance(node, cst.ConcatenatedString)  # over lines, without brackets
            yield cst.parse_expression(f"({statement})" if is_parted else statement)
        return
    for kind, operator in mutation_operators:
        if isinstance(node, kind):
            yield from (new for new in operator(node) if not _only_words(node, new))
    yield from _conditions(node)
    yield from _left_out(node)


def _conditions(node: Any) -> Iterator[Any]:
    """Yield conditions turned round, and halves of those made of two."""
    if isinstance(node, cst.BooleanOperation):
        yield from (node.left, node.right)
    if isinstance(node, cst.If | cst.While | cst.CompIf):
        bracketed = node.test.with_changes(lpar=[cst.LeftParen()], rpar=[cst.RightParen()])
        yield node.with_changes(test=cst.UnaryOperation(cst.Not(), bracketed))


def _left_out(node: Any) -> Iterator[Any]:
    """Yield what is left when a statement, or a piece of an f-string, is left out."""
    if isinstance(node, cst.Raise):
        yield cst.Pass()
    if isinstance(node, cst.Expr) and isinstance(node.value, cst.Call):
        yield cst.Pass()
    if isinstance(node, cst.If):
        for place, line in enumerate(node.body.body):
            if isinstance(line, cst.SimpleStatementLine) and isinstance(line.body[0], cst.Return):
                passed = line.with_changes(body=[cst.Pass()])
                lines = [*node.body.body[:place], passed, *node.body.body[place + 1 :]]
                yield node.with_changes(body=node.body.with_changes(body=lines))
    if isinstance(node, cst.FormattedString):
        for place in range(len(node.parts)):
            yield node.with_changes(parts=[*node.parts[:place], *node.parts[place + 1 :]])


def _only_words(node: Any, new: Any) -> bool:
    """Tell whether a changed call differs only in an argument that changes no result."""
    if not (isinstance(node, cst.Call) and isinstance(new, cst.Call)):
        return False
    if _name(node.func) in {"dataclass", "field"}:
        return True
    gone = [arg for arg in node.args if all(arg is not kept for kept in new.args)]
    return any(arg.keyword is not None and arg.keyword.value in UNCHANGED_ARGUMENTS for arg in gone)


def _is_sql_string(tree: Any, node: Any) -> bool:
    if not isinstance(node, cst.SimpleString | cst.FormattedString | cst.ConcatenatedString):
        return False
    return is_sql(tree.code_for_node(node))


def _name(node: Any) -> str:
    return str(node.value) if isinstance(node, cst.Name) else ""
