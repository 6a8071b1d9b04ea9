"""Who may open what: every route × every kind of person, and other people's things by number."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from flask import Blueprint
from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.journal.changes import list_changes
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.rows.own_club import load_clubs
from clubplanner.services.setup.clubs.club_squads import add_club
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.within_tables import SquadClubRow
from clubplanner.webapp import create_app, factory
from clubplanner.webapp.base.security import ANYBODY, roles_of
from clubplanner.webapp.people import entry
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import HARRIERS, KESTRELS, book, load_small_club
from tests.stores import booking_row
from tests.webapp.api.programs import Program, program_of
from tests.webapp.conftest import ADDRESS, sign_in, token, token_in

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store
    from tests.stores import Filled

SECRETARY, CLUB, GROUNDSKEEPER, COACH = (
    Role.SECRETARY,
    Role.CLUB_SECRETARY,
    Role.GROUNDSKEEPER,
    Role.COACH,
)
EVERY_ROLE = (SECRETARY, CLUB, GROUNDSKEEPER, COACH)
PROGRAMS = " /api/1/"

TABLE: dict[str, tuple[Role, ...] | None] = {
    # None: nobody need be signed in; a secret in the address is a key of its own
    "GET /": None,
    "GET /sign-in": None,
    "POST /sign-in": None,
    "POST /sign-in/ask": None,
    "GET /sign-in/waiting": None,
    "GET /let-in/<key>": None,
    "POST /let-in/<key>": None,
    "GET /secretary/<key>": None,
    "POST /secretary/<key>": None,
    "POST /sign-out": None,
    "GET /ground/<secret>": None,
    "GET /ground/<secret>/fits": None,
    "GET /ground/<secret>/sessions.ics": None,
    "GET /ground/<secret>/map/<int:number>.png": None,
    "GET /ground/<secret>/fit/<int:number>/<name>.png": None,
    "GET /ground/<secret>/fits.json": None,
    "GET /ground/<secret>/app.webmanifest": None,
    "GET /session/<secret>": None,
    "POST /session/<secret>/count/<int:number>": None,
    "GET /session/<secret>/map/<int:number>.png": None,
    "GET /session/<secret>/fit/<int:number>/<name>.png": None,
    "GET /session/<secret>/fits.json": None,
    "GET /thunder": None,
    "GET /app.webmanifest": None,
    "GET /coach/app.webmanifest": None,
    "GET /app-icon-<name>.png": None,
    "GET /calendar/<secret>": None,
    "GET /calendar/<secret>/bookings.ics": None,
    "GET /calendar/<secret>/map/<int:number>.png": None,
    "GET /desk/addresses": (SECRETARY, CLUB),
    "POST /desk/addresses": (SECRETARY, CLUB),
    "POST /desk/addresses/<int:number>/withdraw": (SECRETARY, CLUB),
    "GET /desk/addresses/all": (SECRETARY, CLUB),
    "POST /desk/addresses/all": (SECRETARY, CLUB),
    "POST /desk/addresses/all/sheet.pdf": (SECRETARY, CLUB),
    "POST /desk/addresses/sessions/<int:number>/withdraw": (SECRETARY, CLUB),
    "GET /mails/<secret>": None,
    "POST /mails/<secret>": None,
    "POST /mails/<secret>/on": None,
    "POST /tell/<secret>": None,
    "POST /tell/<secret>/off": None,
    "POST /coach/tell": (SECRETARY, CLUB, COACH),
    "POST /coach/tell/off": (SECRETARY, CLUB, COACH),
    "GET /board/<key>": None,
    "GET /board/<key>/sheet.pdf": None,
    "GET /desk/board": (SECRETARY,),
    "POST /desk/board": (SECRETARY,),
    "GET /desk/board/<key>/sheet.pdf": (SECRETARY,),
    "GET /find": EVERY_ROLE,
    "GET /me": EVERY_ROLE,
    "POST /me/browsers/<int:number>/end": EVERY_ROLE,
    "POST /me/browsers/end-others": EVERY_ROLE,
    "POST /me/password": (SECRETARY,),
    "GET /me/programs": EVERY_ROLE,
    "POST /me/programs": EVERY_ROLE,
    "POST /me/programs/<int:number>/withdraw": EVERY_ROLE,
    "POST /desk/people/<int:number>/tokens/<int:token>/withdraw": (SECRETARY, CLUB),
    "GET /service-worker.js": None,
    "GET /no-signal": None,
    "GET /health": None,
    # of programs: a token is the key, and its person's role decides
    "GET /api/1/openapi.json": None,
    "GET /api/1/problems/<key>": None,
    "GET /api/1/me": EVERY_ROLE,
    "GET /api/1/squads": (SECRETARY, CLUB, COACH),
    "POST /api/1/squads": (SECRETARY, CLUB),
    "GET /api/1/squads/<key>": (SECRETARY, CLUB, COACH),
    "PUT /api/1/squads/<key>": (SECRETARY, CLUB),
    "POST /api/1/squads/<key>/begin": (SECRETARY, CLUB),
    "POST /api/1/squads/<key>/begin/look": (SECRETARY, CLUB),
    "POST /api/1/squads/<key>/end": (SECRETARY, CLUB),
    "POST /api/1/squads/<key>/end/look": (SECRETARY, CLUB),
    "GET /api/1/changes": (SECRETARY, CLUB),
    "GET /api/1/venues": EVERY_ROLE,
    "GET /api/1/venues/<key>": EVERY_ROLE,
    "GET /api/1/venues/<key>/ground": EVERY_ROLE,
    "GET /api/1/free-places": EVERY_ROLE,
    "GET /api/1/share-outs": (SECRETARY,),
    "POST /api/1/share-outs": (SECRETARY,),
    "GET /api/1/share-outs/<int:number>": (SECRETARY,),
    "POST /api/1/share-outs/<int:number>/publish": (SECRETARY,),
    "GET /api/1/share-outs/runs/<int:number>": (SECRETARY,),
    "POST /api/1/share-outs/runs/<int:number>/stop": (SECRETARY,),
    "POST /api/1/fits/pieces": EVERY_ROLE,
    "POST /api/1/fits/sessions": EVERY_ROLE,
    "GET /api/1/fairness": (SECRETARY, CLUB),
    "GET /api/1/loads": (SECRETARY, CLUB, GROUNDSKEEPER),
    "GET /api/1/light": EVERY_ROLE,
    "GET /api/1/settings": EVERY_ROLE,
    "GET /api/1/changes/<int:number>": (SECRETARY, CLUB),
    "POST /api/1/changes/<int:number>/take-back": (SECRETARY, CLUB),
    "GET /api/1/bookings": EVERY_ROLE,
    "POST /api/1/bookings": (SECRETARY, CLUB),
    "GET /api/1/bookings/<int:number>": EVERY_ROLE,
    "PATCH /api/1/bookings/<int:number>": (SECRETARY, CLUB),
    "DELETE /api/1/bookings/<int:number>": (SECRETARY, CLUB, COACH),
    "POST /api/1/bookings/<int:number>/fix": (SECRETARY,),
    "POST /api/1/bookings/<int:number>/head-count": (SECRETARY, CLUB, COACH),
    "GET /api/1/asks": (SECRETARY, CLUB, COACH),
    "POST /api/1/asks": (SECRETARY, CLUB, COACH),
    "POST /api/1/asks/more": (SECRETARY, CLUB, COACH),
    "POST /api/1/asks/serve": (SECRETARY,),
    "GET /api/1/asks/<int:number>": (SECRETARY, CLUB, COACH),
    "DELETE /api/1/asks/<int:number>": (SECRETARY, CLUB, COACH),
    "POST /api/1/asks/<int:number>/grant": (SECRETARY, CLUB),
    "POST /api/1/asks/<int:number>/refuse": (SECRETARY, CLUB),
    "GET /api/1/swaps": (SECRETARY, CLUB, COACH),
    "POST /api/1/swaps": (SECRETARY, CLUB, COACH),
    "GET /api/1/swaps/<int:number>": (SECRETARY, CLUB, COACH),
    "DELETE /api/1/swaps/<int:number>": (SECRETARY, CLUB, COACH),
    "POST /api/1/swaps/<int:number>/accept": (SECRETARY, CLUB, COACH),
    "GET /api/1/bookings/<int:number>/swaps": (SECRETARY, CLUB, COACH),
    "GET /api/1/closures": (SECRETARY, GROUNDSKEEPER),
    "POST /api/1/closures": (SECRETARY, GROUNDSKEEPER),
    "POST /api/1/closures/look": (SECRETARY, GROUNDSKEEPER),
    "GET /api/1/closures/<int:number>": (SECRETARY, GROUNDSKEEPER),
    "PATCH /api/1/closures/<int:number>": (SECRETARY, GROUNDSKEEPER),
    "DELETE /api/1/closures/<int:number>": (SECRETARY, GROUNDSKEEPER),
    "GET /api/1/matches": (SECRETARY, CLUB),
    "POST /api/1/matches": (SECRETARY, CLUB),
    "GET /api/1/matches/<int:number>": (SECRETARY, CLUB),
    "PUT /api/1/matches/<int:number>": (SECRETARY, CLUB),
    "GET /api/1/matches/<int:number>/returns": (SECRETARY, CLUB),
    "POST /api/1/matches/<int:number>/returns": (SECRETARY, CLUB),
    "GET /api/1/matches/<int:number>/ground": (SECRETARY, CLUB),
    "POST /api/1/matches/<int:number>/ground": (SECRETARY, CLUB),
    "POST /api/1/matches/<int:number>/look": (SECRETARY, CLUB),
    "POST /api/1/matches/<int:number>/call-off": (SECRETARY, CLUB),
    "GET /api/1/people": (SECRETARY, CLUB),
    "GET /api/1/people/<int:number>": (SECRETARY, CLUB),
    "GET /api/1/reports": (SECRETARY, CLUB),
    "GET /api/1/money-terms": (SECRETARY,),
    "PUT /api/1/money-terms": (SECRETARY,),
    "GET /api/1/tariffs": (SECRETARY,),
    "POST /api/1/tariffs": (SECRETARY,),
    "GET /api/1/tariffs/<int:number>": (SECRETARY,),
    "PUT /api/1/tariffs/<int:number>": (SECRETARY,),
    "DELETE /api/1/tariffs/<int:number>": (SECRETARY,),
    "GET /api/1/reductions": (SECRETARY,),
    "POST /api/1/reductions": (SECRETARY,),
    "GET /api/1/reductions/<int:number>": (SECRETARY,),
    "PUT /api/1/reductions/<int:number>": (SECRETARY,),
    "DELETE /api/1/reductions/<int:number>": (SECRETARY,),
    "GET /api/1/statements/drafts": (SECRETARY,),
    "GET /api/1/statements": (SECRETARY,),
    "POST /api/1/statements": (SECRETARY,),
    "POST /api/1/statements/all": (SECRETARY,),
    "GET /api/1/statements/<int:number>": (SECRETARY,),
    "POST /api/1/statements/<int:number>/take-back": (SECRETARY,),
    "POST /api/1/people": (SECRETARY, CLUB),
    "PUT /api/1/people/<int:number>": (SECRETARY, CLUB),
    "POST /api/1/people/<int:number>/end": (SECRETARY, CLUB),
    "POST /api/1/people/<int:number>/let-in": (SECRETARY, CLUB),
    "GET /api/1/hires": (SECRETARY,),
    "POST /api/1/hires": (SECRETARY,),
    "POST /api/1/hires/look": (SECRETARY,),
    "GET /api/1/hires/<int:number>": (SECRETARY,),
    "PATCH /api/1/hires/<int:number>": (SECRETARY,),
    "POST /api/1/hires/<int:number>/move": (SECRETARY,),
    "POST /api/1/hires/<int:number>/end": (SECRETARY,),
    "POST /api/1/hires/<int:number>/move/look": (SECRETARY,),
    "POST /api/1/hires/<int:number>/dates": (SECRETARY,),
    "POST /api/1/hires/<int:number>/dates/look": (SECRETARY,),
    "GET /api/1/webhooks": (SECRETARY,),
    "POST /api/1/webhooks": (SECRETARY,),
    "GET /api/1/webhooks/<int:number>": (SECRETARY,),
    "POST /api/1/webhooks/<int:number>/try": (SECRETARY,),
    "POST /api/1/webhooks/<int:number>/exchange-secret": (SECRETARY,),
    "POST /api/1/webhooks/<int:number>/withdraw": (SECRETARY,),
    "POST /api/1/webhooks/<int:number>/resume": (SECRETARY,),
    "GET /metrics": None,
    "GET /coach": (SECRETARY, CLUB, COACH),
    "GET /coach/weeks": (SECRETARY, CLUB, COACH),
    "GET /coach/calendar": (SECRETARY, CLUB, COACH),
    "GET /coach/squads/<key>": (SECRETARY, CLUB, COACH),
    "GET /coach/squads/<key>/fits": (SECRETARY, CLUB, COACH),
    "GET /coach/squads/<key>/map/<int:number>.png": (SECRETARY, CLUB, COACH),
    "GET /coach/squads/<key>/fit/<int:number>/<name>.png": (SECRETARY, CLUB, COACH),
    "GET /coach/squads/<key>/fits.json": (SECRETARY, CLUB, COACH),
    "POST /coach/squads/<key>/link": (SECRETARY, CLUB, COACH),
    "POST /coach/squads/<key>/count/<int:number>": (SECRETARY, CLUB, COACH),
    "GET /coach/sessions/<int:number>/pass-on": (SECRETARY, CLUB, COACH),
    "POST /coach/sessions/<int:number>/pass-on": (SECRETARY, CLUB, COACH),
    "POST /coach/sessions/<int:number>/pass-on/<int:link>/take-back": (SECRETARY, CLUB, COACH),
    "GET /desk/evening": EVERY_ROLE,
    "GET /desk/bookings": (SECRETARY, CLUB, GROUNDSKEEPER),
    "GET /desk/week": (SECRETARY, CLUB, GROUNDSKEEPER),
    "GET /desk/week/<key>/<paper>.pdf": (SECRETARY, CLUB, GROUNDSKEEPER),
    "POST /desk/bookings": (SECRETARY, CLUB),
    "GET /desk/bookings/<int:number>": (SECRETARY, CLUB),
    "POST /desk/bookings/<int:number>/move": (SECRETARY, CLUB),
    "GET /desk/bookings/<int:number>/places": (SECRETARY, CLUB),
    "GET /desk/bookings/<int:number>/places/look": (SECRETARY, CLUB),
    "POST /desk/bookings/<int:number>/places": (SECRETARY, CLUB),
    "POST /desk/bookings/<int:number>/withdraw": (SECRETARY, CLUB),
    "GET /desk/share-outs/tonight": (SECRETARY,),
    "POST /desk/share-outs/tonight": (SECRETARY,),
    "GET /desk/share-outs": (SECRETARY,),
    "POST /desk/share-outs": (SECRETARY,),
    "GET /desk/share-outs/<int:number>": (SECRETARY,),
    "GET /desk/share-outs/<int:number>/week": (SECRETARY,),
    "GET /desk/share-outs/<int:number>/problem.json": (SECRETARY,),
    "GET /desk/share-outs/<int:number>/result.json": (SECRETARY,),
    "POST /desk/share-outs/<int:number>/publish": (SECRETARY,),
    "POST /desk/share-outs/evening": (SECRETARY,),
    "GET /desk/share-outs/again": (SECRETARY,),
    "POST /desk/share-outs/again": (SECRETARY,),
    "GET /desk/share-outs/<int:number>/else": (SECRETARY,),
    "POST /desk/share-outs/<int:number>/else": (SECRETARY,),
    "GET /desk/share-outs/<int:number>/why": (SECRETARY,),
    "GET /desk/share-outs/<int:number>/what-if": (SECRETARY,),
    "POST /desk/share-outs/<int:number>/what-if": (SECRETARY,),
    "GET /desk/share-outs/<int:number>/compare": (SECRETARY,),
    "POST /desk/share-outs/<int:number>/pinned": (SECRETARY,),
    "GET /desk/share-outs/bookings/<int:number>": (SECRETARY,),
    "POST /desk/share-outs/bookings/<int:number>": (SECRETARY,),
    "POST /desk/bookings/<int:number>/fix": (SECRETARY,),
    "GET /desk/share-outs/turns": (SECRETARY,),
    "POST /desk/share-outs/turns": (SECRETARY,),
    "GET /desk/share-outs/runs/<int:number>": (SECRETARY,),
    "POST /desk/share-outs/runs/<int:number>/stop": (SECRETARY,),
    "POST /desk/share-outs/runs/<int:number>/repeat": (SECRETARY,),
    "GET /desk/season/weeks": (SECRETARY, CLUB),
    "GET /desk/season/squads/<key>": (SECRETARY, CLUB, COACH),
    "GET /desk/season/squads/<key>/begin": (SECRETARY, CLUB),
    "POST /desk/season/squads/<key>/begin": (SECRETARY, CLUB),
    "GET /desk/season/squads/<key>/season.pdf": (SECRETARY, CLUB, COACH),
    "GET /desk/season/changes": (SECRETARY, CLUB),
    "POST /desk/season/changes/<int:number>/undo": EVERY_ROLE,
    "GET /desk/season/closures": (SECRETARY, GROUNDSKEEPER),
    "POST /desk/season/closures": (SECRETARY, GROUNDSKEEPER),
    "GET /desk/season/closures/look": (SECRETARY, GROUNDSKEEPER),
    "POST /desk/season/closures/again": (SECRETARY,),
    "GET /desk/season/closures/<int:number>": (SECRETARY, GROUNDSKEEPER),
    "POST /desk/season/closures/<int:number>": (SECRETARY, GROUNDSKEEPER),
    "GET /desk/season/closures/<int:number>/look": (SECRETARY, GROUNDSKEEPER),
    "POST /desk/season/closures/<int:number>/open": (SECRETARY, GROUNDSKEEPER),
    "POST /desk/season/closures/<int:number>/back": (SECRETARY, GROUNDSKEEPER),
    "GET /desk/season/year": (SECRETARY,),
    "POST /desk/season/year/holidays": (SECRETARY,),
    "POST /desk/season/year/holidays/decide": (SECRETARY,),
    "POST /desk/season/year/breaks": (SECRETARY,),
    "POST /desk/season/year/breaks/<int:number>/remove": (SECRETARY,),
    "POST /desk/season/year/stretches": (SECRETARY,),
    "POST /desk/season/year/squads": (SECRETARY,),
    "GET /desk/season/next": (SECRETARY,),
    "POST /desk/season/next": (SECRETARY,),
    "GET /desk/season/year/stretches/<key>": (SECRETARY,),
    "POST /desk/season/year/stretches/<key>": (SECRETARY,),
    "GET /desk/season/grass": (SECRETARY, GROUNDSKEEPER),
    "POST /desk/season/grass": (SECRETARY,),
    "GET /desk/season/fairness": (SECRETARY,),
    "GET /desk/reports": (SECRETARY, CLUB),
    "GET /desk/reports/report.pdf": (SECRETARY, CLUB),
    "GET /desk/season/ahead": (SECRETARY, CLUB),
    "GET /desk/season/asks": (SECRETARY, CLUB),
    "POST /desk/season/asks/serve": (SECRETARY,),
    "POST /desk/season/asks/<int:number>/grant": (SECRETARY, CLUB),
    "POST /desk/season/asks/<int:number>/refuse": (SECRETARY, CLUB),
    "POST /desk/season/swaps/<int:number>/end": (SECRETARY, CLUB),
    "POST /desk/season/swaps/<int:number>/accept": (SECRETARY, CLUB),
    "GET /coach/give": (SECRETARY, CLUB, COACH),
    "POST /coach/give": (SECRETARY, CLUB, COACH),
    "POST /coach/give/asks/<int:number>/take-back": (SECRETARY, CLUB, COACH),
    "POST /coach/give/swaps/<int:number>/accept": (SECRETARY, CLUB, COACH),
    "POST /coach/give/swaps/<int:number>/end": (SECRETARY, CLUB, COACH),
    "GET /coach/sessions/<int:number>": (SECRETARY, CLUB, COACH),
    "POST /coach/sessions/<int:number>/head-count": (SECRETARY, CLUB, COACH),
    "POST /coach/sessions/<int:number>/hand-back": (SECRETARY, CLUB, COACH),
    "POST /coach/sessions/<int:number>/more": (SECRETARY, CLUB, COACH),
    "POST /coach/sessions/<int:number>/swap": (SECRETARY, CLUB, COACH),
    "GET /desk/season/light": (SECRETARY, GROUNDSKEEPER),
    "POST /desk/season/light/move": (SECRETARY,),
    "POST /desk/season/light/cost": (SECRETARY,),
    "GET /desk/money": (SECRETARY,),
    "POST /desk/money": (SECRETARY,),
    "GET /desk/money/<payer>/<path:key>/draft": (SECRETARY,),
    "GET /desk/money/statements/<int:number>": (SECRETARY,),
    "GET /desk/money/statements/<int:number>/statement.pdf": (SECRETARY,),
    "POST /desk/money/statements/<int:number>/take-back": (SECRETARY,),
    "GET /desk/money/tariffs": (SECRETARY,),
    "POST /desk/money/tariffs": (SECRETARY,),
    "GET /desk/money/tariffs/<int:number>": (SECRETARY,),
    "POST /desk/money/tariffs/<int:number>": (SECRETARY,),
    "POST /desk/money/reductions": (SECRETARY,),
    "POST /desk/money/reductions/<int:number>/out": (SECRETARY,),
    "POST /desk/money/terms": (SECRETARY,),
    "GET /desk/season/hires": (SECRETARY,),
    "POST /desk/season/hires": (SECRETARY,),
    "GET /desk/season/hires/<int:number>": (SECRETARY,),
    "POST /desk/season/hires/<int:number>/dates": (SECRETARY,),
    "POST /desk/season/hires/<int:number>/move": (SECRETARY,),
    "POST /desk/season/hires/<int:number>/end": (SECRETARY,),
    "POST /desk/season/hires/<int:number>/who": (SECRETARY,),
    "GET /desk/season/matches": (SECRETARY, CLUB),
    "POST /desk/season/matches": (SECRETARY, CLUB),
    "POST /desk/season/matches/file": (SECRETARY, CLUB),
    "POST /desk/season/matches/free": (SECRETARY, CLUB),
    "GET /desk/season/matches/<int:number>": (SECRETARY, CLUB),
    "POST /desk/season/matches/<int:number>/place": (SECRETARY, CLUB),
    "POST /desk/season/matches/<int:number>/change": (SECRETARY, CLUB),
    "GET /desk/season/matches/<int:number>/back": (SECRETARY, CLUB),
    "POST /desk/season/matches/<int:number>/back": (SECRETARY, CLUB),
    "POST /desk/season/matches/<int:number>/call-off": (SECRETARY, CLUB),
    "GET /desk/webhooks": (SECRETARY,),
    "POST /desk/webhooks": (SECRETARY,),
    "GET /desk/webhooks/<int:number>": (SECRETARY,),
    "POST /desk/webhooks/<int:number>/try": (SECRETARY,),
    "POST /desk/webhooks/<int:number>/exchange": (SECRETARY,),
    "POST /desk/webhooks/<int:number>/end": (SECRETARY,),
    "POST /desk/webhooks/<int:number>/go-on": (SECRETARY,),
    "GET /desk/season/busy": (SECRETARY,),
    "POST /desk/season/busy": (SECRETARY,),
    "GET /desk/season/busy/<int:number>": (SECRETARY,),
    "POST /desk/season/busy/<int:number>/read": (SECRETARY,),
    "POST /desk/season/busy/<int:number>/decide": (SECRETARY,),
    "POST /desk/season/busy/<int:number>/end": (SECRETARY,),
    "GET /desk/season/restored": (SECRETARY,),
    "POST /desk/season/restored/seen": (SECRETARY,),
    "GET /desk/season/mails": (SECRETARY, CLUB),
    "GET /desk/season/mails/<int:number>": (SECRETARY, CLUB),
    "POST /desk/season/mails/tell": (SECRETARY, CLUB),
    "POST /desk/season/mails/again": (SECRETARY, CLUB),
    "POST /desk/season/mails/try": (SECRETARY,),
    "POST /measure": None,
    "POST /facing": None,
    "POST /language": None,
    "GET /desk/first-steps": (SECRETARY,),
    "GET /desk/club/rules": (SECRETARY,),
    "POST /desk/club/rules": (SECRETARY,),
    "GET /desk/grounds": (SECRETARY,),
    "GET /desk/club": (SECRETARY,),
    "POST /desk/club": (SECRETARY,),
    "GET /desk/new-venue": (SECRETARY,),
    "POST /desk/new-venue": (SECRETARY,),
    "POST /desk/grounds/file": (SECRETARY,),
    "POST /desk/grounds/file/answers": (SECRETARY,),
    "POST /desk/grounds/load": (SECRETARY,),
    "GET /desk/grounds/<venue>": (SECRETARY,),
    "POST /desk/grounds/<venue>": (SECRETARY,),
    "GET /desk/grounds/<venue>/file.geojson": (SECRETARY,),
    "GET /desk/grounds/<venue>/by-kind": (SECRETARY,),
    "POST /desk/grounds/<venue>/by-kind": (SECRETARY,),
    "GET /desk/grounds/<venue>/from-picture": (SECRETARY,),
    "POST /desk/grounds/<venue>/from-picture": (SECRETARY,),
    "GET /desk/grounds/<venue>/new-pitch": (SECRETARY,),
    "POST /desk/grounds/<venue>/new-pitch": (SECRETARY,),
    "GET /desk/grounds/<venue>/<pitch>": (SECRETARY,),
    "POST /desk/grounds/<venue>/<pitch>": (SECRETARY,),
    "POST /desk/grounds/<venue>/<pitch>/out": (SECRETARY,),
    "GET /desk/squads": (SECRETARY, CLUB),
    "GET /desk/new-squad": (SECRETARY, CLUB),
    "POST /desk/new-squad": (SECRETARY, CLUB),
    "GET /desk/clubs": (SECRETARY,),
    "POST /desk/clubs": (SECRETARY,),
    "POST /desk/clubs/<int:number>": (SECRETARY,),
    "POST /desk/clubs/<int:number>/end": (SECRETARY,),
    "GET /desk/squads.csv": (SECRETARY, CLUB),
    "GET /desk/squads/<key>": (SECRETARY, CLUB),
    "POST /desk/squads/<key>": (SECRETARY, CLUB),
    "POST /desk/squads/<key>/rest": (SECRETARY, CLUB),
    "GET /desk/squads/<key>/end": (SECRETARY, CLUB),
    "POST /desk/squads/<key>/end": (SECRETARY, CLUB),
    "POST /desk/squads/<key>/link": (SECRETARY, CLUB),
    "POST /desk/squads/<key>/revoke": (SECRETARY, CLUB),
    "GET /desk/tables/<kind>": (SECRETARY, CLUB),
    "POST /desk/tables/<kind>": (SECRETARY, CLUB),
    "GET /desk/tables/<kind>/<what>.csv": (SECRETARY, CLUB),
    "GET /desk/tables/<kind>/<what>.xlsx": (SECRETARY, CLUB),
    "GET /desk/files": (SECRETARY,),
    "POST /desk/files": (SECRETARY,),
    "GET /desk/files/club.zip": (SECRETARY,),
    "POST /desk/files/club": (SECRETARY,),
    "GET /desk/people": (SECRETARY, CLUB),
    "POST /desk/people": (SECRETARY, CLUB),
    "GET /desk/people/<int:number>": (SECRETARY, CLUB),
    "POST /desk/people/<int:number>": (SECRETARY, CLUB),
    "POST /desk/people/<int:number>/link": (SECRETARY, CLUB),
    "POST /desk/people/<int:number>/end": (SECRETARY, CLUB),
    "POST /desk/people/<int:number>/browsers/end": (SECRETARY, CLUB),
    "POST /desk/people/<int:number>/browsers/<int:browser>/end": (SECRETARY, CLUB),
    "POST /desk/people/requests/<int:number>": (SECRETARY, CLUB),
    "GET /privacy": None,
    "GET /guide": None,
    "GET /guide/<key>": None,
    "GET /me/kept": EVERY_ROLE,
    "GET /me/kept.json": EVERY_ROLE,
    "GET /desk/people/<int:number>/kept": (SECRETARY,),
    "GET /desk/people/<int:number>/kept.json": (SECRETARY,),
    "POST /desk/people/<int:number>/erase": (SECRETARY,),
    "GET /desk/season/hires/<int:number>/kept": (SECRETARY,),
    "GET /desk/season/hires/<int:number>/kept.json": (SECRETARY,),
    "POST /desk/season/hires/<int:number>/erase": (SECRETARY,),
    "GET /desk/kept": (SECRETARY,),
    "POST /desk/kept": (SECRETARY,),
    "POST /desk/kept/look": (SECRETARY,),
    "POST /desk/kept/erase": (SECRETARY,),
}
"""Every route of the app, and who may open it."""

EVENING = f"?venue=marsh-lane&date={A_WEDNESDAY}"


def two_evenings(store: Store) -> None:
    """Fill a database: the small club, the Kestrels on Wednesday, the Harriers on Thursday."""
    load_small_club(store)
    book(store)
    book(store, HARRIERS, day=A_WEDNESDAY.replace(day=26))


def the_club(store: Store) -> int:
    """Return the number of a club within the record that all squads belong to."""
    with store.write() as session:
        number = add_club(session, "Alderby").id if not load_clubs(session) else 1
        known = set(session.scalars(select(SquadClubRow.squad_id)))
        squads = session.scalars(select(SquadRow.id).where(SquadRow.id.not_in(known)))
        session.add_all(SquadClubRow(squad_id=one, club_id=number) for one in squads.all())
        return number


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give a club of this test's own with two evenings."""
    return filled(two_evenings)


