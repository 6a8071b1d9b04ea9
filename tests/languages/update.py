"""Bring every catalogue up to date with the words in the package and the templates.

    python -m tests.languages.update [CODE]

New messages come in untranslated, those that are gone are dropped, and one that only changed a
little is kept with a mark ("fuzzy") for a translator to look at. A new CODE begins a catalogue.
"""

from __future__ import annotations

import sys
from io import BytesIO
from typing import TYPE_CHECKING

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po

from tests.languages.messages import CATALOGUES, catalogue_files, find_messages

if TYPE_CHECKING:
    from pathlib import Path

HEAD = """\
msgid ""
msgstr ""
"Project-Id-Version: clubplanner\\n"
"Language: {code}\\n"
"Plural-Forms: {plurals}\\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"

"""


def update(file: Path, template: Catalog) -> Catalog:
    """Merge the messages into one catalogue and write it."""
    if file.exists():
        with file.open("rb") as opened:
            catalog = read_po(opened, locale=file.stem)
    else:
        catalog = Catalog(locale=file.stem, project="clubplanner", charset="utf-8", fuzzy=False)
    catalog.update(template)
    write(file, catalog)
    return catalog


def write(file: Path, catalog: Catalog) -> None:
    """Write a catalogue with a head that says no more than is needed, and never when."""
    body = BytesIO()
    write_po(
        body,
        catalog,
        width=98,
        sort_by_file=True,
        include_lineno=False,
        ignore_obsolete=True,
        omit_header=True,
    )
    head = HEAD.format(code=file.stem, plurals=catalog.plural_forms)
    file.write_bytes(head.encode() + body.getvalue())


def main() -> int:
    """Update what is there, and begin what is asked for."""
    begun = [CATALOGUES / f"{code}.po" for code in sys.argv[1:]]
    template = find_messages()
    for file in dict.fromkeys([*catalogue_files(), *begun]):
        catalog = update(file, template)
        open_ = sum(bool(m.id) and (m.fuzzy or not m.string) for m in catalog)
        print(f"{file.name}: {len(catalog)} messages, {open_} to be translated")
    return 0


if __name__ == "__main__":
    sys.exit(main())
