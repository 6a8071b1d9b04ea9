"""Servers, workers and the database are killed while clients change things; then all is counted.

Clients send forms and calls of the API to two servers over HTTP, and most of them lines to two
offices, processes that call the services; each keeps a ledger of what it tried and was told. Two
workers tell people by mail, to a mail server that keeps what it is sent. At random (seeded) times
one of all these is killed with signal 9 and started again. In the end the ledgers, the records and
the mails are held against each other: what overlaps, was lost, was done twice or though it was
refused, what does not follow in the journal, what nobody was told. Each has to be 0.
"""
