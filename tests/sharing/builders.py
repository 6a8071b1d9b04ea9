"""Builders of share-out problems for tests: invented pitches, days and squads."""

from __future__ import annotations

import random
from collections import Counter
from datetime import date, timedelta

from clubplanner.sharing import (
    Ask,
    Darkness,
    Day,
    Ground,
    LightsOut,
    Opening,
    Placement,
    Problem,
    Standing,
    Window,
)
from clubplanner.sharing.example.example import example
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.placements import placement_of

MONDAY = date(2026, 9, 7)
DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
STRIPS = {"whole": 1, "halves": 2, "thirds": 3, "quarters": 4}


def make_days(count: int = 1, weeks: int = 1) -> tuple[Day, ...]:
    """Return the first weekdays, each with a date in so many weeks."""
    return tuple(
        Day(n, DAY_NAMES[n], n, tuple(MONDAY + timedelta(days=n, weeks=w) for w in range(weeks)))
        for n in range(count)
    )


def strip_cells(cut: str, part: int) -> int:
    """Return the cells of a strip, with a cell a twelfth of the length."""
    width = 12 // STRIPS[cut]
    return ((1 << width) - 1) << (part * width)


def make_pitch(
    key: str = "top",
    *,
    venue: str = "park",
    cuts: tuple[str, ...] = ("whole",),
    area_m2: float = 6000.0,
    surface: str = "grass",
    is_lit: bool = True,
    is_indoor: bool = False,
    goals: bool = True,
) -> tuple[Ground, ...]:
    """Return the grounds of a pitch cut into strips; the ends have goals."""
    return tuple(
        Ground(
            key=f"{key}-{cut}-{part}",
            pitch=key,
            venue=venue,
            name=f"{key} {cut} {part + 1}",
            cells=strip_cells(cut, part),
            share=12 // STRIPS[cut],
            cut=cut,
            area_m2=area_m2 / STRIPS[cut],
            share_of_pitch=1 / STRIPS[cut],
            surface=surface,
            has_goal=goals and part in (0, STRIPS[cut] - 1),
            is_lit=is_lit,
            is_indoor=is_indoor,
            formats=frozenset({"11v11"} if cut == "whole" else {"5v5"}),
        )
        for cut in cuts
        for part in range(STRIPS[cut])
    )


def make_ask(key: str = "a", **changes: object) -> Ask:
    """Return an ask for one hour on Monday between 18:00 and 20:00."""
    values: dict[str, object] = {
        "key": key,
        "squad": f"squad {key}",
        "squad_name": f"Squad {key}",
        "coach": None,
        "sessions": 1,
        "minutes": 60,
        "possible": (Window(0, 1080, 1200),),
    }
    return Ask(**{**values, **changes})  # type: ignore[arg-type]


def make_openings(problem_days: tuple[Day, ...], *venues: str) -> tuple[Opening, ...]:
    """Return openings from 08:00 to 22:00 on every day."""
    return tuple(Opening(venue, day.index, 480, 1320) for venue in venues for day in problem_days)


def make_problem(
    grounds: tuple[Ground, ...], *asks: Ask, days: tuple[Day, ...] | None = None, **changes: object
) -> Problem:
    """Return a problem whose venues are open from 08:00 to 22:00."""
    known = days if days is not None else make_days()
    venues = sorted({ground.venue for ground in grounds})
    values: dict[str, object] = {
        "grounds": grounds,
        "days": known,
        "openings": make_openings(known, *venues),
        "asks": asks,
        "step_minutes": 30,
    }
    return Problem(**{**values, **changes})  # type: ignore[arg-type]


def make_club(squads: int, *, pitches: int = 4, seed: int = 1, step_minutes: int = 15) -> Problem:
    """Invent a club at three venues: lit and unlit pitches, ages from U7 up, matches that stand."""
    chance = random.Random(seed)  # noqa: S311 - invented squads, nothing secret
    kinds = [
        ("main", "park", ("whole", "halves", "thirds"), 6800.0, "artificial", True),
        ("back", "park", ("whole", "halves", "quarters"), 6000.0, "grass", False),
        ("lane", "lane", ("whole", "halves", "thirds", "quarters"), 6400.0, "grass", True),
        ("school", "school", ("whole", "halves"), 2400.0, "artificial", True),
        ("green", "green", ("whole", "thirds"), 5400.0, "grass", False),
        ("barn", "lane", ("whole", "thirds"), 1800.0, "indoor", True),
    ]
    grounds: list[Ground] = []
    for key, venue, cuts, area, surface, lit in kinds[:pitches]:
        grounds += make_pitch(
            key, venue=venue, cuts=cuts, area_m2=area, surface=surface, is_lit=lit
        )
    days = make_days(5, weeks=12)
    venues = sorted({ground.venue for ground in grounds})
    openings = tuple(Opening(venue, day.index, 960, 1290) for venue in venues for day in days)
    dark = tuple(Darkness(venue, day.index, 1140) for venue in venues for day in days)
    standing = tuple(
        Standing("main", strip_cells("halves", 0), day.dates[week], 1080, 1200, "Cup match")
        for day in days[:2]
        for week in (2, 7)
    )
    asks = tuple(_invent_ask(chance, n) for n in range(squads))
    return Problem(
        grounds=tuple(grounds),
        days=days,
        openings=openings,
        darkness=dark,
        lights_out=(LightsOut("park", None, 0, 1260),),
        standing=standing,
        asks=asks,
        step_minutes=step_minutes,
    )


