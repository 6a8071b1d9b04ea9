"""Reading text as TOML or JSON without letting a small file take a large memory.

The readers of Python build everything before anything can be looked at: a dotted key of many parts
costs the square of its parts, a list of empty lists forty times its letters. So a file is counted
first, in one pass over its letters, and only then read.
"""

from __future__ import annotations

import json
import re
import tomllib
from typing import TYPE_CHECKING, Any

from clubplanner.language import _

if TYPE_CHECKING:
    from clubplanner.inputs.reading.faults import Faults

LONGEST_TOML = 1_000_000
"""Characters of a settings file; one of a large club has some ten thousand (our own choice)."""
MOST_KEY_PARTS = 8
"""Parts of a dotted key; settings use two."""
LONGEST_WORD = 10_000
"""Characters of a bare word or number; quoted text may be longer."""
MOST_LINES = 20_000
MOST_ENTRIES = 20_000
"""Commas of a settings file, an upper bound for what its lists and inline tables hold."""
MOST_JSON_LISTS = 200_000
"""Lists and objects of a JSON file; each position of an outline is one."""
MOST_JSON_ENTRIES = 600_000

_PART = r"""(?:[A-Za-z0-9_-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')"""
_PIECES = re.compile(
    r"""(?P<long>\"{3}(?:[^"\\]++|\\.|"(?!""))*+\"{3}|'{3}.*?'{3})"""
    rf"""|(?P<key>{_PART}(?:[ \t]*+\.[ \t]*+{_PART})*+)"""
    r"""|(?P<comment>\#[^\n]*+)""",
    re.DOTALL,
)
_PARTS = re.compile(_PART)


def read_toml(text: str, faults: Faults) -> dict[str, Any] | None:
    """Read TOML (version 1.0); None with a fault when it cannot be read or asks for too much."""
    too_much = _too_much_toml(text)
    if too_much:
        faults.add("", "not-toml", too_much)
        return None
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        faults.add("", "not-toml", _unreadable(fault))
    except RecursionError:
        faults.add("", "not-toml", _too_deep())
    except ValueError:
        faults.add("", "not-toml", _too_many_digits())
    return None


def read_json(text: str, faults: Faults) -> object:
    """Read JSON (RFC 8259); with a fault when it cannot be read or asks for too much."""
    lists, entries = text.count("[") + text.count("{"), text.count(",")
    if lists > MOST_JSON_LISTS or entries > MOST_JSON_ENTRIES:
        faults.add(
            "",
            "not-json",
            _("The file holds too many lists and values; leave out what is no pitch of yours"),
        )
        return None
    try:
        found: object = json.loads(text)
    except json.JSONDecodeError as fault:
        faults.add("", "not-json", _unreadable(fault))
    except RecursionError:
        faults.add("", "not-json", _too_deep())
    except ValueError:
        faults.add("", "not-json", _too_many_digits())
    else:
        return found
    return None


def _too_much_toml(text: str) -> str:
    """Return what a text has too much of, as a message; blank when it may be read."""
    if len(text) > LONGEST_TOML:
        return _("The file is too long for settings; leave out what does not belong there")
    if text.count("\n") > MOST_LINES or text.count(",") > MOST_ENTRIES:
        return _("The file holds too many lines and values; leave out what does not belong there")
    for found in _PIECES.finditer(text):
        told = _too_much_key(found["key"] or "", text.count("\n", 0, found.start()) + 1)
        if told:
            return told
    return ""


def _too_much_key(key: str, line: int) -> str:
    if len(key) > LONGEST_WORD and key[0] not in "\"'":
        return _(
            "Line %(line)s has a name or number of %(count)s characters; correct it, or put text "
            "in double quotes",
            line=line,
            count=len(key),
        )
    parts = 1
    if key.count(".") >= MOST_KEY_PARTS:
        parts = sum(1 for _part in _PARTS.finditer(key))
    if parts > MOST_KEY_PARTS:
        return _(
            "Line %(line)s has a name of %(parts)s parts with dots between them; write tables in "
            "square brackets instead, as in the example",
            line=line,
            parts=parts,
        )
    return ""


def _too_deep() -> str:
    return _unreadable(_("lists and tables lie too deep in each other; take some out"))


def _too_many_digits() -> str:
    return _unreadable(_("a number has more digits than any measure; correct it"))


def _unreadable(fault: object) -> str:
    return _("The file cannot be read: %(fault)s", fault=fault)
