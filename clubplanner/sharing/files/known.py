"""What the parts of a problem's file may point to, and where faults already stand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.files.json_shapes import shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from clubplanner.sharing.files.json_shapes import Faults
    from clubplanner.sharing.values.problem import Problem
    from clubplanner.sharing.values.wants import Window


class Known:
    """What may be pointed to, and where faults already stand."""

    def __init__(self, problem: Problem, faults: Faults) -> None:
        self.problem = problem
        self.faults = faults
        self.bad = frozenset(fault.where for fault in faults.found)
        self.grounds = {ground.key for ground in problem.grounds}
        self.pitches = {ground.pitch: ground.venue for ground in problem.grounds}
        self.venues = {ground.venue for ground in problem.grounds}
        self.are_grounds_sound = not faults.has_under("$.grounds")
        self.are_days_sound = not faults.has_under("$.days")

    def add(self, path: str, code: str, message: str) -> None:
        """Note a fault unless that part already has one."""
        if path not in self.bad:
            self.faults.add(path, code, message)

    def check_key(self, path: str, key: str, known: Iterable[str], what: str) -> None:
        """Note a key that points to nothing."""
        if self.are_grounds_sound and key not in known:
            self.add(path, "dangling", f"No ground {what} {shown(key)}; write one of those named.")

    def check_day(self, path: str, day: int) -> bool:
        """Note a day that is not in the plan; tell whether it is."""
        count = len(self.problem.days)
        if day < count:
            return True
        if self.are_days_sound:
            days = f"write a number from 0 to {count - 1}" if count else "list the days first"
            self.add(path, "dangling", f"There is no day {day}; {days}.")
        return False

    def check_range(self, path: str, start_min: int, end_min: int) -> None:
        """Note a range that ends before it starts or is empty."""
        if end_min <= start_min and f"{path}.start_min" not in self.bad:
            message = f"Ends at {end_min}, not after its start at {start_min}; write a later end."
            self.add(f"{path}.end_min", "order", message)

    def check_windows(self, path: str, windows: Sequence[Window]) -> None:
        """Note windows on no day or without length."""
        for n, window in enumerate(windows):
            self.check_day(f"{path}[{n}].day", window.day)
            self.check_range(f"{path}[{n}]", window.start_min, window.end_min)
