"""Many clubs on one server: which there are, and the records of each.

A list (`clubs/listing.py` says its form) names the clubs; `clubs/at_hand.py` keeps it as it is now
and opens each club's records. Everything of a club is made from its own records and its own
settings: pages (`webapp/clubs`), sign-ins, form secrets, limits, push keys, figures, deliveries. No
two clubs share anything but the process, its templates, its static files and its threads. Log
entries bear a club's short name by a context variable (`logs.at_work_for`). A thread a club takes
its deliveries, at most six its pages; records that did not answer are left alone for ten seconds.

A club's records are a file of SQLite or a database of PostgreSQL, not a schema in one. Measured
with 50 clubs beside one (`python -m tests.benchmarks.many_clubs`; a busy machine: trust ratios): a
further club takes 4.5 MB of the process in a file and 3.4 MB in a database once its pages are open
(templates and static files are compiled and read once for all; 12 MB before); a page costs 1.1
(files) and 0.9 times (databases) what the same club's app costs alone; a club's first page after a
start, when its app is made, 3 to 5 times a page; the list of 50 is read in 0.2 s and 0.5 s. A
worker's idle round took 40 ms of the processor a club. The database server has 4.7 MB for each club
in use, and 11 MB of disk a further club. Schemas (`options=-csearch_path%3Drovers` in an address is
understood) save two thirds of the disk and nothing else: no memory, and no connection, since each
has its own search path. Against them: a statement that names a schema reaches a neighbour, where a
database cannot be reached at all; locks by number hold in the whole database, so clubs would wait
for each other; rights, backup, restore and removal by the server's own means go by database. So
clubs that nobody asks for give their connections back after a minute, the worker after each round;
PostgreSQL needs `max_connections` for those in use.
"""
