"""How well and how fast pieces are fitted, beside a plain constraint model in the same run.

    python -m tests.benchmarks.fits [--seconds 4] [--repeats 5] [--no-model]

Prints for club sizes and for the published hard questions of pallet loading: count, bound, proved
or not, median and worst time; and for a plain CP-SAT model with one optional box for each that
the bound allows and no overlap in two dimensions (one worker, fixed seed): its count, its time,
and how many times longer it took. Trust the ratios, not the times. Where the model ran into its
limit with a smaller count the ratio is only a lower end, marked ≥.
"""

from __future__ import annotations

import argparse
import math
import statistics
import time
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import shapely
from ortools.sat.python import cp_model

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.fitting import GoalSpot, SessionNeed, fit_pieces, list_ways
from clubplanner.fitting.games.sessions import MOST_WAYS
from clubplanner.fitting.outlines.known import forget_all
from clubplanner.fitting.packing.rectangles import pack_rectangle
from clubplanner.fitting.packing.scales import other_scales
from tests.fitting.shapes import AWKWARD, read_bands

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from shapely import Polygon

PAGE_WAYS = 4
"""So many the coach's page asks for."""
COACH_GROUNDS = (
    (100 / 3, 64),
    (50, 64),
    (100, 64),
    (25, 64),
    (50, 32),
    (33, 18),
    (40, 20),
    (20, 15),
)
CLUB = (
    # Ground and piece in metres, gap in metres: invented, of sizes clubs have.
    ((100, 64), (30, 20), 3),
    ((50, 64), (30, 20), 3),
    ((33.3, 64), (30, 20), 3),
    ((50, 32), (20, 15), 2),
    ((100, 64), (20, 15), 0),
    ((91.4, 55), (25, 20), 2),
    ((33, 18), (10, 5), 0),
    ((40, 20), (12, 8), 1),
    ((100, 64), (12, 7), 0),
    ((100.584, 64.008), (36.576, 27.432), 0),
)
HARD = (
    # The hard questions named in tests/published/test_fits.py.
    ((34, 23), (5, 4)),
    ((37, 30), (8, 3)),
    ((43, 26), (7, 3)),
    ((49, 28), (8, 3)),
    ((57, 34), (7, 4)),
    ((63, 44), (8, 5)),
    ((61, 35), (10, 3)),
    ((67, 37), (11, 3)),
    ((67, 40), (11, 3)),
    ((74, 49), (11, 4)),
    ((93, 46), (13, 4)),
    ((106, 59), (13, 5)),
    ((141, 71), (13, 8)),
    ((74, 46), (7, 5)),
    ((86, 52), (9, 5)),
)
THOROUGH_STEPS = 300_000


@dataclass(frozen=True, slots=True)
class Timed:
    """An answer and how long it took.

    Attributes:
        count: Pieces laid.
        bound: The most there can be.
        median_s: Usual time.
        worst_s: Longest time.
    """

    count: int
    bound: int
    median_s: float
    worst_s: float


def timed(ask: Callable[[], tuple[int, int]], repeats: int) -> Timed:
    """Ask several times and keep the times."""
    times = []
    count = bound = 0
    for _ in range(repeats):
        other_scales.cache_clear()
        start = time.perf_counter()
        count, bound = ask()
        times.append(time.perf_counter() - start)
    return Timed(count, bound, statistics.median(times), max(times))


def solve_plainly(
    ground: tuple[int, int], box: tuple[int, int], most: int, seconds: float
) -> tuple[int, float, bool]:
    """Solve the plain model.

    Args:
        ground: Sides in whole units; the model uses the largest unit that divides all four.
        box: Sides in whole units.
        most: How many boxes are offered.
        seconds: Limit.

    Returns:
        (count, seconds taken to build and solve it, whether it proved its count).
    """
    start = time.perf_counter()
    unit = math.gcd(*ground, *box)
    across, along = ground[0] // unit, ground[1] // unit
    length, width = box[0] // unit, box[1] // unit
    model = cp_model.CpModel()
    columns, rows, laid = [], [], []
    for n in range(most):
        is_laid = model.new_bool_var(f"laid {n}")
        turned = (length - width) * model.new_bool_var(f"turned {n}")
        x, right = (model.new_int_var(0, across, f"{name} {n}") for name in ("x", "right"))
        y, top = (model.new_int_var(0, along, f"{name} {n}") for name in ("y", "top"))
        columns.append(
            model.new_optional_interval_var(x, length - turned, right, is_laid, f"column {n}")
        )
        rows.append(model.new_optional_interval_var(y, width + turned, top, is_laid, f"row {n}"))
        laid.append(is_laid)
    for earlier, later in pairwise(laid):
        model.add_implication(later, earlier)
    model.add_no_overlap_2d(columns, rows)
    model.maximize(sum(laid))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    taken = time.perf_counter() - start
    found = status in {cp_model.OPTIMAL, cp_model.FEASIBLE}
    count = round(solver.objective_value) if found else 0
    return count, taken, status == cp_model.OPTIMAL


def print_row(
    name: str, ours: Timed, model: tuple[int, float, bool] | None, ratios: list[float]
) -> None:
    """Print one question, and keep the ratio where the counts are equal."""
    proved = "yes" if ours.count >= ours.bound else "no"
    row = f"{name:<32}{ours.count:>5}{ours.bound:>6}{proved:>7}"
    row += f"{1000 * ours.median_s:>10.2f}{1000 * ours.worst_s:>10.2f}"
    if model is not None:
        count, seconds, is_proved = model
        ratio = seconds / ours.median_s
        mark = "" if count >= ours.count else "≥"
        if count >= ours.count:
            ratios.append(ratio)
        row += f"{count:>7}{'yes' if is_proved else 'no':>5}{1000 * seconds:>10.0f}"
        row += f"{mark + format(ratio, ',.0f'):>10}"
    print(row)


