"""Who may leave what in the records, said apart from the program.

What a table is for stands in `store/tables`. A secretary may write all of them with a form that is
taken; nobody may write anything by looking, or by a form that is refused, but for what is noted
of the asking itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.people import Role
from clubplanner.webapp.base.security import ANYBODY, roles_of
from tests.fuzz.club import OTHER_COACH

if TYPE_CHECKING:
    from flask import Flask

    from tests.fuzz.requests import Attack

JOURNAL = {"booking_change", "changed_booking", "changed_record", "stand", "hint"}
"""What goes with every change of the records: the journal, its count, and who is to be told."""
LOOKING = {"browser", "look", "push_key"}
"""A browser that is used, a page or calendar that was had, the key that phones ask for."""
ASKING = {"sent_form", "sign_in_try", "mail_pause"}
"""A form that came, an attempt to sign in, and whether a mail server was there."""
KEPT_ALL_THE_SAME = {
    "season.change_next_season": {"next_season_answer"},
    "share_outs.share_tonight": {"turnout", *JOURNAL},
}
"""What is kept though the form is refused: corrections as they were typed, faults and all; and who
comes tonight, if there is no way to share the evening out."""
OPEN_TO_ALL = {
    "entry.use_password": {"browser"},
    "entry.ask": {"sign_in", "hint"},
    "entry.let_in": {"browser", "sign_in"},
    "entry.use_key": {"browser", "sign_in", "person", "stand"},
    "entry.sign_out": {"browser"},
    "one_session.count": {"turnout", *JOURNAL},
    "mails.turn_off": {"mail_off"},
    "mails.turn_on": {"mail_off"},
    "pushes.at_address": {"push_reader"},
    "pushes.at_address_off": {"push_reader"},
}
"""What anybody may write who has an address or knows a password, by view."""
BY_ROLE = {
    Role.COACH.value: {
        *("booking", "swap_offer", "waiting_ask", "turnout", "link", "session_link", "notice"),
        *("push_reader", "browser", "token", *JOURNAL),
    },
    Role.CLUB_SECRETARY.value: {
        *("squad", "squad_club", "squad_coach", "squad_end", "squad_season", "squad_name", "ask"),
        *("booking", "fixture", "swap_offer", "waiting_ask", "turnout", "link", "session_link"),
        *("person", "browser", "sign_in", "mail", "mail_anew", "mailed", "notice"),
        *("push_reader", "table_heading", "token", *JOURNAL),
    },
    Role.GROUNDSKEEPER.value: {
        *("booking", "closure", "closure_day", "swap_offer", "fixture", "browser", "token"),
        *JOURNAL,
    },
}


def may_write(app: Flask, attack: Attack, endpoint: str, table: str, status: int) -> bool:
    """Tell whether a request may leave something in a table.

    Args:
        app: The app.
        attack: The request.
        endpoint: The view that it came to; blank for none.
        table: Which.
        status: HTTP status of the answer.
    """
    if table in LOOKING:
        return True
    if attack.method != "POST" or not endpoint or not attack.has_token:
        return table == "mail_off" and endpoint == "mails.turn_off"
    who = Role.COACH.value if attack.who == OTHER_COACH else attack.who
    roles = roles_of(app, endpoint)
    if roles != ANYBODY and who not in {role.value for role in roles}:
        return False
    if table in ASKING or table in KEPT_ALL_THE_SAME.get(endpoint, ()):
        return True
    if status >= 400:
        return False
    if roles == ANYBODY:
        return table in OPEN_TO_ALL.get(endpoint, ())
    return who == Role.SECRETARY.value or table in BY_ROLE[who]
