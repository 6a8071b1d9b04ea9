"""The way to one's own part of a pitch in words: for whom the drawing is not, and at dusk."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.ground.orientation.measures import distance_in_words
from clubplanner.domain.ground.orientation.way_in import Hand, Landmark, find_way_in
from clubplanner.domain.times.times import end_clock_in_zone
from clubplanner.language import _, in_running_text, sentence, term
from clubplanner.services.showing.ground.neighbours import at_the_start

if TYPE_CHECKING:
    from collections.abc import Sequence
    from zoneinfo import ZoneInfo

    from clubplanner.domain.ground.grounds import Area, Pitch
    from clubplanner.domain.ground.orientation.way_in import Leg, WayIn
    from clubplanner.services.showing.ground.neighbours import Neighbour

NEAR_M = 2.0
"""An entrance no further from the pitch than this is at it."""


@dataclass(frozen=True, slots=True)
class WayInWords:
    """The way in words.

    Attributes:
        way: What the words say, in values.
        lines: Whole sentences, in the order in which one walks.
    """

    way: WayIn
    lines: tuple[str, ...]

    @property
    def text(self) -> str:
        """All of it as one line."""
        return " ".join(self.lines)


def way_in_words(
    pitch: Pitch, own: Area, neighbours: Sequence[Neighbour], zone: ZoneInfo
) -> WayInWords:
    """Say the way to a part of a pitch, past those who are there at the start.

    Args:
        pitch: The pitch.
        own: The part.
        neighbours: Who else is on the pitch while one is there.
        zone: For the times until which they are.
    """
    there = at_the_start(neighbours)
    way = find_way_in(pitch, own, [pitch.area(n.booking.area_key) for n in there])
    held = {n.booking.area_key: _holder(n, zone) for n in there}
    speaker = _Speaker(pitch, own, way, held)
    return WayInWords(way, speaker.lines())


def way_in_short(pitch: Pitch, own: Area) -> str:
    """Say the way without who is there, for what is kept long: it changes with the ground alone."""
    way = find_way_in(pitch, own)
    return _Speaker(pitch, own, way, {}).short()


def _holder(neighbour: Neighbour, zone: ZoneInfo) -> str:
    booking = neighbour.booking
    if booking.purpose is Purpose.CLOSED:
        return _("closed")
    until = end_clock_in_zone(booking.during.ends_at, zone)
    return _("%(holder)s until %(until)s", holder=booking.holder, until=until)


@dataclass(frozen=True, slots=True)
class _Speaker:
    """Puts one way into words."""

    pitch: Pitch
    own: Area
    way: WayIn
    held: dict[str, str]

    def lines(self) -> tuple[str, ...]:
        """Return the whole sentences."""
        reach = self._here_reach() if not self.way.legs else self._reach()
        return tuple(filter(None, (self._to_the_edge(), *self._walk(), reach)))

    def short(self) -> str:
        """Return the sentences without who is there and how far the part goes."""
        return " ".join(filter(None, (self._to_the_edge(), *self._walk())))

    def _edge(self, edge: str) -> str:
        return in_running_text(getattr(self.pitch.edges, edge))

    def _start(self) -> str:
        """Name where one begins: "the way in (clubhouse end)"."""
        edges = [self._edge(edge) for edge in self.way.at]
        if self.way.entrance is None:
            if len(edges) == 2:
                return _("the corner of %(one)s and %(other)s", one=edges[0], other=edges[1])
            return _("the corner at the %(edge)s", edge=edges[0]) if edges else _("the corner")
        if len(edges) == 2:
            return _("the way in (corner of %(one)s and %(other)s)", one=edges[0], other=edges[1])
        return _("the way in (%(edge)s)", edge=edges[0]) if edges else _("the way in")

    def _to_the_edge(self) -> str:
        """Say how far the way in is from the pitch; blank where it is at it."""
        if self.way.off_m <= NEAR_M:
            return ""
        return _(
            "From the way in to the edge of the pitch it is %(distance)s.",
            distance=distance_in_words(self.way.off_m),
        )

    def _walk(self) -> list[str]:
        if not self.way.legs:
            return [self._here()]
        *first, last = self.way.legs
        lines = [self._leg_to_corner(leg, n) for n, leg in enumerate(first)]
        return [*lines, self._last_leg(last, len(first))]

    def _here(self) -> str:
        """Say that one's own part begins where one comes in."""
        start = self._start()
        if self.way.across_m:
            return _(
                "From %(start)s go straight onto the pitch: yours begins after %(distance)s.",
                start=start,
                distance=distance_in_words(self.way.across_m),
            )
        if self.own.cut == "whole":
            return sentence(_("%(start)s: the whole pitch is yours.", start=start))
        return sentence(_("%(start)s: yours begins right there.", start=start))

    def _go(self, leg: Leg, place: int) -> str:
        """Say which way to turn, and along which side."""
        is_right = leg.turn is Hand.RIGHT
        side = self._side(leg, place)
        if place == 0:
            start = self._start()
            if is_right:
                return _(
                    "From %(start)s, looking onto the pitch, go right along %(side)s",
                    start=start,
                    side=side,
                )
            return _(
                "From %(start)s, looking onto the pitch, go left along %(side)s",
                start=start,
                side=side,
            )
        if is_right:
            return _("At the corner turn right, along %(side)s", side=side)
        return _("At the corner turn left, along %(side)s", side=side)

    def _side(self, leg: Leg, place: int) -> str:
        edge = _("the edge") if leg.edge is None else _("the %(edge)s", edge=self._edge(leg.edge))
        if place == 0 and leg.towards:
            return _("%(side)s (%(point)s)", side=edge, point=term(leg.towards))
        return edge

    def _past(self, leg: Leg) -> tuple[str, ...]:
        """Name what one goes past: "past Clubhouse third (U13 Merlins until 19:15)"."""
        grounds = [
            _(
                "%(area)s (%(holder)s)",
                area=self.pitch.area(key).name,
                holder=self.held.get(key) or _("free"),
            )
            if self.held
            else self.pitch.area(key).name
            for key in leg.passed
        ]
        if not grounds:
            return ()
        words = grounds[0]
        for ground in grounds[1:]:
            words = _("%(before)s, then %(ground)s", before=words, ground=ground)
        return (_("past %(grounds)s", grounds=words),)

    def _leg_to_corner(self, leg: Leg, place: int) -> str:
        distance = distance_in_words(leg.length_m)
        to_corner = _("%(distance)s to the corner", distance=distance)
        return ", ".join((self._go(leg, place), to_corner, *self._past(leg))) + "."

    def _last_leg(self, leg: Leg, place: int) -> str:
        walk = ", ".join((self._go(leg, place), *self._past(leg)))
        return f"{walk}; {self._begins(leg)}."

    def _begins(self, leg: Leg) -> str:
        """Say after how far one's own part begins, and at what line."""
        on = distance_in_words(leg.length_m)
        if self.way.across_m:
            return _(
                "%(distance)s on turn to the pitch and go straight onto it: yours begins after "
                "%(across)s",
                distance=on,
                across=distance_in_words(self.way.across_m),
            )
        words = {
            Landmark.HALFWAY: _("yours begins %(distance)s on, at the halfway line", distance=on),
            Landmark.THIRD: _(
                "yours begins %(distance)s on, at the line between thirds", distance=on
            ),
            Landmark.QUARTER: _(
                "yours begins %(distance)s on, at the line between quarters", distance=on
            ),
            Landmark.MIDDLE: _("yours begins %(distance)s on, half way along", distance=on),
            Landmark.CORNER: _("yours begins %(distance)s on, at the corner", distance=on),
        }
        plain = _("yours begins %(distance)s on", distance=on)
        return plain if self.way.landmark is None else words[self.way.landmark]

    def _reach(self) -> str:
        """Say how far one's own part goes from where it begins."""
        reach = self.way.reach
        on_m = max(reach.left_m, reach.right_m)
        if on_m < 1 or reach.deep_m < 1:
            return ""
        return _(
            "It goes on for %(along)s along the edge, and %(deep)s onto the pitch.",
            along=distance_in_words(on_m),
            deep=distance_in_words(reach.deep_m),
        )

    def _here_reach(self) -> str:
        """Say how far it goes to both hands from where one comes in."""
        reach = self.way.reach
        if self.way.across_m:
            return ""
        left, right = distance_in_words(reach.left_m), distance_in_words(reach.right_m)
        deep = distance_in_words(reach.deep_m)
        if reach.deep_m < 1:
            return _(
                "Looking onto the pitch, it goes %(left)s to the left and %(right)s to the right.",
                left=left,
                right=right,
            )
        if reach.right_m < 1:
            return _(
                "Looking onto the pitch, it lies to the left: %(left)s along the edge and "
                "%(deep)s ahead.",
                left=left,
                deep=deep,
            )
        if reach.left_m < 1:
            return _(
                "Looking onto the pitch, it lies to the right: %(right)s along the edge and "
                "%(deep)s ahead.",
                right=right,
                deep=deep,
            )
        return _(
            "Looking onto the pitch, it goes %(left)s to the left, %(right)s to the right and "
            "%(deep)s ahead.",
            left=left,
            right=right,
            deep=deep,
        )
