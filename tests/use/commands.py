"""Every command of the program, and what a person may mistype."""

from __future__ import annotations

import click

from clubplanner.commands import main

SERVING = {"serve", "demo", "worker"}
"""Commands that other tests here run: they serve until they are stopped."""


def leaf_commands(group: click.Group = main, before: tuple[str, ...] = ()) -> list[str]:
    """Return every command that does something, as it is typed."""
    found: list[str] = []
    asked = click.Context(group)
    for name in group.list_commands(asked):
        command, words = group.get_command(asked, name), (*before, name)
        if isinstance(command, click.Group):
            found += leaf_commands(command, words)
        else:
            found.append(" ".join(words))
    return found


NO_SUCH = "999999"
WRONG = {
    "addresses add": "pitch Nowhere --holder Sam",
    "addresses hand-out": "--squad U99",
    "addresses withdraw": NO_SUCH,
    "tokens add": "Nobody --for table",
    "tokens withdraw": NO_SUCH,
    "asks add": "u13-kestrels 2001-01-01 18:00 19:00",
    "asks add-ground": NO_SUCH,
    "asks refuse": f"{NO_SUCH} Full",
    "bookings add": "Nowhere 2026-12-02 18:00 19:00 --for Sam",
    "bookings hand-back": NO_SUCH,
    "bookings keep": NO_SUCH,
    "bookings list": "--squad Nobody",
    "bookings move": NO_SUCH,
    "bookings show": NO_SUCH,
    "bookings swap": f"{NO_SUCH} {NO_SUCH}",
    "bookings withdraw": NO_SUCH,
    "calendars add": "Council Court no-such-file.ics",
    "calendars read": NO_SUCH,
    "calendars export": "squad Nobody",
    "calendars withdraw": NO_SUCH,
    "changes follow": "--since yesterday",
    "changes list": "--count 0",
    "changes undo": NO_SUCH,
    "closures add": "Nowhere frozen",
    "closures bring-back": NO_SUCH,
    "closures change": NO_SUCH,
    "closures open": NO_SUCH,
    "club export": ".",
    "club load": "no-such-file.toml",
    "completion": "cmd",
    "concerns list": "--weeks 0",
    "demo": "--seconds 0",
    "evenings show": "2026-11-25 yesterday",
    "fit largest": "--ground 0x0",
    "fit pieces": "--ground 105x68 --piece 12",
    "fit sessions": "--ground 105x68 --players none",
    "grass set-limit": "Meadow --built sponge --quality poor",
    "grass show": "--weeks 0",
    "grounds export": "nowhere",
    "grounds load": "no-such-file.geojson",
    "hires add": "Club Nowhere --first 2027-01-05 --from 18:00 --to 19:00",
    "hires extend": NO_SUCH,
    "hires move": f"{NO_SUCH} --on 2027-01-05 --pitch Nowhere --from 18:00 --to 19:00",
    "reports export": "2026-11-01 2026-11-30 --output report.docx",
    "reports show": "2026-11-30 2026-11-01",
    "hires show": NO_SUCH,
    "hires withdraw": NO_SUCH,
    "light list-dark": "--weeks 0",
    "light set-cost": "osier-lane much",
    "light show": "someday",
    "matches bring-back": NO_SUCH,
    "matches call-off": NO_SUCH,
    "matches change": NO_SUCH,
    "matches load": "squads.csv",
    "matches place": NO_SUCH,
    "people add": "Robin;",
    "people change": "Nobody",
    "people let-in": "Nobody",
    "people show": "Nobody",
    "people withdraw": "Nobody",
    "proposals explain": f"{NO_SUCH} nobody",
    "proposals publish": NO_SUCH,
    "proposals show": NO_SUCH,
    "records back-up": "nowhere/club.backup",
    "records move": "sqlite:///a.sqlite sqlite:///a.sqlite",
    "records restore": "no-such.backup",
    "running": "nothing.conf",
    "schemas show": "squads find",
    "serve": "--port 70000",
    "share-out check": "council.ics council.ics",
    "share-out compare": f"{NO_SUCH} {NO_SUCH}",
    "share-out draw-example": "--squads 0",
    "share-out explain": "problem.json result.json nobody",
    "share-out foresee": "nowhere",
    "share-out reshare": "problem.json result.json council.ics",
    "share-out run": "nowhere",
    "share-out run-again": "--close Nowhere",
    "share-out run-evening": "someday",
    "share-out run-tonight": "2026-11-25 --without nobody",
    "share-out run-turns": "nowhere",
    "share-out solve": "council.ics",
    "share-out what-if": f"{NO_SUCH} nobody Monday 18:00 nowhere",
    "squads add": "Owls --set wings=2",
    "squads begin": "nobody 2026-12-02",
    "statements export": f"{NO_SUCH} --output statement.pdf",
    "statements issue": "nowhen",
    "statements list": "nowhen",
    "statements preview": "2026-11 club nowhere",
    "statements show": NO_SUCH,
    "statements withdraw": NO_SUCH,
    "tariffs add": "nowhere 12",
    "tariffs set-currency": "money",
    "tariffs withdraw": NO_SUCH,
    "squads change": "nobody",
    "squads export": "--output nowhere/squads.csv",
    "squads show": "nobody",
    "squads withdraw": "nobody 2026-12-02",
    "webhooks add": "website http://site.example/",
    "webhooks exchange-secret": NO_SUCH,
    "webhooks withdraw": NO_SUCH,
    "webhooks resume": NO_SUCH,
    "webhooks show": NO_SUCH,
    "webhooks try": NO_SUCH,
    "year add-break": "Fair 2026-12-02 2026-12-01",
    "year change-next": "nobody",
    "year change-stretch": "nowhen",
    "year set-holidays": "Nowhere",
    "year set-squad": "nobody",
    "year train-on": "someday",
    "year withdraw-break": NO_SUCH,
}
"""What a person may mistype, by command; those not listed ask for nothing that could be wrong, so
they are asked of a folder in which there is no club."""
