"""Whatever is done to an evening, in any order: calendars, mails and pages agree with the books."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.club.people import Person, Role
from clubplanner.domain.times.times import TimeRange
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.evening.closures.changes import ClosureChange, change_closure
from clubplanner.services.evening.closures.closing import ClosureWish, close_ground
from clubplanner.services.evening.closures.reopening import reopen_ground, see_closure
from clubplanner.services.giving.requests import hand_back
from clubplanner.services.giving.swap_pages import list_swaps
from clubplanner.services.giving.swaps import accept_swap, offer_swap
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.places.closure_list import list_closures
from clubplanner.services.places.coming_back import proposed
from tests.small_club import find_area_id
from tests.world.desk import hold_desk
from tests.world.knowledge import hold_knowing, hold_told, people_of
from tests.world.pages import date_of, hold_coach_page, hold_squad_page
from tests.world.world import KEYS, PARTS, World

if TYPE_CHECKING:
    from tests.world.calendars import Entry
    from tests.world.world import Follower, Standing

NEWCOMERS = (("Kit Lowe", "kit@alderby.example"), ("Noa Birch", ""))
"""Adults who may take a squad over or assist, besides those who coach already."""
WITHIN = timedelta(days=6)
"""An evening is shared out so shortly before that it is no new plan."""
WHICH = st.integers(0, 999)
"""Which of the sessions, closures or followers there are; counted round."""


def coach_of(one: Standing) -> Person:
    """Return the coach of a session's squad, signed in."""
    first = one.coaches[0]
    return Person(first.number, first.name, Role.COACH, "", frozenset({one.squad}))


def one_of(things: list[Any], which: int) -> Any:
    """Return one of some things, whatever the number."""
    return things[which % len(things)]


