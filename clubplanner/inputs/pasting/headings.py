"""Which column is what: by its heading, German or English, and by what was said the last time."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from clubplanner.domain.searching import plain_phrase
from clubplanner.inputs.pasting.kinds import HIRES, KINDS, LEFT_OUT, MATCHES, SQUADS, Kind
from clubplanner.language import languages, speaking, term

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

LOOKED_AT = 25
"""Rows among which the one with the headings is looked for."""

_SYNONYMS = {
    SQUADS: {
        "squad": "squad, team, teams, mannschaft, mannschaften, gruppe, group, trainingsgruppe, "
        "mannschaftsname, team name, name der mannschaft, name",
        "age group": "age group, age, ages, altersklasse, altersgruppe, alter, ak, jugend",
        "players": "players, player, spieler, spielerinnen, spielerzahl, anzahl spieler, kader, "
        "kadergröße, anzahl, number of players, no of players, teilnehmer, squad size, "
        "kaderstärke, anz spieler, spieleranzahl, mitglieder, head count",
        "goalkeepers": "goalkeepers, keepers, goalies, torwarte, torwart, torhüter, torleute, tw, "
        "gk, davon torwarte",
        "coach": "coach, coaches, trainer, trainerin, übungsleiter, übungsleiterin, ül, "
        "head coach, verantwortlich, contact, ansprechpartner, manager, trainer in",
        "coach e-mail": "email, mail, email adresse, mailadresse, email address, trainer email, "
        "coach email, email trainer, kontakt email",
        "coach phone": "phone, telefon, tel, handy, mobil, mobile, telefonnummer, telephone, "
        "phone number, handynummer, mobilnummer, telefon trainer",
        "assistants": "assistants, assistant, co trainer, cotrainer, assistenten, betreuer, "
        "assistant coach, assistant coaches, co trainer in, weitere trainer",
        "sessions a week": "sessions a week, sessions, einheiten, einheiten pro woche, trainings, "
        "trainings pro woche, einheiten woche, trainings woche, sessions per week, wie oft, "
        "anzahl trainings, times a week, mal pro woche, anzahl einheiten",
        "minutes": "minutes, minuten, min, dauer, länge, duration, length, minutes each, "
        "trainingsdauer, dauer min, session length",
        "possible": "possible, possible times, days and times, trainingszeit, trainingszeiten, "
        "training times, training time, mögliche zeiten, wann, when, availability, available, "
        "tage und zeiten, tag und uhrzeit, training, trainings tag zeit, mögliche tage, "
        "tag zeit, day time",
        "days": "day, days, tag, tage, wochentag, wochentage, trainingstag, trainingstage, "
        "training days, training day, weekday",
        "times": "time, times, uhrzeit, uhrzeiten, zeit, zeiten, hours, zeitraum, clock time",
        "from": "from, von, start, beginn, begin, begins, starts, anfang, ab, startzeit, "
        "start time, uhrzeit von, zeit von",
        "until": "until, to, bis, end, ends, ende, schluss, endzeit, end time, uhrzeit bis, "
        "zeit bis, finish",
        "preferred": "preferred, preferred times, wunsch, wunschzeit, wunschzeiten, bevorzugt, "
        "wunschtermin, bevorzugte zeiten, preferred slot",
        "least ground": "least ground, ground, mindestplatz, mindestfläche, platzbedarf, fläche, "
        "platzgröße, size needed, pitch share, area, platzanteil, platz, pitch, feld, space",
        "surface": "surface, belag, untergrund, platzart, oberfläche, surfaces",
        "needs goal": "needs goal, goal, goals, tor, tore, braucht tor, tor nötig, goal needed",
        "needs light": "needs light, light, lights, flutlicht, licht, braucht licht, floodlight, "
        "floodlights, flutlicht nötig",
        "priority": "priority, priorität, vorrang, rang, prio",
        "latest finish": "latest finish, spätestes ende, nicht länger als, finish by",
        "rest days": "rest days, ruhetage, pausentage, tage pause",
        "free day before": "free day before, free before, frei vor, tag davor frei",
        "free day after": "free day after, free after, frei nach, tag danach frei",
        "evenings in a row": "evenings in a row, abende hintereinander, abende am stück",
        "wishes": "wishes, wünsche",
        "other squads": "other squads, andere mannschaften, other teams",
    },
    MATCHES: {
        "date": "date, datum, tag, day, spieltag, spieldatum, match date, wann",
        "kick-off": "kick off, kickoff, anstoß, anstosszeit, uhrzeit, zeit, time, beginn, start, "
        "anpfiff, ko",
        "squad": "squad, team, mannschaft, home, heim, heimmannschaft, heimteam, home team, "
        "eigene mannschaft, our team, gastgeber",
        "opponent": "opponent, gegner, gast, gastmannschaft, gastteam, away, away team, visitors, "
        "guest, gäste, gegnerische mannschaft",
        "format": "format, form of the game, spielform, feldgröße, game",
        "minutes": "minutes, minuten, dauer, spieldauer, spielzeit, length, duration, min",
        "warm-up": "warm up, aufwärmen, aufwärmzeit, warmup",
        "changeover": "changeover, umbau, wechselzeit, pause danach",
        "pitch": "pitch, platz, spielfeld, spielort, spielstätte, ground, venue, ort, feld",
        "officials": "officials, referee, schiedsrichter, schiri, sr, referees, refs, "
        "unparteiische",
        "opponents": "opponents, gäste kommen, ankunft, arrival, kontakt gegner",
        "note": "note, notes, bemerkung, bemerkungen, notiz, hinweis, anmerkung, remarks, comment, "
        "kommentar, info",
    },
    HIRES: {
        "hirer": "hirer, hired by, hired to, mieter, mieterin, vermietet an, nutzer, nutzerin, "
        "gruppe, group, verein, club, organisation, organization, name, who, wer, veranstalter, "
        "user, customer, kunde, fremdnutzer, fremdbelegung, belegt durch",
        "date": "date, datum, termin, on, am, zeitraum, period",
        "days": "day, days, wochentag, wochentage, tag, tage, weekday, weekdays",
        "first": "first date, first, from date, start date, starts on, erster termin, datum von, "
        "beginn datum, ab datum, von datum, gültig ab, valid from, startdatum, erstmals",
        "last": "last date, last, to date, end date, ends on, until date, letzter termin, "
        "datum bis, bis datum, gültig bis, valid until, enddatum, letztmals",
        "every": "every, how often, rhythm, turnus, rhythmus, wie oft, frequency, häufigkeit, "
        "interval, intervall, wiederholung, repeat",
        "not on": "not on, except, except on, left out dates, nicht am, außer, außer am, "
        "ausgenommen, ausfall am, fällt aus am",
        "times": "time, times, uhrzeit, uhrzeiten, zeit, zeiten, hours, von bis, from to",
        "from": "from, von, start, beginn, begin, begins, starts, anfang, startzeit, start time, "
        "uhrzeit von, zeit von",
        "until": "until, to, bis, end, ends, ende, endzeit, end time, uhrzeit bis, zeit bis",
        "pitch": "pitch, platz, spielfeld, halle, hall, ground, sportstätte, ort, where, wo, "
        "anlage, raum, room, fläche, venue",
        "area": "area, part, teil, bereich, platzteil, hallenteil, feld, hälfte, half",
        "contact": "contact, ansprechpartner, ansprechpartnerin, kontakt, whom to call, "
        "verantwortlich, person, contact person",
        "phone": "phone, telefon, tel, handy, mobil, mobile, telefonnummer, telephone, "
        "phone number, handynummer",
        "note": "note, notes, bemerkung, bemerkungen, notiz, hinweis, anmerkung, remarks, "
        "comment, zweck, purpose, anlass",
    },
}
"""What columns are called, as plain words; our own names and their translations come besides."""
_EMAIL = ("e mail", "email")
_HOW_TO_REACH = ("coach e-mail", "coach phone")
"""Meant rather than the coach where a heading names both."""


def plain_heading(text: str) -> str:
    """Return a heading by its plain words: "E-Mail (Trainer)" is "email trainer"."""
    return plain_phrase(text).replace(*_EMAIL)


@cache
def known_headings(kind: str) -> Mapping[str, str]:
    """Return every heading that is known, as plain words, with the column it means."""
    found: dict[str, str] = {}
    names = KINDS[kind].words
    for code in languages():
        with speaking(code):
            found |= {plain_heading(term(words)): column for column, words in names.items()}
    found |= {plain_heading(column): column for column in KINDS[kind].columns}
    for column, words in _SYNONYMS[kind].items():
        for word in words.split(", "):
            found.setdefault(plain_heading(word), column)
    return found


def find_heading_row(
    rows: Sequence[Sequence[str]], kind: str, remembered: Mapping[str, str] | None = None
) -> int:
    """Return the row that holds the headings, counted from 1; 0 where none seems to.

    Titles and notes above it are passed over: it is the first row with the most known headings.
    One known heading is enough where nothing in the row has a digit.

    Args:
        rows: The table.
        kind: What it is about.
        remembered: What the club said of headings before.
    """
    known = remembered or {}
    scores = [
        sum(bool(plain_heading(cell) in known or _meaning(cell, kind)) for cell in row)
        for row in rows[:LOOKED_AT]
    ]
    best = max(scores, default=0)
    if not best:
        return 0
    place = scores.index(best)
    cells = [cell for cell in rows[place] if cell]
    has_digits = any(c.isdigit() for cell in cells for c in cell)
    return place + 1 if best >= 2 or len(cells) == 1 or not has_digits else 0


def headings_of(rows: Sequence[Sequence[str]], heading_row: int) -> tuple[str, ...]:
    """Return the heading of every column of a table, blank where there is none.

    Where headings of several columns were merged, or one over two rows, what stands above counts.

    Args:
        rows: The table.
        heading_row: Where the headings stand, counted from 1; 0 for nowhere.
    """
    width = max((len(row) for row in rows), default=0)
    found = [""] * width
    for row in reversed(rows[:heading_row]):
        if sum(map(bool, row)) < 2 and width > 2:  # a title
            continue
        for n, cell in enumerate(row):
            found[n] = found[n] or cell
    return tuple(found)


def propose_columns(
    headings: Sequence[str], kind: Kind, remembered: Mapping[str, str]
) -> tuple[str, ...]:
    """Return which column of ours each heading means; blank where that is not known.

    Each column of ours is meant once, by the heading that says it best.

    Args:
        headings: As the table has them.
        kind: What the table is about.
        remembered: What the club said of headings before: plain heading to column, blank for one
            that is left out.
    """
    ranked: list[tuple[float, int, int, str]] = []
    for n, heading in enumerate(headings):
        plain = plain_heading(heading)
        if plain and plain in remembered:
            ranked.append((3, -n, n, remembered[plain]))
        elif found := _meaning(heading, kind.key):
            ranked.append((found[0], -n, n, found[1]))
    columns = [LEFT_OUT] * len(headings)
    for _score, _order, n, column in sorted(ranked, reverse=True):
        if column not in columns and column in kind.words:
            columns[n] = column
        elif column == "coach" and "assistants" not in columns and kind.key == SQUADS:
            columns[n] = "assistants"
    return tuple(columns)


def _meaning(heading: str, kind: str) -> tuple[float, str] | None:
    """Return how sure it is what a heading means, from 0 to 2, and what."""
    plain = plain_heading(heading)
    known = known_headings(kind)
    if not plain or len(plain) > 60:
        return None
    if plain in known:
        return 2.0, known[plain]
    words = plain.split()
    parts = [
        (end - start, known.get(" ".join(words[start:end])) in _HOW_TO_REACH, -start, end)
        for start in range(len(words))
        for end in range(start + 1, len(words) + 1)
    ]
    for length, _reach, start, end in sorted(parts, reverse=True):
        part = " ".join(words[-start:end])
        if part in known and len(part) > 2 and len(words) <= 4:
            return length / len(words), known[part]
    return None
