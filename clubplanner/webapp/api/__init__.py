"""The JSON API of a person's other programs, under `/api/1`: the services of the pages, no rule.

Everything is described by `/api/1/openapi.json`, which is made from these modules.

A view bears the mark of whom it is for, as pages do (`webapp/base/security.py`), and `operation`:
what it takes, answers and does. `frame/operations.py` does the rest for all of them: it reads query
and body, holds a change to If-Match, does what is posted once, and answers. A view calls one
service and makes a value of what comes back. To add a resource: values in `<subject>_values.py`,
views in `<subject>.py`, its name in `all_operations.py`, its lines in the table of who may open
what. Rooms of subjects do not know each other; what they share stands in `shared`.

- **Who.** A token of a person (`services/people/ways_in/tokens.py`) in `Authorization: Bearer`; it
  may do what the person may, or read alone. No cookie counts, and none is set.
- **Values** (`frame/values.py`). Members are `snake_case`. An instant is RFC 3339 with an offset,
  on whole minutes; it goes out in the club's zone. What recurs by the week is told on the club's
  wall clock: a weekday and “HH:MM”. Days are RFC 3339 dates. A length of time is a whole number of
  `minutes`, as everywhere in the program. Members that nobody knows are an error, as are those of
  another type.
- **What stands.** Each single thing has an ETag. A change of one needs If-Match (428 without), and
  is refused if somebody else was there first (412): the service is handed what was seen
  (`Value.stand`) and looks again within its transaction.
- **Once.** Each POST carries an Idempotency-Key (up to 100 signs, kept a day, each token's own).
  The claims of forms do it (`store/claims.py`), so it holds across processes: a repeat gets the
  same status and location, and the thing as it stands now. What was refused may be sent again.
  What shows a secret (`shows_secret`) has no key: a secret is kept nowhere, to be told again.
- **Lists** come in leaves: `limit`, `cursor`, and `next` for the one after; a cursor says where the
  last leaf ended, so that what is added meanwhile moves nothing.
- **Faults** are problem details (`webapp/base/problem_details.py`).
- **Limits**: `frame/calls.py`, those of forms from one machine besides; bodies of up to 1 MB.
- **After a change** the answer has a Link to it (`/changes/17`): who knows of it by now, and a way
  to take it back.

Which library makes it? Strict values, problem details, ETags on each answer, and OpenAPI 3.1 from
the code were asked for. Tried: spectree 3.0 reads a body that is no JSON as an empty one, gives
strict models Python objects (so that no date in JSON passes), and describes neither headers nor
problem details; apiflask asks for an app class of its own; flask-smorest brings marshmallow,
webargs and apispec, and untyped values. So it is pydantic alone, whose schemas are OpenAPI 3.1's
dialect, and 200 lines that write the rest (`frame/openapi.py`). It is imported with the pages, once
a process whatever the number of clubs: 0.2 s of 3.4 and 8 MB of 211; values are built when first
used, and commands that serve nothing import none. What a view takes and answers is said once, for
mypy, at run time and in the description; schemathesis draws calls from it in the gate.
"""
