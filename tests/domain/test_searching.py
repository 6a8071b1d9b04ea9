"""How words are searched."""

from __future__ import annotations

import pytest

from clubplanner.domain.searching import is_found_by, search_words


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("U-13  Kestrels", ("u", "13", "kestrels")),
        ("U13 Mädchen", ("u", "13", "madchen")),
        ("Đỗ Nguyễn", ("đo", "nguyen")),
        ("ΆΡΗΣ Αθήνα", ("αρης", "αθηνα")),
        ("STRASSE straße", ("strasse", "strasse")),
        ("snake_case", ("snake", "case")),
        ("第一 场", ("第一", "场")),
        ("--", ()),
    ],
)
def test_words_are_letters_and_figures_without_accents(text: str, words: tuple[str, ...]) -> None:
    """In any script; signs part words, figures stand apart from letters."""
    assert tuple(w.replace("σ", "ς") if w.endswith("σ") else w for w in search_words(text)) == words


def test_each_word_begins_one_of_the_text() -> None:
    """In any order; the middle of a word is not enough, and no words find nothing."""
    assert is_found_by(search_words("kes u1"), "U13 Kestrels")
    assert not is_found_by(search_words("estrels"), "U13 Kestrels")
    assert not is_found_by(search_words("kes owls"), "U13 Kestrels")
    assert not is_found_by((), "U13 Kestrels")
