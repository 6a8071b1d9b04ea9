"""What is kept of people: shown to them, erased, and pruned by the club's periods.

`store/personal.py` says of each column what it can hold of a person; nothing here knows a table
besides. Context: names stand in rows of their own and in the words of others' rows, journal and
proposals included. Decision: somebody is a number, if they have one, and the names, addresses and
telephone numbers they are recognised by (`domain/club/persons/traces.py`). What is theirs goes; in
what is others' an erased person stands in their place, so that all that refers to each other still
does.
A name that somebody else has as well is left where only the name stands, and that is said. The
number stays without anything beside it: numbers are never given to somebody else. Consequences: an
erased person comes back with an older copy of the records, so copies are named before; and what the
journal held of them cannot be taken back.
"""
