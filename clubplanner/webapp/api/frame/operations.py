"""What every view of the API has in common: what it takes, does and answers, said once.

    @operation("PUT", "/squads/<key>", answer=SquadValue, takes=SquadChange)
    @for_squads
    def change_squad(key: str, body: SquadChange, present: SquadValue) -> Done: ...

A view is called with the values of its address, and by name with `query` and `body` where it takes
them. One that writes over or ends a thing, or names the view that shows what it changes as `of`,
may get what it is now as `present`: what that view shows, as the program has seen it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import wraps
from inspect import signature
from typing import TYPE_CHECKING, Any

from flask import Blueprint, make_response, request, url_for
from pydantic import ValidationError

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.language import _, ngettext
from clubplanner.webapp.api.frame.conditions import hold_condition, require_condition, tag_of
from clubplanner.webapp.api.frame.once import Kept, claim_call, digest_of_request, keep_answer
from clubplanner.webapp.base.problem_details import ProblemAnswerError
from clubplanner.webapp.base.programs import ALL_PROGRAMS, ROOT, asking_program
from clubplanner.webapp.base.security import current_person
from clubplanner.webapp.base.state import made_changes

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from pydantic_core import ErrorDetails
    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.webapp.api.frame.values import Value

pages = Blueprint(ALL_PROGRAMS, __name__, url_prefix=f"{ROOT}/1")

LARGEST_BODY_BYTES = 1_000_000
JSON = "application/json"
BODIES = (JSON, "application/merge-patch+json")
OPERATION = "operation"
_CHANGING_WHAT_IS = ("PUT", "PATCH", "DELETE")


@dataclass(frozen=True, slots=True)
class Operation:
    """What one view does.

    Attributes:
        name: The view's name.
        method: HTTP method.
        rule: Its address below `/api/1`, as Flask writes it.
        answer: What it answers with, if all is well.
        status: The status of that.
        query: What its query may say; None for nothing.
        takes: What its body says; None for none.
        view: The view itself.
        is_once: Whether it is posted, and so done once.
        media_type: Of the answer.
        of: Name of the view that shows what a posted request changes; blank for none.
        shows_secret: Whether it answers with a secret that was made for it, and is told once.
    """

    name: str
    method: str
    rule: str
    answer: type[Value]
    status: int
    query: type[Value] | None
    takes: type[Value] | None
    view: Callable[..., Any]
    is_once: bool
    media_type: str
    of: str = ""
    shows_secret: bool = False

    @property
    def needs_condition(self) -> bool:
        """Whether it changes a thing that is there, and so needs If-Match."""
        return self.method in _CHANGING_WHAT_IS or bool(self.of)

    @property
    def changes(self) -> bool:
        """Whether it needs a token that may change things."""
        return self.needs_condition or self.is_once or self.shows_secret

    @property
    def subject(self) -> str:
        """What it is about: the first word of its address."""
        return self.rule.strip("/").partition("/")[0]


@dataclass(frozen=True, slots=True)
class Done:
    """What a change led to: it is answered with what the view shows that reads it.

    Attributes:
        view: Name of that view.
        values: Its values in the address.
    """

    view: str
    values: Mapping[str, Any]


OPERATIONS: dict[str, Operation] = {}
"""Every operation by its view's name, in the order in which they are read in."""


def done(view: Callable[..., Any], **values: Any) -> Done:
    """Say which view shows what a change led to."""
    return Done(view.__name__, values)