@pytest.fixture
def app(store: Store) -> Flask:
    """Make the small club's app."""
    return create_app(store, Config("", ADDRESS), lambda: NOW)


def routes(app: Flask) -> dict[str, str]:
    """Return method and rule of every route, with its endpoint."""
    return {
        f"{method} {rule.rule}": rule.endpoint
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) & {"GET", "POST", "PUT", "PATCH", "DELETE"}
        if rule.endpoint != "static"
    }


def path_of(route: str) -> str:
    """Return a path of a route with something in place of its parts."""
    path = route.partition(" ")[2]
    for part, value in (
        ("<int:number>", "1"),
        ("<int:browser>", "1"),
        ("<int:link>", "1"),
        ("<int:token>", "1"),
        ("<secret>", "not-in-use"),
        ("<key>", KESTRELS),
        ("<name>", "x"),
    ):
        path = path.replace(part, value)
    return path


def test_every_route_is_in_the_table(app: Flask) -> None:
    """A new route has to say here who may open it."""
    assert set(routes(app)) == set(TABLE)


def test_the_marks_are_what_the_table_says(app: Flask) -> None:
    """Each view is marked with exactly those it is for."""
    for route, endpoint in routes(app).items():
        wanted = TABLE[route]
        assert roles_of(app, endpoint) == (ANYBODY if wanted is None else frozenset(wanted)), route


