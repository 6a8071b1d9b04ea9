"""How good share-outs are against a straightforward model, in one run: ratios, not times alone.

    python -m tests.benchmarks.share_outs --instances small,typical --seconds 30

The reference has a boolean for each session, area and start, a row for each cell and moment, and
the solver's default parameters, with the same limit and workers. It leaves travel between venues
out, which makes it easier than what it is compared with. Its aim is 300 a session and the wish
points in one sum. "The same sum" is the share-out's model with that one aim: the two differ in the
model and its parameters only. The share-out itself puts fairness between the two, so that its
plan, measured by the sum, may lie below.
"""

from __future__ import annotations

import argparse
import resource
import time
from dataclasses import dataclass, replace
from itertools import product
from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing import Effort, Placement, check
from clubplanner.sharing.again.alteration import Alteration, Closure, alter
from clubplanner.sharing.again.reshare import reshare
from clubplanner.sharing.again.reshare_model import ReshareModel
from clubplanner.sharing.again.reshare_places import Places
from clubplanner.sharing.again.reshare_plans import placements_of
from clubplanner.sharing.checks.places_alone import lost_dates
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.example.example import example
from clubplanner.sharing.example.example_wants import with_wants
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.layout import lay_out, salvage
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.displacement import displacement
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.places.placements import rows_of_placements
from clubplanner.sharing.reasons.held import hold
from clubplanner.sharing.reasons.reasons import explain
from clubplanner.sharing.solving.process import solve_in_child
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.budget import STEPS_A_SECOND
from clubplanner.sharing.values.levels import PLACING
from tests.sharing.builders import make_finely_cut, planned

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from clubplanner.sharing import Ask, Outcome, Problem
    from clubplanner.sharing.ground.slots import Slots

SESSION_POINTS = 300
REPEATS, CHECKED_EVERY = 10, 8
MOST_FOR_REFERENCE = 200
"""Squads beyond which the reference is not run: it needs more memory than there is."""


@dataclass(frozen=True, slots=True)
class Instance:
    """A size of club: squads, pitches and pressure, with the part of the limit it is given."""

    squads: int
    pitches: int
    pressure: float


INSTANCES = {
    "small": Instance(12, 2, 0.8),
    "typical": Instance(40, 4, 0.8),
    "full": Instance(40, 4, 1.0),
    "tight": Instance(40, 4, 1.2),
    "over-asked": Instance(40, 4, 1.5),
    "large": Instance(120, 12, 0.8),
    "large-over-asked": Instance(120, 12, 1.5),
    "city": Instance(1000, 80, 0.8),
}


@dataclass(frozen=True, slots=True)
class Found:
    """What a solver came to: value and bound of the sum, seconds, and whether it is proved."""

    value: int
    bound: float
    seconds: float
    is_proved: bool

    @property
    def gap(self) -> float:
        """Distance to the bound, percent of the value."""
        return 100 * (self.bound - self.value) / max(1, self.value)