def operation(
    method: str,
    rule: str,
    *,
    answer: type[Value],
    status: int = 200,
    query: type[Value] | None = None,
    takes: type[Value] | None = None,
    is_once: bool | None = None,
    media_type: str = JSON,
    of: Callable[..., Any] | None = None,
    shows_secret: bool = False,
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Make a view of a function that bears the mark of whom it is for.

    Args:
        method: HTTP method.
        rule: Its address below `/api/1`, as Flask writes it.
        answer: What it answers with, if all is well.
        status: The status of that: 201 where something new has an address then.
        query: What its query may say.
        takes: What its body says.
        is_once: Whether an Idempotency-Key is asked for; None for: whenever it is posted. A
            question that is posted because it is long needs none, and no token that may change.
        media_type: Of the answer.
        of: The view that shows what a posted request changes, if that has to be as it was seen.
        shows_secret: Whether the answer shows a secret that was made for it: that is kept nowhere
            to be told again, so there is no Idempotency-Key.
    """

    def make(view: Callable[..., Any]) -> Callable[..., Any]:
        once = method == "POST" and not shows_secret if is_once is None else is_once
        described = Operation(
            view.__name__,
            method,
            rule,
            answer,
            status,
            query,
            takes,
            view,
            once,
            media_type,
            "" if of is None else of.__name__,
            shows_secret,
        )

        @wraps(view)
        def answered(**values: Any) -> BaseResponse:
            return _answer(described, values)

        setattr(answered, OPERATION, described)
        OPERATIONS[view.__name__] = described
        pages.add_url_rule(rule, view.__name__, answered, methods=[method])
        return answered

    return make


def operation_of(view: Callable[..., Any]) -> Operation:
    """Return what a view of the API does.

    Raises:
        TypeError: If it is none.
    """
    found = getattr(view, OPERATION, None)
    if not isinstance(found, Operation):
        raise TypeError(f"{view.__name__} is no operation of the API.")
    return found


def _answer(what: Operation, values: dict[str, Any]) -> BaseResponse:
    if what.changes:
        _refuse_reader()
    asked = {**values, **_read(what)}
    kept = claim_call() if what.is_once else None
    if kept is not None:
        return _again(kept)
    if what.needs_condition:
        require_condition()
        present = _show(what.of or _reader_of(what).name, values)
        hold_condition(present)
        asked |= {"present": present} if "present" in signature(what.view).parameters else {}
    result = what.view(**asked)
    if isinstance(result, Done):
        return _changed(what, result)
    if what.is_once:
        raise TypeError(f"{what.name} is done once, and has to say which view shows what it did.")
    response = _written(result, what.status, what.media_type)
    if what.method == "GET":
        response.make_conditional(request)
    else:
        response.headers["Cache-Control"] = "no-store"
    return response


def _read(what: Operation) -> dict[str, Value]:
    """Return what a request says, by what a view calls it."""
    asked = {}
    if what.query is not None:
        asked["query"] = _read_query(what.query)
    elif request.args:
        raise _faulty([("", "extra_forbidden", _("This address takes no query."))])
    if what.takes is not None:
        asked["body"] = _read_body(what.takes)
    return asked


def _refuse_reader() -> None:
    bearer = asking_program()
    if bearer is not None and not bearer.may_change:
        raise ProblemAnswerError(
            403, _("This token is for reading; changes need one that was made for them.")
        )


def _reader_of(what: Operation) -> Operation:
    """Return the operation that reads what another one changes: the GET of the same address."""
    return next(one for one in OPERATIONS.values() if one.method == "GET" and one.rule == what.rule)


def _changed(what: Operation, result: Done) -> BaseResponse:
    kept = _kept(what, result.view, result.values)
    if what.is_once:
        keep_answer(kept)
    return _told(kept)


def _kept(what: Operation, view: str, values: Mapping[str, Any]) -> Kept:
    changes = tuple(made_changes())
    return Kept(digest_of_request(), what.status, view, dict(values), changes)


def _again(kept: Kept) -> BaseResponse:
    response = _told(kept)
    response.headers["Idempotent-Replayed"] = "true"
    return response


def _told(kept: Kept) -> BaseResponse:
    """Answer with what a change led to, as it stands, and the way to the change itself."""
    shown = OPERATIONS[kept.view]
    response = _written(_show(kept.view, kept.values), kept.status, shown.media_type)
    if kept.status == 201:
        response.headers["Location"] = _address(kept.view, kept.values)
    elif kept.view:
        response.headers["Content-Location"] = _address(kept.view, kept.values)
    person = current_person()
    may_see = person is not None and person.keeps_squads
    for number in kept.changes if may_see else ():
        link = f'<{_address("see_change", {"number": number})}>; rel="related"; title="change"'
        response.headers.add("Link", link)
    return response


def _address(view: str, values: Mapping[str, Any]) -> str:
    return url_for(f"{pages.name}.{view}", **values)


def _show(view: str, values: Mapping[str, Any]) -> Value:
    what = OPERATIONS[view]
    asked = {} if what.query is None else {"query": what.query.model_validate_strings({})}
    shown: Value = what.view(**values, **asked)
    return shown


def _written(value: Value, status: int, media_type: str) -> BaseResponse:
    data = value.model_dump_json(by_alias=True).encode()
    response = make_response(data, status)
    response.headers["Content-Type"] = media_type
    response.headers["Cache-Control"] = "private, no-cache"
    response.vary.add("Accept-Language")
    response.set_etag(tag_of(data))
    following = getattr(value, "next", None)
    if following:
        address = url_for(
            request.endpoint or "",
            **{**(request.view_args or {}), **request.args.to_dict(), "cursor": following},
        )
        response.headers["Link"] = f'<{address}>; rel="next"'
    return response


def _read_query(like: type[Value]) -> Value:
    twice = [name for name in request.args if len(request.args.getlist(name)) > 1]
    if twice:
        raise _faulty([(name, "twice", _("Say it once.")) for name in twice])
    try:
        return like.model_validate_strings(request.args.to_dict())
    except ValidationError as fault:
        raise _faulty(
            [(".".join(map(str, one["loc"])), one["type"], _words(one)) for one in fault.errors()]
        ) from fault


def _read_body(like: type[Value]) -> Value:
    if request.mimetype not in BODIES:
        raise ProblemAnswerError(415, _("Send the body as application/json."))
    if (request.content_length or 0) > LARGEST_BODY_BYTES:
        raise ProblemAnswerError(413, _("Send at most 1 MB at once."))
    data = request.get_data()
    if len(data) > LARGEST_BODY_BYTES:
        raise ProblemAnswerError(413, _("Send at most 1 MB at once."))
    try:
        return like.model_validate_json(data)
    except ValidationError as fault:
        found = fault.errors(include_input=False, include_url=False)
        if any(one["type"] == "json_invalid" for one in found):
            raise ProblemAnswerError(400, _("The body is no JSON.")) from fault
        raise _faulty([(pointer(one["loc"]), one["type"], _words(one)) for one in found]) from fault


def pointer(place: Sequence[int | str]) -> str:
    """Write a place in a body as a JSON pointer (RFC 6901)."""
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in place)


def _faulty(found: Sequence[tuple[str, str, str]]) -> FaultyInputError:
    return FaultyInputError([Problem(*one) for one in found])


def _words(fault: ErrorDetails) -> str:
    """Say in the reader's language what is the matter with a value."""
    kind, ctx = fault["type"], fault.get("ctx", {})
    if kind == "missing":
        return _("This is missing.")
    if kind == "extra_forbidden":
        return _("Nothing of this name is taken here.")
    if kind == "value_error":
        return str(ctx["error"])
    if "max_length" in ctx and kind.startswith("string"):
        return ngettext(
            "Write at most %(num)s letter.", "Write at most %(num)s letters.", ctx["max_length"]
        )
    if kind in ("greater_than_equal", "less_than_equal"):
        bound = ctx.get("ge", ctx.get("le"))
        least = _("Choose %(bound)s or more.", bound=str(bound))
        most = _("Choose %(bound)s or less.", bound=str(bound))
        return least if kind == "greater_than_equal" else most
    if "expected" in ctx:
        return _("Choose one of these: %(values)s.", values=str(ctx["expected"]))
    return _("This is not what is expected here; see the description of the API.")
