"""What every app and every database of the tests would compile anew, compiled once for a run.

Each test makes an app and a database of its own. A server makes one of each, and so pays once.
"""

from __future__ import annotations

from contextlib import ExitStack, contextmanager
from typing import TYPE_CHECKING, Any
from unittest.mock import patch

from sqlalchemy import create_engine
from sqlalchemy.dialects.postgresql.psycopg import PGDialect_psycopg
from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite
from sqlalchemy.util import LRUCache
from werkzeug.routing import Rule

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from sqlalchemy import Engine

MOST_STATEMENTS = 2000


@contextmanager
def compiled_once() -> Iterator[None]:
    """Share compiled addresses and statements while this is open."""
    with ExitStack() as stack:
        for share in (_addresses, _statements):
            stack.enter_context(share())
        yield


@contextmanager
def _addresses() -> Iterator[None]:
    """Share the functions that write addresses: a rule's depends on its parts alone."""
    known: dict[object, Callable[..., tuple[str, str]]] = {}
    compile_anew = Rule._compile_builder

    def compile_builder(
        rule: Rule,
        append_unknown: bool = True,
    ) -> Callable[..., tuple[str, str]]:
        if rule.defaults:
            return compile_anew(rule, append_unknown)
        key = (rule.rule, tuple(rule._trace), append_unknown)
        if key not in known:
            known[key] = compile_anew(rule, append_unknown)
        return known[key]

    with patch.object(Rule, "_compile_builder", compile_builder):
        yield


@contextmanager
def _statements() -> Iterator[None]:
    """Share compiled statements: they are kept by dialect, and each engine has one of its own.

    Dialects of one kind are as good as one: the run has one SQLite, and one PostgreSQL at most.
    """
    known: LRUCache[Any, Any] = LRUCache(MOST_STATEMENTS)

    def engine_of(*args: Any, **options: Any) -> Engine:
        return create_engine(*args, execution_options={"compiled_cache": known}, **options)

    with ExitStack() as stack:
        for kind in (SQLiteDialect_pysqlite, PGDialect_psycopg):
            stack.enter_context(
                patch.object(kind, "__eq__", lambda one, other: type(one) is type(other))
            )
            stack.enter_context(patch.object(kind, "__hash__", lambda one: hash(type(one))))
        for module in ("engine", "postgres"):
            stack.enter_context(patch(f"clubplanner.store.{module}.create_engine", engine_of))
        yield