def solve_reference(problem: Problem, seconds: float, workers: int, seed: int) -> Found:
    """Solve the straightforward model."""
    started = time.perf_counter()
    terrain = survey(problem)
    rows = list_candidates(terrain, keep_all=True)
    model = cp_model.CpModel()
    chosen: list[tuple[int, cp_model.IntVar]] = []
    by_session: dict[tuple[int, int], list[cp_model.IntVar]] = {}
    by_day: dict[tuple[int, int], list[cp_model.IntVar]] = {}
    by_cell: dict[tuple[int, int, int, int], list[cp_model.IntVar]] = {}
    by_person: dict[tuple[str, int, int], list[cp_model.IntVar]] = {}
    step = problem.step_minutes
    for row in range(len(rows)):
        ask = problem.asks[int(rows.ask[row])]
        number, day, ground = int(rows.ask[row]), int(rows.day[row]), int(rows.ground[row])
        end = int(rows.end[row]) + problem.changeover_minutes
        moments = range(int(rows.start[row]) // step, -(-end // step))
        cells = [n for n in range(63) if int(terrain.cells[ground]) >> n & 1]
        for session in range(ask.sessions):
            variable = model.new_bool_var("")
            chosen.append((row, variable))
            by_session.setdefault((number, session), []).append(variable)
            by_day.setdefault((number, day), []).append(variable)
            for moment in moments:
                for cell in cells:
                    key = (int(terrain.pitch[ground]), cell, day, moment)
                    by_cell.setdefault(key, []).append(variable)
                for person in {f"squad {ask.squad}", f"coach {ask.coach or number}"}:
                    by_person.setdefault((person, day, moment), []).append(variable)
    for group in (by_session, by_day, by_cell, by_person):
        for own in group.values():
            model.add_at_most_one(own)
    gains = [SESSION_POINTS + int(rows.score[row]) for row, _ in chosen]
    model.maximize(cp_model.LinearExpr.weighted_sum([item for _, item in chosen], gains))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    left = seconds - (time.perf_counter() - started)
    solver.parameters.max_time_in_seconds = max(1.0, left)
    status = solver.solve(model)
    value = round(solver.objective_value) if status != cp_model.UNKNOWN else 0
    took = time.perf_counter() - started
    return Found(value, solver.best_objective_bound, took, status == cp_model.OPTIMAL)


def solve_same_sum(problem: Problem, seconds: float, workers: int, seed: int) -> Found:
    """Solve the share-out's model for the reference's sum, laid out on concrete ground."""
    started = time.perf_counter()
    terrain = survey(problem)
    rows = list_candidates(terrain)
    slots = merge(terrain, rows)
    share = ShareModel(terrain, slots, best_alone(terrain, rows), rows)
    gains = [SESSION_POINTS + score for score in slots.score.tolist()]
    share.model.maximize(cp_model.LinearExpr.weighted_sum(share.chosen, gains))
    best, bound = 0, float(sum(gains))
    model, limit = share.model, 0.7 * seconds
    while True:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = workers
        solver.parameters.random_seed = seed
        solver.parameters.linearization_level = 2
        if workers > 1:
            solver.parameters.extra_subsolvers.append("max_lp")
        left = seconds - (time.perf_counter() - started)
        solver.parameters.max_time_in_seconds = max(0.5, min(limit, left))
        status = solver.solve(model)
        if model is share.model:
            bound = min(bound, solver.best_objective_bound)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            break
        plan = [n for n, item in enumerate(share.chosen) if solver.boolean_value(item)]
        picks, failed = lay_out(terrain, slots, plan)
        picks |= salvage(terrain, slots, plan, failed) if failed else {}
        best = max(best, sum(gains[slot] for slot in picks))
        if left < 1 or (not failed and model is share.model) or bound < best + 1:
            break
        for place in failed:
            share.add_detail(*place)
        freed = {
            int(slots.ask[n]) for n in plan if (int(slots.pitch[n]), int(slots.day[n])) in failed
        }
        model, limit = (
            (_with_fixed(share, slots, plan, freed), 5.0) if failed else (share.model, left)
        )
        if not failed:
            model.clear_hints()  # type: ignore[no-untyped-call]
            for slot, item in enumerate(share.chosen):
                model.add_hint(item, slot in picks)
    return Found(best, bound, time.perf_counter() - started, bound < best + 1)


def _with_fixed(
    share: ShareModel, slots: Slots, plan: Sequence[int], freed: Collection[int]
) -> cp_model.CpModel:
    """Return the model with all but the freed asks held where they are."""
    model, kept = share.model.clone(), set(plan)
    for slot, item in enumerate(share.chosen):
        if int(slots.ask[slot]) not in freed:
            model.add(model.get_bool_var_from_proto_index(item.index) == (slot in kept))
    return model


def sum_of(problem: Problem, outcome: Outcome) -> int:
    """Measure a plan by the reference's sum."""
    rows = rows_of_placements(survey(problem), outcome.placements)
    return SESSION_POINTS * len(rows) + int(rows.score.sum())


def run_instance(name: str, options: argparse.Namespace) -> None:
    """Solve an instance both ways and print what came out."""
    size = INSTANCES[name]
    problem = example(size.squads, size.pitches, options.seed, size.pressure)
    count = len(list_candidates(survey(problem)))
    print(f"\n{name}: {size.squads} squads, {size.pitches} pitches, pressure {size.pressure}, "
          f"{count:,} candidates, {options.seconds:g} s, {options.workers} workers")  # fmt: skip
    effort = Effort(options.seconds, options.workers, options.seed)
    started = time.perf_counter()
    outcome = solve_in_child(problem, effort)
    took = time.perf_counter() - started
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    sound = "sound" if not check(problem, outcome.placements) else "NOT SOUND"
    own = sum_of(problem, outcome)
    print(f"  share-out: {outcome.kind.value}, {outcome.placed} of {outcome.asked} placed, "
          f"{sound}, {took:.1f} s, at most {peak:.0f} MB so far")  # fmt: skip
    for level in outcome.levels:
        proof = "proved" if level.is_proved else f"gap {100 * level.gap:.2f} %"
        print(f"    {level.name}: {level.value}, {proof}")
    if size.squads > MOST_FOR_REFERENCE:
        return
    reference = solve_reference(problem, options.seconds, options.workers, options.seed)
    same = solve_same_sum(problem, options.seconds, options.workers, options.seed)
    for title, found in (("reference", reference), ("the same sum", same)):
        proof = "proved" if found.is_proved else f"gap {found.gap:.2f} %"
        print(f"  {title}: {found.value}, {proof}, {found.seconds:.1f} s")
    print(f"  the same sum against the reference: value ratio {same.value / reference.value:.4f}, "
          f"time ratio {same.seconds / reference.seconds:.2f}")  # fmt: skip
    print(f"  share-out by the reference's sum: {own}, ratio {own / max(1, reference.value):.4f}, "
          f"at most {min(reference.bound, same.bound) / max(1, own):.4f} of it possible; "
          f"time ratio {took / reference.seconds:.2f}")  # fmt: skip


def run_reshare(options: argparse.Namespace) -> None:
    """Close a pitch on each evening of the typical club and print what is proved how fast."""
    size = INSTANCES["typical"]
    problem = example(size.squads, size.pitches, options.seed, size.pressure)
    plan = solve_in_child(problem, Effort(min(10.0, options.seconds), 1, options.seed)).placements
    print("\nreshare: one pitch of the typical club closed on one evening, one worker")
    for day in problem.days[:3]:
        closure = Alteration(closures=(Closure("pitch-1/whole", day.index),))
        started = time.perf_counter()
        result = reshare(problem, plan, closure, Effort(options.seconds, 1, options.seed))
        took = time.perf_counter() - started
        levels = ", ".join(
            f"{level.name} {level.value}"
            + (" proved" if level.is_proved else f" (bound {level.bound})")
            for level in result.outcome.levels
        )
        sound = "true" if not verify(result.problem, result.outcome) else "NOT TRUE"
        print(f"  {day.name}: {len(result.hit)} hit, {levels}, {sound}, {took:.1f} s")


def run_again(options: argparse.Namespace) -> None:
    """Share out again for four changes in clubs of three fills, beside one model of all places.

    The reference has every place at once, points and squads disturbed in one sum and then the way,
    with the same steps for each, and begins at what is left of the standing plan as well. Processor
    seconds count; ours ends by the clock besides, so that is told, since on a busy machine it gets
    less than the reference.
    """
    for name in ("typical", "tight", "over-asked"):
        size = INSTANCES[name]
        problem = example(size.squads, size.pitches, options.seed, size.pressure)
        effort = Effort(options.seconds, options.workers, options.seed)
        plan = solve_in_child(problem, Effort(options.seconds, 1, options.seed)).placements
        print(f"\nagain: {name} (pressure {size.pressure}), seed {options.seed}, "
              f"{len(plan)} sessions stand, {options.workers} workers")  # fmt: skip
        for title, alteration in _alterations(problem).items():
            started = time.process_time()
            result = reshare(problem, plan, alteration, effort)
            took = time.process_time() - started
            started = time.process_time()
            values, bounds = _share_again_whole(problem, plan, alteration, effort)
            whole = time.process_time() - started
            levels = ", ".join(_told(lv.value, lv.bound) for lv in result.outcome.levels)
            others = ", ".join(map(_told, values, bounds))
            sound = "true" if not verify(result.problem, result.outcome) else "NOT TRUE"
            clock = result.outcome.seconds
            print(f"  {title}: {levels} in {took:.1f} s ({clock:.1f} s of the clock), {sound}; "
                  f"all at once {others} in {whole:.1f} s: ratio {took / whole:.1f}")  # fmt: skip


def _alterations(problem: Problem) -> dict[str, Alteration]:
    """List changes of the kinds that come up."""
    first = problem.asks[0]
    fresh = replace(first, key="new", squad="new", squad_name="New", coach=None)
    closed = tuple(Closure("pitch-1/whole", day.index) for day in problem.days)
    return {
        "an evening closed": Alteration(closures=closed[1:2]),
        "a new ask": Alteration(asks_added=(fresh,)),
        "a squad less": Alteration(squads_dropped=frozenset({problem.asks[5].squad})),
        "a pitch closed": Alteration(closures=closed),
    }


def _share_again_whole(
    problem: Problem, plan: Sequence[Placement], alteration: Alteration, effort: Effort
) -> tuple[list[int], list[int]]:
    """Return points, squads disturbed and the way by one model of all places, and their bounds."""
    places = Places(survey(alter(problem, alteration)), plan)
    model = ReshareModel(places)
    weight, points = len(model.changed) + 1, model.share.aims.points
    aims = cp_model.LinearExpr.sum([weight * points, -1 * model.disturbed])
    model.share.model.maximize(aims)
    left = [row for row in places.kept if row is not None]
    model.hint(left)
    found, best = _solve_again(model, effort, left, weight * places.worth.most()[PLACING])
    placed, disturbed = places.worth.values(found)[PLACING], len(places.disturbed_by(found))
    most = min(places.worth.most()[PLACING], -int(-best // weight))
    least = max(0, weight * placed - int(best))
    model.share.model.add(points >= placed)
    model.share.model.add(model.disturbed <= disturbed)
    model.share.model.minimize(model.way(is_full=False))
    model.hint(found)
    found, bound = _solve_again(model, effort, found, 0)
    way = displacement(places.terrain.problem, places.standing, placements_of(places, found))
    return [placed, disturbed, way], [most, least, int(np.ceil(bound - 1e-6))]


def _solve_again(
    model: ReshareModel, effort: Effort, start: list[int], known: float
) -> tuple[list[int], float]:
    """Return the best plan found and the bound; the start and what is known where there is none."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = effort.workers
    solver.parameters.random_seed = effort.seed
    solver.parameters.linearization_level = 2
    solver.parameters.extra_subsolvers.append("max_lp")
    steps = effort.seconds * effort.workers * STEPS_A_SECOND
    solver.parameters.max_deterministic_time = steps / 2
    status = solver.solve(model.share.model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return start, known
    return model.plan_of(solver), solver.best_objective_bound


def _told(value: int, bound: int) -> str:
    return f"{value} proved" if value == bound else f"{value} (bound {bound})"


def run_reasons(options: argparse.Namespace) -> None:
    """Explain every refused ask of the over-asked club."""
    size = INSTANCES["over-asked"]
    problem = example(size.squads, size.pitches, options.seed, size.pressure)
    outcome = solve_in_child(problem, Effort(min(10.0, options.seconds), 1, options.seed))
    terrain = survey(problem)
    started = time.perf_counter()
    refusals = explain(terrain, outcome.placements, is_proved=False)
    took = time.perf_counter() - started
    helped = sum(bool(refusal.changes) for refusal in refusals)
    each = 1000 * took / max(1, len(refusals))
    print(f"\nreasons: {len(refusals)} refused asks of the over-asked club, {took:.2f} s, "
          f"{each:.0f} ms each, a change helps {helped}")  # fmt: skip


def run_explaining(options: argparse.Namespace) -> None:
    """Explain refused asks of a thousand squads, beside one look at the whole plan.

    The reference is what each try to make others move once cost: evaluating the rules for the plan.
    """
    problem, plan = planned(1_000, 80, options.seed, 1.0)
    terrain = survey(problem)
    look = _least_seconds(lambda: hold(terrain, plan))
    started = time.process_time()
    refusals = explain(terrain, plan, is_proved=False)
    took = time.process_time() - started
    each = took / max(1, len(refusals))
    print(f"\nexplaining: {len(refusals)} refused asks of a thousand squads, {took:.1f} s, "
          f"{1000 * each:.0f} ms each, {each / look:.2f} of a look at the plan")  # fmt: skip


def run_listing(options: argparse.Namespace) -> None:
    """List and merge the places of the typical club with all rules, against the plain checker.

    The reference is the checker, asked of one ask in `CHECKED_EVERY` about every place within its
    possible times, and taken as many times over.
    """
    size = INSTANCES["typical"]
    problem = with_wants(
        example(size.squads, size.pitches, options.seed, size.pressure), options.seed
    )
    terrain = survey(problem)
    rows = list_candidates(terrain)
    listing = _least_seconds(lambda: list_candidates(survey(problem)))
    merging = _least_seconds(lambda: merge(terrain, rows))
    started = time.process_time()
    sound = sum(_count_sound(problem, ask) for ask in problem.asks[::CHECKED_EVERY])
    plain = CHECKED_EVERY * (time.process_time() - started)
    everything = list_candidates(terrain, keep_all=True)
    checked = np.isin(everything.ask, np.arange(0, len(problem.asks), CHECKED_EVERY))
    same = "the same places" if sound == np.count_nonzero(checked) else "OTHER PLACES"
    print(f"\nlisting: {len(rows):,} places of the typical club with wants, {same} by the checker; "
          f"listed in {1000 * listing:.0f} ms, merged in {1000 * merging:.0f} ms, "
          f"{1000 * listing / plain:.2f} and {1000 * merging / plain:.2f} thousandths of the "
          "checker's time")  # fmt: skip


def _least_seconds(work: Callable[[], object]) -> float:
    """Measure the processor time of some work, the least of a few times."""
    taken = []
    for _ in range(REPEATS):
        started = time.process_time()
        work()
        taken.append(time.process_time() - started)
    return min(taken)


def _count_sound(problem: Problem, ask: Ask) -> int:
    """Count the places of an ask by itself that the checker passes."""
    alone = replace(problem, asks=(ask,))
    windows = {day.index: [w for w in ask.possible if w.day == day.index] for day in problem.days}
    count = 0
    for day, ground in product(problem.days, problem.grounds):
        first = min((w.start_min for w in windows[day.index]), default=0)
        last = max((w.end_min for w in windows[day.index]), default=0) - ask.minutes
        for start in range(first, last + 1, problem.step_minutes):
            end = start + ask.minutes
            lost = lost_dates(problem, ground, day, start, end)
            place = Placement(ask.key, 0, ground.key, day.index, start, end, lost)
            count += not check(alone, [place])
    return count


def run_finely_cut(options: argparse.Namespace) -> None:
    """Tell how soon, in seconds of the processor, the finely cut pitch has which plan."""
    for days in (1, 5):
        problem = make_finely_cut(days)
        started = time.process_time()
        told: list[str] = []

        def tell(
            plan: tuple[Placement, ...], started: float = started, told: list[str] = told
        ) -> None:
            told.append(f"{len(plan)} at {time.process_time() - started:.1f} s")

        outcome = solve(problem, Effort(options.seconds, 1, options.seed), on_plan=tell)
        took, plans = time.process_time() - started, ", ".join(told)
        print(f"\nfinely-cut: 80 asks on 63 cells, {days} days, seconds of the processor: {plans}; "
              f"{outcome.placed} placed in {took:.1f} s")  # fmt: skip


OTHERS: dict[str, Callable[[argparse.Namespace], None]] = {
    "again": run_again,
    "explaining": run_explaining,
    "finely-cut": run_finely_cut,
    "listing": run_listing,
    "reshare": run_reshare,
    "reasons": run_reasons,
}


def main() -> None:
    """Run the chosen instances."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    names = [*INSTANCES, *OTHERS]
    parser.add_argument("--instances", default="listing,small,typical,over-asked,reshare,reasons")
    parser.add_argument("--seconds", type=float, default=30.0)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    chosen = options.instances.split(",")
    unknown = [name for name in chosen if name not in names]
    if unknown:
        parser.error(f"unknown: {', '.join(unknown)}; known are {', '.join(names)}")
    for name in chosen:
        if name in INSTANCES:
            run_instance(name, options)
        else:
            OTHERS[name](options)


if __name__ == "__main__":
    main()
