"""A squad begins in mid-season, or ends from a date on: what would come of it first, then done."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from pydantic import Field

from clubplanner.services.season.squads.begins import begin_squad
from clubplanner.services.season.squads.begins_page import see_squad_begin
from clubplanner.services.setup.squads.ends import end_squad_from
from clubplanner.services.setup.squads.ends_page import foresee_squad_end
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import Day, Name, ShortWords, Value, Words, example
from clubplanner.webapp.api.shared.ground_at import squad_at
from clubplanner.webapp.api.shared.squad_values import SquadValue
from clubplanner.webapp.api.squads.squads import see_squad
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from clubplanner.services.season.squads.begins_page import FreeSeries, SessionSought

_SERIES = {
    "value": "2@1080@75@4@9",
    "words": "Wed 18:00–19:15, third 1, Top pitch",
    "count": 9,
    "lost": [],
    "more_lost": 0,
}
_SOUGHT = {"words": "75 minutes on Wed", "options": [_SERIES], "why": [], "would_help": []}
_HABIT = {"words": "Wed 18:00–19:15, third 1, Top pitch", "count": 9, "last_day": "17 Mar"}


class FromDay(Value):
    """From which date."""

    model_config = example(from_day="2027-01-11")

    from_day: Day = Field(description="Today or later.")


class BeginLook(FromDay):
    """From which date, and at which of many venues."""

    model_config = example(from_day="2027-01-11", venue="")

    venue: ShortWords = Field(
        "", description="Key of the venue looked at, in a club with many; blank for the usual one."
    )


class SeriesFree(Value):
    """A place in the week that is free."""

    model_config = example(**_SERIES)

    value: str = Field(description="To choose it by.")
    words: str
    count: int = Field(description="On how many dates.")
    lost: list[str] = Field(description="The first dates on which it is not, with why.")
    more_lost: int = Field(description="How many besides.")


class SessionWanted(Value):
    """One session a week that a squad asks for and does not have."""

    model_config = example(**_SOUGHT)

    words: str = Field(description="What is asked for.")
    options: list[SeriesFree] = Field(description="Beside the best of those before; best first.")
    why: list[str] = Field(description="Why there is none.")
    would_help: list[str] = Field(description="What would change that, each by itself.")


class BeginForeseen(Value):
    """What a squad could have from a date on; nothing is changed."""

    model_config = example(
        from_day="2027-01-11",
        last_day="2027-04-09",
        venue="",
        has=0,
        makes_address=True,
        sought=[_SOUGHT],
    )

    from_day: date
    last_day: date = Field(description="The end of the stretch.")
    venue: str = Field(description="The venue that was looked at; blank for all.")
    has: int = Field(description="How many sessions a week it has by then.")
    makes_address: bool = Field(description="Whether it has no address yet, and gets one.")
    sought: list[SessionWanted]


class BeginWritten(Value):
    """Which places in the week a squad takes."""

    model_config = example(from_day="2027-01-11", choices=["2@1080@75@4@9"])

    from_day: Day
    choices: list[Name] = Field(
        min_length=1, max_length=20, description="`value`s that `look` told."
    )


class BegunValue(Value):
    """What was booked; the address of the squad is shown here and never again."""

    model_config = example(
        words="U12 Kestrels begin: 9 sessions booked.",
        holder="the squad",
        address="https://club.example.org/ground/abc",
    )

    words: str
    holder: str = Field(description="For whom the address is; blank where it had one.")
    address: str = Field(description="The squad's new one; blank where it had one.")


class HabitGoing(Value):
    """Sessions at one weekday, time and place that go."""

    model_config = example(**_HABIT)

    words: str
    count: int
    last_day: str = Field(description="In words.")


class EndForeseen(Value):
    """What the end of a squad would take along; nothing is changed."""

    model_config = example(
        from_day="2027-01-11",
        habits=[_HABIT],
        sessions=9,
        matches=[],
        asks=0,
        people=2,
        links=1,
        seen="0123456789abcdef",
    )

    from_day: date
    habits: list[HabitGoing]
    sessions: int
    matches: list[str] = Field(description="From then on, in words.")
    asks: int = Field(description="That wait for then or later.")
    people: int = Field(description="How many mail addresses would be written to.")
    links: int = Field(description="How many addresses of its own go on opening.")
    seen: str = Field(description="What stands, to be handed back with the end.")


class EndWritten(Value):
    """From when a squad ends."""

    model_config = example(
        from_day="2027-01-11",
        why="Too few players.",
        goes_on_in="",
        keeps_matches=False,
        mails=True,
        seen="0123456789abcdef",
    )

    from_day: Day = Field(description="The first date without it.")
    why: Words = Field("", max_length=200, description="For whoever comes to it.")
    goes_on_in: ShortWords = Field("", description="Key of the squad its players go to.")
    keeps_matches: bool = False
    mails: bool = Field(default=True, description="Write to everybody, however far ahead it is.")
    seen: Name = Field(description="As `look` told it; refused if more or less would go by now.")


@operation("POST", "/squads/<key>/begin/look", answer=BeginForeseen, takes=BeginLook, is_once=False)
@for_squads
def look_at_begin(key: str, body: BeginLook) -> BeginForeseen:
    """Show what a squad could have from a date to the end of the stretch; nothing is changed."""
    state = app_state()
    page = see_squad_begin(state.store, key, body.from_day, state.clock(), body.venue)
    return BeginForeseen(
        from_day=page.from_day,
        last_day=page.last_day,
        venue=page.venue_key,
        has=page.has,
        makes_address=page.makes_address,
        sought=[_sought(one) for one in page.sought],
    )


@operation(
    "POST",
    "/squads/<key>/begin",
    answer=BegunValue,
    takes=BeginWritten,
    of=see_squad,
    shows_secret=True,
)
@for_squads
def begin(key: str, body: BeginWritten) -> BegunValue:
    """Book a squad's sessions to the end of the stretch, and make it an address if it has none.

    The address is shown in this answer alone. A repeat books nothing: the places are held then.
    """
    state = app_state()
    began = begin_squad(state.store, key, body.from_day, body.choices, state.clock())
    address = f"{state.config.public_address}/ground/{began.secret}" if began.secret else ""
    return BegunValue(words=began.words, holder=began.holder, address=address)


@operation("POST", "/squads/<key>/end/look", answer=EndForeseen, takes=FromDay, is_once=False)
@for_squads
def look_at_end(key: str, body: FromDay) -> EndForeseen:
    """Say what the end of a squad from a date on would take along; nothing is changed."""
    state = app_state()
    found = foresee_squad_end(state.store, key, body.from_day, state.clock())
    return EndForeseen(
        from_day=found.from_day,
        habits=[
            HabitGoing(words=one.words, count=one.count, last_day=one.last_day)
            for one in found.habits
        ],
        sessions=found.sessions,
        matches=list(found.matches),
        asks=found.asks,
        people=found.people,
        links=found.links,
        seen=found.seen,
    )


@operation("POST", "/squads/<key>/end", answer=SquadValue, takes=EndWritten)
@for_squads
def end(key: str, body: EndWritten) -> Done:
    """Let a squad end from a date on; its sessions, matches and asks from then on go."""
    state = app_state()
    if body.goes_on_in:
        squad_at(body.goes_on_in, "/goes_on_in")
    end_squad_from(
        state.store,
        key,
        body.from_day,
        state.clock(),
        why=body.why.strip(),
        goes_on_in=body.goes_on_in,
        keeps_matches=body.keeps_matches,
        mails=body.mails,
        seen=body.seen,
    )
    return done(see_squad, key=key)


def _sought(one: SessionSought) -> SessionWanted:
    return SessionWanted(
        words=one.words,
        options=[_series(option) for option in one.options],
        why=list(one.why),
        would_help=list(one.would_help),
    )


def _series(one: FreeSeries) -> SeriesFree:
    return SeriesFree(
        value=one.value,
        words=one.words,
        count=one.count,
        lost=list(one.lost),
        more_lost=one.more_lost,
    )
