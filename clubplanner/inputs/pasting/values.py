"""Numbers, sizes, yes and no, surfaces and age groups as people write them, German or English."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.domain.searching import plain_phrase, plain_word
from clubplanner.domain.terms import SURFACES
from clubplanner.inputs.club_files.spoken_cells import file_cells, told_cells
from clubplanner.inputs.club_files.squads_file.least_ground import SHARES, SQUARE_METRES
from clubplanner.inputs.pasting.reading import Reading, words_of
from clubplanner.inputs.reading.faults import list_words, show_value
from clubplanner.language import _, term

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Sequence

_YES = words_of("yes y ja j true wahr 1 x ✓ ✔ ☑ needed notig erforderlich vorhanden")
_NO = words_of("no n nein false falsch 0 - – ✗ ✘ ☐ none ohne keine kein")
NOTHING = frozenset(("-", "–", "—", "/", "?", "n/a", "k.a.", "k. a.", "tbd", "tba", "offen"))
"""What people write where they have nothing to say."""
_ANY = words_of("any all egal beliebig alle")
_SURFACES = {
    "grass": ("grass", "rasen", "naturrasen", "rasenplatz", "gras", "natural grass", "turf"),
    "artificial": (
        "artificial",
        "artificial turf",
        "artificial grass",
        "kunstrasen",
        "kunstrasenplatz",
        "kura",
        "astro",
        "astroturf",
        "3g",
        "4g",
        "all weather",
    ),
    "indoor": ("indoor", "halle", "sporthalle", "turnhalle", "hall", "sports hall", "indoors"),
}
SURFACE_WORDS = {word: name for name, words in _SURFACES.items() for word in words}
_SHARES = {
    "whole": ("whole", "full", "ganz", "ganzer", "ganze", "voll", "1", "1/1", "100%", "1.0"),
    "half": ("half", "halb", "halber", "halbe", "halfte", "½", "1/2", "50%", "0.5", "0,5"),
    "third": ("third", "drittel", "⅓", "1/3", "33%", "0.33", "0,33"),
    "quarter": ("quarter", "viertel", "¼", "1/4", "25%", "0.25", "0,25"),
}
SHARE_WORDS = {word: name for name, words in _SHARES.items() for word in words}
_PITCH_WORDS = re.compile(
    r"\b(?:of|a|an|one|the|pitch|field|platz|platzes|feld|spielfeld|ein|eine|einen|eines|"
    r"mindestens|at least|min)\b\.?"
)
_LEAST = re.compile(r"^(?:mindestens|mind\.?|min\.?|at least|ca\.?)\s+")
_AREA = re.compile(
    r"(\d{1,3}(?:[. ]?\d{3})?|\d+)(?:[.,]\d{1,2})?\s*(?:m2|m²|qm|sqm|sq m|quadratmeter)"
)
_SIDES = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s*m?\s*[x×*]\s*(\d{1,3}(?:[.,]\d+)?)\s*m?")
_GAME = re.compile(r"(\d{1,2})\s*(?:v|vs|gegen|g|:|-)\s*(\d{1,2})")
_COUNT = re.compile(
    r"(?:ca\.?|circa|about|approx\.?|rund|etwa|~|max\.?|bis zu|up to)?\s*(\d{1,6})(?:[.,]0+)?"
    r"\s*(?:[^\W\d_]+\.?)?"
)
_UNDER = re.compile(r"u\s*[-.]?\s*(\d{1,2})\b\s*(.*)")
_GERMAN = re.compile(
    r"(?P<letter>[a-g])[\s-]*(?P<number>\d?)[\s-]*(?P<kind>jun\w*|jgd|jugend|jug|jd|madchen|jungen)"
)
GERMAN_YOUTH = {
    "a": ("U19", "U18"),
    "b": ("U17", "U16"),
    "c": ("U15", "U14"),
    "d": ("U13", "U12"),
    "e": ("U11", "U10"),
    "f": ("U9", "U8"),
    "g": ("U7", "U6"),
}
"""Classes of German youth football by letter, each of two years (DFB Jugendordnung, from memory;
the youngest begin earlier in places). A squad of it can be of either year, so we ask."""
_ADULTS = words_of(
    "herren damen senioren seniorinnen adult adults men women manner frauen aktive open altherren"
)


def read_count(text: str) -> Reading:
    """Read a whole number: "16", "ca. 16", "16 Spieler", "16,0"."""
    found = _COUNT.fullmatch(text.strip().lower())
    if not found:
        fault = _("%(words)s is not one whole number; write one, like 16", words=show_value(text))
        numbers = dict.fromkeys(str(int(n)) for n in re.findall(r"\d{1,6}", text))
        return Reading(faults=(fault,), choices=tuple(numbers)[:4])
    return Reading(str(int(found[1])))


def read_yes(text: str) -> Reading:
    """Read yes or no."""
    plain = plain_word(text).strip(" .!")
    if plain in _YES:
        return Reading("yes")
    if plain in _NO:
        return Reading("no")
    fault = _("%(words)s is neither yes nor no; choose one", words=show_value(text))
    return Reading(faults=(fault,), choices=("yes", "no"))


def read_surfaces(text: str, known: Collection[str]) -> Reading:
    """Read surfaces, as "artificial, grass".

    Args:
        text: The cell.
        known: Surfaces of the club's pitches, which may have words of their own.
    """
    if plain_word(text).strip() in _ANY:
        return Reading()
    found, faults = [], []
    own = {plain_phrase(word): word for word in known}
    own |= {plain_phrase(term(word)): word for word in known}
    for part in re.split(r"[,/;+]|\bund\b|\band\b|\boder\b|\bor\b", text):
        plain = plain_phrase(part)
        word = own.get(plain) or SURFACE_WORDS.get(plain)
        if word:
            found.append(word)
        elif plain:
            faults.append(
                _(
                    "%(words)s is no surface that is known here; choose one",
                    words=show_value(part.strip()),
                )
            )
    choices = tuple(dict.fromkeys((*sorted(known), *SURFACES))) if faults else ()
    return Reading("" if faults else ", ".join(sorted(set(found))), tuple(faults), choices)


def read_least_ground(text: str, format_codes: Collection[str]) -> Reading:
    """Read the least ground, as "third, 1500 m2, 7v7".

    Args:
        text: The cell.
        format_codes: Game formats that may be named, such as "7v7".
    """
    if plain_word(text).strip() in _ANY:
        return Reading()
    found, faults = [], []
    for part in re.split(r"[;+]|,(?!\d)|\bund\b|\band\b", text.lower()):
        if not part.strip():
            continue
        word = _size(part, format_codes)
        if word:
            found.append(word)
        else:
            faults.append(
                _(
                    "%(words)s is no size; write square metres (1500 m2), a share of a pitch "
                    "(%(shares)s) or a game format (%(format_codes)s)",
                    words=show_value(part.strip()),
                    shares=list_words(term(share) for share in SHARES),
                    format_codes=list_words(sorted(format_codes)[:6]),
                )
            )
    return Reading("" if faults else ", ".join(found), tuple(faults), tuple(SHARES) * bool(faults))


def _size(part: str, format_codes: Collection[str]) -> str:
    text = " ".join(part.split())
    if text in SHARE_WORDS:
        return SHARE_WORDS[text]
    if text in format_codes or SQUARE_METRES.match(text) or re.fullmatch(r"1/[1-9]\d?", text):
        return text
    bare = " ".join(_PITCH_WORDS.sub(" ", plain_word(text).replace("-", " ")).split())
    for word in (text.replace(" ", ""), bare):
        if word in SHARE_WORDS:
            return SHARE_WORDS[word]
    own = file_cells({"least ground": text})["least ground"]
    if own in SHARES:
        return own
    text = _LEAST.sub("", text)
    if found := _AREA.fullmatch(text):
        return f"{int(re.sub(r'[^0-9]', '', found[1]))} m2"
    if found := _SIDES.fullmatch(text):
        a, b = (float(side.replace(",", ".")) for side in found.groups())
        return f"{a * b:g} m2" if a * b < 1e5 else ""
    if (found := _GAME.fullmatch(text)) and f"{int(found[1])}v{int(found[2])}" in format_codes:
        return f"{int(found[1])}v{int(found[2])}"
    return ""


def read_age_group(text: str) -> Reading:
    """Read an age group: "U 13" is U13, "D-Jugend" is asked about, other words stay as they are."""
    plain = plain_word(" ".join(text.split()))
    if found := _UNDER.fullmatch(plain):
        rest = text.strip()[len(text.strip()) - len(found[2]) :] if found[2] else ""
        return Reading(f"U{int(found[1])} {rest}".strip())
    if found := _GERMAN.match(plain):
        years = GERMAN_YOUTH[found["letter"]]
        fault = _(
            "%(words)s is a class of two years; choose the age of this squad",
            words=show_value(text.strip()),
        )
        return Reading(faults=(fault,), choices=years)
    if plain in ("bambini", "minis", "minikicker"):
        fault = _("Choose the age of %(words)s", words=show_value(text.strip()))
        return Reading(faults=(fault,), choices=GERMAN_YOUTH["g"])
    if plain in _ADULTS:
        return Reading(text.strip())
    return Reading(" ".join(text.split()))


def read_text(text: str) -> Reading:
    """Take a text as it is, inner spaces single."""
    return Reading(" ".join(text.split()))


def read_phone(text: str) -> Reading:
    """Take a telephone number; signs between its digits become blanks, "(0)" is left out."""
    bare = re.sub(r"(?<=\d)\s*\(0\)", " ", text)
    return Reading(" ".join(re.sub(r"[/\\().–-]", " ", bare).split()))


def read_email(text: str) -> Reading:
    """Take a mail address out of what programs put around it: "mailto:", angle brackets, a name."""
    found = re.search(r"<([^<>]+)>\s*$", text)
    return Reading((found[1] if found else text).strip().removeprefix("mailto:"))


def read_in_file_words(column: str) -> Callable[[str], Reading]:
    """Return a reader of cells whose words are exchanged only, and understood by the files' own."""

    def read(text: str) -> Reading:
        return Reading(file_cells({column: " ".join(text.split())})[column])

    return read


def told_choices(column: str, choices: Iterable[str]) -> Sequence[tuple[str, str]]:
    """Return what may have been meant, each with its words in the language spoken now."""
    return [(choice, told_cells({column: choice})[column]) for choice in choices]
