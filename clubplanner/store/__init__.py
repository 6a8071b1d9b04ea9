"""The database: tables, the guard against double booking, engines and migrations.

Only services open sessions. The guard refuses overlapping bookings whatever the code does.

The guard is in the database. Triggers on SQLite refuse an insert or update that shares a cell and a
moment with a live booking, ground that is not its area's, and cells changed under a booking,
whoever writes (`store/guard.py` says what is held even for another program); a check a column keeps
kinds of values apart (`store/tables/kinds.py`). Services look first, for a good message. Guards
live in one list per database (`store/guard.py`), stand up again after every migration, and are
compared with their text at start: without them nothing is served.

Two kinds of database, one store. Context: a club runs on one machine without a server; a council
has several processes and machines. Decision: `store/postgres.py` makes PostgreSQL (15 or newer)
behave as SQLite does: writers queue up by locking one table before they look at anything, readers
see one state and wait for nobody, instants are whole seconds in both. The guard is an exclusion
constraint over the cells of a pitch (a range a cell, in one multirange) and time
(`store/postgres_guard.py`), since `btree_gist` is not to be had everywhere. Consequences: every
rule that looks first and writes then holds on both without a word of its own; writers of one club
wait for each other, which a club does not notice; rows are moved as they are
(`store/upkeep/moving.py`). Row locks in each service were the other way: faster for many writers,
and each place that forgets one a fault that no test on SQLite would show. On PostgreSQL a club
begins in the newest shape, as the steps up to 0012 speak SQLite's words; steps from then on have to
run on both.

A squad's name is looked up, not kept. `BookingRow.holder` is the squad's name as it is, and for
anybody else what was written (`written_holder`). The journal keeps what it was called; that alone
is no difference between two states (`is_same_state`), so undo and mails pass over it. A rename
counts every booking to come (`services/setup/calendars_follow.py`), by form, file or undo.

Steps follow one another. A step of the history that landed is never edited:
`tests/store/test_upgrades.py` holds its hash. A database is upgraded in one transaction, after a
copy of it was put beside it, and has to come out in the shape of the models (`store/shape.py`), or
it is left as it was. `check_store` compares the shape too: whoever opens a database that differs is
told where. Only `migrate` begins a file. With each step that lands, `python -m tests.store.lived_in
<step>` keeps a database as it is made that day in `tests/store/earlier/`, which every later version
has to open.

Readers and writers do not wait for each other. Context: with a rollback journal a change gave up
after 27 s behind a page that read for long; SQLite's log of changes (WAL) ends that, but versions
before 3.51.3 can damage the file when a checkpoint meets a commit that begins the log anew
(https://sqlite.org/wal.html#walresetbug), and Debian's are older. Decision: WAL with every version,
and no checkpoint ever meets a commit. No connection runs one by itself; `engine` runs one between
two changes while it holds the write lock of all processes, and SQLite's own when the last
connection closes is alone. Looked at and left: the `pysqlite3` wheel brings a fixed SQLite, for
Linux on x86-64 only, and would make two ways of what one can do. Consequences: beside the file
stand `…-wal` and `…-shm` while it is in use; a copy of the file alone is no copy. Another program
that writes to the file while the club is served brings its own checkpoints, and with an old SQLite
the danger back: let it read only.

Writers wait for the disk together, and take turns. Context: with SQLite's own wait in each commit
(`synchronous = FULL`) the write lock was held while the disk was at it, and of two busy processes
one starved for seconds, since SQLite lets whoever asks at the right moment write. Decision: commits
go to the log alone (`NORMAL`), the lock is given back, and one wait for the log serves all that
committed before it began (`store/disk.py`); nobody is answered before that. On PostgreSQL the same:
the transaction commits without waiting (`synchronous_commit`), and an empty message that a second
one puts into the server's log takes it to the disk, over a connection that was open when it was
committed: a server that began anew meanwhile has lost the end of its log, and all connections with
it. Where the wait fails, whoever wrote is told that it was written and may be lost
(`UnsureError`); webhooks and mails wait before they tell. Processes queue up for the lock before
they ask SQLite (`store/turns.py`). What may be lost with the power (a claim without work, a sign of
life) waits for nothing (`write(in_passing=True)`). Consequences: a page may show a
change that a loss of power in the next moment takes away again, to nobody who was told of it. What
others go on from by a count or a mark must not: given again, to another change, it would hide that
one. So calendars and the marks of the journal are read by `Store.read_kept`, which ends when the
disk has what it saw; on PostgreSQL it asks how far the log has come, and only else writes to it.

Brief changes share a transaction. Context: a turn, a commit and a wait for the disk cost a small
change more than its own rows, on a server a message each. Decision: a service that is over in a
moment says so (`write(brief=True)`), and where the next one in the queue of its process says it,
too, it hands the open transaction on and waits; the last one commits for all
(`store/together.py`). A transaction takes 16 of them and nobody after a fifth of a second. Each
lies behind a savepoint, which goes to a server with the statement after it (`store/riding.py`),
and has a change of its own in the journal; calendars are counted once. Looked at and left: looking
before the turn and looking again only where a mark moved (in a club where many write it always
has), and each writer in a transaction of its own with row locks. Consequences: whoever is refused
waits for the commit as well, as it may have been for the sake of rows that are not kept yet; where
the commit fails, all are told. What takes long must not say that it is brief, nor may what commits
its session itself.

The journal listens to the session. Context: a change that some service forgets to note is lost.
Decision: `store/journal/journal.py` hooks every write session: before a booking row is written
over, its stored state is kept; at commit, before and after go into the same transaction, states in
between left out; bulk statements on bookings are refused. The journal's own rows, notices and new
bookings are put past the session (`store/putting.py`, `store/journal/new_bookings.py`), which takes
longer to find out what to write than the database to write it, and past SQLAlchemy
(`store/direct.py`), whose way to a statement takes longer, too; a booking goes with its entry at
the end of the transaction, where nobody needs its number before, on a server in one message. Who
did it is given at the edge: `store.acting_for(name)`; pages say `act_as(name)`. Consequences:
services only describe a change (`describe_change`); undo and “as it stood on” are pure rules over
the journal (`domain/booked/journal.py`). Undo takes back all of a change that is still to come, or
nothing; an added booking is withdrawn, never removed, so calendars hear of it. Other records
(`store/journal/record_sorts.py`: squads with their asks, pitches with their areas, breaks, limits,
people…) are read before and after in the same way, without secrets and addresses; those whose state
says all of them are put back, ground and people are not.

Clubs that share a council's ground keep one record, and the session holds each club's secretary to
its squads. Context: a hundred services change rows, and one that forgets to ask whose they are
gives another club's away. Decision: `store.acting_for(name, scope)` carries the club;
`store/rights.py` listens to the session as the journal does, collects whose each changed row was
and is, and gives up a transaction with one of another club's, of none, or of a table that it does
not name: those are the office's. A club's secretary is stored as a coach with a row of
`club_secretary`, so that code which does not know of it lets them do no more than that. Services
ask `services/rows/own_club.py`, which asks the same module, for what pages may show and for the
words that say who may. What follows for everybody by rule is lifted by name (`by_rule_of_all`):
the waiting list's fair turn, and proposals that take new names. Commands act as the office.
Consequences: a new table is closed to clubs until it is named there; without clubs nothing is
listened to and nothing asked. A squad is called by its club and its own name, since two clubs may
both have an under 12 and plans show them side by side; moving it renames it.
"""

# All tables are known once any of them is.
from clubplanner.store import stand
from clubplanner.store.tables import (
    booking_tables,
    busy_tables,
    club_tables,
    following_tables,
    ground_tables,
    hire_tables,
    keeping_tables,
    knowing_tables,
    link_tables,
    money_tables,
    notice_tables,
    pasting_tables,
    people_tables,
    push_tables,
    restored_tables,
    run_tables,
    season_tables,
    squad_tables,
    token_tables,
    turn_tables,
    turnout_tables,
    webhook_tables,
    within_tables,
)

__all__ = [
    "booking_tables",
    "busy_tables",
    "club_tables",
    "following_tables",
    "ground_tables",
    "hire_tables",
    "keeping_tables",
    "knowing_tables",
    "link_tables",
    "money_tables",
    "notice_tables",
    "pasting_tables",
    "people_tables",
    "push_tables",
    "restored_tables",
    "run_tables",
    "season_tables",
    "squad_tables",
    "stand",
    "token_tables",
    "turn_tables",
    "turnout_tables",
    "webhook_tables",
    "within_tables",
]
