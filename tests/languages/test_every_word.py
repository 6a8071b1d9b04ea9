"""No word on any page that a translator cannot reach: every message is told in brackets."""

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select, text

from clubplanner import language
from clubplanner.domain.times.year import known_countries, public_holidays, region_names
from clubplanner.domain.times.zones import known_zones
from clubplanner.language import speaking
from clubplanner.resources import resource_folder
from clubplanner.services.rows.ground.known_sizes import published_formats
from clubplanner.services.setup.grounds.kinds import ground_kinds
from clubplanner.services.share_out.anew import anew
from clubplanner.sharing.solving.solve import solve
from clubplanner.store.engine import open_store
from clubplanner.store.tables.base import Base
from clubplanner.store.upkeep.migrate import migrate
from tests.browser.screenshots import NOW, STRANGER, list_shots, make_club

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.store.engine import Store
    from tests.browser.screenshots import Club

ADDRESS = "http://127.0.0.1"
OPEN, CLOSE = "\u27e6", "\u27e7"
DATE_PATTERN = re.compile(r"[EMdy ,.]+")
WORD = re.compile(r"[^\W\d_]{2,}")
TAGS = re.compile(r"<(script|style)\b.*?</\1>|<[^>]*>", re.DOTALL)
ATTRIBUTES = re.compile(r'\b(?:aria-label|title|alt|data-label)="([^"]*)"')
ADDRESSES = re.compile(r"https?://\S+")
KNOWN = "Deutsch English m² Waterlogged Firefox Safari Chrome Android iPad CSV XLSX GeoJSON"
"""Names, a unit, kinds of files, and what this test itself typed."""


class Bracketed:
    """A catalogue that tells every message in brackets, so that the rest can be seen."""

    def gettext(self, message: str) -> str:
        """Put a message in brackets; patterns of dates are left to be filled."""
        return message if DATE_PATTERN.fullmatch(message) else f"{OPEN}{message}{CLOSE}"

    def ngettext(self, one: str, many: str, number: int) -> str:
        """Put the words that fit a number in brackets."""
        return self.gettext(one if number == 1 else many)


@pytest.fixture(scope="module")
def club(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Club, Store]]:
    """Make a club with something on every page, all of it told in brackets."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(language, "_catalogue", lambda _code: Bracketed())
        patch.setattr(anew, "solve_in_child", solve)
        store = open_store(f"sqlite:///{tmp_path_factory.mktemp('words') / 'club.sqlite'}")
        migrate(store)
        with speaking("de"):
            made = make_club(store, ADDRESS, seconds=2.0)
        with store.write() as session:
            session.execute(text("UPDATE club SET language = 'de'"))
        yield made, store
        store.close()


def outside(words: str) -> str:
    """Leave out everything in brackets."""
    found, depth = [], 0
    for letter in words:
        depth += (letter == OPEN) - (letter == CLOSE)
        found.append(letter if depth <= 0 and letter != CLOSE else " ")
    return "".join(found)


def data_words(store: Store) -> set[str]:
    """Return every word that stands in the records, and the names of published things."""
    words = set(WORD.findall(KNOWN))
    with store.read() as session:
        for table in Base.metadata.sorted_tables:
            for row in session.execute(select(table)):
                words |= set(WORD.findall(outside(" ".join(map(str, row)))))
    for game in published_formats():
        words |= set(WORD.findall(f"{game.code} {game.body} {game.source} {game.standing}"))
    for kind in ground_kinds():
        words |= set(WORD.findall(kind.source))
    words |= set(WORD.findall(" ".join([*known_zones(), *region_names("GB").values()])))
    first = NOW.date().replace(month=1, day=1)
    for holiday in public_holidays("GB", "ENG", first.replace(year=2026), first.replace(year=2028)):
        words |= set(WORD.findall(holiday.name))
    for n in range(366):
        day = first.fromordinal(first.toordinal() + n)
        with speaking("de"):
            words |= set(WORD.findall(language.date_in_words(day, "EEEE EEE MMMM MMM")))
    with speaking("de"):
        for code, regions in known_countries().items():
            words |= set(WORD.findall(f"{code} {language.country_name(code)} {' '.join(regions)}"))
    return words


def test_every_word_of_every_page_is_told(club: tuple[Club, Store]) -> None:
    """Whatever is neither in brackets nor in the records is a word nobody could translate."""
    made, store = club
    known = {word.lower() for word in data_words(store)}
    faults = set()
    for shot in list_shots(made):
        if shot.path.startswith("/guide/"):
            continue  # its words are a text of their own in each language
        client = made.app.test_client()
        if shot.who != STRANGER:
            client.set_cookie("person", made.secrets[shot.who])
        answer = client.get(shot.path, headers={"Accept-Language": "de"})
        if answer.status_code == 302:
            continue
        shown = [*ATTRIBUTES.findall(answer.text), TAGS.sub(" \n", answer.text)]
        for words in shown:
            for line in outside(ADDRESSES.sub("", html.unescape(words))).splitlines():
                left = [word for word in WORD.findall(line) if word.lower() not in known]
                faults |= {f"{shot.path}: {' '.join(left)}"} if left else set()
    assert not faults, "\n".join(sorted(faults))


def test_no_style_sheet_says_a_word() -> None:
    """What a style sheet puts onto a page is signs alone, since it cannot be translated."""
    sheets = sorted((resource_folder("web") / "static" / "css").glob("*.css"))
    assert len(sheets) > 5
    said = re.compile(r"content:\s*[\"'][^\"']*[^\W\d_]")
    assert [sheet.name for sheet in sheets if said.search(sheet.read_text("utf-8"))] == []
