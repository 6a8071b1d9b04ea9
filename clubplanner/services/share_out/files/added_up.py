"""What the prices of a result prove, added up without the optimiser."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.services.share_out.files.files import load_both, outcome_of
from clubplanner.sharing.checks.certified import all_prices, gains_at_prices, is_certified

if TYPE_CHECKING:
    from clubplanner.services.share_out.files.files import NamedFile
    from clubplanner.sharing.checks.certified import Gain
    from clubplanner.sharing.values.certificate import Certificate
    from clubplanner.sharing.values.problem import Problem


@dataclass(frozen=True, slots=True)
class Certified:
    """What prices of a result prove by addition alone.

    Attributes:
        most: No plan reaches more points in placing sessions.
        is_bound: Whether the result's own bound needs nothing else; where it is lower, the rest of
            it is believed to the search.
    """

    most: int
    is_bound: bool


@dataclass(frozen=True, slots=True)
class Sum:
    """The addition by which prices prove how many points no plan passes.

    Attributes:
        parts: Into how many parts a point is divided; all that follows is in parts.
        prices: Every price once.
        gains: What each squad gains at most, with its name and what it takes.
        total: Both together.
        most: In whole points, rounded down.
        certificate: The prices.
    """

    parts: int
    prices: int
    gains: tuple[Gain, ...]
    total: int
    most: int
    certificate: Certificate


def certified(result_file: NamedFile) -> Certified | None:
    """Tell what a true result has certified; None where it carries no prices.

    Raises:
        FaultyInputError: With every fault of the file.
    """
    outcome = outcome_of(result_file)
    if outcome.certificate is None:
        return None
    return Certified(outcome.certificate.most, is_certified(outcome))


def sum_of(problem_file: NamedFile, result_file: NamedFile) -> tuple[Problem, Sum] | None:
    """Add up step by step what a true result's prices prove; None where it carries none.

    Raises:
        FaultyInputError: With every fault of both files.
    """
    problem, outcome = load_both(problem_file, result_file)
    certificate = outcome.certificate
    if certificate is None:
        return None
    gains = tuple(gains_at_prices(problem, certificate))
    prices = all_prices(certificate)
    total = prices + sum(gain.gained for gain in gains)
    most = total // certificate.parts
    return problem, Sum(certificate.parts, prices, gains, total, most, certificate)
