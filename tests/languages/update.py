"""Bring every catalogue up to date with the words in the package and the templates.

    python -m tests.languages.update [CODE]

New messages come in untranslated, those that are gone are dropped, and one that only changed a
little is kept with a mark ("fuzzy") for a translator to look at. A new CODE begins a catalogue.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po

from tests.languages.messages import CATALOGUES, catalogue_files, find_messages

if TYPE_CHECKING:
    from pathlib import Path


def update(file: Path, template: Catalog) -> Catalog:
    """Merge the messages into one catalogue and write it."""
    if file.exists():
        with file.open("rb") as opened:
            catalog = read_po(opened, locale=file.stem)
    else:
        catalog = Catalog(locale=file.stem, project="clubplanner", charset="utf-8", fuzzy=False)
    catalog.update(template)
    catalog.fuzzy = False
    with file.open("wb") as opened:
        write_po(
            opened,
            catalog,
            width=98,
            sort_by_file=True,
            include_lineno=False,
            ignore_obsolete=True,
            omit_header=False,
        )
    return catalog


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
