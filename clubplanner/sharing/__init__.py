"""The share-out: who gets which area when, with proof and reasons.

Pure: a problem in, an outcome out. No web, no database, no files; only `solving` starts processes
of its own. A stopwatch limits the search; nothing else looks at a clock.
"""

from clubplanner.sharing.checks.checking import Fault, check
from clubplanner.sharing.values.outcome import (
    Change,
    Kind,
    Level,
    Outcome,
    Progress,
    Reason,
    Refusal,
    Satisfaction,
)
from clubplanner.sharing.values.problem import (
    Ask,
    Darkness,
    Day,
    Effort,
    Ground,
    LightsOut,
    Opening,
    Placement,
    Problem,
    Standing,
    digest,
)
from clubplanner.sharing.values.validating import ProblemError, validate
from clubplanner.sharing.values.wants import LoadLimit, Pair, PairKind, Price, Window, Wish

__all__ = [
    "Ask",
    "Change",
    "Darkness",
    "Day",
    "Effort",
    "Fault",
    "Ground",
    "Kind",
    "Level",
    "LightsOut",
    "LoadLimit",
    "Opening",
    "Outcome",
    "Pair",
    "PairKind",
    "Placement",
    "Price",
    "Problem",
    "ProblemError",
    "Progress",
    "Reason",
    "Refusal",
    "Satisfaction",
    "Standing",
    "Window",
    "Wish",
    "check",
    "digest",
    "validate",
]