class Everybody(RuleBasedStateMachine):
    """People who close, move, swap, rename and undo; and everybody whom it concerns."""

    def __init__(self) -> None:
        super().__init__()
        self.world = World()
        self.turn = 0

    def teardown(self) -> None:
        """Whatever was mailed or fetched is right in the end."""
        self.tell()
        for follower in self.world.followers:
            self.check(follower)
        self.world.end()

    @initialize(part=st.sampled_from(PARTS), kind=st.booleans())
    def begin(self, part: tuple[str, str], kind: bool) -> None:
        """Some ground is closed to begin with, so that there is some to open."""
        self.close_part(part, 30, kind)

    @precondition(lambda self: self.world.live())
    @rule(which=WHICH, part=st.sampled_from(PARTS), later=st.sampled_from((0, 0, 30, 24 * 60 * 6)))
    def move(self, which: int, part: tuple[str, str], later: int) -> None:
        """The secretary puts a session elsewhere."""
        one = one_of(self.world.live(), which)
        by = timedelta(minutes=later)
        area = find_area_id(self.world.store, *part)
        during = TimeRange(one.starts_at + by, one.ends_at + by)
        self.world.do(
            lambda: move_booking(
                self.world.store, one.number, one.sequence, area, during, self.world.now
            )
        )

    @precondition(lambda self: self.world.live())
    @rule(which=WHICH)
    def withdraw(self, which: int) -> None:
        """The secretary withdraws a session."""
        one = one_of(self.world.live(), which)
        self.world.do(
            lambda: withdraw_booking(self.world.store, one.number, one.sequence, self.world.now)
        )

    @precondition(lambda self: self.world.live())
    @rule(which=WHICH)
    def hand_back(self, which: int) -> None:
        """A coach hands a session back."""
        one = one_of(self.world.live(), which)
        coach = coach_of(one)
        self.world.do(
            lambda: hand_back(self.world.store, coach, one.number, one.sequence, self.world.now)
        )

    @precondition(lambda self: len(self.world.live()) > 1)
    @rule(which=WHICH, other=WHICH)
    def swap(self, which: int, other: int) -> None:
        """Two coaches change places."""
        live = self.world.live()
        own, theirs = one_of(live, which), one_of(live, other)
        offers = coach_of(own)
        accepts = coach_of(theirs)
        store = self.world.store
        if self.world.do(
            lambda: offer_swap(store, offers, own.number, theirs.number, "", self.world.now)
        ):
            (offer, *_rest) = list_swaps(store, accepts, self.world.now)
            self.world.do(lambda: accept_swap(store, accepts, offer.number, self.world.now))

    @rule(part=st.sampled_from(PARTS), hours=st.sampled_from((3, 30, 24 * 9)), kind=st.booleans())
    def close(self, part: tuple[str, str], hours: int, kind: bool) -> None:
        """The groundskeeper closes a part, and takes what is proposed for those on it."""
        self.close_part(part, hours, kind)

    def close_part(self, part: tuple[str, str], hours: int, kind: bool) -> None:
        """Close a part from in an hour on, or ask for half load there."""
        area = find_area_id(self.world.store, *part)
        condition = Condition.CLOSED if kind else Condition.HALF_LOAD
        now = self.world.now
        during = TimeRange(now + timedelta(hours=1), now + timedelta(hours=hours))
        wish = ClosureWish(area, during, condition, "waterlogged")
        self.world.do(lambda: close_ground(self.world.store, wish, None, self.world.now))

    @rule(which=WHICH, come_back=st.booleans())
    def reopen(self, which: int, come_back: bool) -> None:
        """The groundskeeper opens ground again, and brings back who can come back, or nobody."""
        store = self.world.store
        closures = list_closures(store, self.world.now)
        if closures:
            number = one_of(list(closures), which).number
            listed = see_closure(store, number, self.world.now).returns if come_back else ()
            back = proposed(listed)
            self.world.do(lambda: reopen_ground(store, number, self.world.now, back))

    @rule(which=WHICH, hours=st.sampled_from((2, 5, 30)))
    def change_closure(self, which: int, hours: int) -> None:
        """The groundskeeper makes a closure end earlier or later; who is set free comes back."""
        store = self.world.store
        closures = list_closures(store, self.world.now)
        if closures:
            number = one_of(list(closures), which).number
            shown = see_closure(store, number, self.world.now)
            ends_at = self.world.now + timedelta(hours=hours)
            wish = ClosureChange(shown.area_id, ends_at, shown.condition, "frost", shown.allowed)
            self.world.do(lambda: change_closure(store, number, wish, None, None, self.world.now))

    @precondition(lambda self: self.world.live())
    @rule(which=WHICH, now=st.booleans())
    def share_out(self, which: int, now: bool) -> None:
        """The secretary shares an evening out anew: seldom, for it takes a while."""
        day = date_of(one_of(self.world.live(), which).starts_at)
        if now and day <= date_of(self.world.now + WITHIN):
            self.world.do(lambda: self.world.share_out(day))

    @rule(which=WHICH, name=st.sampled_from(("Wrens", "Owls")))
    def rename_squad(self, which: int, name: str) -> None:
        """The secretary gives a squad another name."""
        one = one_of(self.world.standing(), which)
        age = one.name.partition(" ")[0]
        self.world.do(lambda: self.world.save_squad(one.squad, squad=f"{age} {name}"))

    @rule(which=WHICH)
    def correct_name(self, which: int) -> None:
        """The secretary corrects the name of a first coach, who stays the same person."""
        one = one_of(self.world.standing(), which)
        name = f"{one.coaches[0].name[0]}{one.coaches[0].name}"
        if len(name) < 20:
            self.world.do(lambda: self.world.save_squad(one.squad, "same", coach=name))

    @rule(which=WHICH, whom=WHICH)
    def hand_over(self, which: int, whom: int) -> None:
        """Somebody else takes a squad over."""
        one = one_of(self.world.standing(), which)
        name, email = one_of(self.adults(), whom)
        rest = "; ".join(written(c.name, c.email) for c in one.coaches[1:] if c.name != name)
        self.world.do(
            lambda: self.world.save_squad(
                one.squad, "other", coach=name, coach_email=email, coach_phone="", assistants=rest
            )
        )

    @rule(which=WHICH, whom=WHICH)
    def assist(self, which: int, whom: int) -> None:
        """Somebody begins to assist a squad's coach, or no longer does."""
        one = one_of(self.world.standing(), which)
        name, email = one_of(self.adults(), whom)
        there = [(c.name, c.email) for c in one.coaches[1:]]
        wanted = [each for each in there if each[0] != name]
        if len(wanted) == len(there):
            wanted.append((name, email))
        cell = "; ".join(written(*each) for each in wanted)
        self.world.do(lambda: self.world.save_squad(one.squad, assistants=cell))

    def adults(self) -> list[tuple[str, str]]:
        """Return name and address of everybody who may coach."""
        coaches = {c.number: c for one in self.world.standing() for c in one.coaches}
        known = [(coaches[number].name, coaches[number].email) for number in sorted(coaches)]
        emails = {email for _name, email in known if email} | {name for name, _email in known}
        return known + [each for each in NEWCOMERS if not emails & set(each)]

    @rule(which=st.integers(0, 3))
    def undo(self, which: int) -> None:
        """Somebody takes a late change back."""
        changes = list_changes(self.world.store, self.world.now)
        done = [one.number for one in changes if one.number > self.world.before]
        if done:
            number = one_of(done, which)
            self.world.do(lambda: undo_change(self.world.store, number, self.world.now))

    @rule(hours=st.sampled_from((0, 1, 5, 26)))
    def time_passes(self, hours: int) -> None:
        """Nothing happens for a while."""
        self.world.now += timedelta(hours=hours, minutes=1)

    @rule()
    def tell(self) -> None:
        """Mails go out; whoever was ever mailed an entry has it right."""
        self.world.tell()
        for news in self.world.news:
            hold_told(self.world, news)
        self.world.news.clear()
        truth = {one.uid: one for one in self.world.standing()}
        for address, calendar in self.world.inboxes.items():
            for entry in calendar.entries.values():
                one = truth[entry.uid]
                if max(one.ends_at, entry.ends_at) > self.world.now:
                    concerns = address in people_of(self.world, one).values()
                    agree(entry, one, is_theirs=concerns, whose=f"{address}, by mail")

    @invariant()
    def a_feed_is_right(self) -> None:
        """A calendar that fetches now has every session ahead right, whenever it fetched before."""
        self.turn += 1
        self.check(one_of(self.world.followers, self.turn))

    @invariant()
    def pages_are_right(self) -> None:
        """A coach's page says of each session what became of it; now and then, a squad's too."""
        hold_coach_page(self.world)
        if self.turn % 4 == 0:
            hold_squad_page(self.world, one_of(self.world.followers[: len(KEYS)], self.turn // 4))

    @invariant()
    def the_desk_is_right(self) -> None:
        """The evening, its file and the board say of one date who is there, and who is not."""
        one = one_of(self.world.standing(), self.turn)
        planned = self.world.planned[one.number][1]
        hold_desk(self.world, date_of(one.starts_at if self.turn % 2 else planned))

    @invariant()
    def nobody_is_missing(self) -> None:
        """Whoever should know of what was just done is told, sees it, or is to be rung."""
        if self.world.news:
            hold_knowing(self.world, self.world.news[-1])

    def check(self, follower: Follower) -> None:
        """Fetch a feed, and hold what the calendar then shows to the books."""
        self.world.fetch(follower)
        for one in self.world.standing():
            is_theirs = follower.follows(one)
            whose = f"the feed of {follower.kind} {follower.subject}"
            entry = follower.calendar.entries.get(one.uid)
            if one.ends_at <= self.world.now:
                continue
            if entry is None:
                assert one.is_withdrawn or not is_theirs, f"{whose} misses {one}"
            else:
                agree(entry, one, is_theirs=is_theirs, whose=whose)
                assert not entry.is_on or one.name in entry.title, f"{whose}: {entry} but {one}"


def written(name: str, email: str) -> str:
    """Write a coach as the form has it."""
    return f"{name} <{email}>" if email else name


def agree(entry: Entry, one: Standing, *, is_theirs: bool, whose: str) -> None:
    """Hold what a calendar shows to the books."""
    is_on = is_theirs and not one.is_withdrawn
    assert entry.is_on == is_on, f"{whose}: {entry} but {one}"
    if is_on:
        shown = (entry.starts_at, entry.ends_at)
        assert shown == (one.starts_at, one.ends_at), f"{whose}: {entry} but {one}"
        assert all(word in entry.place for word in one.words), f"{whose}: {entry} but {one}"


TestEverybodyKnows = Everybody.TestCase
TestEverybodyKnows.settings = settings(
    max_examples=8,
    stateful_step_count=14,
    phases=[Phase.explicit, Phase.generate],  # shrinking a chain of steps takes minutes
)
