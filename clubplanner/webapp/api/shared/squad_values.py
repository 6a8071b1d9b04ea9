"""Squads and what they ask for, as the API tells and takes them."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field, StringConstraints

from clubplanner.domain.club.persons.coaches import Coach
from clubplanner.domain.club.squads import Ask, AskWish, LeastGround, Partner, Squad
from clubplanner.domain.times.times import Window, clock_from_minute, minute_from_clock
from clubplanner.webapp.api.frame.values import (
    Clock,
    Name,
    Number,
    ShortWords,
    Value,
    Words,
    example,
)

if TYPE_CHECKING:
    from clubplanner.services.setup.squads.whole import WholeSquad

Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
WEEKDAY_WORDS: tuple[Weekday, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
Relation = Literal[
    "share a pitch", "keep apart", "not at one time", "one after the other", "same evening"
]
Grade = Annotated[int, Field(ge=1, le=3, description="1 nice to have, 2 matters, 3 much.")]
Phone = Annotated[str, StringConstraints(max_length=30, pattern=r"^(\+?[0-9 ]*)$")]

_WINDOW = {"weekday": "wed", "starts": "18:00", "ends": "19:15"}
_ASK = {
    "sessions": 1,
    "minutes": 75,
    "possible": [_WINDOW],
    "preferred": [],
    "least_ground": {"area_m2": 0.0, "share": 0.3333, "format": ""},
    "surfaces": [],
    "needs_goal": False,
    "needs_light": False,
    "priority": 1,
    "latest_finish": None,
    "rest_days": 0,
    "no_day_before": [],
    "no_day_after": [],
    "most_in_a_row": None,
    "wishes": [{"grade": 2, "windows": [_WINDOW], "weekdays": [], "place": ""}],
    "partners": [{"relation": "share a pitch", "squad": "u14-harriers", "grade": 1}],
}
_COACH = {"name": "Robin Hale", "email": "robin@example.org", "phone": "01234 567"}
_SQUAD = {
    "name": "U12 Kestrels",
    "age_group": "U12",
    "players": 14,
    "goalkeepers": 1,
    "club": "",
}


class WindowValue(Value):
    """A part of a weekday on the club's wall clock."""

    model_config = example(**_WINDOW)

    weekday: Weekday
    starts: Clock
    ends: Clock

    def window(self) -> Window:
        """Return it as the program knows it."""
        day = WEEKDAY_WORDS.index(self.weekday)
        return Window(day, minute_from_clock(self.starts), minute_from_clock(self.ends))


class LeastGroundValue(Value):
    """The smallest ground that will do; every part that is given must be met."""

    model_config = example(area_m2=0.0, share=0.5, format="")

    area_m2: float = Field(default=0.0, ge=0, le=100_000, description="Least area; 0 for any.")
    share: float = Field(default=0.0, ge=0, le=1, description="Least part of a pitch; 0 for any.")
    format: ShortWords = Field(default="", description="A game's size whose pitch must fit.")


class WishValue(Value):
    """Something an ask would like; one of windows, weekdays and place is given."""

    model_config = example(grade=2, windows=[_WINDOW], weekdays=[], place="")

    grade: Grade
    windows: list[WindowValue] = Field(default=[], max_length=20)
    weekdays: list[Weekday] = Field(default=[], max_length=7)
    place: ShortWords = Field("", description="Name of a venue, a pitch or a part of one.")


class PartnerValue(Value):
    """What is liked of this squad's sessions and another's."""

    model_config = example(relation="same evening", squad="u14-harriers", grade=1)

    relation: Relation
    squad: Name = Field(description="Key of the other squad.")
    grade: Grade


class AskValue(Value):
    """What a squad asks for, every week."""

    model_config = example(**_ASK)

    sessions: int = Field(ge=1, le=7, description="Sessions a week, on different days.")
    minutes: int = Field(ge=1, le=600, description="Length of each.")
    possible: list[WindowValue] = Field(
        min_length=1, max_length=50, description="A session lies wholly inside one of them."
    )
    preferred: list[WindowValue] = Field(default=[], max_length=50)
    least_ground: LeastGroundValue = Field(default_factory=LeastGroundValue)
    surfaces: list[Name] = Field(default=[], max_length=10, description="Empty for any.")
    needs_goal: bool = False
    needs_light: bool = False
    priority: int = Field(1, ge=1, le=9, description="Higher first, where not all find ground.")
    latest_finish: Clock | None = Field(None, description="None for what the club says of ages.")
    rest_days: int = Field(0, ge=0, le=30, description="Fewest days between two sessions.")
    no_day_before: list[Weekday] = Field(default=[], max_length=7)
    no_day_after: list[Weekday] = Field(default=[], max_length=7)
    most_in_a_row: int | None = Field(None, ge=1, le=6)
    wishes: list[WishValue] = Field(default=[], max_length=20)
    partners: list[PartnerValue] = Field(default=[], max_length=20)

    def ask(self, squad_key: str) -> Ask:
        """Return it as the program knows it."""
        least = self.least_ground
        latest = self.latest_finish
        return Ask(
            squad_key=squad_key,
            sessions=self.sessions,
            minutes=self.minutes,
            possible=tuple(one.window() for one in self.possible),
            preferred=tuple(one.window() for one in self.preferred),
            least_ground=LeastGround(least.area_m2, least.share, least.format),
            surfaces=frozenset(self.surfaces),
            needs_goal=self.needs_goal,
            needs_light=self.needs_light,
            priority=self.priority,
            latest_finish_min=None if latest is None else minute_from_clock(latest),
            rest_days=self.rest_days,
            no_day_before=_days(self.no_day_before),
            no_day_after=_days(self.no_day_after),
            most_in_a_row=self.most_in_a_row,
            wishes=tuple(
                AskWish(
                    one.grade,
                    tuple(window.window() for window in one.windows),
                    tuple(sorted(_days(one.weekdays))),
                    one.place,
                )
                for one in self.wishes
            ),
            partners=tuple(Partner(one.relation, one.squad, one.grade) for one in self.partners),
        )


