"""Which modules are looked at, and which tests each must answer to, the quickest first."""

from __future__ import annotations

GROUPS: dict[str, dict[str, tuple[str, ...]]] = {
    "geometry": {
        "geometry/shapes.py": (
            "geometry/test_shapes.py",
            "geometry/test_cells.py",
            "geometry/test_frame.py",
            "geometry/test_cuts.py",
        ),
        "geometry/cells.py": ("geometry/test_cells.py",),
        "geometry/cuts.py": ("geometry/test_cuts.py", "geometry/test_cells.py"),
        "geometry/frame.py": ("geometry/test_frame.py", "published/test_ground.py"),
    },
    "guard": {
        "store/guard.py": (
            "store/test_guard.py",
            "store/test_keys.py",
            "store/upkeep/test_migrate.py",
        )
    },
    "identity": {
        "outputs/calendars/feed.py": (
            "outputs/calendars/test_feed.py",
            "published/test_calendar_rules.py",
        ),
        "outputs/calendars/invitation.py": (
            "outputs/calendars/test_invitation.py",
            "outputs/mails/test_mail_headers.py",
            "outputs/mails/test_mail.py",
        ),
        "domain/club/told/notices.py": ("domain/club/told/test_notices.py",),
        "services/calendars/feed_events.py": (
            "services/calendars/test_feed_events.py",
            "services/calendars/test_feeds.py",
        ),
    },
    "rules": {
        "domain/club/sharing_rules.py": (
            "domain/club/test_sharing_rules.py",
            "inputs/club_files/test_settings.py",
            "services/problem/test_wants.py",
        ),
        "domain/booked/bookings.py": ("domain/booked/test_bookings.py",),
        "domain/times/times.py": ("domain/times/test_times.py", "published/test_clock_changes.py"),
        "domain/times/windows.py": (
            "domain/times/test_windows.py",
            "inputs/club_files/test_spoken_cells.py",
        ),
        "domain/booked/waiting.py": ("domain/booked/test_waiting.py",),
        "domain/booked/closures.py": ("domain/booked/test_closures.py",),
    },
}
"""Group → module below `clubplanner/` → test files below `tests/`."""


def modules_asked_for(words: list[str]) -> dict[str, tuple[str, ...]]:
    """Return the modules that names of groups or modules mean, all for no names at all."""
    every = {module: tests for group in GROUPS.values() for module, tests in group.items()}
    named = [word for word in words if word in GROUPS or word in every]
    if not named:
        return every
    wanted = {module for word in named for module in GROUPS.get(word, {word: ()})}
    return {module: tests for module, tests in every.items() if module in wanted}