@pytest.mark.parametrize("role", [None, *EVERY_ROLE])
def test_every_route_holds_everybody_to_the_table(
    app: Flask, store: Store, role: Role | None
) -> None:
    """Strangers are led to signing in; a signed-in person is refused what is not theirs."""
    client, csrf, may_be_out = app.test_client(), "", True
    pages = {route: allowed for route, allowed in TABLE.items() if PROGRAMS not in route}
    for number, (route, allowed) in enumerate(pages.items()):
        method, _, _ = route.partition(" ")
        if role is None:
            client = app.test_client()
            csrf = token(client, "/sign-in") if method == "POST" else ""
        elif may_be_out:
            mine = client.get("/me")
            if mine.status_code != 200:  # nobody yet, or a route signed them out
                squads = (KESTRELS,) if role is COACH else ()
                club = the_club(store) if role is CLUB else None
                client = sign_in(app, store, role, *squads, name=f"{role} {number}", club=club)
                mine = client.get("/me")
            csrf = token_in(mine.text)
        data = {"csrf_token": csrf} if method == "POST" else None
        query = EVENING if route == "GET /desk/evening" else ""
        answer = client.open(path_of(route) + query, method=method, data=data)
        may_be_out = method != "GET" and answer.status_code != 403
        is_led_away = answer.status_code == 302 and "/sign-in" in answer.headers["Location"]
        if allowed is None:
            assert answer.status_code != 403, route
        elif role is None:
            assert is_led_away, route
        elif role in allowed:
            assert answer.status_code != 403, route
            assert not is_led_away, route
        else:
            assert answer.status_code == 403, route
            assert "This page is not for you" in answer.text
            assert ("for the office of all clubs" in answer.text) == (role is CLUB), route