def head(title: str, with_model: bool) -> None:
    """Print the heading of a table."""
    row = f"\n{title:<32}{'count':>5}{'bound':>6}{'proved':>7}{'median ms':>10}{'worst ms':>10}"
    if with_model:
        row += f"{'model':>7}{'':>5}{'ms':>10}{'ratio':>10}"
    print(row)


def run_club(repeats: int, seconds: float, with_model: bool) -> None:
    """Print pieces on grounds of sizes clubs have."""
    head("Club sizes, m (gap)", with_model)
    ratios: list[float] = []
    for ground, piece, gap in CLUB:
        outline = shapely.box(0, 0, *ground)

        def ask(
            outline: Polygon = outline, piece: tuple[float, float] = piece, gap: float = gap
        ) -> tuple[int, int]:
            fit = fit_pieces(outline, *piece, gap_m=gap)
            return fit.count, fit.bound

        ours = timed(ask, repeats)
        sides = (round(1000 * (ground[0] + gap)), round(1000 * (ground[1] + gap)))
        box = (round(1000 * (piece[0] + gap)), round(1000 * (piece[1] + gap)))
        model = solve_plainly(sides, box, ours.bound, seconds) if with_model else None
        name = f"{ground[0]:g}×{ground[1]:g}, {piece[0]:g}×{piece[1]:g} ({gap:g})"
        print_row(name, ours, model, ratios)
    print_ratios(ratios)


def run_hard(repeats: int, seconds: float, with_model: bool) -> None:
    """Print the published hard questions, with a search until they are proved."""
    head("Published hard questions", with_model)
    ratios: list[float] = []
    for ground, box in HARD:

        def ask(ground: tuple[int, int] = ground, box: tuple[int, int] = box) -> tuple[int, int]:
            packing = pack_rectangle(ground, box, skyline_steps=THOROUGH_STEPS)
            return len(packing.boxes), packing.bound

        ours = timed(ask, repeats)
        model = solve_plainly(ground, box, ours.bound, seconds) if with_model else None
        name = f"{ground[0]}×{ground[1]}, {box[0]}×{box[1]}"
        print_row(name, ours, model, ratios)
    print_ratios(ratios)


def run_irregular(repeats: int) -> None:
    """Print pieces on grounds that are no rectangles."""
    head("Irregular ground, 12×8 m (0)", with_model=False)
    for name, outline in AWKWARD.items():

        def ask(outline: Polygon = outline) -> tuple[int, int]:
            fit = fit_pieces(outline, 12, 8)
            return fit.count, fit.bound

        print_row(name, timed(ask, repeats), None, [])


def run_sessions() -> None:
    """Print how long a coach's question takes, the first on a ground and the next keystroke."""
    rectangles = [shapely.box(0, 0, *size) for size in COACH_GROUNDS]
    for name, grounds in (("rectangles", rectangles), ("other ground", list(AWKWARD.values()))):
        for most in (PAGE_WAYS, MOST_WAYS):
            first, later = [], []
            for need in coach_questions(grounds):
                forget_all()
                before = replace(need, players=need.players - 1)
                first.append(seconds_of(before, most))
                later.append(seconds_of(need, most))
            print(
                f"\nWays to play on {name}, {len(first)} questions, {most} ways: "
                f"first {spread(first)}; next keystroke {spread(later)}"
            )


def coach_questions(grounds: Sequence[Polygon]) -> Iterator[SessionNeed]:
    """Make questions of all sizes: every ground, squads of 6 to 40, kit by turns."""
    bands = read_bands()
    for ground in grounds:
        x0, y0, x1, y1 = ground.bounds
        ends = tuple(GoalSpot(x, (y0 + y1) / 2, 7.32, GoalKind.FIXED) for x in (x0, x1))
        for players in range(6, 41):
            yield SessionNeed(
                ground,
                players,
                players % 3,
                13,
                ends[: players % 3],
                players % 4,
                (30.0, 20.0) if players % 5 == 0 else None,
                bands,
                target_goals=players % 2 * 2,
            )


def seconds_of(need: SessionNeed, most: int) -> float:
    """Return the processor time of one question."""
    start = time.process_time()
    list_ways(need, most=most)
    return time.process_time() - start


def spread(seconds: Sequence[float]) -> str:
    """Write median, 99th percentile and worst in milliseconds."""
    rising = sorted(1000 * value for value in seconds)
    high = rising[int(0.99 * len(rising))]
    return f"median {statistics.median(rising):.1f}, 99 % {high:.1f}, worst {rising[-1]:.1f} ms"


def print_ratios(ratios: list[float]) -> None:
    """Print what the ratios of equal counts come to."""
    if ratios:
        print(
            f"At equal counts ({len(ratios)}): the model took {min(ratios):,.0f} to "
            f"{max(ratios):,.0f} times as long, median {statistics.median(ratios):,.0f}"
        )


def main() -> None:
    """Run everything."""
    parser = argparse.ArgumentParser(description="Fit pieces and time it.")
    parser.add_argument("--seconds", type=float, default=4.0, help="limit of the model, each")
    parser.add_argument("--repeats", type=int, default=5)
    parser.add_argument("--no-model", action="store_true")
    options = parser.parse_args()
    run_club(options.repeats, options.seconds, not options.no_model)
    run_hard(options.repeats, options.seconds, not options.no_model)
    run_irregular(options.repeats)
    run_sessions()


if __name__ == "__main__":
    main()
