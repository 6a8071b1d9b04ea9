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
    "ahead": "--weeks 0",
    "asks hand-back": NO_SUCH,
    "asks more": NO_SUCH,
    "asks refuse": f"{NO_SUCH} Full",
    "asks session": "u13-kestrels 2001-01-01 18:00 19:00",
    "asks swap": f"{NO_SUCH} {NO_SUCH}",
    "busy add": "Council Court no-such-file.ics",
    "busy end": NO_SUCH,
    "busy read": NO_SUCH,
    "changes evening": "2026-11-25 yesterday",
    "changes follow": "--since yesterday",
    "changes list": "--count 0",
    "changes undo": NO_SUCH,
    "club export": ".",
    "club load": "no-such-folder",
    "closures bring-back": NO_SUCH,
    "closures change": NO_SUCH,
    "closures close": "Nowhere frozen",
    "closures open": NO_SUCH,
    "demo": "--seconds 0",
    "feed": "Nobody",
    "fit largest": "--ground 0x0",
    "fit pieces": "--ground 105x68 --piece 12",
    "fit sessions": "--ground 105x68 --players none",
    "grass limit": "Meadow --built sponge --quality poor",
    "grass show": "--weeks 0",
    "grounds file": "nowhere",
    "grounds look": "no-such-file.geojson",
    "hires book": "Club Nowhere --first 2027-01-05 --from 18:00 --to 19:00",
    "hires end": NO_SUCH,
    "hires longer": NO_SUCH,
    "hires move": f"{NO_SUCH} --on 2027-01-05 --pitch Nowhere --from 18:00 --to 19:00",
    "backup": "nowhere/club.backup",
    "reports file": "2026-11-01 2026-11-30 --output report.docx",
    "reports show": "2026-11-30 2026-11-01",
    "restore": "no-such.backup",
    "hires show": NO_SUCH,
    "light cost": "osier-lane much",
    "light dark": "--weeks 0",
    "light days": "someday",
    "load": "no-such-file.toml",
    "matches call-off": NO_SUCH,
    "matches load": "squads.csv",
    "matches place": NO_SUCH,
    "secretary": "--name Nobody",
    "serve": "--port 70000",
    "share-out again": "--close Nowhere",
    "share-out before": "nowhere",
    "share-out check": "council.ics council.ics",
    "share-out evening": "someday",
    "share-out tonight": "2026-11-25 --without nobody",
    "share-out example": "--squads 0",
    "share-out explain": "problem.json result.json nobody",
    "share-out publish": NO_SUCH,
    "share-out reshare": "problem.json result.json council.ics",
    "share-out run": "nowhere",
    "share-out solve": "council.ics",
    "share-out turns": "nowhere",
    "share-out why": f"{NO_SUCH} nobody",
    "squads begin": "nobody 2026-12-02",
    "squads end": "nobody 2026-12-02",
    "statements issue": "nowhen",
    "statements list": "nowhen",
    "statements look": "2026-11 club nowhere",
    "statements show": NO_SUCH,
    "statements withdraw": NO_SUCH,
    "statements write": f"{NO_SUCH} statement.pdf",
    "tariffs add": "nowhere 12",
    "tariffs currency": "money",
    "tariffs withdraw": NO_SUCH,
    "webhooks add": "website http://site.example/",
    "webhooks end": NO_SUCH,
    "webhooks go-on": NO_SUCH,
    "webhooks show": NO_SUCH,
    "webhooks try": NO_SUCH,
    "year add-break": "Fair 2026-12-02 2026-12-01",
    "year holidays": "Nowhere",
    "year next-squad": "nobody",
    "year remove-break": NO_SUCH,
    "year squad": "nobody",
    "move-records": "sqlite:///a.sqlite sqlite:///a.sqlite",
    "running": "nothing.conf",
    "year stretch": "nowhen",
    "year train-on": "someday",
}
"""What a person may mistype, by command; those not listed ask for nothing that could be wrong, so
they are asked of a folder in which there is no club."""
