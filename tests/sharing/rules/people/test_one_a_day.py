"""One session of an ask a day, as the optimiser keeps it."""

from __future__ import annotations

from clubplanner.sharing import Effort, Window
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem
from tests.sharing.rules.oracle import plans_of_model, sound_plans


def test_each_session_has_a_day_of_its_own() -> None:
    """Of all plans of two or three sessions on two evenings, exactly the sound ones."""
    evenings = tuple(Window(day, 1080, 1200) for day in range(2))
    problem = make_problem(
        make_pitch(), make_ask(sessions=3, possible=evenings), days=make_days(2), step_minutes=60
    )
    plans = plans_of_model(problem)
    assert plans == sound_plans(problem)
    assert max(len(plan) for plan in plans) == 2
    assert solve(problem, Effort(10)).placed == 2


def test_two_asks_of_a_squad_may_share_an_evening() -> None:
    """Only the sessions of one ask are kept on different days."""
    window = (Window(0, 1080, 1200),)
    asks = [make_ask(key, squad="one", possible=window) for key in "ab"]
    problem = make_problem(make_pitch(), *asks, step_minutes=60)
    assert plans_of_model(problem) == sound_plans(problem)
    assert solve(problem, Effort(10)).placed == 2
