"""The linear program of known evenings for some of all plans, solved again from where it was."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

import numpy as np
import ortools.linear_solver.pywraplp as pywraplp

from clubplanner.sharing.search.evening_links import Prices
from clubplanner.sharing.search.evening_prices import MOST_SOLVER_STEPS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.search.days import Together
    from clubplanner.sharing.search.diving import Bundle
    from clubplanner.sharing.search.evening_links import Links
    from clubplanner.sharing.search.lots import AskDay, Plans

PARTS = 100_000
"""Into how many parts a point is divided here. Prices of links are rounded to them, and with a
thousand what is rounded away adds up to points that hide that a part of all plans has no better."""
LACK = 1_000.0
"""Points that a session lacking in a part of all plans costs, more than sessions can count."""


class BranchProgram:
    """Parts of evenings that come to most points, for one lot of plans after the other.

    Attributes:
        bundles: The evenings known.
        together: What is known of asks on one day.
    """

    def __init__(self, links: Links, slots: Slots, together: Iterable[Together]) -> None:
        self.bundles: dict[Bundle, pywraplp.Variable] = {}
        self.together: list[Together] = []
        self._links = links
        self._keys = list(zip(slots.ask.tolist(), slots.day.tolist(), strict=True))
        self._slots_of: dict[AskDay, list[int]] = {}
        for slot, key in enumerate(self._keys):
            self._slots_of.setdefault(key, []).append(slot)
        solver = pywraplp.Solver.CreateSolver("GLOP")
        limit = f"max_deterministic_time: {MOST_SOLVER_STEPS}"
        solver.SetSolverSpecificParametersAsString(limit)
        self._solver, self._any = solver, solver.infinity()
        self._points = solver.Objective()
        self._points.SetMaximization()
        self._places: dict[tuple[int, int], pywraplp.Constraint] = {}
        self._rows = [self._at_most(most) for most in links.most]
        self._firsts = [self._at_most(0) for _ in links.tops]
        for row, top in zip(self._firsts, links.tops.tolist(), strict=True):
            first = solver.NumVar(0, 1, "")
            row.SetCoefficient(first, 1)
            self._points.SetCoefficient(first, float(top))
        self._lacks: list[pywraplp.Variable] = []
        self._on_day = {key: self._open() for key in self._slots_of}
        self._counts = {ask: self._open() for ask in dict.fromkeys(ask for ask, _ in self._on_day)}
        self._apart: list[pywraplp.Constraint] = []
        for one in together:
            self.add_together(one)

    def __len__(self) -> int:
        """Count the evenings known."""
        return len(self.bundles)

    @property
    def iterations(self) -> int:
        """Count what the last solution took."""
        return int(self._solver.iterations())

    def add(self, bundle: Bundle) -> bool:
        """Take in an evening; tell whether it was not known."""
        if bundle in self.bundles:
            return False
        place, slots = bundle
        part = self._solver.NumVar(0, self._any, "")
        self.bundles[bundle] = part
        self._points.SetCoefficient(part, float(self._links.points[list(slots)].sum()))
        if place not in self._places:
            self._places[place] = self._at_most(1)
        self._places[place].SetCoefficient(part, 1)
        for link, count in Counter(n for slot in slots for n in self._links.of_slot[slot]).items():
            self._rows[link].SetCoefficient(part, count)
        for squad, count in Counter(self._links.squad[list(slots)].tolist()).items():
            self._firsts[squad].SetCoefficient(part, -count)
        keys = [self._keys[slot] for slot in slots]
        for key, count in Counter(keys).items():
            self._on_day[key].SetCoefficient(part, count)
        for ask, count in Counter(ask for ask, _ in keys).items():
            self._counts[ask].SetCoefficient(part, count)
        for one, row in zip(self.together, self._apart, strict=True):
            self._set_together(one, row, bundle)
        return True

    def add_together(self, one: Together) -> None:
        """Hold asks to what they can have together on a day."""
        row = self._at_most(one.most)
        self.together.append(one)
        self._apart.append(row)
        for bundle in self.bundles:
            self._set_together(one, row, bundle)

    def keep_to(self, plans: Plans) -> None:
        """Look at some plans only from now on."""
        for key, row in self._on_day.items():
            row.SetBounds(1 if plans.on_day.get(key) else -self._any, self._any)
        for ask, row in self._counts.items():
            least, most = plans.counts.get(ask, (0, self._any))
            row.SetBounds(least or -self._any, most)
        without = {key for key, has in plans.on_day.items() if not has}
        for (_, slots), part in self.bundles.items():
            is_out = any(self._keys[slot] in without for slot in slots)
            part.SetUb(0 if is_out else self._any)

    def solve(self) -> float | None:
        """Return the points that parts of evenings come to; None where that is not known."""
        if self._solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        return float(self._points.Value())

    def lacks(self) -> bool:
        """Tell whether the solution lacks a part of a session that these plans have."""
        return any(lack.solution_value() > 1e-6 for lack in self._lacks)

    def on_days(self) -> dict[AskDay, float]:
        """Tell which part of a session each ask has on each day in the solution."""
        parts = dict.fromkeys(self._on_day, 0.0)
        for (_, slots), part in self.bundles.items():
            value = part.solution_value()
            if value > 1e-9:
                for slot in slots:
                    parts[self._keys[slot]] += value
        return parts

    def used(self, day: int) -> list[Bundle]:
        """List the evenings of a day that the solution has parts of."""
        return [
            bundle
            for bundle, part in self.bundles.items()
            if bundle[0][1] == day and part.solution_value() > 1e-9
        ]

    def at_prices(self, plans: Plans) -> tuple[NDArray[np.int64], int]:
        """Compute at the solution's prices what each slot gains, and what is gained outside.

        No plan among those looked at has more than the second and what evenings gain, whatever the
        prices are.

        Args:
            plans: Those looked at.

        Returns:
            Both in parts of a point.
        """
        priced = Prices(_least_0(self._rows), _least_0(self._firsts))
        gains = self._links.gains(priced, PARTS)
        paid = self._links.paid(priced, PARTS)
        for ask, (least, most) in plans.counts.items():
            price = _price(self._counts[ask])
            paid += price * (most if price > 0 else least)
            for key in self._on_day:
                if key[0] == ask:
                    gains[self._slots_of[key]] -= price
        for one, row in zip(self.together, self._apart, strict=True):
            price = max(0, _price(row))
            paid += price * one.most
            for ask in one.asks if price else ():
                gains[self._slots_of[ask, one.day]] -= price
        for key, has in plans.on_day.items():
            if has:
                price = min(0, _price(self._on_day[key]))
                paid += price
                gains[self._slots_of[key]] -= price
            else:
                gains[self._slots_of[key]] = 0
        return gains, paid

    def _at_most(self, most: float) -> pywraplp.Constraint:
        return self._solver.Constraint(-self._any, most)

    def _open(self) -> pywraplp.Constraint:
        """Add a row without bounds, which what is lacking can fill up."""
        row = self._solver.Constraint(-self._any, self._any)
        lack = self._solver.NumVar(0, self._any, "")
        row.SetCoefficient(lack, 1)
        self._points.SetCoefficient(lack, -LACK)
        self._lacks.append(lack)
        return row

    def _set_together(self, one: Together, row: pywraplp.Constraint, bundle: Bundle) -> None:
        (_, day), slots = bundle
        count = sum(self._keys[slot][0] in one.asks for slot in slots) if day == one.day else 0
        if count:
            row.SetCoefficient(self.bundles[bundle], count)


def _price(row: pywraplp.Constraint) -> int:
    return round(float(row.dual_value()) * PARTS)


def _least_0(rows: Iterable[pywraplp.Constraint]) -> NDArray[np.int64]:
    return np.array([max(0, _price(row)) for row in rows], dtype=np.int64)
