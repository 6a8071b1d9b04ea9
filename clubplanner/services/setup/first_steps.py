"""What a new club still has to do until its squads know where to be: seen from the records."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.language import _, ngettext
from clubplanner.store.tables.booking_tables import ShareOutRow
from clubplanner.store.tables.club_tables import ClubRow, StretchRow
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the way.

    Attributes:
        key: "club", "venue", "pitch", "squad", "stretch", "share-out", "address" or "people".
        words: What is to be done.
        why: What it is needed for.
        done: What there is already, in words; blank when there is nothing yet.
        is_needed: Whether the way is not over without it.
    """

    key: str
    words: str
    why: str
    done: str
    is_needed: bool = True


@dataclass(frozen=True, slots=True)
class FirstSteps:
    """The whole way.

    Attributes:
        steps: In order.
        venue_key: A venue that has no pitch yet, else the first; blank before there is one.
        proposal: Number of the newest proposal; None before there is one.
    """

    steps: tuple[Step, ...]
    venue_key: str
    proposal: int | None

    @property
    def next_step(self) -> Step | None:
        """The first step that is needed and not done; None when the way is over."""
        return next((step for step in self.steps if step.is_needed and not step.done), None)

    @property
    def done_count(self) -> int:
        """How many of the needed steps are done."""
        return sum(step.is_needed and bool(step.done) for step in self.steps)

    @property
    def needed_count(self) -> int:
        """How many steps are needed."""
        return sum(step.is_needed for step in self.steps)


def is_on_its_way(store: Store) -> bool:
    """Tell whether a plan was published and somebody was given an address: the way is over."""
    with store.read() as session:
        published = select(ShareOutRow.id).where(ShareOutRow.published_at.is_not(None))
        row = session.execute(select(published.exists(), select(LinkRow.id).exists())).one()
        return bool(row[0] and row[1])


def see_first_steps(store: Store) -> FirstSteps:
    """Return every step with what is done of it."""
    with store.read() as session:
        club = session.get(ClubRow, 1)
        counts = _Counts.of(session)
        venue = session.scalars(
            select(VenueRow)
            .outerjoin(VenueRow.pitches)
            .order_by(PitchRow.id.is_not(None), VenueRow.position)
        ).first()
        proposal = session.scalars(select(func.max(ShareOutRow.id))).first()
        return FirstSteps(
            steps=_steps("" if club is None else f"{club.name}, {club.zone}", counts),
            venue_key="" if venue is None else venue.key,
            proposal=proposal,
        )


@dataclass(frozen=True, slots=True)
class _Counts:
    venues: int
    pitches: int
    squads: int
    asks: int
    stretches: int
    proposals: int
    published: int
    addresses: int
    people: int

    @classmethod
    def of(cls, session: Session) -> _Counts:
        def count(column: object) -> object:
            return select(func.count(column)).scalar_subquery()  # type: ignore[arg-type]

        people = select(func.count(PersonRow.id)).where(PersonRow.may_sign_in)
        published = select(func.count(ShareOutRow.id)).where(ShareOutRow.published_at.is_not(None))
        counts = [
            *(
                count(row.id)
                for row in (VenueRow, PitchRow, SquadRow, AskRow, StretchRow, ShareOutRow)
            ),
            published.scalar_subquery(),
            count(LinkRow.id),
            people.scalar_subquery(),
        ]
        return cls(*session.execute(select(*counts)).one())  # type: ignore[call-overload]


def _steps(club: str, counts: _Counts) -> tuple[Step, ...]:
    squads = ngettext("%(num)s squad", "%(num)s squads", counts.squads)
    asks = ngettext("%(num)s ask", "%(num)s asks", counts.asks)
    proposed = _("a proposal, not published yet") if counts.proposals else ""
    return (
        Step(
            "club",
            _("Name the club"),
            _("Its time zone decides what 18:00 means, and when it gets dark."),
            club,
        ),
        Step(
            "venue",
            _("Add a venue"),
            _("Where the ground is, and when it is open."),
            ngettext("%(num)s venue", "%(num)s venues", counts.venues) if counts.venues else "",
        ),
        Step(
            "pitch",
            _("Draw a pitch"),
            _("How long and wide it is, and into which parts it is shared."),
            ngettext("%(num)s pitch", "%(num)s pitches", counts.pitches) if counts.pitches else "",
        ),
        Step(
            "squad",
            _("Say who asks for what"),
            _("Squads with their days, times and the ground they need."),
            f"{squads}, {asks}" if counts.asks else "",
        ),
        Step(
            "stretch",
            _("Name a stretch of the season"),
            _("From when to when one weekly pattern holds."),
            ngettext("%(num)s stretch", "%(num)s stretches", counts.stretches)
            if counts.stretches
            else "",
        ),
        Step(
            "share-out",
            _("Share out, look at it, publish it"),
            _("Nothing is booked until you publish.") + (f" ({proposed})" if proposed else ""),
            _("published") if counts.published else "",
        ),
        Step(
            "address",
            _("Hand out the squads’ addresses"),
            _("Each shows a squad its ground, and puts it in the calendar."),
            ngettext("%(num)s address", "%(num)s addresses", counts.addresses)
            if counts.addresses
            else "",
        ),
        Step(
            "people",
            _("Let coaches and groundskeepers in"),
            _("So that they can hand back, ask and close ground themselves."),
            ngettext("%(num)s person", "%(num)s people", counts.people)
            if counts.people > 1
            else "",
            is_needed=False,
        ),
    )
