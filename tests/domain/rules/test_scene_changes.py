"""A scene with sessions taken out or put in is as one made anew, without a look at all of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.settings import ClubSettings
from clubplanner.domain.rules.case import Scene
from tests.builders import make_booking, make_range, make_squad

if TYPE_CHECKING:
    import pytest

    from clubplanner.domain.booked.bookings import Booking

DAY = date(2027, 3, 9)
SQUADS = {
    squad.key: squad
    for squad in (
        make_squad("U12 Kestrels", coach="Kim Rowe"),
        make_squad("U14 Harriers", coach="Kim Rowe"),
        make_squad("U9 Wrens"),
    )
}


def _sessions() -> list[Booking]:
    """Return sessions of three squads on two pitches, one over midnight, and a closure."""
    made = []
    for number in range(1, 31):
        start = 1020 + 75 * (number % 5)
        day = DAY + timedelta(days=number % 4)
        length = 600 if number == 7 else 75
        made.append(
            replace(
                make_booking(number, during=make_range(day, start, start + length)),
                pitch_key=f"pitch-{number % 2}",
                squad_key=list(SQUADS)[number % 3],
                purpose=Purpose.CLOSED if number == 11 else Purpose.TRAINING,
            )
        )
    return made


def _scene(bookings: list[Booking]) -> Scene:
    return Scene(ClubSettings("Hill Club", "Europe/London"), (), bookings, SQUADS)


def _known(scene: Scene) -> tuple[object, object]:
    on_pitches = {key: found for key, found in scene.by_pitch_and_day.items() if found}
    return on_pitches, {key: found for key, found in scene.by_person.items() if found}


def test_a_changed_scene_knows_what_one_made_anew_does() -> None:
    """Sessions that leave, come, or change places stand where and with whom they would anyway."""
    sessions = _sessions()
    whole = _scene(sessions)
    for gone in ({1}, {7, 8}, {11, 12}, set(range(1, 31)), {99}):
        left = [one for one in sessions if one.number not in gone]
        assert _known(whole.without(gone)) == _known(_scene(left))
        moved = [replace(one, pitch_key="pitch-9") for one in sessions if one.number in gone]
        assert _known(whole.without(gone).with_booked(*moved)) == _known(_scene([*left, *moved]))
    assert _known(whole) == _known(_scene(sessions)), "nothing of it was changed"


def test_a_change_looks_at_what_changes_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once a scene is known, a hundred changes of two sessions each look at these two."""
    looked: list[int | None] = []
    look = Scene._pitch_days

    def counted(scene: Scene, booking: Booking) -> object:
        looked.append(booking.number)
        return look(scene, booking)

    monkeypatch.setattr(Scene, "_pitch_days", counted)
    sessions = _sessions()
    whole = _scene(sessions)
    assert whole.by_pitch_and_day
    looked.clear()
    for _turn in range(100):
        changed = whole.without({3, 4}).with_booked(sessions[2], sessions[3])
        assert changed.on_dates("pitch-1", DAY, DAY + timedelta(days=3))
    assert len(looked) == 100 * 4