class CoachValue(Value):
    """Who coaches a squad."""

    model_config = example(person=3, **_COACH)

    person: int = Field(description="Their number; 0 where it is not known.")
    name: str
    email: str = Field(description="Blank where it is not known, and to coaches.")
    phone: str = Field(description="Blank where it is not known, and to coaches.")


class CoachWritten(Value):
    """Who shall coach a squad: the first one answers for it, the others assist."""

    model_config = example(**_COACH)

    name: ShortWords
    email: Annotated[str, StringConstraints(max_length=254, pattern=r"^[^\s;<>]*$")] = ""
    phone: Phone = ""


class SquadValue(Value):
    """A squad and what it asks for."""

    model_config = example(
        key="u12-kestrels",
        **_SQUAD,
        coaches=[{"person": 3, **_COACH}],
        asks=[_ASK],
        ends_on=None,
    )

    key: str = Field(description="Its short name in addresses; it follows its name.")
    name: str = Field(description="As people say it.")
    age_group: str
    players: int = Field(description="Expected at a session, goalkeepers among them.")
    goalkeepers: int
    club: str = Field(description="The club within the record that it is of; blank for none.")
    coaches: list[CoachValue] = Field(description="The first one answers for it.")
    asks: list[AskValue]
    ends_on: date | None = Field(description="The first date without it.")


class SquadChange(Value):
    """What a squad shall be, as a whole."""

    model_config = example(**_SQUAD, coaches=[_COACH], asks=[_ASK], coach_is=None)

    name: Name = Field(description="As people say it; its key follows.")
    age_group: Words = Field("", description="“U13”, “Adult”.")
    players: int = Field(ge=1, le=999)
    goalkeepers: int = Field(0, ge=0, le=999)
    club: ShortWords = ""
    coaches: list[CoachWritten] = Field(default=[], max_length=10)
    asks: list[AskValue] = Field(max_length=6, description="Empty: it asks for nothing.")
    coach_is: Literal["same", "other"] | None = Field(
        None, description="Where the first coach is called otherwise: the same person, or another?"
    )
    first_coach: Number | None = Field(
        None, description="The person who answers for it, by number, in place of a name."
    )

    def squad(self) -> Squad:
        """Return it as the program knows it."""
        people = [Coach(one.name, one.email, one.phone) for one in self.coaches]
        first = Coach("")
        if self.first_coach is None and people:
            first, *people = people
        return Squad(
            "",
            self.name,
            self.age_group,
            self.players,
            self.goalkeepers,
            first.name,
            first.email,
            first.phone,
            assistants=tuple(people),
            club=self.club,
        )


class SquadLeaf(Value):
    """A leaf of the squads, in the club's order."""

    model_config = example(items=[], next=None)

    items: list[SquadValue]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


def squad_value(whole: WholeSquad, *, with_contact: bool) -> SquadValue:
    """Return a squad as it goes out."""
    squad = whole.squad
    return SquadValue(
        key=squad.key,
        name=squad.name,
        age_group=squad.age_group,
        players=squad.players,
        goalkeepers=squad.goalkeepers,
        club=squad.club,
        coaches=[
            CoachValue(
                person=one.number,
                name=one.name,
                email=one.email if with_contact else "",
                phone=one.phone if with_contact else "",
            )
            for one in squad.coaches
        ],
        asks=[ask_value(ask) for ask in whole.asks],
        ends_on=whole.ends_on,
    )


def ask_value(ask: Ask) -> AskValue:
    """Return an ask as it goes out; what was kept is not judged anew."""
    least = ask.least_ground
    latest = ask.latest_finish_min
    return AskValue.model_construct(
        sessions=ask.sessions,
        minutes=ask.minutes,
        possible=[window_value(one) for one in ask.possible],
        preferred=[window_value(one) for one in ask.preferred],
        least_ground=LeastGroundValue.model_construct(
            area_m2=least.area_m2, share=least.share, format=least.format_code
        ),
        surfaces=sorted(ask.surfaces),
        needs_goal=ask.needs_goal,
        needs_light=ask.needs_light,
        priority=ask.priority,
        latest_finish=None if latest is None else clock_from_minute(latest),
        rest_days=ask.rest_days,
        no_day_before=_day_words(ask.no_day_before),
        no_day_after=_day_words(ask.no_day_after),
        most_in_a_row=ask.most_in_a_row,
        wishes=[
            WishValue.model_construct(
                grade=one.grade,
                windows=[window_value(window) for window in one.windows],
                weekdays=_day_words(frozenset(one.weekdays)),
                place=one.place,
            )
            for one in ask.wishes
        ],
        partners=[
            PartnerValue.model_construct(relation=one.kind, squad=one.squad_key, grade=one.grade)
            for one in ask.partners
        ],
    )


def window_value(window: Window) -> WindowValue:
    """Return a window as it goes out."""
    return WindowValue.model_construct(
        weekday=WEEKDAY_WORDS[window.weekday],
        starts=clock_from_minute(window.start_min),
        ends=clock_from_minute(window.end_min),
    )


def _days(words: list[Weekday]) -> frozenset[int]:
    return frozenset(map(WEEKDAY_WORDS.index, words))


def _day_words(days: frozenset[int]) -> list[Weekday]:
    return [WEEKDAY_WORDS[day] for day in sorted(days)]
