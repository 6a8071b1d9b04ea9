"""A season lived by commands: what a club types, in the order in which it comes up."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from tests.commands.held_to_schemas import hold_to_schema
from tests.use.soon import free_hour_soon
from tests.use.winter import HIRED, write_club

if TYPE_CHECKING:
    from tests.use.program import Done, Program

SQUAD, OTHER, THIRD = "u13-kestrels", "u14-harriers", "u15-buzzards"
LARGE, SMALL = "105x68", "35 x 20"


def bookings_ahead(program: Program, squad: str) -> list[int]:
    """Return the numbers of a squad's trainings from tomorrow on, soonest first."""
    tomorrow = datetime.now(UTC) + timedelta(days=1)
    query = (
        "SELECT booking.id FROM booking JOIN squad ON squad.id = squad_id WHERE squad.key = ?"
        " AND purpose = 'training' AND NOT is_withdrawn AND starts_at > ? ORDER BY starts_at"
    )
    with closing(sqlite3.connect(program.folder / "clubplanner.sqlite")) as connection:
        rows = connection.execute(query, (squad, tomorrow.timestamp())).fetchall()
    return [number for (number,) in rows]


class Season:
    """A club's commands, and what each answered.

    Attributes:
        done: Every command that was run, in order.
        refused: The key of an ask that went without when the winter was shared out.
    """

    def __init__(self, program: Program, today: date) -> None:
        self.program = program
        self.today = today
        self.done: list[Done] = []
        self.refused = ""

    def run(self, *words: object, is_alone: bool = False) -> Done:
        """Run a command that works, and keep what it answered.

        Args:
            words: The command.
            is_alone: Whether it is typed as a person types it, and loads the program for itself.
        """
        run = self.program.run if is_alone else self.program.run_loaded
        done = run(*map(str, words))
        if done.code == 0 and "--json" in words:
            hold_to_schema(words, done.out)
        self.done.append(done)
        return done

    def day(self, ahead: int) -> date:
        """Return a day so many days after this week's Monday."""
        return self.today - timedelta(days=self.today.weekday()) + timedelta(days=ahead)

    @property
    def last_month(self) -> date:
        """The first day of the month that is over."""
        return (self.today.replace(day=1) - timedelta(days=1)).replace(day=1)

    def number_of(self, squad: str) -> int:
        """Return the number of a squad's next training after today."""
        return bookings_ahead(self.program, squad)[0]

    def free_day(self, squad: str) -> date:
        """Return a day to come on which a squad has nothing; which, is the plan's to say.

        Of those on which a venue is open: on Fridays none is.
        """
        with closing(sqlite3.connect(self.program.folder / "clubplanner.sqlite")) as connection:
            query = (
                "SELECT date(starts_at, 'unixepoch') FROM booking JOIN squad ON squad.id = squad_id"
                " WHERE squad.key = ? AND NOT is_withdrawn"
            )
            taken = {date.fromisoformat(day) for (day,) in connection.execute(query, (squad,))}
        days = (self.day(n) for n in (9, 10, 8, 7, 16, 17, 15, 14))
        return next(day for day in days if day not in taken)

    def change_of(self, number: int) -> int:
        """Return how often a booking was changed: an earlier step may have moved it, or not."""
        with closing(sqlite3.connect(self.program.folder / "clubplanner.sqlite")) as connection:
            query = "SELECT sequence FROM booking WHERE id = ?"
            (change,) = connection.execute(query, (number,)).fetchone()
        return int(change)

    def begin(self) -> None:
        """Set the club up, share its winter out and publish it."""
        self.run("init", is_alone=True)
        names = write_club(self.program.folder, self.today)
        with (self.program.folder / "club.toml").open("a", encoding="utf-8") as settings:
            settings.write(HIRED.format(day=self.last_month))
        self.run("club", "load", *names)
        self.begin_to_share_out()

    def begin_to_share_out(self) -> None:
        """Share the winter out, look at the proposal and publish it."""
        self.run("year", "set-holidays", "GB", "ENG", "--json")
        before = self.run("share-out", "foresee", "winter", "--json").json()
        assert before["asked_hours"] > 0
        proposal = self.run("share-out", "run", "winter", "--seconds", 3, "--json").json()
        self.refused = str(proposal["refusals"][0]["ask"])
        self.run("proposals", "explain", 1, self.refused, "--json")
        placed = self.run("proposals", "show", 1, "--json").json()["sessions"][0]
        start, ground = placed["times"].split("–")[0], placed["ground"]
        wish = (1, placed["squad_name"], placed["day"], start, ground)
        self.run("share-out", "what-if", *wish, "--json")
        self.run("share-out", "compare", 1, 1, "--json")
        self.run("proposals", "publish", 1, "--json")

    def hand_out(self) -> None:
        """Make addresses for people and read a calendar of others."""
        self.run("people", "let-in", "--json")
        self.run("addresses", "hand-out", "--squad", OTHER, "--sheet", "sheet.pdf", "--json")
        self.run("calendars", "export", "squad", SQUAD, "--output", "squad.ics", "--json")
        self.run("addresses", "add", "squad", SQUAD, "--holder", "The squad", "--json")
        self.run("addresses", "add", "pitch", "Top pitch", "--holder", "Alex Marsh")
        self.run("addresses", "add", "squad", SQUAD, "--holder", "Robin", "--email", "r@o.example")
        self.run("addresses", "add", "coach", "Maren Holloway", "--holder", "Maren")
        self.run("addresses", "add", "coach", "Maren Holloway", "--holder", "Somebody who left")
        listed = self.run("addresses", "list", "--json").json()
        left = next(line["number"] for line in listed if line["holder"] == "Somebody who left")
        self.run("addresses", "withdraw", left)
        made = self.run("tokens", "add", "Maren Holloway", "--for", "a table", "--json").json()
        self.run("tokens", "list")
        self.run("tokens", "withdraw", made["number"])
        starts = datetime.combine(self.day(8), datetime.min.time()) + timedelta(hours=12)
        event = f"UID:1@o.example\r\nDTSTART:{starts:%Y%m%dT%H%M%SZ}\r\nDURATION:PT1H\r\n"
        text = f"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n{event}END:VEVENT\r\nEND:VCALENDAR\r\n"
        (self.program.folder / "council.ics").write_text(text, "utf-8", newline="")
        for name in ("Town council", "Choir"):
            self.run("calendars", "add", name, "Court", "council.ics", "--json")
        self.run("calendars", "read", 1)
        self.run("calendars", "withdraw", 2)
        self.run("calendars", "list", "--json")
        self.tell_others()

    def tell_others(self) -> None:
        """Let another program follow, and make a webhook that is ended again."""
        mark = self.run("changes", "follow", "--json").json()["mark"]
        self.run("webhooks", "add", "Website", "https://localhost/hook", "--json")
        assert len(self.run("changes", "follow", "--since", mark, "--json").json()["happenings"])
        self.done.append(
            self.program.run_loaded("webhooks", "try", "1", code=2)
        )  # nothing inside is called on
        self.run("webhooks", "withdraw", 1)
        self.run("webhooks", "resume", 1)
        self.run("webhooks", "exchange-secret", 1, "--json")
        self.run("webhooks", "show", 1)
        self.run("webhooks", "withdraw", 1, "--json")
        self.run("webhooks", "list", "--json")

    def turn_the_year(self) -> None:
        """Make the next season, corrected, and take it back."""
        self.run("year", "change-next", "U18 Ravens", "--fate", "same")
        self.run("year", "forget-next")
        self.run("year", "change-next", "U18 Ravens", "--into", "Veterans", "--json")
        assert self.run("year", "show-next", "--json").json()["asked"] == []
        self.run("year", "make-next", "--json")
        made = self.run("changes", "list", "--count", 1, "--json").json()[0]["number"]
        self.run("changes", "undo", made)

    def squads_come_and_go(self) -> None:
        """Let a squad end and take that back; look what another would get, and longer weeks."""
        self.run("squads", "withdraw", "U12 Girls Avocets", self.day(30), "--look")
        self.run("squads", "withdraw", "U12 Girls Avocets", self.day(30), "--json")
        made = self.run("changes", "list", "--count", 1, "--json").json()[0]["number"]
        self.run("changes", "undo", made)
        self.run("squads", "begin", "U10 Plovers", self.day(8), "--look", "--json")
        self.run("year", "change-stretch", "winter", "--last", self.day(35), "--look", "--json")

    def know_people(self) -> None:
        """Note a person, change them, let them in, and withdraw their access."""
        self.run("people", "add", "Robin Vale", "--email", "robin@o.example", "--json")
        changed = ("--phone", "0170 555", "--squad", SQUAD, "--role", "coach")
        self.run("people", "change", "Robin Vale", *changed, "--json")
        self.run("people", "let-in", "Robin Vale", "--json")
        self.run("people", "show", "robin@o.example", "--json")
        self.run("people", "change", "Robin Vale", "--no-squads")
        self.run("people", "withdraw", "Robin Vale", "--json")
        self.run("people", "list", "--json")

    def type_squads(self) -> None:
        """Type a squad with two asks, look at it, take one ask out, and take all of it back."""
        wants = ("--set", "players=11", "--set", "sessions a week=1", "--set", "minutes=60")
        self.run(
            "squads", "add", "U9 Dunlins", *wants, "--set", "possible=Fri 16:00-18:00", "--json"
        )
        second = ("--ask", 2, *wants[2:], "--set", "possible=Sat 10:00-12:00")
        self.run("squads", "change", "U9 Dunlins", *second, "--set", "age group=U9", "--json")
        assert len(self.run("squads", "show", "U9 Dunlins", "--json").json()["asks"]) == 2
        self.run("squads", "change", "U9 Dunlins", "--withdraw-ask", 2)
        self.run("squads", "export", "--output", "typed.csv", "--json")
        self.run("squads", "list", "--json")
        for _time in range(3):
            last = self.run("changes", "list", "--count", 1, "--json").json()[0]["number"]
            self.run("changes", "undo", last, "--json")

    def book(self) -> None:
        """Book ground by hand, move that, keep it, and withdraw it."""
        week = ("--first", self.day(7), "--last", self.day(13))
        self.run("bookings", "list", *week, "--squad", SQUAD, "--json")
        wish = ("Meadow", self.day(13), "09:00", "10:00", "--for", "Walkers")
        made = self.run("bookings", "add", *wish, "--json").json()["number"]
        self.run("bookings", "move", made, "--from", "09:15", "--to", "10:15", "--json")
        self.run("bookings", "show", made, "--json")
        self.run("bookings", "withdraw", made, "--why", "Nobody comes", "--json")
        own = self.number_of(SQUAD)
        self.run("bookings", "keep", own, "--json")
        self.run("bookings", "keep", own, "--free")

    def look(self) -> None:
        """Look at what there is."""
        self.run("running")
        self.run("completion", "bash")
        self.run("schemas", "list", "--json")
        self.run("schemas", "show", "squads", "list")
        self.run("proposals", "list", "--json")
        self.run("proposals", "show", 1, "--json")
        self.know_people()
        self.type_squads()
        self.book()
        self.run("grounds", "list", "--json")
        self.run("grounds", "export", "osier-lane", "--output", "again.geojson")
        self.run("grounds", "load", "--look", "again.geojson", "--json")
        self.run("year", "show", "--json")
        self.run("light", "show", self.day(7), "--days", 7, "--json")
        self.run("light", "list-dark", "--json")
        self.run("light", "set-cost", "osier-lane", "12.50")
        self.charge()
        self.run("grass", "set-limit", "Meadow", "--built", "undrained", "--quality", "poor")
        self.run("grass", "show", "--json")
        self.run("fairness", "show", "--json")
        self.run("concerns", "list", "--json")
        self.run("reports", "show", self.day(0), self.day(30), "--json")
        self.run("reports", "show", self.day(0), self.day(30), "--table", "squads")
        self.run("reports", "export", self.day(0), self.day(30), "--output", "report.pdf")

    def charge(self) -> None:
        """Say what ground costs, look at what is owed, issue, write, take back."""
        self.run("tariffs", "set-currency", "GBP", "--json")
        hours = ("--from", "05:00", "--season", "01-01/12-31")
        self.run("tariffs", "add", "osier-lane", "30", "--payer", "hirer", *hours)
        last = self.run("tariffs", "add", "osier-lane", "9", "--payer", "squad", "--json").json()
        self.run("tariffs", "withdraw", last["number"])
        self.run("tariffs", "list", "--json")
        month, who = f"{self.last_month:%Y-%m}", ("hirer", "Sunrise yoga")
        self.run("statements", "preview", month, *who, "--json")
        self.run("statements", "issue", month, *who, "--json")
        self.run("statements", "withdraw", 1, "--why", "Wrong price", "--json")
        self.run("statements", "issue", month)
        self.run("statements", "show", 2)
        self.run("statements", "export", 2, "--output", "statement.csv")
        self.run("statements", "export", 2, "--output", "statement.pdf", "--json")
        self.run("statements", "list", month, "--json")

    def hire_out(self) -> None:
        """Hire the meadow out on Sundays, move that, make it longer, end it."""
        sundays = ("--first", self.day(20), "--last", self.day(34))
        hours = ("--from", "11:00", "--to", "12:00")
        self.run("hires", "add", "Kite club", "Meadow", *sundays, *hours, "--look", "--json")
        number = self.run("hires", "add", "Kite club", "Meadow", *sundays, *hours, "--json")
        later = ("--on", self.day(27), "--pitch", "Meadow", "--from", "12:00", "--to", "13:00")
        hire = number.json()["number"]
        self.run("hires", "move", hire, *later, "--look")
        self.run("hires", "move", hire, *later, "--json")
        self.run("hires", "extend", hire, "--until", self.day(41), "--json")
        self.run("hires", "show", hire)
        self.run("hires", "withdraw", hire, "--after", self.day(27))
        self.run("hires", "list", "--json")

    def a_match_comes_and_goes(self) -> None:
        """Give a match the ground of an evening's training, call it off, and bring that back."""
        row = f"{self.day(16)},19:00,Men's First,Lodden Town,Top pitch"
        late = f"date,kick-off,squad,opponent,pitch\n{row}\n"
        (self.program.folder / "late.csv").write_text(late, "utf-8")
        self.run("matches", "load", "late.csv")
        listed = self.run("matches", "list", "--json").json()
        number = next(line["number"] for line in listed if line["opponent"] == "Lodden Town")
        self.run("matches", "place", number, "--choose", 1, "--json")
        self.run("matches", "call-off", number, "--json")
        self.run("matches", "bring-back", number, "--json")

    def change(self) -> None:
        """Let everything come up that comes up: breaks, matches, closures, asks, swaps, undo."""
        self.run("year", "add-break", "Fair", self.day(40), self.day(41), "--json")
        breaks = self.run("year", "show", "--json").json()["breaks"]
        self.run("year", "withdraw-break", next(b["number"] for b in breaks if b["name"] == "Fair"))
        self.run("year", "set-squad", "u7-wrens", "--first", self.day(0))
        self.run("year", "train-on", self.day(42))
        self.turn_the_year()
        self.squads_come_and_go()
        rows = [f"{self.day(12)},10:00-12:00,U7 Wrens,Brook End"]
        rows += [f"{self.day(day)},10:00-14:00,U14 Harriers,Sandford" for day in (19, 26, 33)]
        fixtures = "\n".join(["date,kick-off,squad,opponent", *rows, ""])
        (self.program.folder / "fixtures.csv").write_text(fixtures, "utf-8")
        self.run("matches", "load", "fixtures.csv")
        self.run("matches", "place", 1, "--json")
        self.run("matches", "place", 1, "--choose", 1)
        self.run("matches", "change", 1, "--note", "Two balls each", "--json")
        self.run("matches", "place-free", "--json")
        self.run("matches", "call-off", 2)
        self.a_match_comes_and_goes()
        self.hire_out()
        closing_words = ("--on", self.day(8), "--until-date", self.day(9))
        self.run("closures", "add", "Top pitch", "waterlogged", *closing_words, "--look")
        self.run("closures", "add", "Top pitch", "waterlogged", *closing_words, "--json")
        number = self.run("closures", "list", "--json").json()[0]["number"]
        self.run("closures", "change", number, "--reason", "frozen", "--look")
        self.run("closures", "change", number, "--reason", "frozen", "--json")
        self.run("closures", "open", number, "--look", "--json")
        self.run("closures", "open", number)
        self.run("closures", "bring-back", number, "--json")
        self.run("closures", "add", "Meadow", "frost", "--on", self.day(15))
        self.run("changes", "list", "--json")
        self.run("evenings", "show", self.day(8), f"{self.today}T00:00", "--json")
        self.run("asks", "add-ground", self.number_of(SQUAD))
        self.run(
            "asks", "add", SQUAD, self.free_day(SQUAD), "18:00", "20:00", "--part", 1, "--json"
        )
        waiting = self.run("asks", "list", "--json").json()["asks"]
        given = self.number_of(OTHER)
        self.run("bookings", "hand-back", given, "--seen", self.change_of(given))
        swapped = self.number_of(SQUAD), self.number_of(THIRD)
        self.run("bookings", "swap", *swapped, "--because", "Both coaches agreed")
        last = self.run("changes", "list", "--json").json()[0]["number"]
        self.run("changes", "undo", last)
        self.run("asks", "serve")
        self.run("asks", "refuse", waiting[0]["number"], "There is no more ground")
        self.train_soon()
        self.run("mails", "deliver", "--at-once", "--json")
        assert self.run("mails", "list", "--json").json()["mails"]

    def train_soon(self) -> None:
        """Add a training within a day, on a Friday or a weekend, too: people are mailed of that."""
        hour = free_hour_soon(self.program.folder, "Paddock")
        self.run("bookings", "add", "Paddock", *hour, "--squad", SQUAD, "--because", "A friendly")

    def share_out_again(self) -> None:
        """Share out what is left of an evening, again, and in turns."""
        self.run("share-out", "run-evening", self.day(9), "--seconds", 2, "--json", is_alone=True)
        again = ("--evening", self.day(10), "--close", "Court")
        turns = ("share-out", "run-turns", "winter", "--seconds", "2", "--json")
        self.run("share-out", "run-tonight", self.day(9), "--close", "Court", "--json")
        self.run("share-out", "run-again", *again, "--json")
        self.done.append(
            self.program.run_loaded(*turns, code=None)
        )  # perhaps nobody gains by turns

    def come_back(self) -> None:
        """Back the club up, and bring it back over itself before it is served."""
        self.run("records", "back-up", "club.backup", "--json")
        found = self.run("records", "restore", "club.backup", "--replace", "--json").json()["found"]
        assert found["is_known"]
        assert found["put_back"] == found["called_off"] == 0
        assert (self.program.folder / "clubplanner.before-restore.sqlite").is_file()

    def work_with_files(self) -> None:
        """Share a problem file out, check it, explain it and change it."""
        folder = self.program.folder
        example = ("--squads", 8, "--pitches", 1, "--pressure", 2.5)
        problem = self.run("share-out", "draw-example", *example).json()
        (folder / "problem.json").write_text(json.dumps(problem), "utf-8")
        result = self.run("share-out", "solve", "problem.json", "--seconds", 3, "--json").json()
        (folder / "result.json").write_text(json.dumps(result), "utf-8")
        (folder / "change.json").write_text("{}", "utf-8")
        self.run("share-out", "check", "problem.json", "result.json", "--json")
        refused = result["refusals"][0]["ask"]
        self.run("share-out", "explain", "problem.json", "result.json", refused)
        self.run("share-out", "reshare", "problem.json", "result.json", "change.json")
        self.run("share-out", "show-schema")
        self.run(
            "records", "move", "sqlite:///clubplanner.sqlite", "sqlite:///moved.sqlite", "--json"
        )

    def go_out_and_come_in(self) -> None:
        """Let the club go out as files, come in elsewhere, and go out from there the same."""
        self.run("club", "export", "ours", "--json")
        for words in (("init",), ("club", "load", "ours", "--json"), ("club", "export", "theirs")):
            self.run("--database", "sqlite:///elsewhere.sqlite", *words)
        ours, theirs = (
            {file.name: file.read_bytes() for file in (self.program.folder / name).iterdir()}
            for name in ("ours", "theirs")
        )
        assert ours == theirs

    def ask_what_fits(self) -> None:
        """Ask what fits, without any club."""
        self.run("fit", "largest", "--ground", LARGE, "--json")
        self.run("fit", "pieces", "--ground", LARGE, "--piece", "12x8", "--json")
        self.run("fit", "sessions", "--ground", SMALL, "--players", 14, "--json")