def _invent_ask(chance: random.Random, number: int) -> Ask:
    age = chance.choice([7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 18, 20])
    minutes = 60 if age < 10 else 75 if age < 15 else 90
    earliest = 1020 if age < 12 else 1050 if age < 15 else 1080
    latest = 1140 if age < 10 else 1185 if age < 13 else 1230 if age < 16 else 1290
    days = sorted(chance.sample(range(5), chance.choice([3, 4, 4, 5])))
    best = chance.sample(days, 2)
    middle = earliest + chance.choice([0, 15, 30, 45])
    coach = f"Coach {number // 2}" if number % 7 == 0 or number % 7 == 1 else f"Coach {number}"
    return Ask(
        key=f"ask-{number}",
        squad=f"squad-{number}",
        squad_name=f"U{age} number {number}",
        coach=coach,
        sessions=2,
        minutes=minutes,
        possible=tuple(Window(day, earliest, latest) for day in days),
        preferred=tuple(Window(day, middle, min(latest, middle + minutes + 15)) for day in best),
        least_m2=1000.0 if age < 10 else 1500.0 if age < 13 else 2200.0 if age < 16 else 3000.0,
        needs_goal=chance.random() < 0.3,
    )


def make_finely_cut(days: int, asks: int = 80, seed: int = 1) -> Problem:
    """Invent a pitch of 63 cells, each of them let by itself, a third of the asks for all of it."""
    chance = random.Random(seed)  # noqa: S311 - invented squads, nothing secret
    cuts = [("whole", 9, 7), ("thirds", 3, 7), ("ninths", 1, 7), ("cells", 1, 1)]
    grounds = tuple(
        Ground(
            key=f"{cut}-{column}-{row}",
            pitch="top",
            venue="park",
            name=f"{cut} {column} {row}",
            cells=sum(
                1 << (7 * (column + c) + row + r) for c in range(width) for r in range(height)
            ),
            share={"whole": 12, "thirds": 4}.get(cut),
            cut=cut,
            area_m2=100.0 * width * height,
            share_of_pitch=width * height / 63,
            surface="grass",
            has_goal=True,
            is_lit=True,
            is_indoor=False,
            formats=frozenset({"5v5"}),
        )
        for cut, width, height in cuts
        for column in range(0, 9, width)
        for row in range(0, 7, height)
    )
    wanted = []
    for number in range(asks):
        sizes = [(1.0,), (0.0, 1 / 9, 1 / 3), (1 / 9,)][number % 3]
        least = sizes[0] if len(sizes) == 1 else chance.choice(sizes)
        minutes = chance.choice([60, 75, 90])
        own = sorted(chance.sample(range(days), min(days, chance.choice([2, 3, 3, 4, 5]))))
        wanted.append(
            make_ask(
                f"s{number}",
                least_share=least,
                minutes=minutes,
                possible=tuple(Window(day, 1020, 1320) for day in own),
            )
        )
    return make_problem(grounds, *wanted, days=make_days(days), step_minutes=15)


def planned(
    squads: int, pitches: int, seed: int, pressure: float
) -> tuple[Problem, tuple[Placement, ...]]:
    """Invent a club and share it out one session at a time, without a search."""
    problem = example(squads, pitches, seed, pressure)
    terrain = survey(problem)
    rows = list_candidates(terrain)
    chosen = sorted(fill_plan(terrain, rows).tolist(), key=lambda row: int(rows.day[row]))
    counts: Counter[int] = Counter()
    plan: list[Placement] = []
    for row in chosen:
        number = int(rows.ask[row])
        plan.append(placement_of(terrain, rows, row, counts[number]))
        counts[number] += 1
    return problem, tuple(plan)
