"""A share-out too large for one model: what it comes to, in which time and memory.

    python -m tests.benchmarks.in_parts [--squads 1000 --pitches 80 --pressure 1.0] [--seconds 60]
    python -m tests.benchmarks.in_parts --council

The reference is the plan made one session after the other by the first process alone. `--council`
is 2,000 squads of which each could be on any third of 300 pitches at 50 venues, two to a coach.
Seconds are of the processor, children's included; plans are checked by the independent checker.
"""

from __future__ import annotations

import argparse
import resource
import time

from clubplanner.sharing.checks.checking import check
from clubplanner.sharing.example.example import example
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.solving.process import solve_here
from clubplanner.sharing.solving.sizes import MOST_PLACES
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.extent import most_places
from clubplanner.sharing.values.problem import Effort, Problem
from clubplanner.sharing.values.wants import Window
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

MOST_FOR_REFERENCE = 20 * MOST_PLACES
"""With more places than this they are never all listed."""


def council(squads: int = 2_000, venues: int = 50, pitches_each: int = 6) -> Problem:
    """Return a council whose squads could be anywhere."""
    grounds = tuple(
        ground
        for venue in range(venues)
        for pitch in range(pitches_each)
        for ground in make_pitch(f"pitch {venue}-{pitch}", venue=f"v{venue}", cuts=("thirds",))
    )
    asks = (
        make_ask(
            f"{n}",
            coach=f"coach {n // 2}",
            sessions=2,
            minutes=75,
            possible=tuple(Window(day, 1020, 1245) for day in range(5)),
        )
        for n in range(squads)
    )
    return make_problem(grounds, *asks, days=make_days(5, 12), step_minutes=15)


def main() -> None:
    """Share out and print what it came to."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--council", action="store_true")
    parser.add_argument("--squads", type=int, default=1_000)
    parser.add_argument("--pitches", type=int, default=80)
    parser.add_argument("--pressure", type=float, default=1.0)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--memory", type=int, default=2_000)
    wanted = parser.parse_args()
    problem = (
        council() if wanted.council else example(wanted.squads, wanted.pitches, 1, wanted.pressure)
    )
    asked = sum(ask.sessions for ask in problem.asks)
    print(f"{len(problem.asks)} asks, at most {most_places(problem):,} places")
    if most_places(problem) <= MOST_FOR_REFERENCE:
        started = time.process_time()
        terrain = survey(problem)
        first = len(fill_plan(terrain, list_candidates(terrain)))
        took = time.process_time() - started
        print(f"reference: {first} of {asked} placed one after the other in {took:.1f} s")
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    started = time.process_time()
    effort = Effort(wanted.seconds, 2, memory_mb=wanted.memory)
    outcome = solve_here(problem, effort, None, Brake())
    own, after = (
        resource.getrusage(resource.RUSAGE_SELF),
        resource.getrusage(resource.RUSAGE_CHILDREN),
    )
    took = time.process_time() - started + after.ru_utime - before.ru_utime
    sound = "sound" if not check(problem, outcome.placements) else "NOT SOUND"
    print(f"{outcome.kind.value}: {outcome.placed} of {asked} placed, {sound}, {took:.1f} s; "
          f"here at most {own.ru_maxrss / 1024:.0f} MB, "
          f"a process {after.ru_maxrss / 1024:.0f} MB")  # fmt: skip
    for level in outcome.levels:
        proof = "proved" if level.is_proved else f"gap {100 * level.gap:.2f} %"
        print(f"  {level.name}: {level.value}, {proof}")


if __name__ == "__main__":
    main()
