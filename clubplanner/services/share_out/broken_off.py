"""What breaks a search off, in words that a person can do something with: one place for all."""

from __future__ import annotations

import logging
from contextlib import contextmanager
from typing import TYPE_CHECKING

from clubplanner.errors import PlannerError, ShareOutError
from clubplanner.language import _
from clubplanner.sharing.solving.process import OutOfMemoryError
from clubplanner.sharing.solving.process import ShareOutError as ProcessError
from clubplanner.sharing.values.validating import ProblemError

if TYPE_CHECKING:
    from collections.abc import Iterator

LOG = logging.getLogger("clubplanner.services")


@contextmanager
def told_when_broken_off(kind: type[PlannerError] = ShareOutError) -> Iterator[None]:
    """Raise what ends a search without a plan as an error of a kind that pages and commands tell.

    Raises:
        PlannerError: Of that kind: the problem contradicts itself, the search wants more memory
            than it may have, or its process ended.
    """
    try:
        yield
    except ProblemError as fault:
        raise kind(_("These records cannot be shared out: %(fault)s", fault=fault)) from fault
    except OutOfMemoryError as fault:
        raise kind(str(fault)) from fault
    except ProcessError as fault:
        LOG.exception("the optimiser's process failed")
        raise kind(_("The optimiser broke off; try again, or allow less time.")) from fault
