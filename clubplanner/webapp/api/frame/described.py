"""What programs find out first: the description, what problems mean, and whose token they bear."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import abort, jsonify
from pydantic import Field

from clubplanner.errors import MissingError
from clubplanner.language import _, term
from clubplanner.services.people.ways_in.tokens import see_token
from clubplanner.webapp.api.frame.openapi import describe
from clubplanner.webapp.api.frame.operations import operation, pages
from clubplanner.webapp.api.frame.values import Moment, Value, example
from clubplanner.webapp.base.problem_details import MEANINGS, TITLES, problem_address
from clubplanner.webapp.base.programs import ROOT, asking_program
from clubplanner.webapp.base.security import for_anybody, for_signed_in
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse


class ProblemKind(Value):
    """A kind of problem."""

    model_config = example(
        type="https://club.example.org/api/1/problems/clash",
        title="The ground is held",
        meaning="Somebody holds a part of the ground then.",
    )

    type: str = Field(description="Its address.")
    title: str = Field(description="The kind, in words.")
    meaning: str = Field(description="What it means for a program.")


class Self(Value):
    """Whose token it is, and what it is good for."""

    model_config = example(
        person=3,
        name="Robin Hale",
        role="coach",
        squads=["u12-kestrels"],
        purpose="the results page",
        may_change=False,
        ends_at="2027-11-25T12:00:00Z",
    )

    person: int = Field(description="The person's number.")
    name: str = Field(description="As the club says it.")
    role: str = Field(description="What the person does in the club.")
    squads: list[str] = Field(description="Keys of the squads they look after; empty for all.")
    purpose: str = Field(description="What the token is for.")
    may_change: bool = Field(description="Whether it may change things.")
    ends_at: Moment = Field(description="When it ends.")


@pages.get("/openapi.json")
@for_anybody
def openapi() -> BaseResponse:
    """Send the description of the API."""
    server = {"url": f"{app_state().config.public_address}{ROOT}/1"}
    return jsonify({**describe(), "servers": [server]})


@operation("GET", "/problems/<key>", answer=ProblemKind)
@for_anybody
def see_problem(key: str) -> ProblemKind:
    """Say what a kind of problem means."""
    if key not in TITLES:
        raise MissingError(_("There is no such kind of problem."))
    return ProblemKind(type=problem_address(key), title=term(TITLES[key]), meaning=MEANINGS[key])


@operation("GET", "/me", answer=Self)
@for_signed_in
def see_self() -> Self:
    """Say whose token this is, and what it is good for."""
    bearer = asking_program() or abort(401)
    token = see_token(app_state().store, bearer.number)
    person = bearer.person
    return Self(
        person=person.number,
        name=person.name,
        role=person.role.value,
        squads=sorted(person.squad_keys),
        purpose=token.purpose,
        may_change=token.may_change,
        ends_at=token.ends_at,
    )
