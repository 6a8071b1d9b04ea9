"""From the club's rules and wishes to those of a share-out: names become keys."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.sharing.values.wants import LoadLimit, Pair, PairKind, Window, Wish

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from clubplanner.domain.club.sharing_rules import SharingRules
    from clubplanner.domain.club.squads import Ask as ClubAsk
    from clubplanner.domain.club.squads import AskWish
    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.sharing.values.problem import Ground


class Places:
    """The club's places by the names people give them."""

    def __init__(self, venues: Sequence[Venue], grounds: Sequence[Ground]) -> None:
        self._venues = {plain_name(venue.name): venue for venue in venues}
        self._pitches: dict[str, list[Pitch]] = defaultdict(list)
        for venue in venues:
            for pitch in venue.pitches:
                self._pitches[plain_name(pitch.name)].append(pitch)
        self._grounds = grounds

    def pitch(self, venue_name: str, pitch_name: str, what: str) -> tuple[Venue, Pitch]:
        """Find a pitch of a venue.

        Raises:
            RefusedError: If there is none; `what` says whose words these are.
        """
        venue = self.venue(venue_name, what)
        for pitch in venue.pitches:
            if plain_name(pitch.name) == plain_name(pitch_name):
                return venue, pitch
        known = ", ".join(pitch.name for pitch in venue.pitches) or _("none yet")
        raise RefusedError(
            _(
                "%(what)s names the pitch “%(pitch_name)s” at %(venue)s, which is not there; "
                "the pitches are: %(known)s. Mend it and load the file again.",
                what=what,
                pitch_name=pitch_name,
                venue=venue.name,
                known=known,
            )
        )

    def venue(self, name: str, what: str) -> Venue:
        """Find a venue.

        Raises:
            RefusedError: If there is none.
        """
        venue = self._venues.get(plain_name(name))
        if venue is None:
            known = ", ".join(venue.name for venue in self._venues.values())
            raise RefusedError(
                _(
                    "%(what)s names the venue “%(name)s”, which is not there; the venues are: "
                    "%(known)s. Mend it and load the file again.",
                    what=what,
                    name=name,
                    known=known,
                )
            )
        return venue

    def wish(self, grade: int, name: str, what: str) -> Wish:
        """Turn a named place into a wish: a venue, a pitch, or areas of that name.

        Raises:
            RefusedError: If nothing is called so.
        """
        plain = plain_name(name)
        if plain in self._venues:
            return Wish(grade, venues=frozenset({self._venues[plain].key}))
        pitches = {pitch.key for pitch in self._pitches.get(plain, [])}
        keys = {
            ground.key
            for ground in self._grounds
            if (ground.pitch in pitches and ground.cut == "whole")
            or plain in (plain_name(ground.name), plain_name(ground.name.partition(",")[0]))
        }
        if not keys:
            raise RefusedError(
                _(
                    "%(what)s wishes for “%(name)s”, which is no venue, pitch or area of the "
                    "club. Mend the squads file and load it again.",
                    what=what,
                    name=name,
                )
            )
        return Wish(grade, grounds=frozenset(keys))


def limits(rules: SharingRules, places: Places) -> tuple[LoadLimit, ...]:
    """Turn the club's limits into those of pitches by key."""
    found: list[LoadLimit] = []
    for limit in rules.limits:
        _unused, pitch = places.pitch(limit.venue, limit.pitch, _("A limit in the settings"))
        found.append(LoadLimit(pitch.key, limit.minutes, limit.sessions))
    return tuple(found)


def wishes(
    ask: ClubAsk, squad_name: str, index: Mapping[int, Sequence[int]], places: Places
) -> tuple[Wish, ...]:
    """Turn an ask's wishes into those for the days of a plan; others have nothing to say there."""
    return tuple(wish for item in ask.wishes for wish in _wish(item, squad_name, index, places))


def pairs(asks: Iterable[ClubAsk]) -> tuple[Pair, ...]:
    """Gather what squads wish of each other, each wish once, between squads that ask."""
    known = list(asks)
    squads = {ask.squad_key for ask in known}
    found = [
        Pair(PairKind(item.kind), ask.squad_key, item.squad_key, item.grade)
        for ask in known
        for item in ask.partners
        if item.squad_key in squads
    ]
    return tuple(dict.fromkeys(found))


def _wish(
    item: AskWish, squad_name: str, index: Mapping[int, Sequence[int]], places: Places
) -> list[Wish]:
    if item.place:
        return [places.wish(item.grade, item.place, squad_name)]
    days = frozenset(day for weekday in item.weekdays for day in index.get(weekday, ()))
    windows = tuple(
        Window(day, w.start_min, w.end_min)
        for w in item.windows
        for day in index.get(w.weekday, ())
    )
    return [Wish(item.grade, windows, days)] if days or windows else []