@pytest.mark.parametrize("role", [None, *EVERY_ROLE])
def test_every_address_for_programs_holds_tokens_to_the_table(
    app: Flask, store: Store, role: Role | None
) -> None:
    """Without a token there is 401; a person's token is refused what is not theirs."""
    program = Program(app, "")
    if role is not None:
        squads = (KESTRELS,) if role is COACH else ()
        club = the_club(store) if role is CLUB else None
        program = program_of(app, store, role, *squads, club=club)
    for route, allowed in TABLE.items():
        if PROGRAMS not in route:
            continue
        method, _, _ = route.partition(" ")
        answer = program.ask(method, path_of(route).removeprefix("/api/1"), {})
        if role is None:
            assert (answer.status_code == 401) == (allowed is not None), route
        elif allowed is None or role in allowed:
            assert answer.status_code not in (401, 403), route
        else:
            assert answer.status_code == 403, route
            assert ("for the office of all clubs" in answer.text) == (role is CLUB), route


def test_an_app_with_an_unmarked_view_is_not_made(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A view that does not say whom it is for keeps the whole app from starting."""

    class Room:
        pages = Blueprint("extra", "extra")

    Room.pages.add_url_rule("/extra", "open", lambda: "")
    monkeypatch.setattr(factory, "ROOMS", (entry, Room))
    with pytest.raises(TypeError, match=r"extra\.open does not say whom it is for"):
        create_app(store, Config("", ADDRESS))


def test_a_coach_sees_only_the_evenings_of_their_squads(app: Flask, store: Store) -> None:
    """The Kestrels' coach sees Wednesday, not Thursday, no other venue, and no form."""
    coach = sign_in(app, store, COACH, KESTRELS)
    page = coach.get(f"/desk/evening{EVENING}")
    assert page.status_code == 200
    assert "u12" in page.text.lower()
    assert "Add a booking" not in page.text
    assert "Day before" not in page.text
    for query in (
        f"?venue=marsh-lane&date={A_WEDNESDAY.replace(day=26)}",
        f"?date={A_WEDNESDAY}",
        f"?venue=elsewhere&date={A_WEDNESDAY}",
        "",
    ):
        answer = coach.get(f"/desk/evening{query}")
        assert (answer.status_code, query) == (404, query)
        assert "None of your squads is at this venue" in answer.text


def test_a_coach_sees_only_their_own_sessions(app: Flask, store: Store) -> None:
    """Each coach's page lists the sessions of their own squads and nobody else's."""
    kestrels = sign_in(app, store, COACH, KESTRELS, name="One").get("/coach").text
    harriers = sign_in(app, store, COACH, HARRIERS, name="Two").get("/coach").text
    nobody = sign_in(app, store, COACH, name="Three").get("/coach").text
    assert "U12 Kestrels" in kestrels
    assert "U14 Harriers" not in kestrels
    assert "U14 Harriers" in harriers
    assert "U12 Kestrels" not in harriers
    assert "has not given you a squad yet" in nobody


def test_another_coachs_squad_cannot_be_guessed(app: Flask, store: Store) -> None:
    """A squad that is not one's own, and one that is nobody's, look the same; nothing is made."""
    coach = sign_in(app, store, COACH, KESTRELS)
    assert coach.get(f"/coach/squads/{KESTRELS}").status_code == 200
    assert coach.get(f"/coach/squads/{KESTRELS}/map/1.png").status_code == 200
    assert coach.get(f"/coach/squads/{KESTRELS}/fit/1/1.png").status_code == 200
    assert coach.get(f"/coach/squads/{KESTRELS}/map/2.png").status_code == 404
    assert coach.get(f"/coach/squads/{KESTRELS}/fit/2/1.png").status_code == 404
    csrf = token(coach, "/coach/calendar")
    for key in (HARRIERS, "u99", "U14 Harriers"):
        paths = ("", "/map/2.png", "/fit/2/1.png")
        answers = [coach.get(f"/coach/squads/{key}{path}") for path in paths]
        answers.append(coach.post(f"/coach/squads/{key}/link", data={"csrf_token": csrf}))
        for answer in answers:
            assert answer.status_code == 404
            assert "You look after no such squad" in answer.text
    made = coach.post(f"/coach/squads/{KESTRELS}/link", data={"csrf_token": csrf})
    assert f"{ADDRESS}/ground/" in made.text
    assert "Back to the ground" in made.text


def test_a_groundskeeper_sees_every_evening_and_no_form(app: Flask, store: Store) -> None:
    """The groundskeeper looks at any day of any venue, and books nothing."""
    keeper = sign_in(app, store, GROUNDSKEEPER)
    page = keeper.get("/desk/evening?date=2026-11-27").text
    assert "Day before" in page
    assert "Add a booking" not in page


def test_other_peoples_browsers_cannot_be_ended_by_number(app: Flask, store: Store) -> None:
    """A browser's number that is not one's own leads nowhere, and the browser stays signed in."""
    victim = sign_in(app, store, name="The secretary")
    coach = sign_in(app, store, COACH, KESTRELS)
    csrf = token(coach, "/me")
    for number in range(1, 6):
        answer = coach.post(f"/me/browsers/{number}/end", data={"csrf_token": csrf})
        if answer.status_code == 302:
            break  # the last one is the coach's own
        assert answer.status_code == 404
    assert victim.get("/desk/people").status_code == 200
    assert coach.get("/me").status_code == 302


def test_a_persons_browser_is_not_ended_through_another_person(app: Flask, store: Store) -> None:
    """The number of a browser has to belong to the person in the address."""
    desk = sign_in(app, store)
    number = add_person(store, PersonDraft("Sam Reed", COACH, ""), NOW)
    csrf = token(desk, "/me")
    answer = desk.post(f"/desk/people/{number}/browsers/1/end", data={"csrf_token": csrf})
    assert answer.status_code == 404
    assert desk.get("/me").status_code == 200


def test_maps_of_other_squads_cannot_be_guessed(app: Flask, store: Store) -> None:
    """A squad's address shows the maps of its own bookings only."""
    secret = create_squad_link(store, KESTRELS, "a test", NOW)
    client = app.test_client()
    assert client.get(f"/ground/{secret}/map/1.png").status_code == 200
    assert client.get(f"/ground/{secret}/map/2.png").status_code == 404


def test_a_secret_of_one_kind_is_none_of_another(app: Flask, store: Store) -> None:
    """A squad's address signs nobody in, and a browser's secret opens no squad's page."""
    secret = create_squad_link(store, KESTRELS, "a test", NOW)
    client = app.test_client()
    client.set_cookie("person", secret)
    assert client.get("/me").status_code == 302
    for way in ("let-in", "secretary"):
        assert client.get(f"/{way}/{secret}").status_code == 404
    number = add_person(store, PersonDraft("Sam Reed", COACH, ""), NOW)
    with store.write() as session:
        browser = open_browser(session, number, "A browser", NOW)
    assert client.get(f"/ground/{browser}").status_code == 404


def test_nobody_but_the_secretary_takes_back_what_others_did(app: Flask, store: Store) -> None:
    """Neither by number, nor an older change, whoever tries."""
    desk = sign_in(app, store, name="The secretary")
    sent = {"csrf_token": token(desk, "/desk/evening"), "sequence": "0"}
    assert desk.post("/desk/bookings/2/withdraw", data=sent).status_code == 302
    robin = sign_in(app, store, COACH, KESTRELS, name="Robin")
    other = sign_in(app, store, COACH, HARRIERS, name="Sam")
    keeper = sign_in(app, store, GROUNDSKEEPER)
    sent = {"csrf_token": token(robin, "/me"), "sequence": "0"}
    assert robin.post("/coach/sessions/1/hand-back", data=sent).status_code == 302
    numbers = [line.number for line in list_changes(store, NOW)]
    for client in (robin, other, keeper):
        csrf = token(client, "/me")
        for number in [*numbers, 9_999]:
            if client is robin and number == numbers[0]:
                continue
            path = f"/desk/season/changes/{number}/undo"
            answer = client.post(path, data={"csrf_token": csrf})
            assert answer.status_code in (404, 422), (number, answer.status_code)
    assert booking_row(store, 1).is_withdrawn
    assert booking_row(store, 2).is_withdrawn
    own = f"/desk/season/changes/{numbers[0]}/undo"
    assert robin.post(own, data={"csrf_token": token(robin, "/me")}).status_code == 302
    assert not booking_row(store, 1).is_withdrawn


def test_who_signs_in_at_the_same_browser_inherits_nothing(app: Flask, store: Store) -> None:
    """What one person did last is not offered to the next, nor taken back by them."""
    shared = sign_in(app, store, COACH, KESTRELS, name="Robin")
    sent = {"csrf_token": token(shared, "/me"), "sequence": "0"}
    assert shared.post("/coach/sessions/1/hand-back", data=sent).status_code == 302
    number = list_changes(store, NOW)[0].number
    other = add_person(store, PersonDraft("Sam", COACH, "", (HARRIERS,)), NOW)
    with store.write() as session:
        secret = open_browser(session, other, "A browser", NOW)
    shared.set_cookie("person", secret)
    data = {"csrf_token": token(shared, "/me")}
    answer = shared.post(f"/desk/season/changes/{number}/undo", data=data)
    assert answer.status_code == 422
    assert "only what you did last" in answer.text
    assert booking_row(store, 1).is_withdrawn
