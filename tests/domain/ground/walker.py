"""Somebody who cannot see the drawing and follows a way in by touch.

They know the outline as a fence under their hand, turn left and right, and count metres. Nothing
here shares code with what found the way: plain sums on plain points.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from clubplanner.domain.ground.orientation.way_in import WayIn

Spot = tuple[float, float]
STEP_M = 0.02


def turned(spot: Spot, degrees: float) -> Spot:
    """Turn a spot about the origin."""
    sin, cos = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    return spot[0] * cos - spot[1] * sin, spot[0] * sin + spot[1] * cos


def is_inside(spot: Spot, ring: list[Spot]) -> bool:
    """Tell whether a spot lies within a ring, by counting crossings of a ray."""
    crossings = 0
    for (x1, y1), (x2, y2) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if (y1 > spot[1]) != (y2 > spot[1]):
            crossings += spot[0] < x1 + (spot[1] - y1) * (x2 - x1) / (y2 - y1)
    return crossings % 2 == 1


def nearest_on(spot: Spot, one: Spot, two: Spot) -> Spot:
    """Return the spot of a stretch nearest to another."""
    x, y = two[0] - one[0], two[1] - one[1]
    share = ((spot[0] - one[0]) * x + (spot[1] - one[1]) * y) / (x * x + y * y)
    share = min(1.0, max(0.0, share))
    return one[0] + share * x, one[1] + share * y


def distance_to(spot: Spot, ring: list[Spot]) -> float:
    """Return how far a spot is from a piece of ground; 0 on it."""
    if is_inside(spot, ring):
        return 0.0
    stretches = zip(ring, [*ring[1:], ring[0]], strict=True)
    return min(math.dist(spot, nearest_on(spot, one, two)) for one, two in stretches)


@dataclass
class Walker:
    """Walks round an outline.

    Attributes:
        ring: The outline, each corner once, in either order.
        spot: Where the walker is.
        stretch: Which stretch of the ring, counted by its first corner, lies under the hand.
        step: Whether the ring is walked up (1) or down (-1); 0 before the first leg.
        trail: Spots come through, at most half a metre from each other.
        headings: Whither each straight went, in degrees, and how far.
    """

    ring: list[Spot]
    spot: Spot
    stretch: int = 0
    step: int = 0
    trail: list[Spot] = field(default_factory=list)
    headings: list[tuple[float, float]] = field(default_factory=list)

    def go_to_the_edge(self) -> float:
        """Walk straight to the nearest spot of the outline; return how far that was."""
        ends = [
            (nearest_on(self.spot, one, two), n)
            for n, (one, two) in enumerate(
                zip(self.ring, [*self.ring[1:], self.ring[0]], strict=True)
            )
        ]
        to, self.stretch = min(ends, key=lambda end: math.dist(self.spot, end[0]))
        far = math.dist(self.spot, to)
        self.spot = to
        return far

    def facing(self) -> float:
        """Return the middle of the directions in which there is ground, in degrees."""
        looks = list(range(360))
        good = [
            is_inside(
                (
                    self.spot[0] + STEP_M * math.cos(math.radians(look)),
                    self.spot[1] + STEP_M * math.sin(math.radians(look)),
                ),
                self.ring,
            )
            for look in looks
        ]
        bad = good.index(False)
        run = [look for look in range(bad, bad + 360) if good[look % 360]]
        return run[len(run) // 2] % 360

    def turn_along(self, hand: str) -> None:
        """Look onto the ground, then turn to one hand along the outline."""
        look = math.radians(self.facing())
        for step in (1, -1):
            self.step = step
            heading = math.radians(self._heading())
            side = math.cos(look) * math.sin(heading) - math.sin(look) * math.cos(heading)
            if (side < 0) == (hand == "right"):
                return
        raise AssertionError(f"there is no way to the {hand}")

    def walk(self, metres: float) -> None:
        """Follow the outline."""
        self.headings = []
        while metres > 1e-9:
            corner = self._next_corner()
            straight = min(metres, math.dist(self.spot, corner))
            if straight > 1e-9:
                heading = math.radians(self._heading())
                self.headings.append((math.degrees(heading), straight))
                count = max(1, math.ceil(straight * 2))
                x, y = self.spot
                for n in range(1, count + 1):
                    far = straight * n / count
                    self.trail.append((x + far * math.cos(heading), y + far * math.sin(heading)))
                self.spot = self.trail[-1]
                metres -= straight
            if math.dist(self.spot, corner) <= 1e-6:
                self.spot = corner
                self.stretch = (self.stretch + self.step) % len(self.ring)

    def _next_corner(self) -> Spot:
        return self.ring[(self.stretch + (self.step > 0)) % len(self.ring)]

    def _heading(self) -> float:
        corner = self._next_corner()
        if math.dist(self.spot, corner) <= 1e-6:  # look round the corner
            beyond = self.ring[(self.stretch + (2 if self.step > 0 else -1)) % len(self.ring)]
            return math.degrees(math.atan2(beyond[1] - corner[1], beyond[0] - corner[0]))
        return math.degrees(math.atan2(corner[1] - self.spot[1], corner[0] - self.spot[0]))


def follow(way: WayIn, outline: list[Spot], degrees: float) -> Walker:
    """Walk a way on ground that lies turned by an angle, and hold every turn to the ground.

    Returns:
        The walker where the legs end.
    """
    ring = [turned(spot, degrees) for spot in outline]
    walker = Walker(ring, turned(way.entrance or way.begins, degrees))
    far = walker.go_to_the_edge()
    if way.entrance is not None:
        assert abs(far - way.off_m) < 0.01
    before: list[tuple[float, float]] = []
    for n, leg in enumerate(way.legs):
        if n == 0:
            walker.turn_along(leg.turn.value)
        walker.walk(leg.length_m)
        if n:
            assert _hand(before, walker.headings) == leg.turn.value
        before = walker.headings
    return walker


def _hand(before: list[tuple[float, float]], after: list[tuple[float, float]]) -> str:
    """Tell which way the fence turned, pieces of it shorter than a metre left out."""
    first = next((h for h, far in reversed(before) if far >= 1), None)
    second = next((h for h, far in after if far >= 1), None)
    if first is None or second is None:
        first, second = max(before, key=lambda b: b[1])[0], max(after, key=lambda a: a[1])[0]
    return "left" if (second - first) % 360 < 180 else "right"
