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
    from collections.abc import Iterator

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
    """Share what is made of an address: it depends on its words alone."""
    known: dict[object, tuple[Any, ...]] = {}
    compile_anew = Rule.compile

    def compile_rule(rule: Rule) -> None:
        if rule.defaults:
            compile_anew(rule)
            return
        key = (rule.rule, rule.merge_slashes, rule.subdomain, rule.host)
        if key not in known:
            compile_anew(rule)
            writers: tuple[Any, ...] = (rule._build, rule._build_unknown)
            plain = (writer.__func__ for writer in writers)
            known[key] = (rule._parts, rule._trace, rule._converters, *plain)
        rule._parts, rule._trace, rule._converters, build, build_unknown = known[key]
        rule._build, rule._build_unknown = build.__get__(rule), build_unknown.__get__(rule)
        rule.arguments |= rule._converters.keys()

    with patch.object(Rule, "compile", compile_rule):
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
        for module in ("sqlite", "postgres"):
            stack.enter_context(patch(f"clubplanner.store.{module}.create_engine", engine_of))
        yield
