"""What each column can hold of a person, and what becomes of it: the list that all others go by.

What is kept of somebody (`services/keeping`) is looked for in the columns that are marked here,
erased as they are marked, and pruned by the period of their table. A column without a mark fails
`tests/store/test_personal.py`.
"""

from __future__ import annotations

from clubplanner.domain.club.persons.keeping import Period
from clubplanner.store.personal_kinds import Fate, Holds, Marks, Part


def _marks(
    part: Part,
    fate: Fate,
    nothing: str = "",
    *,
    pruned: Period | None = None,
    short_lived: str = "",
    **held: Holds,
) -> Marks:
    columns = dict.fromkeys(nothing.split(), Holds.NOTHING)
    return Marks(part, fate, columns | held, pruned, short_lived)


_NOTHING = {
    "area": "pitch_id polygon cells cut twelfths redrawn_at id position",
    "busy_booking": "booking_id calendar_id",
    "closure_day": "id closure_id booking_id",
    "form_secret": "id value",
    "hire_date": "id hire_id day booking_id is_ended",
    "holiday_place": "id country region",
    "journal_era": "id name begins_after begun_at dropped_to",
    "notice": "id entry_id squad_id sequence changed_at is_wanted told_at",
    "notice_board": "id is_on changed_at",
    "obstacle": "id pitch_id polygon",
    "own_format": "id code position figures",
    "push_key": "id private_key public_key made_at",
    "pushed_notice": "notice_id noted_at",
    "served": "id address served_at",
    "squad_season": "squad_id starts_on ends_on",
    "stand": "id number",
    "table_heading": "id kind heading means",
    "training_holiday": "day",
    "wear_limit": "pitch_id hours matches source quality",
}
"""Tables with nothing of anybody. The club's own sizes, headings and sources of limits are words of
tables."""

NAME, ADDRESS, PHONE, WORDS = Holds.NAME, Holds.ADDRESS, Holds.PHONE, Holds.WORDS
VALUES, SECRET, THING, WHO = Holds.VALUES, Holds.SECRET, Holds.THING, Holds.WHO

