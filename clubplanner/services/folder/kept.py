"""What becomes of every column of the records when a club goes out as a folder.

A column goes out to a file, or it stays: because it follows from what goes out, because it is a
secret, or because the program noted it for itself. A column without a decision fails a test.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.services.folder.parts import PARTS
from clubplanner.services.folder.sheets.sheets import SHEETS
from clubplanner.services.folder.typed_files import SETTINGS, SIZES, SQUADS

if TYPE_CHECKING:
    from collections.abc import Mapping

GROUNDS = "grounds-….geojson"
SHARE_OUTS = "share-out-….json"
CALENDARS = "other-calendar-….ics"


class Stays(StrEnum):
    """Why a column stays.

    FOLLOWS: From what goes out, or from the order of rows.
    SECRET: It opens something, or proves who somebody is.
    NOTED: By the program for its own work: what is sent, who looked, what was done when.
    """

    FOLLOWS = "follows"
    SECRET = "secret"  # noqa: S105 - a word, and none that opens anything
    NOTED = "noted"


def _columns(names: str, becomes: str) -> dict[str, str]:
    return dict.fromkeys(names.split(), becomes)


_TYPED: dict[str, dict[str, str]] = {
    "club": _columns(
        "name zone language step_minutes changeover_minutes travel_minutes rules", SETTINGS
    ),
    "venue": _columns(
        "position name address lon lat opening lights_off_min dusk_margin_minutes way_in parking "
        "contact contact_phone phone_for_parents",
        SETTINGS,
    ),
    "keeping": _columns("ask days", SETTINGS),
    "money": _columns("currency notice_hours late_percent note", SETTINGS),
    "tariff": _columns(
        "payer name venue_id pitch_id area_id amount per adds light weekdays from_min to_min "
        "season_from season_to starts_on ends_on",
        SETTINGS,
    ),
    "reduction": _columns(
        "payer name squad_id hirer up_to_age venue_id percent free_minutes", SETTINGS
    ),
    "stretch": _columns("name starts_on ends_on", SETTINGS),
    "training_break": _columns("name starts_on ends_on", SETTINGS),
    "pitch": _columns(
        "venue_id position name surface is_lit is_indoor polygon frame edges goals portable_goals "
        "entrance",
        GROUNDS,
    ),
    "obstacle": _columns("pitch_id polygon", GROUNDS),
    "area": _columns("pitch_id name cut polygon", GROUNDS),
    "squad": _columns("position name age_group players goalkeepers", SQUADS),
    "ask": _columns(
        "squad_id sessions minutes possible preferred least_m2 least_share least_format surfaces "
        "needs_goal needs_light priority latest_finish_min rest_days no_day_before no_day_after "
        "wishes partners most_in_a_row",
        SQUADS,
    ),
    "own_format": _columns("position figures", SIZES),
    "share_out": _columns("stretch_id sort created_at kind outcome published_at", SHARE_OUTS),
    "busy_calendar": {"data": CALENDARS},
}
_FOLLOWING = {
    "area": "key position twelfths",
    "booking": "pitch_id",
    "club_within": "key",
    "own_format": "code",
    "pitch": "key",
    "squad": "key",
    "stretch": "key",
    "venue": "key",
}
_SECRET = {
    "browser": "person_id secret_hash about created_at ends_at",
    "form_secret": "value",
    "link": "secret_hash",
    "person": "password_hash",
    "push_key": "private_key public_key made_at",
    "push_reader": (
        "link_id browser_id endpoint public_key auth language created_at answer answered_at"
    ),
    "webhook": "name url secret mark created_at failing_since ended_at words",
    "webhook_secret": "webhook_id secret until",
    "session_link": "booking_id secret_hash holder made_by may_count created_at revoked_at",
    "sign_in": "person_id secret_hash browser_hash code about created_at ends_at",
    "token": "person_id purpose secret_hash may_change created_at ends_at used_at revoked_at",
}
_NOTED = {
    "booking_change": "at by words undoes_id",
    "busy_calendar": "etag modified problems tried_at",
    "changed_booking": "change_id booking_id before after area_id",
    "changed_record": "change_id sort number title before after",
    "followed": "booking_id address sequence",
    "hint": (
        "message_id about address name subject text path made_at ends_at next_try_at attempts "
        "state ended_at words"
    ),
    "journal_era": "name begins_after begun_at dropped_to",
    "link": "mail_id revoked_at",
    "look": "person_id link_id page_at page_stand feed_at feed_stand",
    "mail": (
        "message_id squad_id address name changes made_at next_try_at attempts state ended_at words"
    ),
    "mail_anew": "mail_id at",
    "mail_pause": "since tries next_try_at words",
    "mailed": "booking_id address name sequence state ends_at mailed_at",
    "notice": "entry_id squad_id sequence changed_at is_wanted told_at",
    "person": "version",
    "push": ("reader_id squad_id changes tag made_at next_try_at attempts state ended_at words"),
    "pushed_notice": "notice_id noted_at",
    "restored": "at taken_at change_id found seen_at",
    "season": "kept",
    "sent_form": "token_hash sent_at answer",
    "served": "address served_at",
    "share_run": (
        "request title state asked_at begun_at seen_at ended_at is_stop_asked progress "
        "share_out_id fault"
    ),
    "sign_in_try": "counted_under tried_at",
    "stand": "number",
    "webhook_message": (
        "webhook_id message_id from_mark to_mark made_at next_try_at attempts status taken_at words"
    ),
}


def _decide() -> dict[str, dict[str, str]]:
    decided: dict[str, dict[str, str]] = {}
    staying = ((_FOLLOWING, Stays.FOLLOWS), (_SECRET, Stays.SECRET), (_NOTED, Stays.NOTED))
    for table, columns in _TYPED.items():
        decided.setdefault(table, {}).update(columns)
    for sheet in (PARTS, *SHEETS):
        own = decided.setdefault(sheet.table.name, {})
        for column in sheet.columns:
            own.setdefault(column.name, sheet.file)
    for group, why in staying:
        for table, names in group.items():
            decided.setdefault(table, {}).update(_columns(names, why))
    return decided


DECISIONS: Mapping[str, Mapping[str, str]] = _decide()
"""Table → column → the file it goes out to, or why it stays; a row's own number always stays."""


def tables_that_go_out() -> set[str]:
    """Return the tables of which any column goes out."""
    return {
        table
        for table, columns in DECISIONS.items()
        if any(not isinstance(becomes, Stays) for becomes in columns.values())
    }
