"""Headers of a mail with words in them, written by us: RFC 2047 for what is not plain ASCII.

The standard library folds long words into encoded ones, also in addresses of the web, and puts
blanks between the pieces of a name; here a header is one of three simple forms.
"""

from __future__ import annotations

import base64
import re
import textwrap
from email.headerregistry import (
    HeaderRegistry,
    UniqueAddressHeader,
    UniqueUnstructuredHeader,
)
from email.policy import SMTP, EmailPolicy
from typing import TYPE_CHECKING, Any, cast

if TYPE_CHECKING:
    from email.headerregistry import BaseHeader
    from email.message import EmailMessage

_PAYLOAD_OCTETS = 45
"""Octets in one encoded word, so that it has at most 75 characters (RFC 2047, section 2)."""
_LINE = 60
_PRINTABLE = re.compile("[ -~]*")


class _AsGivenHeader(UniqueUnstructuredHeader):
    """A header whose value is taken as it is: what looks like an encoded word is just words."""

    name: str

    @classmethod
    def parse(cls, value: str, kwds: dict[str, Any]) -> None:
        """Take the value without reading anything into it."""
        kwds.update(parse_tree=None, decoded=value)


class _WordsHeader(_AsGivenHeader):
    """A header of free words, such as Subject."""

    def fold(self, *, policy: EmailPolicy[Any]) -> str:
        """Return the header, folded."""
        text = str(self)
        if _is_plain(text):
            lines = textwrap.wrap(text, _LINE, break_long_words=False, break_on_hyphens=False)
        else:
            lines = _encoded_words(text)
        return _joined(self.name, lines, policy)


class _AddressHeader(UniqueAddressHeader):
    """A header of one mailbox, such as To, given as an `Address`."""

    name: str

    @classmethod
    def parse(cls, value: Any, kwds: dict[str, Any]) -> None:
        """Take the address as it is; the tree is for a way of folding that is not used."""
        kwds["parse_tree"] = None
        super().parse(value, kwds)

    def fold(self, *, policy: EmailPolicy[Any]) -> str:
        """Return the header, folded."""
        (address,) = self.addresses
        name = address.display_name
        if _is_plain(name):
            quoted = name.replace("\\", "\\\\").replace('"', '\\"')
            lines = [f'"{quoted}"'] if name else []
        else:
            lines = _encoded_words(name)
        return _joined(self.name, [*lines, f"<{address.addr_spec}>"], policy)


class _LongWordHeader(_AsGivenHeader):
    """A header of one long ASCII word that must not be taken apart."""

    def fold(self, *, policy: EmailPolicy[Any]) -> str:
        """Return the header on one line."""
        return _joined(self.name, [str(self)], policy)


def make_policy() -> EmailPolicy[EmailMessage]:
    """Return how mails are written: for SMTP, with the headers of this module."""
    headers = HeaderRegistry()
    kinds = {
        "Subject": _WordsHeader,
        "From": _AddressHeader,
        "To": _AddressHeader,
        "List-Unsubscribe": _LongWordHeader,
    }
    for name, kind in kinds.items():
        headers.map_to_type(name, cast("type[BaseHeader]", kind))
    return SMTP.clone(header_factory=headers)


def _is_plain(text: str) -> bool:
    return bool(_PRINTABLE.fullmatch(text)) and "=?" not in text


def _joined(name: str, lines: list[str], policy: EmailPolicy[Any]) -> str:
    return f"{name}: " + f"{policy.linesep} ".join(lines) + policy.linesep


def _encoded_words(text: str) -> list[str]:
    """Encode words; blanks between two of them are not read (RFC 2047, section 6.2)."""
    pieces: list[bytes] = [b""]
    for character in text:
        octets = character.encode()
        if len(pieces[-1]) + len(octets) > _PAYLOAD_OCTETS:
            pieces.append(b"")
        pieces[-1] += octets
    return [f"=?utf-8?b?{base64.b64encode(piece).decode('ascii')}?=" for piece in pieces]