MARKS: dict[str, Marks] = {
    **{name: _marks(Part.CLUB, Fate.STAYS, columns) for name, columns in _NOTHING.items()},
    "area": _marks(Part.GROUND, Fate.STAYS, _NOTHING["area"], key=THING, name=THING),
    "ask": _marks(
        Part.ASKS,
        Fate.STAYS,
        "id squad_id sessions minutes possible preferred least_m2 least_share least_format "
        "surfaces needs_goal needs_light priority latest_finish_min rest_days no_day_before "
        "no_day_after wishes partners most_in_a_row",
    ),
    "booking": _marks(
        Part.BOOKINGS,
        Fate.WITHOUT,
        "id uid pitch_id area_id cells starts_at ends_at purpose squad_id is_withdrawn is_fixed "
        "share_out_id sequence created_at changed_at",
        pruned=Period.REMARKS,
        holder=NAME,
        note=WORDS,
        overruled=WORDS,
    ),
    "booking_change": _marks(
        Part.JOURNAL, Fate.WITHOUT, "id at undoes_id", pruned=Period.JOURNAL, by=NAME, words=WORDS
    ),
    "browser": _marks(
        Part.SIGNING_IN,
        Fate.GOES,
        "id created_at ends_at",
        short_lived="signed out",
        person_id=WHO,
        secret_hash=SECRET,
        about=WORDS,
    ),
    "busy_calendar": _marks(
        Part.CALENDARS,
        Fate.WITHOUT,
        "id area_id etag modified tried_at read_at ended_at",
        short_lived="read again",
        name=NAME,
        url=THING,
        data=Holds.FILE,
        problems=VALUES,
    ),
    "changed_booking": _marks(
        Part.JOURNAL,
        Fate.WITHOUT,
        "id change_id booking_id area_id",
        pruned=Period.JOURNAL,
        before=VALUES,
        after=VALUES,
    ),
    "changed_record": _marks(
        Part.JOURNAL,
        Fate.WITHOUT,
        "id change_id sort number",
        pruned=Period.JOURNAL,
        title=WORDS,
        before=VALUES,
        after=VALUES,
    ),
    "closure": _marks(
        Part.GROUND,
        Fate.WITHOUT,
        "id area_id starts_at ends_at condition created_at lifted_at",
        words=WORDS,
        reason=WORDS,
    ),
    "club": _marks(
        Part.CLUB,
        Fate.STAYS,
        "id zone language step_minutes changeover_minutes travel_minutes rules",
        name=THING,
    ),
    "club_secretary": _marks(Part.PERSON, Fate.GOES, "club_id", person_id=WHO),
    "club_within": _marks(Part.CLUB, Fate.STAYS, "id position ended_at", key=THING, name=THING),
    "fixture": _marks(
        Part.MATCHES,
        Fate.WITHOUT,
        "id squad_id day kick_off_from kick_off_to format_code minutes warm_up_minutes "
        "after_minutes booking_id withdrawn_at",
        pruned=Period.REMARKS,
        opponent=NAME,
        pitch_name=THING,
        officials=WORDS,
        opponents=WORDS,
        note=WORDS,
    ),
    "followed": _marks(
        Part.MAILS, Fate.GOES, "booking_id sequence", short_lived="over", address=ADDRESS
    ),
    "hint": _marks(
        Part.MAILS,
        Fate.GOES,
        "id message_id about path made_at ends_at next_try_at attempts state ended_at",
        short_lived="over",
        address=ADDRESS,
        name=NAME,
        subject=WORDS,
        text=WORDS,
        words=WORDS,
    ),
    "hire": _marks(
        Part.HIRES,
        Fate.WITHOUT,
        "id area_id start_min end_min every_weeks skips_breaks created_at withdrawn_at",
        pruned=Period.HIRERS,
        name=NAME,
        contact=NAME,
        phone=PHONE,
        note=WORDS,
    ),
    "keeping": _marks(Part.CLUB, Fate.WITHOUT, "id days", ask=WORDS),
    "link": _marks(
        Part.ADDRESSES,
        Fate.GOES,
        "id squad_id pitch_id reminder_minutes mail_id created_at revoked_at",
        pruned=Period.ADDRESSES,
        person_id=WHO,
        secret_hash=SECRET,
        holder=NAME,
        email=ADDRESS,
    ),
    "look": _marks(
        Part.ADDRESSES,
        Fate.GOES,
        "id link_id page_at page_stand feed_at feed_stand",
        pruned=Period.ADDRESSES,
        person_id=WHO,
    ),
    "mail": _marks(
        Part.MAILS,
        Fate.GOES,
        "id message_id squad_id made_at next_try_at attempts state ended_at",
        pruned=Period.MAILS,
        address=ADDRESS,
        name=NAME,
        changes=VALUES,
        words=WORDS,
    ),
    "mail_anew": _marks(Part.MAILS, Fate.GOES_WITH, "mail_id at", pruned=Period.MAILS),
    "mail_off": _marks(Part.MAILS, Fate.GOES, "since", address=ADDRESS),
    "mail_pause": _marks(
        Part.MAILS, Fate.WITHOUT, "id since tries next_try_at", short_lived="over", words=WORDS
    ),
    "mailed": _marks(
        Part.MAILS,
        Fate.GOES,
        "booking_id sequence ends_at mailed_at",
        short_lived="over",
        address=ADDRESS,
        name=NAME,
        state=VALUES,
    ),
    "money": _marks(Part.CLUB, Fate.WITHOUT, "id currency notice_hours late_percent", note=WORDS),
    "next_season_answer": _marks(
        Part.CLUB, Fate.WITHOUT, "id item", short_lived="made", given=VALUES, by=NAME
    ),
    "person": _marks(
        Part.PERSON,
        Fate.WITHOUT,
        "may_sign_in role version created_at ended_at",
        id=WHO,
        name=NAME,
        email=ADDRESS,
        phone=PHONE,
        password_hash=SECRET,
    ),
    "pitch": _marks(
        Part.GROUND,
        Fate.STAYS,
        "id venue_id position surface is_lit is_indoor polygon frame edges goals portable_goals "
        "entrance",
        key=THING,
        name=THING,
    ),
    "push": _marks(
        Part.PHONES,
        Fate.GOES_WITH,
        "id reader_id squad_id tag made_at next_try_at attempts state ended_at",
        short_lived="over",
        changes=VALUES,
        words=WORDS,
    ),
    "push_reader": _marks(
        Part.PHONES,
        Fate.GOES_WITH,
        "id link_id browser_id language created_at answer answered_at",
        short_lived="switched off",
        endpoint=SECRET,
        public_key=SECRET,
        auth=SECRET,
    ),
    "reduction": _marks(
        Part.HIRES,
        Fate.WITHOUT,
        "id payer squad_id up_to_age venue_id percent free_minutes",
        name=WORDS,
        hirer=NAME,
    ),
    "restored": _marks(Part.CLUB, Fate.STAYS, "id at taken_at change_id found seen_at"),
    "season": _marks(Part.CLUB, Fate.STAYS, "id starts_on made_at kept"),
    "sent_form": _marks(
        Part.SIGNING_IN,
        Fate.STAYS,
        "id token_hash sent_at",
        short_lived="a day",
        answer=THING,
    ),
    "session_link": _marks(
        Part.ADDRESSES,
        Fate.GOES,
        "id booking_id may_count created_at revoked_at",
        pruned=Period.ADDRESSES,
        secret_hash=SECRET,
        holder=NAME,
        made_by=NAME,
    ),
    "share_out": _marks(
        Part.PROPOSALS,
        Fate.WITHOUT,
        "id stretch_id sort created_at kind published_at",
        pruned=Period.PROPOSALS,
        outcome=VALUES,
    ),
    "share_run": _marks(
        Part.PROPOSALS,
        Fate.WITHOUT,
        "id state asked_at begun_at seen_at ended_at is_stop_asked share_out_id",
        pruned=Period.PROPOSALS,
        request=VALUES,
        title=WORDS,
        progress=VALUES,
        fault=WORDS,
    ),
    "sign_in": _marks(
        Part.SIGNING_IN,
        Fate.GOES,
        "id code created_at ends_at",
        short_lived="a day",
        person_id=WHO,
        secret_hash=SECRET,
        browser_hash=SECRET,
        about=WORDS,
    ),
    "sign_in_try": _marks(
        Part.SIGNING_IN, Fate.STAYS, "id tried_at", short_lived="a day", counted_under=SECRET
    ),
    "squad": _marks(
        Part.CLUB, Fate.STAYS, "id position age_group players goalkeepers", key=THING, name=THING
    ),
    "squad_club": _marks(Part.CLUB, Fate.STAYS, "squad_id club_id"),
    "squad_coach": _marks(
        Part.PERSON, Fate.WITHOUT, "id squad_id position began_at ended_at", person_id=WHO
    ),
    "squad_end": _marks(Part.CLUB, Fate.WITHOUT, "squad_id from_day goes_on_in_id", why=WORDS),
    "squad_name": _marks(Part.CLUB, Fate.STAYS, "id squad_id season_id until", name=THING),
    "statement": _marks(
        Part.HIRES,
        Fate.WITHOUT,
        "id number payer squad_id venue_id month currency total issued_at withdrawn_at",
        name=NAME,
        lines=VALUES,
        note=WORDS,
        why=WORDS,
    ),
    "stretch": _marks(Part.CLUB, Fate.STAYS, "id starts_on ends_on", key=THING, name=THING),
    "swap_offer": _marks(
        Part.ASKS,
        Fate.WITHOUT,
        "id own_id other_id own_sequence other_sequence offered_at state",
        pruned=Period.REMARKS,
        by=NAME,
        note=WORDS,
    ),
    "tariff": _marks(
        Part.CLUB,
        Fate.STAYS,
        "id payer venue_id pitch_id area_id amount per adds light weekdays from_min to_min "
        "season_from season_to starts_on ends_on",
        name=THING,
    ),
    "token": _marks(
        Part.SIGNING_IN,
        Fate.GOES,
        "id may_change created_at ends_at used_at revoked_at",
        pruned=Period.ADDRESSES,
        person_id=WHO,
        purpose=WORDS,
        secret_hash=SECRET,
    ),
    "training_break": _marks(Part.CLUB, Fate.STAYS, "id starts_on ends_on", name=THING),
    "turnout": _marks(
        Part.ASKS,
        Fate.WITHOUT,
        "id squad_id day players goalkeepers is_coming from_min until_min minutes said_at",
        pruned=Period.REMARKS,
        said_by=NAME,
    ),
    "venue": _marks(
        Part.GROUND,
        Fate.WITHOUT,
        "id position lon lat opening lights_off_min dusk_margin_minutes phone_for_parents",
        key=THING,
        name=THING,
        address=THING,
        way_in=WORDS,
        parking=WORDS,
        contact=NAME,
        contact_phone=PHONE,
    ),
    "webhook": _marks(
        Part.CLUB,
        Fate.STAYS,
        "id mark created_at failing_since ended_at words",
        name=THING,
        url=THING,
        secret=SECRET,
    ),
    "webhook_secret": _marks(
        Part.CLUB,
        Fate.STAYS,
        "id webhook_id until",
        short_lived="a day",
        secret=SECRET,
    ),
    "webhook_message": _marks(
        Part.CLUB,
        Fate.STAYS,
        "id webhook_id message_id from_mark to_mark made_at next_try_at attempts status "
        "taken_at words",
        pruned=Period.MAILS,
    ),
    "waiting_ask": _marks(
        Part.ASKS,
        Fate.WITHOUT,
        "id squad_id day from_min to_min minutes least_share wants_more booking_id asked_at state",
        pruned=Period.REMARKS,
        by=NAME,
        note=WORDS,
        answer=WORDS,
    ),
}
