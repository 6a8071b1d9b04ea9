"""Stretches and breaks: the dates of training."""

from __future__ import annotations

from datetime import date

from clubplanner.domain.times.seasons import Break, Stretch, training_dates

AUTUMN = Stretch("autumn", "Autumn", date(2026, 10, 19), date(2026, 11, 1))


def test_a_stretch_is_trained_on_every_date_outside_its_breaks() -> None:
    """First and last dates of stretch and break are included; breaks may overlap or lie outside."""
    breaks = [
        Break("Half-term", date(2026, 10, 24), date(2026, 10, 30)),
        Break("Resowing", date(2026, 10, 29), date(2026, 10, 31)),
        Break("Winter", date(2026, 12, 20), date(2027, 1, 3)),
    ]
    days = training_dates(AUTUMN, breaks)
    assert days == (*(date(2026, 10, n) for n in range(19, 24)), date(2026, 11, 1))
    assert len(training_dates(AUTUMN, [])) == 14


def test_a_break_over_the_whole_stretch_leaves_nothing() -> None:
    """No dates are left, and a stretch that ends before it starts has none either."""
    assert training_dates(AUTUMN, [Break("All", AUTUMN.starts_on, AUTUMN.ends_on)]) == ()
    assert training_dates(Stretch("x", "X", date(2026, 2, 2), date(2026, 2, 1)), []) == ()
